"""python -m tests.bench: what `booklet make samples/mug.toml` takes, beside a bare script that draws as many pages; and the shelf.

Whole processes, median of several runs, on this machine; nothing is asserted. Both are run once before, unmeasured, with
their bytecode kept in a folder of its own, as an installed program has it.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
RUNS = 7
DRAWN = ("mug", "sponges", "glaze")
"""Samples whose step pictures are timed: a box with a lid, a tray with web corners, a carton with tucks."""

BARE = """
import sys
import click, tomllib, numpy, shapely, jinja2, markdown_it, pypdf
from reportlab.pdfgen.canvas import Canvas
import reportlab.platypus
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
pdfmetrics.registerFont(TTFont("face", {font!r}))
canvas = Canvas(sys.argv[1], invariant=1)
for page in range(int(sys.argv[2])):
    canvas.setFont("face", 10)
    for line in range(40):
        canvas.line(60, 60 + 17 * line, 530, 60 + 17 * line)
        canvas.drawString(60, 62 + 17 * line, f"page {{page}} line {{line}}")
    canvas.showPage()
canvas.save()
"""


def timed(command: list[str], kept: Path) -> float:
    """Median seconds of a command as a whole process, its bytecode kept in a folder."""
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(kept)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    took = []
    for _ in range(RUNS + 1):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT, env=environment)
        took.append(time.perf_counter() - start)
    return statistics.median(took[1:])


def rooms() -> list[tuple[str, float]]:
    """Seconds of the rooms inside one warm process."""
    from booklet import make, paper
    from booklet.pages import book
    from booklet.planning import plan_of
    from booklet.spec import load
    from booklet.styles import shelf

    spec = load(ROOT / "samples" / "mug.toml", {name: style.OPTIONS for name, style in shelf().items()})
    make.booklet(spec)
    told = []
    start = time.perf_counter()
    plan = plan_of(spec)
    told.append(("plan and proof", time.perf_counter() - start))
    start = time.perf_counter()
    made = book.write(plan, lambda pages: {})
    told.append(("words, pictures, pages", time.perf_counter() - start))
    start = time.perf_counter()
    paper.checks(made, plan)
    told.append(("read back and measured", time.perf_counter() - start))
    return told


def pictures(name: str) -> tuple[int, float]:
    """How many steps a sample has, and the seconds that their pictures take on a PDF page, from the plan on: the best of several."""
    from booklet.drawing import scenes, stage
    from booklet.pdf.canvas import PdfFile
    from booklet.planning import plan_of
    from booklet.spec import load
    from booklet.styles import shelf

    plan = plan_of(load(ROOT / "samples" / f"{name}.toml", {style: one.OPTIONS for style, one in shelf().items()}))
    took = []
    for _ in range(RUNS):
        scenes._steps.cache_clear()
        stage._bench.cache_clear()
        pen = PdfFile("steps").page((210.0, 297.0))
        start = time.perf_counter()
        for picture in scenes.steps(plan):
            picture.draw(pen, (10.0, 10.0, 98.0, 70.0))
        pen.rest()
        took.append(time.perf_counter() - start)
    return len(plan.net.steps), min(took)


def shelved() -> list[tuple[str, float]]:
    """Whole processes that go through every style of the shelf: its picture sheet, its facts, and a ranking. Aims: 5 s, none, 3 s."""
    with tempfile.TemporaryDirectory() as folder:
        sheet = str(Path(folder) / "shelf.pdf")
        asked = (["styles", "-o", sheet], ["styles", "--json"], *(["suggest", f"samples/{name}.toml"] for name in DRAWN))
        booklet = [sys.executable, "-m", "booklet"]
        return [(" ".join(words).replace(sheet, "shelf.pdf"), timed([*booklet, *words], Path(folder))) for words in asked]


def main() -> None:
    """Print the benchmark."""
    import pypdf

    font = str(ROOT / "layouts" / "fonts" / "NotoSans-Regular.ttf")
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "mug.pdf"
        command = [sys.executable, "-m", "booklet", "make", "samples/mug.toml", "-o", str(out)]
        ours = timed(command, Path(folder))
        pages = len(pypdf.PdfReader(out).pages)
        bare = timed([sys.executable, "-c", BARE.format(font=font), str(Path(folder) / "bare.pdf"), str(pages)], Path(folder))
    print(f"booklet make samples/mug.toml   {ours:.3f} s   {pages} pages")
    print(f"bare script, as many pages      {bare:.3f} s")
    print(f"ratio                           {ours / bare:.2f}")
    for name, seconds in rooms():
        print(f"  {name:<28}  {seconds:.3f} s, warm")
    for name in DRAWN:
        steps, seconds = pictures(name)
        print(f"step pictures of {name + f' ({steps} steps)':<20}  {seconds:.3f} s, warm, best of {RUNS}")
    for name, seconds in shelved():
        print(f"booklet {name:<28}  {seconds:.3f} s")


if __name__ == "__main__":
    main()
