"""A spec file is read whole, or all its faults are told at once, each with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from booklet.errors import Fault, SpecError
from booklet.spec import Option, Spec, load, new_spec
from booklet.spec.lines import key_lines
from booklet.spec.source import MOST_BYTES
from booklet.spec.tables import TOP, Shipped, tables

SHELF = {
    "lidded-box": (
        Option("hem", mm=25.0, inch=1.0, least_mm=6.0, most_mm=60.0),
        Option("corner", mm=None),
        Option("tucks", "choice", choices=("same", "opposite"), default="same"),
        Option("notch", "flag", default=False),
    ),
    "tray": (),
}
GOOD = """\
title  = "Mug box"
style  = "lidded-box"
marks  = "outside"
[item]
shape  = "block"
length = "125 mm"
width  = "95 mm"
height = "104 mm"
weight = "380 g"
[fit]
clearance = "6 mm"
headroom = "8 mm"
[card]
sheet = "12x12 in"
edge = "6 mm"
gap = "3 mm"
weight = "216 gsm"
caliper = "0.30 mm"
fold = "crease"
grain = "first"
keep_grain = true
splice = true
pack = 50
[page]
paper = "Letter"
margin = "6.35 mm"
overlap = "12 mm"
print_on = "card"
printed_bar = ["98.6 mm", "99.1 mm"]
sure = false
[box]
hem = "20 mm"
tucks = "opposite"
notch = true
[glue]
kind = "tape"
[booklet]
layout = "home"
units = "mm"
language = "en"
copies = 3
"""
LEAST = 'style = "tray"\n[item]\nlength = "125 mm"\nwidth = "95 mm"\nheight = "104 mm"\n'
IN = '[booklet]\nunits = "in"\n'

Load = Callable[..., Spec]
Faults = Callable[..., tuple[Fault, ...]]


@pytest.fixture
def loaded(tmp_path: Path) -> Load:
    def of(text: str | bytes, name: str = "mug.toml") -> Spec:
        path = tmp_path / name
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return load(path, SHELF)

    return of


@pytest.fixture
def faults(loaded: Load) -> Faults:
    def of(text: str | bytes) -> tuple[Fault, ...]:
        with pytest.raises(SpecError) as caught:
            loaded(text)
        return caught.value.faults

    return of


def test_every_key_is_read(loaded: Load) -> None:
    spec = loaded(GOOD)
    assert (spec.title, spec.style, spec.marks, spec.path_name) == ("Mug box", "lidded-box", "outside", "mug.toml")
    assert (spec.item.shape, spec.item.size, spec.item.weight) == ("block", (125.0, 95.0, 104.0), 380.0)
    assert (spec.fit.clearance, spec.fit.headroom) == (6.0, 8.0)
    card = spec.card
    assert (card.sheet, card.edge, card.gap, card.gsm, card.caliper) == ((304.8, 304.8), 6.0, 3.0, 216.0, 0.3)
    assert (card.fold, card.grain, card.keep_grain, card.splice, card.caliper_from) == ("crease", "first", True, True, "given")
    assert card.pack == 50
    assert (spec.page.paper, spec.page.name, spec.page.margin, spec.page.overlap) == ((215.9, 279.4), "Letter", 6.35, 12.0)
    assert (spec.page.print_on, spec.page.scale) == ("card", (0.986, 0.991))
    assert dict(spec.box) == {"hem": 20.0, "corner": None, "tucks": "opposite", "notch": True}
    assert (spec.glue.kind, spec.booklet.layout, spec.units, spec.booklet.language, spec.booklet.copies) == ("tape", "home", "mm", "en", 3)


def test_the_bytes_of_the_file_are_kept_to_attach(loaded: Load) -> None:
    raw = b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode()
    assert loaded(raw).source == raw


def test_style_and_item_are_enough(loaded: Load) -> None:
    spec = loaded(LEAST)
    assert (spec.title, spec.marks, spec.fit.clearance, spec.fit.headroom) == ("Tray", None, 6.0, 8.0)
    assert (spec.card.sheet, spec.card.edge, spec.card.gap, spec.card.caliper, spec.card.gsm) == ((210, 297), 6.0, 3.0, 0.3, None)
    assert spec.card.pack is None
    assert (spec.page.paper, spec.page.margin, spec.page.overlap, spec.page.scale) == ((210, 297), 6.35, 10.0, (1.0, 1.0))
    assert (spec.glue.kind, spec.booklet.copies, spec.booklet.folder, spec.card.caliper_from) == ("pva", 1, None, "assumed")


def test_defaults_are_round_figures_in_inches_too(loaded: Load) -> None:
    spec = loaded(LEAST.replace("tray", "lidded-box") + IN)
    figures = (spec.fit.clearance, spec.fit.headroom, spec.card.edge, spec.card.gap, spec.page.margin, spec.page.overlap, spec.box["hem"])
    assert figures == pytest.approx((6.35, 9.525, 6.35, 3.175, 6.35, 9.525, 25.4))
    assert spec.page.name == spec.card.sheet_name == "Letter"


def test_a_round_item_is_as_long_and_as_wide_as_its_diameter_read_up(loaded: Load) -> None:
    spec = loaded('style = "tray"\n[item]\nshape = "round"\ndiameter = "4 1/4 in"\nheight = "4.3 in"\n')
    assert spec.item.size == pytest.approx((107.95, 107.95, 111.125))
    wide = loaded('style = "tray"\n[item]\nlength = "4.3 in"\nwidth = "4.2 in"\nheight = "4 in"\n')
    assert wide.item.size == pytest.approx((111.125, 107.95, 101.6))
    assert spec.item.height.mm == pytest.approx(109.22)


def test_a_caliper_that_is_not_given_is_told_from_the_weight(loaded: Load) -> None:
    card = loaded(LEAST + '[card]\nweight = "250 gsm"\n').card
    assert (card.caliper, card.caliper_from) == (0.3, "weight")
    assert loaded(LEAST + '[card]\nweight = "1290 gsm"\n').card.caliper == 2.0


def test_a_whole_pounds_weight_is_read(loaded: Load) -> None:
    assert loaded(LEAST + '[card]\nweight = "80 lb cover"\n').card.gsm == pytest.approx(216.3, abs=0.1)


def test_a_folder_beside_the_spec_is_a_layout(loaded: Load, tmp_path: Path) -> None:
    (tmp_path / "ours").mkdir()
    spec = loaded(LEAST + '[booklet]\nlayout = "ours"\n')
    assert (spec.booklet.layout, spec.booklet.folder) == ("ours", tmp_path / "ours")


def test_a_file_beside_the_spec_is_no_layout(faults: Faults, tmp_path: Path) -> None:
    (tmp_path / "ours").write_text("")
    assert [fault.where for fault in faults(LEAST + '[booklet]\nlayout = "ours"\n')] == ["booklet.layout"]


def test_the_records_are_frozen(loaded: Load) -> None:
    spec = loaded(GOOD)
    with pytest.raises(TypeError):
        spec.box["hem"] = 3.0  # type: ignore[index]
    with pytest.raises(AttributeError):
        spec.title = "x"  # type: ignore[misc]


FAULTY = [
    # what is changed, into what, the key, words of the sentence
    ("title ", "titel ", "titel", 'did you mean "title"'),
    ('"Mug box"', '""', "title", "has 0 characters"),
    ('"Mug box"', '"' + "x" * 81 + '"', "title", "has 81 characters: write 1 to 80"),
    ('"Mug box"', '"Mug\\u0007"', "title", r"control character U\+0007"),
    ('"Mug box"', '"Mug\\nbox"', "title", r"control character U\+000A"),
    ('"Mug box"', '"Mug\\u202Ebox"', "title", r"control character U\+202E"),
    ('"Mug box"', "12", "title", "12 is no text"),
    ('"lidded-box"', '"lided_box"', "style", 'did you mean "lidded-box"\\? The styles are lidded-box, tray'),
    ('"lidded-box"', '"urn"', "style", "the styles are lidded-box, tray"),
    ('"lidded-box"', "[]", "style", "is no text"),
    ('style  = "lidded-box"', "", "style", "is missing: the styles are"),
    ('"outside"', '"out"', "marks", '"inside" or "outside"'),
    ('"Mug box"', '"Mug \u7bb1"', "title", r"the booklet's font has no \"\u7bb1\" .U.7BB1.: it covers Latin, Greek and Cyrillic"),
    ('"Mug box"', '"\\u00a0 "', "title", "nothing in it that can be seen"),
    ("[fit]", "[fitt]", "fitt", r"did you mean \[fit\]"),
    ("[fit]", "[stickers]", "stickers", "the tables are item, fit"),
    ("[fit]", "[[fit]]", "fit", r"write \[fit\] once"),
    ("clearance", "clearence", "fit.clearence", 'did you mean "clearance"'),
    ("clearance", "paper", "fit.paper", r"belongs under \[page\]"),
    ("clearance", "title", "fit.title", "belongs above the first table"),
    ("clearance", "xyzzy", "fit.xyzzy", "no such key: what may stand here is clearance, headroom"),
    ('"125 mm"', "125", "item.length", '125 is a bare number.*"125 mm" or "125 in"'),
    ('"125 mm"', '"125"', "item.length", "has no unit"),
    ('"125 mm"', '"0 mm"', "item.length", "not above zero"),
    ('"125 mm"', '"-5 mm"', "item.length", "not above zero"),
    ('"125 mm"', "nan", "item.length", "nan is not a size"),
    ('"125 mm"', '"inf mm"', "item.length", "is not a size"),
    ('"125 mm"', '"10000 mm"', "item.length", "more than is allowed: give a length from 5 mm to 2000 mm"),
    ('"125 mm"', '"400 in"', "item.length", r"give a length from 0.197 in to 78.74 in"),
    ('"125 mm"', '"4.9 mm"', "item.length", "less than is allowed"),
    ('length = "125 mm"', "", "item.length", "is missing: measure the item"),
    ('length = "125 mm"', 'diameter = "125 mm"', "item.diameter", 'does not go with shape = "block"'),
    ('"block"', '"round"', "item.diameter", "is missing"),
    ('"block"', '"round"', "item.width", 'does not go with shape = "round"'),
    ('"block"', '"Block"', "item.shape", 'did you mean "block"'),
    ('"380 g"', '"380"', "item.weight", "380 g"),
    ('"380 g"', '"51 kg"', "item.weight", "up to 50 kg"),
    ('"6 mm"', '"-6 mm"', "fit.clearance", "less than is allowed"),
    ('"12x12 in"', '"12x12"', "card.sheet", "two sizes with their unit"),
    ('"12x12 in"', '"12x200 in"', "card.sheet", "no sheet to work with"),
    ('edge = "6 mm"', 'edge = "143 mm"', "card.edge", "leaves nothing of a sheet of 12x12 in: give at most 142.4 mm"),
    ('"216 gsm"', '"110 lb"', "card.weight", "bond, text, cover, index, tag, bristol"),
    ('"216 gsm"', '"9 gsm"', "card.weight", "from 45 gsm to 3200 gsm"),
    ('"0.30 mm"', '"0.04 mm"', "card.caliper", "from 0.05 mm to 5 mm"),
    ('"0.30 mm"', '"5.1 mm"', "card.caliper", "from 0.05 mm to 5 mm"),
    ('"crease"', '"cut"', "card.fold", '"crease" or "half-cut"'),
    ('"first"', '"unknown"', "card.keep_grain", "the grain cannot be kept"),
    ("splice = true", 'splice = "yes"', "card.splice", "true or false, without quotes"),
    ('"Letter"', '"Leter"', "page.paper", "A4, A5, A6, Letter"),
    ('"6.35 mm"', '"90 mm"', "page.margin", "leaves too little of Letter: give at most 88 mm"),
    ('"12 mm"', '"103 mm"', "page.overlap", "more than half of what can be printed on Letter: give at most 101.6 mm"),
    ('"12 mm"', '"1 mm"', "page.overlap", "from 6 mm to 200 mm"),
    ('["98.6 mm", "99.1 mm"]', '"98.6 mm"', "page.printed_bar", "is not two lengths"),
    ('["98.6 mm", "99.1 mm"]', '["98.6 mm", 99.1]', "page.printed_bar", "bare number"),
    ("sure = false", 'sure = "yes"', "page.sure", "true or false"),
    ("pack = 50", "pack = 0", "card.pack", "no number of sheets in a pack: write a whole number from 1 to 10000"),
    ("pack = 50", "pack = 10001", "card.pack", "from 1 to 10000"),
    ("pack = 50", 'pack = "50"', "card.pack", "without quotes"),
    ("hem =", "hemm =", "box.hemm", 'did you mean "hem"'),
    ("hem =", "lining =", "box.lining", "no option of this style: what may stand here is hem, corner, tucks, notch"),
    ('"20 mm"', '"61 mm"', "box.hem", "from 6 mm to 60 mm"),
    ('"opposite"', '"both"', "box.tucks", '"same" or "opposite"'),
    ("notch = true", "notch = 1", "box.notch", "true or false"),
    ('"tape"', '"superglue"', "glue.kind", '"pva" or "glue-stick"'),
    ('"home"', '"class"', "booklet.layout", 'no layout that is shipped yet.*write "home", or the path of a folder'),
    ('"home"', '"a\\u0000b"', "booklet.layout", "control character"),
    ('"home"', '"' + "x" * 900 + '"', "booklet.layout", "no layout"),
    ('units = "mm"', 'units = "cm"', "booklet.units", '"mm" or "in"'),
    ('"en"', '"xx"', "booklet.language", 'write "en"'),
    ("copies = 3", "copies = 0", "booklet.copies", "from 1 to 1000"),
    ("copies = 3", "copies = 1001", "booklet.copies", "from 1 to 1000"),
    ("copies = 3", "copies = 2.0", "booklet.copies", "whole number"),
    ("copies = 3", "copies = true", "booklet.copies", "whole number"),
]


@pytest.mark.parametrize(("old", "new", "where", "told"), FAULTY)
def test_a_fault_names_its_key_its_line_and_what_is_allowed(faults: Faults, old: str, new: str, where: str, told: str) -> None:
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    found = {fault.where: fault for fault in faults(text)}
    assert re.search(told, found[where].text), found[where].text
    if not found[where].text.startswith("is missing"):
        assert where.rpartition(".")[2] in text.split("\n")[(found[where].line or 0) - 1]


def test_a_missing_key_is_told_at_its_table(faults: Faults) -> None:
    (fault,) = faults(GOOD.replace('width  = "95 mm"\n', ""))
    assert (fault.where, fault.line) == ("item.width", 4)


def test_all_faults_are_told_at_once_in_the_order_of_the_file(faults: Faults) -> None:
    text = GOOD
    slips = (("title ", "titel "), ('"125 mm"', "125"), ('"0.30 mm"', '"9 mm"'), ('"6.35 mm"', '"99 mm"'), ("copies = 3", "copies = 0"))
    for old, new in slips:
        text = text.replace(old, new)
    found = faults(text)
    assert [fault.where for fault in found] == ["titel", "item.length", "card.caliper", "page.margin", "booklet.copies"]
    assert [fault.line for fault in found] == sorted(fault.line or 0 for fault in found)


def test_all_wrong_words_of_a_list_are_told_at_once(faults: Faults) -> None:
    (fault,) = faults(GOOD + '\n[safety]\nhazards = ["candle", "fire", "snow", 3, ["lamp"]]\n')
    assert fault.text.startswith('"fire", "snow", 3, [\'lamp\'] are not allowed: write "candle" or "lamp" or ')


def test_a_character_that_the_faces_lack_is_told_before_pages_are_made(faults: Faults) -> None:
    found = faults(
        GOOD + '\n[prices]\ncurrency = "\u5186"\n[seller]\nname = "\u0635"\naddress = "3 Kiln Lane"\nelectronic = "a@b.example"\n'
    )
    assert [fault.where for fault in found] == ["prices.currency", "seller.name"]
    assert all(fault.line and "U+" in fault.text for fault in found)


def test_an_empty_file_is_told_all_that_is_missing(faults: Faults) -> None:
    assert {fault.where for fault in faults("")} == {"style", "item.length", "item.width", "item.height"}


def test_options_of_a_style_that_does_not_exist_are_not_faults_too(faults: Faults) -> None:
    assert [fault.where for fault in faults(GOOD.replace('"lidded-box"', '"urn"'))] == ["style"]


def test_limits_between_keys_are_told_only_where_the_keys_are_fine(faults: Faults) -> None:
    found = faults(GOOD.replace('"6.35 mm"', '"nonsense"').replace('"12 mm"', '"150 mm"'))
    assert [fault.where for fault in found] == ["page.margin"]


def test_a_table_that_is_a_number_is_one_fault(faults: Faults) -> None:
    assert [fault.where for fault in faults('item = 3\nstyle = "tray"\n')] == ["item"]


def test_a_key_without_a_name_is_told_and_not_passed_over(faults: Faults) -> None:
    assert len(faults('"" = 3\n' + LEAST)) == 1
    assert len(faults(LEAST + '[""]\nx = 3\n')) == 1


def test_odd_keys_are_told_on_one_line(faults: Faults) -> None:
    for fault in faults(GOOD + '"a\\nb\\u0007" = 1\n' + "x" * 5000 + " = 2\n"):
        assert str(fault).isprintable() and len(str(fault)) < 300


def test_a_file_full_of_faults_is_told_in_a_screen(faults: Faults) -> None:
    found = faults(GOOD + "".join(f"key{i} = {i}\n" for i in range(5000)))
    assert len(found) == 41
    assert "4960 more faults" in found[-1].text


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        (b"length = 125 mm\n", 1, "stands in quotes"),
        (b'a = 1\nlength = "4 3/8""\n', 2, "inch mark"),
        (b"[item]\n[item]\n", 2, "a second time"),
        (b"a = 1\na = 2\n", 2, "a second time"),
        (b'a = "x\n', 1, "quotes are not closed"),
        (b"a = 1\n\nlength\n", 3, 'a key, "="'),
        (b"a = " + b"[" * 5000, None, "too deep"),
        (b"a = " + b"9" * 5000, None, "too many digits"),
        (b"a = 2026-02-30\n", None, ""),
        (b'a = "\x00"', 1, ""),
        ('style = "tray"\n'.encode("utf-16"), None, "UTF-16"),
        ('style = "a long enough text"\n'.encode("utf-16-le"), None, "UTF-16"),
        (b'a = 1\ntitle = "caf\xe9"\n', 2, "save the file as UTF-8"),
        (b"#" * (MOST_BYTES + 1), None, "larger than 256 kB"),
    ],
)
def test_what_is_not_toml_is_one_fault_with_its_line(faults: Faults, text: bytes, line: int | None, told: str) -> None:
    (fault,) = faults(text)
    assert told in fault.text
    assert line is None or fault.line == line
    assert str(fault).isprintable()


def test_a_file_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    for name, told in (("none.toml", "no such file"), ("", "is a folder"), ("a\0b", "cannot"), ("x" * 999, "cannot")):
        with pytest.raises(SpecError, match=told) as caught:
            load(tmp_path / name, SHELF)
        assert str(caught.value).isprintable()


def test_a_file_without_permission_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", denied)
    with pytest.raises(SpecError, match="permission denied"):
        load(tmp_path / "mug.toml", SHELF)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("style", SHELF)
def test_a_new_spec_is_taken_as_it_is_and_holds_the_defaults(loaded: Load, style: str, units: str) -> None:
    spec = loaded(new_spec(style, SHELF[style], {"hem": "How deep the hem is."}, units))  # type: ignore[arg-type]
    assert (spec.style, spec.units) == (style, units)
    assert {name: pytest.approx(value) for name, value in spec.box.items()} == {o.name: o.resolved(spec.units) for o in SHELF[style]}


def test_a_new_spec_names_every_key_and_tells_what_it_is(tmp_path: Path) -> None:
    text = new_spec("lidded-box", SHELF["lidded-box"], {"hem": "How deep\nthe hem is."})
    for name, keys in tables(Shipped(SHELF, ("home",), ("en",), tmp_path), "lidded-box").items():
        assert name == TOP or f"[{name}]" in text
        for key in keys:
            assert re.search(rf"^(# )?{key} = ", text, re.MULTILINE), key
    assert "# How deep the hem is.\nhem = " in text


def test_a_new_spec_can_have_every_comment_of_a_key_taken_off(loaded: Load) -> None:
    text = new_spec("lidded-box", SHELF["lidded-box"], {})
    for key in ("marks", "fold", "pack", "printed_bar", "sure", "corner"):
        text = text.replace(f"# {key} = ", f"{key} = ")
    spec = loaded(text)
    assert spec.marks and spec.card.fold and spec.card.pack and spec.page.printed_bar and spec.box["corner"]


def test_key_lines_are_found_past_strings_lists_and_inline_tables() -> None:
    text = (
        'a = """x\nb = 1\n"""  # c = 2\n"d.e".f = [1,\n  {g = 2},\n]\nh = {i = 1, j = {k = "}"}, l = 3}\n\n'
        "[m . \"n\"]\no = '''\np = 1'''\nq = \"#\"\nr.s = 1.5\n[[t]]\nu=1\n[[t]]\nu=2"
    )
    lines = key_lines(text)
    assert {".".join(key): line for key, line in lines.items()} == {
        "a": 1, "d.e": 4, "d.e.f": 4, "d.e.f.g": 5, "h": 7, "h.i": 7, "h.j": 7, "h.j.k": 7, "h.l": 7, "m": 9, "m.n": 9, "m.n.o": 10,
        "m.n.q": 12, "m.n.r": 13, "m.n.r.s": 13, "t": 14, "t.u": 15,
    }  # fmt: skip


def test_every_key_of_a_good_spec_has_the_line_that_it_stands_on() -> None:
    for (*_, key), line in key_lines(GOOD).items():
        assert key in GOOD.split("\n")[line - 1]


def _only_faults(text: str | bytes, path: Path) -> None:
    """Loading gives a spec or a `SpecError` that can be told; anything else fails the test."""
    path.write_bytes(text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text)
    try:
        load(path, SHELF)
    except SpecError as error:
        assert error.faults and all(str(fault).isprintable() for fault in error.faults)


SLOW = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@SLOW
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200), st.text(alphabet="[]{}=.,\"'\\\n# ab1\r\t", max_size=60)))
def test_garbage_is_told_and_never_a_traceback(tmp_path: Path, garbage: str | bytes) -> None:
    _only_faults(garbage, tmp_path / "x.toml")


@SLOW
@given(st.integers(0, len(GOOD)), st.integers(0, 12), st.text(alphabet="[]{}=.,\"'\\\n# ab1-/\x00\u202e\u00bd", max_size=6))
def test_a_good_spec_with_a_slip_in_it_is_read_or_told(tmp_path: Path, at: int, gone: int, new: str) -> None:
    _only_faults(GOOD[:at] + new + GOOD[at + gone :], tmp_path / "x.toml")


VALUES = st.sampled_from(
    ["0", "-1", "1.5", "nan", "inf", "true", "[]", "[1]", "{}", "{a = 1}", '""', '"x"', '"12x12 in"', '"4 3/8 in"', '"1 mm"', '"1000 mm"',
     '"-1 mm"', "2026-01-01",
     "07:32:00", '["99 mm", "99 mm"]', '"A4"', '"in"', '"round"', '"80 lb cover"', '"\\u0000"', '"."', '"/"', '"~"', "9" * 30]
)  # fmt: skip


@SLOW
@given(st.lists(st.tuples(st.integers(0, len(GOOD.split("\n")) - 2), VALUES), max_size=6))
def test_any_value_at_any_key_is_read_or_told(tmp_path: Path, changes: list[tuple[int, str]]) -> None:
    lines = GOOD.split("\n")
    for at, value in changes:
        lines[at] = lines[at].partition("=")[0] + f"= {value}" if "=" in lines[at] else lines[at]
    _only_faults("\n".join(lines), tmp_path / "x.toml")


@SLOW
@given(st.text(alphabet="[]{}=.,\"'\\\n# ab1", max_size=80))
def test_the_scan_for_lines_takes_any_text_and_finds_the_keys_of_good_toml(text: str) -> None:
    lines = key_lines(text)
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError):
        return
    for key in data:
        assert lines.get((key,)) or "\\" in text


def test_the_steps_are_told_in_words_unless_the_spec_says_otherwise(loaded: Load, faults: Faults) -> None:
    assert loaded(GOOD).booklet.words is True
    assert loaded(GOOD.replace("[booklet]", "[booklet]\nwords = false")).booklet.words is False
    (fault,) = faults(GOOD.replace("[booklet]", '[booklet]\nwords = "no"'))
    assert fault.where == "booklet.words" and "true or false" in fault.text


def test_a_new_spec_tells_of_steps_without_words() -> None:
    line = next(line for line in new_spec("tray", (), {}).splitlines() if line.startswith("words"))
    assert line.startswith("words = true  # false: ")
