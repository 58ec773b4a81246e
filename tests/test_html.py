"""The HTML edition: what a screen reader is given, looked at by parsers that are not ours, and compared with the PDF."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2
import pytest
from click.testing import CliRunner

from booklet import cli
from booklet.drawing.svg import InlinePen
from booklet.errors import BookletError
from booklet.pages import html
from booklet.pages.html_blocks import Pictured
from booklet.pages.html_text import Writer, spoken, ungrouped
from booklet.plan import Plan
from tests.samples import FOLDER, made

NAMES = ("mug", "brooch", "kit-tiles-precut", "class-tiles")
"""The three layouts, both units, card that is cut out and card that comes cut."""

VOID = {"meta", "br", "img"}
XHTML, SVG = "{http://www.w3.org/1999/xhtml}", "{http://www.w3.org/2000/svg}"
HOSTILE = "<b>Mug</b> & \"two\" 'quotes' </title><script>x()</script> {{ 7*7 }} [link](javascript:x) ```"


@cache
def page(name: str) -> str:
    return html.written(made(name).plan, made(name).books)["main"].decode()


@cache
def tree(name: str) -> ElementTree.Element:
    return ElementTree.fromstring(page(name))


def titled(title: str) -> Plan:
    plan = made("brooch").plan
    return replace(plan, spec=replace(plan.spec, title=title))


def told(element: ElementTree.Element) -> str:
    """All words of an element but those in pictures."""
    if element.tag == f"{SVG}svg":
        return element.tail or ""
    inner = (element.text or "") + "".join(told(child) for child in element)
    return inner + (element.tail or "")


def plain(text: str) -> str:
    return text.replace("\xa0", " ")


def squeezed(text: str) -> str:
    """Letters and figures alone: lines are broken and figures built otherwise in a PDF."""
    return re.sub(r"[^a-z0-9]", "", spoken(text).lower())


class Balanced(HTMLParser):
    """A reader of HTML that looks whether every element is closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: object) -> None:
        """Nothing is open after it."""

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


# The page as a whole -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_it_reads_as_html_and_as_xml(name: str) -> None:
    reader = Balanced()
    reader.feed(page(name))
    assert page(name).startswith("<!DOCTYPE html>") and not reader.open and not reader.wrong
    assert tree(name).tag == f"{XHTML}html"


@pytest.mark.parametrize("name", NAMES)
def test_it_has_its_language_title_main_part_and_one_heading_over_all(name: str) -> None:
    root, title = tree(name), made(name).plan.spec.title
    assert root.get("lang") == made(name).plan.spec.booklet.language
    assert root.findtext(f".//{XHTML}title") == title
    assert [one.text for one in root.iter(f"{XHTML}h1")] == [title]
    assert len(list(root.iter(f"{XHTML}main"))) == 1


@pytest.mark.parametrize("name", NAMES)
def test_headings_do_not_jump(name: str) -> None:
    depths = [int(found) for found in re.findall(r"<h([1-6])[ >]", page(name))]
    assert depths[0] == 1 and max(depths) > 2
    assert all(after <= before + 1 for before, after in pairwise(depths))
    assert all(told(one).strip() for one in tree(name).iter() if re.fullmatch(r".*}h[1-6]", str(one.tag)))


def test_a_heading_that_is_too_deep_is_raised_to_the_one_that_may_come_next() -> None:
    writer = Writer("Title", {})
    writer.text("# One\n\n#### Two\n\n##### Three\n\n# Four\n", "a.md", lambda fence, file: None)
    assert [one.depth for one in writer.headings] == [2, 3, 4, 2]


@pytest.mark.parametrize("name", NAMES)
def test_no_key_is_given_twice_and_every_link_and_name_leads_to_one(name: str) -> None:
    keys = [one.get("id") for one in tree(name).iter() if one.get("id")]
    assert len(keys) == len(set(keys))
    named = {one.get("aria-labelledby") for one in tree(name).iter()} - {None}
    links = {link[1:] for one in tree(name).iter(f"{XHTML}a") if (link := one.get("href", "")).startswith("#")}
    clips = set(re.findall(r"url\(#([^)]*)\)", page(name)))
    assert named | links | clips <= set(keys) and named and links


@pytest.mark.parametrize("name", NAMES)
def test_the_contents_name_every_section_and_can_be_skipped(name: str) -> None:
    root = tree(name)
    nav = root.find(f".//{XHTML}nav")
    assert nav is not None and nav.get("aria-label")
    sections = [told(one).strip() for one in root.iter(f"{XHTML}h2")]
    assert [told(one).strip() for one in nav.iter(f"{XHTML}a")] == sections and len(sections) > 5
    first = next(root.iter(f"{XHTML}a"))
    assert first.get("href") == "#text" and next(root.iter(f"{XHTML}main")).get("id") == "text"


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_fetched_and_nothing_runs(name: str) -> None:
    bare = page(name).replace(XHTML[1:-1], "").replace(SVG[1:-1], "")
    link = made(name).plan.spec.seller.link if made(name).plan.spec.seller else ""
    assert "http" not in (bare.replace(link, "") if link else bare)
    assert not re.search(r"<(script|link|iframe|object|embed|form|base)\b|@import|url\((?!#)|\son[a-z]+=", bare)
    assert all(one.get("src", "").startswith("data:image/svg+xml;base64,") for one in tree(name).iter(f"{XHTML}img"))


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert html.written(made("brooch").plan, made("brooch").books)["main"].decode() == page("brooch")


def test_it_is_fit_for_a_narrow_screen() -> None:
    """320 px wide without scrolling across: WCAG 2.1, 1.4.10; what is wide, a table, scrolls by itself."""
    root = tree("mug")
    assert 'content="width=device-width' in page("mug")
    assert not [one for one in root.iter() if one.get("width")]
    scrolled = {table for box in root.iter(f"{XHTML}div") if box.get("class") == "wide" for table in box.iter(f"{XHTML}table")}
    assert scrolled == set(root.iter(f"{XHTML}table"))


# Pictures ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_every_picture_is_told_in_words_or_hidden(name: str) -> None:
    pictures = list(tree(name).iter(f"{SVG}svg"))
    for one in pictures:
        if one.get("aria-hidden") != "true":
            assert one.get("role") == "img" and len(one.get("aria-label", "")) > 15
            assert one.findtext(f"{SVG}title") == one.get("aria-label")
            assert len(list(one.iter(f"{SVG}path"))) > 2
    assert all(one.get("alt") for one in tree(name).iter(f"{XHTML}img"))
    assert any(one.get("role") == "img" for one in pictures)


def test_the_picture_of_a_step_tells_what_moves_and_what_is_glued() -> None:
    labels = [plain(one.get("aria-label", "")) for one in _steps("mug")[0].iter(f"{SVG}svg")]
    assert any("What moves: hems 1 to 4. Number on the glue map: 1 to 4." in label for label in labels)


def test_the_picture_of_a_sheet_tells_the_pieces_and_their_places() -> None:
    plan = made("mug").plan
    labels = [plain(one.get("aria-label", "")) for one in tree("mug").iter(f"{SVG}svg")]
    for placed in plan.placed:
        (label,) = [label for label in labels if label.startswith(f"Sheet {placed.sheet} of {plan.sheets}")]
        assert f"piece {placed.piece}, 6 mm from the left and 6 mm from below" in label


def test_what_is_cut_off_has_keys_of_its_own_in_each_picture() -> None:
    def draw(pen: InlinePen) -> None:
        with pen.clipped(((0.0, 0.0), (9.0, 0.0), (9.0, 9.0))) as inner:
            inner.fill([((0.0, 0.0), (5.0, 0.0), (5.0, 5.0))], 0.5)

    pictured = Pictured(Writer("Title", {}), lambda: None)
    both = [set(re.findall(r'id="([^"]*)"', pictured.figure((9.0, 9.0), draw, 'A <shape> & "more"'))) for _ in range(2)]
    assert both[0] and both[1] and not both[0] & both[1]


def test_words_in_pictures_are_text_that_can_be_enlarged() -> None:
    assert any("".join(one.itertext()) == "box-1" for one in tree("mug").iter(f"{SVG}text"))


# Words -------------------------------------------------------------------------------------------------------------


def _steps(name: str) -> list[ElementTree.Element]:
    return [one for one in tree(name).iter(f"{XHTML}ol") if one.get("class") == "steps"]


@pytest.mark.parametrize("name", ["mug", "brooch", "kit-tiles-precut"])
def test_every_step_is_an_item_of_one_list_with_its_number_words_and_picture(name: str) -> None:
    facts = html._Edition(made(name).plan, made(name).books).makers[0].facts.steps
    items = [item for steps in _steps(name) for item in steps.findall(f"{XHTML}li")]
    assert [int(item.get("value", "0")) for item in items] == [fact.number for fact in facts]
    for item, fact in zip(items, facts, strict=True):
        assert spoken(fact.text) in told(item) and item.find(f".//{SVG}svg") is not None


def test_steps_that_are_printed_without_words_have_them_here() -> None:
    plan = made("brooch").plan
    silent = replace(plan, spec=replace(plan.spec, booklet=replace(plan.spec.booklet, words=False)))
    root = ElementTree.fromstring(html.written(silent)["main"])
    texts = [fact.text for fact in html._Edition(silent, {}).makers[0].facts.steps]
    items = [told(item) for one in root.iter(f"{XHTML}ol") if one.get("class") == "steps" for item in one]
    assert len(items) == len(texts) and all(spoken(text) in item for text, item in zip(texts, items, strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_warnings_are_notes_that_begin_with_their_signal_word(name: str) -> None:
    notes = [one for one in tree(name).iter(f"{XHTML}section") if one.get("role") == "note"]
    assert notes
    for note in notes:
        first, *others = note.findall(f"{XHTML}p")
        assert told(first) in ("DANGER", "WARNING", "CAUTION", "NOTICE") and others


@pytest.mark.parametrize("name", NAMES)
def test_tables_have_heads_that_say_what_they_head(name: str) -> None:
    for table in tree(name).iter(f"{XHTML}table"):
        heads = list(table.iter(f"{XHTML}th"))
        assert heads and all(one.get("scope") in ("col", "row") and told(one).strip() for one in heads)
        widths = {len(row) for row in table.iter(f"{XHTML}tr")}
        assert len(widths) == 1 and table.get("aria-labelledby")


def _printed(name: str) -> str:
    """All words of all files but the template pages, squeezed."""
    found = made(name)
    files = (found.data, *(data for data, _ in found.others.values()))
    return squeezed(" ".join(page.get_textpage().get_text_bounded() for data in files for page in pypdfium2.PdfDocument(data)))


@pytest.mark.parametrize("name", NAMES)
def test_its_words_are_those_of_the_pdf(name: str) -> None:
    """Each paragraph, item and cell in turn; what the edition alone says of itself is left out."""
    own = [squeezed(told(one)) for one in _own(name)]
    printed, missed = _printed(name), []
    for tag in ("p", "li", "td", "th", "h2", "h3"):
        for one in tree(name).find(f".//{XHTML}main").iter(f"{XHTML}{tag}"):  # type: ignore[union-attr]
            parts = [squeezed(part) for part in (one.text or "", *(child.tail or "" for child in one))]
            missed += [part for part in parts if part and part not in printed and not any(part in said for said in own)]
    assert not missed


def _own(name: str) -> Iterator[ElementTree.Element]:
    """Sentences that say what is in the PDF alone."""
    yield from (one for one in tree(name).iter(f"{XHTML}p") if "in the PDF" in told(one) or "from the PDF" in told(one))


@pytest.mark.parametrize("name", ["mug", "kit-tiles-precut", "class-tiles"])
def test_all_that_the_pdf_says_in_sections_is_in_it(name: str) -> None:
    """Sentence by sentence of every text of the layout that a file holds."""
    page_words = squeezed(told(tree(name)))
    for maker in html._Edition(made(name).plan, made(name).books).makers:
        for text in maker.sources.values():
            plain = re.sub(r"```.*?```|^:::[^\n]*$|^\|[-:|]+\|$|^#+ |^\d+\. |^- ", "", text, flags=re.DOTALL | re.MULTILINE)
            for line in re.split(r"[\n|]+", plain):
                said = squeezed(re.sub(r"\\(.)", r"\1", line))
                assert said in page_words or "contents" in said, line


def test_what_pupils_get_is_a_page_of_its_own_without_the_answers() -> None:
    pages = html.written(made("class-tiles").plan, made("class-tiles").books)
    assert list(pages) == ["main", "handout", "worksheet"]
    words = {name: squeezed(told(ElementTree.fromstring(data))) for name, data in pages.items()}
    answers = [one for one in words if squeezed("Answers to the worksheet") in words[one]]
    assert answers == ["main"] and squeezed("Which faces lie opposite") in words["worksheet"]


def test_what_is_true_to_size_is_told_to_be_in_the_pdf() -> None:
    assert "The 4 template pages are true to size: print them from the PDF." in plain(told(tree("mug")))
    assert not [one for one in tree("mug").iter(f"{SVG}svg") if "100 mm" in one.get("aria-label", "")]


# Strangers ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "title", [HOSTILE, "]]> --> &lt; &#x26;", "1. \u03a0\u03b7\u03bb\u03cc\u03c2 | \u0413\u043b\u0438\u043d\u0430 #*_`~"]
)
def test_a_title_is_words_and_nothing_else(title: str) -> None:
    plan = titled(title)
    text = html.written(plan)["main"].decode()
    root = ElementTree.fromstring(text)
    assert root.findtext(f".//{XHTML}title") == title == root.findtext(f".//{XHTML}h1")
    assert "<script" not in text and len(list(root.iter(f"{XHTML}b"))) == 0
    assert not [one for one in root.iter() if "javascript" in one.get("href", "")]


def own_folder(folder: Path, text: str) -> Plan:
    (folder / "fit-check.md").write_text(text)
    plan = made("brooch").plan
    return replace(plan, spec=replace(plan.spec, booklet=replace(plan.spec.booklet, folder=folder)))


def test_html_and_strange_links_in_a_layout_of_ones_own_are_words(tmp_path: Path) -> None:
    plan = own_folder(
        tmp_path, "# Fit check\n\n<img src=x onerror=y()> [a](javascript:x) [b](https://kiln-lane.example/x?a=1&b=2) [c](#h1)\n"
    )
    root = ElementTree.fromstring(html.written(plan)["main"])
    assert "<img src=x onerror=y()>" in told(root)
    links = [one.get("href") for one in root.find(f".//{XHTML}main").iter(f"{XHTML}a")]  # type: ignore[union-attr]
    assert links == ["https://kiln-lane.example/x?a=1&b=2"]


def test_artwork_of_a_layout_of_ones_own_is_a_picture_that_reaches_nothing(tmp_path: Path) -> None:
    (tmp_path / "leaf.svg").write_bytes(
        b'<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><path id="h1" d="M0 0h40v20z"/></svg>'
    )
    root = ElementTree.fromstring(
        html.written(own_folder(tmp_path, '# Fit check\n\n{{ drawing("artwork", "leaf.svg", width=30) }}\n'))["main"]
    )
    assert [one.get("alt") for one in root.iter(f"{XHTML}img")] == ["Artwork: leaf.svg."]


def test_artwork_is_told_by_the_words_file_of_its_layout_where_that_has_words_for_it(tmp_path: Path) -> None:
    (tmp_path / "leaf.svg").write_bytes(b'<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><path d="M0 0h40v20z"/></svg>')
    (tmp_path / "words.en.toml").write_text('[alt.files]\n"leaf.svg" = "A \'leaf\' & \\"more\\""\n')
    root = ElementTree.fromstring(
        html.written(own_folder(tmp_path, '# Fit check\n\n{{ drawing("artwork", "leaf.svg", width=30) }}\n'))["main"]
    )
    assert [one.get("alt") for one in root.iter(f"{XHTML}img")] == ["A 'leaf' & \"more\""]


def test_artwork_that_would_run_is_refused(tmp_path: Path) -> None:
    (tmp_path / "leaf.svg").write_bytes(b'<svg xmlns="http://www.w3.org/2000/svg" width="4" height="2"><script>x()</script></svg>')
    with pytest.raises(BookletError, match="script"):
        html.written(own_folder(tmp_path, '# Fit check\n\n{{ drawing("artwork", "leaf.svg") }}\n'))["main"]


@pytest.mark.parametrize(
    ("text", "said"), [("4 \u00b9\u2044\u2082 in", "4\xa01/2\xa0in"), ("3/4 in", "3/4\xa0in"), ("1/2", "1/2"), ("12 mm", "12\xa0mm")]
)
def test_fractions_are_told_in_plain_figures(text: str, said: str) -> None:
    """Raised and lowered figures are read out as such, or not at all."""
    assert spoken(text) == said


def test_a_table_in_groups_side_by_side_is_told_as_one() -> None:
    head, rows = ungrouped(["No.", "Up", "", "No.", "Up"], [["1", "9", "", "3", "7"], ["2", "8", "", "", ""]])
    assert (head, rows) == (["No.", "Up"], [["1", "9"], ["2", "8"], ["3", "7"]])


# The command -------------------------------------------------------------------------------------------------------


def run(*words: object) -> tuple[int, str]:
    result = CliRunner().invoke(cli.main, [str(word) for word in words])
    return result.exit_code, result.output


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    path = tmp_path / "box.toml"
    path.write_bytes((FOLDER / "bowl.toml").read_bytes())
    return path


def test_make_html_writes_the_page_beside_the_spec_and_no_pdf(spec: Path) -> None:
    code, said = run("make", spec, "--html")
    assert code == 0 and "box.html" in said
    assert ElementTree.fromstring(spec.with_suffix(".html").read_bytes()).tag == f"{XHTML}html"
    assert not spec.with_suffix(".pdf").exists()


def test_make_html_refuses_another_kind_of_name_and_writes_nothing(spec: Path) -> None:
    code, said = run("make", spec, "--html", "-o", spec.with_name("out.pdf"))
    assert code == 2 and "the name must end in .html" in said
    assert [path.name for path in spec.parent.iterdir()] == ["box.toml"]


def test_make_html_writes_nothing_when_a_check_fails(spec: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from booklet import paper
    from booklet.check import Check

    monkeypatch.setattr(paper, "checks", lambda one, plan: [Check("paper.broken", 2.0, 1.0, "mm", False, "It is broken.")])
    code, said = run("make", spec, "--html")
    assert code == 1 and "It is broken." in said
    assert not spec.with_suffix(".html").exists()
