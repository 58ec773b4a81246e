"""The commands: what they print, their exit codes, and that a fault leaves nothing half done."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from booklet.cli import main
from booklet.planning import fit_of, net_of
from booklet.spec import load
from booklet.styles import shelf
from booklet.thickness import Thickness, way_of

SAMPLES = Path(__file__).parent.parent / "samples"
TRAY = """
style = "tray"
[item]
length = "60 mm"
width = "40 mm"
height = "20 mm"
"""


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def tray(tmp_path: Path) -> Path:
    path = tmp_path / "tray.toml"
    path.write_text(TRAY)
    return path


def refused(result: Result, *parts: str) -> None:
    """Exit 2, one line a fault, no traceback, every part told."""
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    for part in parts:
        assert part in result.output, result.output


def test_styles_tells_the_shelf_as_json() -> None:
    told = json.loads(run("styles", "--json").output)
    assert [style["name"] for style in told] == list(shelf())
    for style in told:
        assert set(style) == {"name", "use", "options", "glue", "pieces", "parts", "suits", "card", "interior", "closed"}
        assert style["pieces"] >= style["parts"] >= 1 and style["card"]["least"] < style["card"]["most"]
        assert all(set(option) == {"name", "default", "help"} and option["help"] for option in style["options"])


def test_styles_tells_the_shelf_in_words() -> None:
    result = run("styles")
    assert result.exit_code == 0
    assert all(f"{name}: " in result.output for name in shelf())
    assert "2 pieces, glued, closes, card 0.15 to 1 mm. Good for heavy things" in result.output
    assert "skirt = " not in result.output


def test_styles_tells_one_style_with_its_options_in_the_units_asked_for() -> None:
    result = run("styles", "lidded-box", "--units", "in")
    assert result.exit_code == 0 and result.output.count("Good for") == 1
    assert "skirt = 1 in" in result.output and "card 0.006 to 0.039 in" in result.output
    refused(run("styles", "tuck-cartoon"), 'did you mean "tuck-carton"')


def test_styles_draws_the_shelf_where_it_is_asked_to(tmp_path: Path) -> None:
    out = tmp_path / "shelf.pdf"
    result = run("styles", "-o", out, "--paper", "Letter")
    assert result.exit_code == 0 and f"{len(shelf())} styles" in result.output
    assert out.read_bytes().startswith(b"%PDF-1.7")
    refused(run("styles", "--paper", "A4"), "--paper: ", "-o shelf.pdf")
    refused(run("styles", "-o", tmp_path), "folder")


def test_a_style_that_cannot_be_drawn_is_named_and_the_call_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError("no width")

    monkeypatch.setattr(shelf()["tray"], "net", fail)
    out = tmp_path / "shelf.pdf"
    result = run("styles", "-o", out)
    assert result.exit_code == 1 and "tray: is not shown" in result.output and "Traceback" not in result.output
    assert out.exists()
    listed = run("styles", "tray")
    assert listed.exit_code == 0 and "cannot be shown" in listed.output and "glue_flap = " in listed.output


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("style", list(shelf()))
def test_new_writes_a_spec_whose_net_is_made_and_fits_the_card(style: str, units: str, tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    assert run("new", style, "-o", path, "--units", units).exit_code == 0
    spec = load(path, {name: one.OPTIONS for name, one in shelf().items()})
    card = Thickness(spec.card.caliper, way_of(spec.card.caliper, spec.card.fold, shelf()[style].BEARS))
    net = net_of(spec, spec.card, fit_of(spec), card)
    assert spec.units == units and net.style == style and all(part.pieces for part in net.parts)


@pytest.mark.parametrize(("style", "units"), [("tray", "mm"), ("lidded-box", "in"), ("prism-box", "mm"), ("sleeve-drawer", "in")])
def test_new_writes_a_spec_that_make_takes_as_it_is(style: str, units: str, tmp_path: Path) -> None:
    spec, out = tmp_path / "box.toml", tmp_path / "box.pdf"
    assert run("new", style, "-o", spec, "--units", units).exit_code == 0
    made = run("make", spec, "-o", out)
    assert made.exit_code == 0, made.output
    assert out.read_bytes().startswith(b"%PDF-")


def test_new_leaves_an_existing_file_as_it_is(tray: Path) -> None:
    refused(run("new", "tray", "-o", tray), "exists already")
    assert tray.read_text() == TRAY


def test_new_tells_the_nearest_style(tmp_path: Path) -> None:
    refused(run("new", "tuck-cartoon", "-o", tmp_path / "a.toml"), 'did you mean "tuck-carton"')
    assert not list(tmp_path.iterdir())


def test_check_prints_checks_and_summary_as_json(tray: Path) -> None:
    result = run("check", tray, "--json")
    assert result.exit_code == 0
    told = json.loads(result.output)
    assert set(told) == {"checks", "summary"}
    assert all({"name", "figure", "limit", "unit", "ok", "text"} <= set(check) for check in told["checks"])
    summary = told["summary"]
    assert {"inside", "pieces", "sheets", "pages", "tiles", "cut_mm", "glue_mm2", "steps"} <= set(summary)
    assert all(1 <= bound <= summary[key] for key, bound in summary["bounds"].items())
    assert set(summary["bounds"]) == {"pieces", "sheets", "tiles", "leaves"}
    assert {"bonds.touch", "tiles.cover", "paper.bars", "paper.cuts"} <= {check["name"] for check in told["checks"]}
    assert told["summary"]["pages"] > 5


def test_check_exits_0_with_warnings(tmp_path: Path) -> None:
    path = tmp_path / "weak.toml"
    path.write_text(TRAY + 'weight = "2 kg"\n')
    result = run("check", path)
    assert result.exit_code == 0
    assert "WARN" in result.output


def test_a_failing_check_exits_1_and_writes_nothing(tray: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from booklet.styles import tray as style

    real = style.sizes
    monkeypatch.setattr(
        style, "sizes", lambda *a: __import__("dataclasses").replace(real(*a), item=real(*a).item.__class__("block", 200, 200, 200))
    )
    out = tray.with_suffix(".pdf")
    for result in (run("make", tray, "-o", out), run("export", tray, "-o", tray.with_suffix(".json")), run("check", tray)):
        assert result.exit_code == 1
        assert "item.fits" in result.output
    assert sorted(p.name for p in tray.parent.iterdir()) == ["tray.toml"]


@pytest.mark.parametrize("kind", ["json", "svg", "dxf"])
def test_export_writes_each_kind_the_same_twice(tray: Path, kind: str) -> None:
    one, two = tray.with_name(f"a.{kind}"), tray.with_name(f"b.{kind}")
    assert run("export", tray, "-o", one).exit_code == 0
    assert run("export", tray, "-o", two).exit_code == 0
    assert one.read_bytes() == two.read_bytes()


def test_export_refuses_other_kinds(tray: Path) -> None:
    refused(run("export", tray, "-o", tray.with_suffix(".ai")), ".json, .svg, .dxf")


def test_make_writes_beside_the_spec_by_default_and_replaces_an_old_file_whole(tray: Path) -> None:
    out = tray.with_suffix(".pdf")
    out.write_bytes(b"old")
    assert run("make", tray).exit_code == 0
    assert out.read_bytes().startswith(b"%PDF-1.7")
    assert sorted(p.name for p in tray.parent.iterdir()) == ["tray.pdf", "tray.toml"]


def test_a_bad_spec_leaves_an_old_booklet_as_it_was(tray: Path) -> None:
    out = tray.with_suffix(".pdf")
    out.write_bytes(b"old")
    tray.write_text(TRAY.replace('"60 mm"', "60"))
    refused(run("make", tray), "item.length", "60")
    assert out.read_bytes() == b"old"


BAD = {
    "all faults at once": (
        'style = "trey"\n[item]\nlenght = "60 mm"\nwidth = "0 mm"\nheight = "-3 mm"\n',
        ["tray", "length", "width", "height"],
    ),
    "a bare number": (TRAY.replace('"40 mm"', "40"), ["line 5", "item.width"]),
    "an unknown key": (TRAY + 'hieght = "1 mm"\n', ["hieght", "height"]),
    "a missing key": (TRAY.replace('height = "20 mm"', ""), ["item.height"]),
    "not a number": (TRAY.replace('"20 mm"', "nan"), ["item.height"]),
    "a 10 m box": (TRAY.replace('"60 mm"', '"10000 mm"'), ["item.length", "2000"]),
    "a pound weight without category": (TRAY + '[card]\nweight = "110 lb"\n', ["cover", "index"]),
    "an item larger than any piece": (TRAY.replace('"60 mm"', '"900 mm"'), ["card.sheet", "use card of at least"]),
    "thick card": (TRAY + '[card]\ncaliper = "3 mm"\n', ["card.caliper", "2 mm"]),
    "thin card": (TRAY + '[card]\ncaliper = "0.1 mm"\n', ["card.caliper", "0.15 mm"]),
    "a crease in thick card": (TRAY + '[card]\ncaliper = "1 mm"\nfold = "crease"\n', ["card.fold", "half-cut"]),
    "an option of another style": (TRAY + '[box]\ntucks = "same"\n', ["tucks"]),
    "broken TOML": ("style = \n", ["line 1"]),
    "control characters": ('title = "a\\u0007b"\n' + TRAY, ["title"]),
}


@pytest.mark.parametrize("text, parts", BAD.values(), ids=BAD.keys())
def test_bad_specs_are_told_in_full_and_nothing_is_written(text: str, parts: list[str], tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(text)
    refused(run("make", path), *parts)
    refused(run("check", path), *parts)
    assert [p.name for p in tmp_path.iterdir()] == ["bad.toml"]


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    refused(run("make", tmp_path / "none.toml"), "none.toml")
    refused(run("make", tmp_path), "folder")
    (tmp_path / "wide.toml").write_bytes(TRAY.encode("utf-16"))
    refused(run("make", tmp_path / "wide.toml"), "UTF-8")
    (tmp_path / "latin.toml").write_bytes(b'title = "caf\xe9"\n' + TRAY.encode())
    refused(run("make", tmp_path / "latin.toml"), "UTF-8")


def test_outputs_that_cannot_be_written_are_told(tray: Path, tmp_path: Path) -> None:
    refused(run("make", tray, "-o", tmp_path / "no" / "where.pdf"), "does not exist")
    refused(run("make", tray, "-o", tmp_path), "folder")


def test_the_spec_is_never_written_over(tray: Path) -> None:
    refused(run("make", tray, "-o", tray), "the spec itself")
    json_spec = tray.rename(tray.with_suffix(".json"))
    refused(run("export", json_spec, "-o", json_spec), "the spec itself")
    assert json_spec.read_text() == TRAY


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_without_the_right_to_write_is_told(tray: Path, tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(stat.S_IRUSR | stat.S_IXUSR)
    refused(run("make", tray, "-o", closed / "a.pdf"), "cannot be written")


def test_a_disk_that_fails_leaves_nothing_behind(tray: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    refused(run("export", tray, "-o", tray.with_suffix(".json")), "No space left")
    assert [p.name for p in tray.parent.iterdir()] == ["tray.toml"]


def test_testprint_and_measure_write_their_sheets_where_they_are_asked_to(tmp_path: Path) -> None:
    for command in ("testprint", "measure"):
        out = tmp_path / f"{command}.pdf"
        out.write_bytes(b"old")
        result = run(command, "-o", out, "--paper", "Letter", "--margin", "1/4 in", "--units", "in")
        assert result.exit_code == 0 and f"{command}.pdf is written" in result.output
        assert out.read_bytes().startswith(b"%PDF-1.7")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["measure.pdf", "testprint.pdf"]


def test_testprint_and_measure_are_named_for_what_they_are_by_default(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("testprint").exit_code == run("measure").exit_code == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["measure.pdf", "testprint.pdf"]


def test_a_sheet_that_cannot_be_made_leaves_the_old_one_and_tells_every_option(tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    out.write_bytes(b"old")
    refused(run("testprint", "-o", out, "--paper", "Leter", "--margin", "3"), "--paper: ", "--margin: ", '"3 mm"')
    refused(run("testprint", "-o", out, "--paper", "A6"), "--paper: ", "use A5 paper or larger")
    refused(run("measure", "-o", out, "--printed-bar", "94.1 mm", "99"), "--printed-bar: ", "an A4 page on Letter", "has no unit")
    refused(run("measure", "-o", out, "--printed-bar", "97.3 mm", "97.3 mm"), "fit to page is on", "say --sure")
    refused(run("measure", "-o", tmp_path / "no" / "where.pdf"), "does not exist")
    refused(run("testprint", "-o", tmp_path), "folder")
    assert out.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.pdf"]


def test_measure_takes_what_the_bars_of_a_test_print_measured(tmp_path: Path) -> None:
    plain, corrected, sure = (tmp_path / name for name in ("a.pdf", "b.pdf", "c.pdf"))
    assert run("measure", "-o", plain).exit_code == 0
    assert run("measure", "-o", corrected, "--printed-bar", "177.3 mm", "238.1 mm").exit_code == 0
    assert run("measure", "-o", sure, "--printed-bar", "97.3 mm", "97.3 mm", "--sure").exit_code == 0
    assert len({path.read_bytes() for path in (plain, corrected, sure)}) == 3


def test_help_tells_where_to_start() -> None:
    told = run("--help").output
    assert "\n  Start with:  booklet testprint " in told and "\n               booklet measure " in told
    assert all(f"  {name} " in told for name in ("testprint", "measure", "make"))


def test_help_loads_no_heavy_library() -> None:
    import subprocess
    import sys

    code = "import sys, booklet.cli; print([m for m in ('numpy','shapely','reportlab','jinja2','pypdf','svglib') if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"
