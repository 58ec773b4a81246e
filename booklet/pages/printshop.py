"""The print-shop file: one page with the net at full size, its layers, and the artwork under them, cut off where glue goes."""

from __future__ import annotations

from dataclasses import replace

from booklet import artwork, printshop
from booklet.drawing import printshop as drawn
from booklet.pages import logo
from booklet.pages.figures import figures_of
from booklet.pages.within import room_of
from booklet.pages.words import Words
from booklet.pdf import signs
from booklet.pdf.canvas import PdfFile
from booklet.pdf.pen import PdfPen
from booklet.plan import Plan
from booklet.printshop import EDGE, LEGEND, Sheet

LOGO = (40.0, 18.0)
"""mm: the logo is at most so wide and so high beside the legend (chosen by us)."""

BESIDE = EDGE + LEGEND[0] + 6.0
"""mm from the page's left edge to the logo."""


def made(plan: Plan, words: Words) -> tuple[bytes, tuple[float, float]]:
    """The file, and the size of its page in mm. Raises `BookletError` for artwork that cannot be drawn, and for a net without a page."""
    sheet = printshop.sheet_of(plan.net)
    if plan.spec.artwork.logo:  # on a page no wider than the legend it has no place
        sheet = replace(sheet, size=(max(sheet.size[0], BESIDE + LOGO[0] + EDGE), sheet.size[1]))
    file = PdfFile(plan.spec.title, subject=words("print_shop", "subject"), language=plan.spec.booklet.language)
    pen = file.page(sheet.size)
    file.boxes(trim=sheet.trim, bleed=sheet.bleed)
    _artwork(pen, plan, sheet)
    if plan.spec.artwork.logo:
        x, y = BESIDE, EDGE + LEGEND[1] - drawn.NAME - 4.0
        logo.put(pen, plan.spec.artwork.logo, (x, y - LOGO[1], x + LOGO[0], y), "start")
    drawn.draw(pen, sheet, _told(plan, words))
    return file.finish(), sheet.size


def _artwork(pen: PdfPen, plan: Plan, sheet: Sheet) -> None:
    """Every drawing on its panels, over the cut edges into the bleed, not where glue goes."""
    for face in artwork.faces(sheet.net, plan.spec.artwork):
        drawing = signs.drawing(face.art.data, face.art.name)
        place = face.place((drawing.width, drawing.height))
        for one in sheet.laid:
            if one.part.name == face.part.name:
                inked = face.inked(sheet.net, one.piece)
                rings = [one.to_page.ring(ring) for ring in drawn.rings(inked)]
                signs.put(pen, drawing, place.then(one.to_page), rings)


def _told(plan: Plan, words: Words) -> drawn.Told:
    """The words of the page."""
    said, spec, tell = words.table("print_shop"), plan.spec, figures_of(plan, words)
    number = spec.seller.number if spec.seller else ""
    card = words.filled(
        said["card"], "print_shop.card", caliper=tell.caliper(plan.net.caliper), grammage=f"{plan.card.grammage:.0f} g/m\u00b2"
    )
    head = [
        words.filled(said["number"], "print_shop.number", number=number) if number else "",
        words.filled(said["inside"], "print_shop.inside", size=room_of(plan, tell, words)["inside"]),
        card,
        said["seen"],
        said["ink"] if spec.artwork.panels else said["no_ink"],
        said["named"],
    ]
    layers = {key: text for key, text in said.items() if key in drawn.ROWS}
    return drawn.Told(
        spec.title,
        [line for line in head if line],
        layers,
        tell.length,
        tell.caliper,
        words.piece,
        words.filled(said["bar"], "print_shop.bar", bar=f"{drawn.BAR:.0f} mm"),
    )
