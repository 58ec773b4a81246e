"""What folds but is weak is told, with its figure; a sound box has no warnings."""

from __future__ import annotations

from pathlib import Path

import pytest

from booklet.pages.facts import facts_of
from booklet.pages.words import words
from booklet.planning import plan_of
from booklet.spec import load
from booklet.styles import shelf

SOUND = """
style = "tray"
[item]
length = "80 mm"
width = "60 mm"
height = "40 mm"
[card]
sheet = "A3"
caliper = "0.30 mm"
weight = "250 gsm"
"""


def warned(text: str, tmp_path: Path) -> dict[str, float]:
    path = tmp_path / "box.toml"
    path.write_text(text)
    plan = plan_of(load(path, {name: style.OPTIONS for name, style in shelf().items()}))
    assert all(check.ok for check in plan.checks if check.level == "fault")
    return {check.name: check.figure for check in plan.checks if not check.ok}


def test_a_sound_box_has_no_warnings(tmp_path: Path) -> None:
    assert warned(SOUND, tmp_path) == {}


LIDDED = SOUND.replace('"tray"', '"lidded-box"')


@pytest.mark.parametrize(
    "name, text",
    [
        ("warn.base-bows", SOUND.replace("[card]", 'weight = "3 kg"\n[card]')),
        ("warn.weak-flap", SOUND + '[box]\nglue_flap = "5 mm"\n'),
        ("warn.grain", SOUND.replace('"0.30 mm"', '"0.40 mm"') + 'grain = "first"\n'),
        ("warn.half-cut-face", 'marks = "inside"\n' + SOUND.replace('"0.30 mm"', '"0.80 mm"').replace('"250 gsm"', '"550 gsm"')),
        ("warn.raw-hem", LIDDED.replace('"0.30 mm"', '"0.80 mm"').replace('"250 gsm"', '"550 gsm"')),
        ("warn.thin-half-cut", SOUND + 'fold = "half-cut"\n'),
        ("warn.glue-stick", SOUND.replace('"0.30 mm"', '"0.50 mm"').replace('"250 gsm"', '"350 gsm"') + '[glue]\nkind = "glue-stick"\n'),
        ("warn.shortened", LIDDED.replace('"40 mm"', '"12 mm"')),
    ],
)
def test_each_warning_is_given_where_it_applies(name: str, text: str, tmp_path: Path) -> None:
    assert name in warned(text, tmp_path)


def test_a_doubled_base_bows_less(tmp_path: Path) -> None:
    heavy = "[card]", 'weight = "100 g"\n[card]'
    tray = warned(SOUND.replace(*heavy), tmp_path).get("warn.base-bows", 0.0)
    lidded = warned(LIDDED.replace(*heavy), tmp_path).get("warn.base-bows", 0.0)
    assert lidded < tray


def test_all_things_in_an_insert_weigh_on_the_base(tmp_path: Path) -> None:
    """Six cells: six times the weight of the one thing, told and reckoned."""
    cells = SOUND.replace("[card]", 'weight = "400 g"\n[card]').replace('"tray"', '"lidded-box"')
    path = tmp_path / "box.toml"
    path.write_text(cells.replace('"A3"', '"A1"') + '[insert]\nstyle = "divider"\nrows = 2\ncolumns = 3\n')
    plan = plan_of(load(path, {name: style.OPTIONS for name, style in shelf().items()}))
    (bow,) = (check for check in plan.checks if check.name == "warn.base-bows")
    assert "Under 2400 g" in bow.text
    assert "2400 g" in next(one.text for one in facts_of(plan, words()).warnings if "bow" in one.text)
