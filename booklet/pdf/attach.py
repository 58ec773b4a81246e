"""Files carried inside the PDF: embedded file streams, listed by name and tied to the document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFDocument, PDFStream, PDFString, PDFZCompress

Relation = Literal["Source", "Data", "Alternative", "Supplement", "Unspecified"]

DELIMITERS = "()<>[]{}/%#"


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file to carry: its name as a reader shows it, its bytes, MIME type, and what it is to the document."""

    name: str
    data: bytes
    mime: str
    about: str = ""
    relation: Relation = "Data"


def escaped_name(text: str) -> str:
    """A PDF name object; delimiters and all but printable ASCII become #xx (ISO 32000-1, 7.3.5)."""
    codes = text.encode("utf-8")
    return "/" + "".join(chr(c) if 0x21 <= c <= 0x7E and chr(c) not in DELIMITERS else f"#{c:02X}" for c in codes)


def embed(doc: PDFDocument, files: Sequence[Attachment]) -> None:
    """Write the files into the document: `Names` tree in order of name, and `AF`."""
    specs = {file.name: doc.Reference(_spec(doc, file), f"file.{file.name}") for file in sorted(files, key=lambda f: f.name)}
    flat: list[Any] = [part for name, spec in specs.items() for part in (PDFString(name), spec)]
    doc.Catalog.Names = PDFDictionary({"EmbeddedFiles": PDFDictionary({"Names": PDFArray(flat)})})
    doc.Catalog.AF = PDFArray(list(specs.values()))


def _spec(doc: PDFDocument, file: Attachment) -> PDFDictionary:
    stream = doc.Reference(_stream(file), f"file.{file.name}.stream")
    return PDFDictionary(
        {
            "Type": "/Filespec",
            "F": PDFString(file.name),
            "UF": PDFString(file.name),
            "Desc": PDFString(file.about or file.name),
            "EF": PDFDictionary({"F": stream, "UF": stream}),
            "AFRelationship": escaped_name(file.relation),
        }
    )


def _stream(file: Attachment) -> PDFStream:
    entries = {"Type": "/EmbeddedFile", "Subtype": escaped_name(file.mime), "Params": PDFDictionary({"Size": len(file.data)})}
    return PDFStream(PDFDictionary(entries), file.data, [PDFZCompress])
