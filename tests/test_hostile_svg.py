"""Drawings that are made to do harm, or by chance: refused in one sentence, quickly, without a look at the network or at another file."""

from __future__ import annotations

import builtins
import io
import os
import re
import socket
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from booklet import svgfile
from booklet.errors import BookletError
from booklet.pdf import signs

NS = "http://www.w3.org/2000/svg"
SHAPE = '<path d="M0 0 H20 V10 H0 Z"/>'


def svg(inside: str = SHAPE, size: str = 'width="20" height="10"', before: str = "") -> bytes:
    return f'{before}<svg xmlns="{NS}" xmlns:xlink="http://www.w3.org/1999/xlink" {size} viewBox="0 0 20 10">{inside}</svg>'.encode()


def bomb(depth: int, times: int) -> str:
    nested = "".join(f'<g id="a{n}">' + f'<use href="#a{n - 1}"/>' * times + "</g>" for n in range(1, depth))
    return f'<defs><g id="a0">{SHAPE}</g>{nested}</defs><use href="#a{depth - 1}"/>'


LAUGHS = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 9))

HOSTILE = {
    "a file of the network": (svg('<use href="http://kiln-lane.example/x.svg#a"/>'), "points to another file"),
    "a file of the network, the old way": (svg('<use xlink:href="https://kiln-lane.example/x.svg#a"/>'), "points to another file"),
    "a file beside it": (svg('<use href="../other.svg#a"/>'), "points to another file"),
    "a file of the machine": (svg('<use href="file:///etc/hostname"/>'), "points to another file"),
    "a picture": (svg('<image href="file:///etc/hostname" width="9" height="9"/>'), "<image>"),
    "a picture within": (svg('<image href="data:image/png;base64,iVBORw0KGgo=" width="9" height="9"/>'), "<image>"),
    "a picture within, used": (svg('<use href="data:image/svg+xml;base64,PHN2Zy8+"/>'), "points to another file"),
    "a picture of another name space": (svg('<x:image xmlns:x="urn:x" href="http://kiln-lane.example/"/>'), "<image>"),
    "a url in a style": (svg('<rect style="fill:url(http://kiln-lane.example/x)" width="3" height="3"/>'), "points to another file"),
    "a url in an attribute": (svg('<rect fill="url( //kiln-lane.example/x )" width="3" height="3"/>'), "points to another file"),
    "a url with an escape": (svg(r'<rect style="fill:u\72l(http://kiln-lane.example/x)" width="3" height="3"/>'), "points to another file"),
    "a url in a style sheet": (svg("<style>path { fill: url('x.png') }</style>" + SHAPE), "points to another file"),
    "an import": (svg('<style>@import "http://kiln-lane.example/x.css";</style>' + SHAPE), "points to another file"),
    "a font": (svg("<style>@font-face { src: local(x) }</style>" + SHAPE), "points to another file"),
    "a style sheet": (svg(before='<?xml-stylesheet href="http://kiln-lane.example/x.css"?>'), "points to another file"),
    "a base": (svg(f'<g xml:base="http://kiln-lane.example/">{SHAPE}</g>'), "points to another file"),
    "a link": (svg(f'<a href="https://kiln-lane.example/">{SHAPE}</a>'), "points to another file"),
    "a script": (svg("<script>alert(1)</script>" + SHAPE), "<script>"),
    "what runs when it is loaded": (svg(f'<g onload="x()">{SHAPE}</g>'), "script"),
    "what runs on a title": (svg(f'<title onclick="x()">t</title>{SHAPE}'), "script"),
    "a page within": (svg("<foreignObject><div/></foreignObject>" + SHAPE), "<foreignObject>"),
    "motion": (svg(f'<g>{SHAPE}<animateTransform attributeName="x"/></g>'), "<animateTransform>"),
    "letters": (svg("<text>Kiln</text>"), "<text>"),
    "what is not drawn as it looks": (svg(f'<g opacity="0.5">{SHAPE}</g>'), "opacity"),
    "what is not drawn, in a style": (svg(f'<g style="fill:red; opacity: .5">{SHAPE}</g>'), "opacity"),
    "entities": (svg(before='<!DOCTYPE svg [<!ENTITY a "b">]>'), "entities"),
    "a bomb of entities": (svg("&l8;", before=f'<!DOCTYPE svg [<!ENTITY l0 "ha">{LAUGHS}]>'), "entities"),
    "an entity from a file": (svg("&e;", before='<!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/hostname">]>'), "entities"),
    "entities of parameters": (svg(before='<!DOCTYPE svg [<!ENTITY % p SYSTEM "http://kiln-lane.example/p"> %p;]>'), "entities"),
    "a document type from a file": (svg(before='<!DOCTYPE svg SYSTEM "file:///etc/hostname">'), "document type"),
    "a document type from elsewhere": (svg(before='<!DOCTYPE svg PUBLIC "x" "http://kiln-lane.example/x.dtd">'), "document type"),
    "entities in UTF-16": (svg(before='<!DOCTYPE svg [<!ENTITY a "b">]>').decode().encode("utf-16"), "UTF-8"),
    "entities in UTF-32": (svg(before='<!DOCTYPE svg [<!ENTITY a "b">]>').decode().encode("utf-32"), "UTF-8"),
    "entities behind a mark": (b"\xef\xbb\xbf" + svg(before='<!DOCTYPE svg [<!ENTITY a "b">]>'), "entities"),
    "another code": (b'<?xml version="1.0" encoding="cp037"?>' + svg(), "UTF-8"),
    "the code of seven bits": (b'<?xml version="1.0" encoding="utf-7"?>+ADwAIQBEAE8-', "UTF-8"),
    "a bomb of uses": (svg(bomb(12, 4)), "elements"),
    "a bomb of uses that are few": (svg(bomb(16, 3)), "elements"),
    "use in itself": (svg('<g id="a"><use href="#a"/></g>'), "within itself"),
    "use in each other": (svg('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'), "within itself"),
    "a bomb of clips": (
        svg("<clipPath id='c'>" + SHAPE * 2000 + "</clipPath>" + SHAPE.replace("<path", "<path clip-path='url(#c)'") * 2000),
        "elements",
    ),
    "many elements": (svg("<g/>" * 6000), "elements"),
    "deep elements": (svg("<g>" * 5000 + "</g>" * 5000), "deep"),
    "deep elements in disguise": (svg('<g x="/>">' * 4000 + "</g>" * 4000), "deep"),
    "a huge path": (svg('<path d="M0 0' + " L1 1" * 60_000 + '"/>'), "figures"),
    "a huge path without spaces": (svg('<path d="M' + "1." * 100_000 + '"/>'), "figures"),
    "a huge transform": (svg(f'<g transform="{"scale(2)" * 1000}">{SHAPE}</g>'), "characters"),
    "groups that grow": (svg('<g transform="scale(99999)">' * 9 + SHAPE + "</g>" * 9), "cannot be drawn"),
    "a huge style sheet": (svg("<style>" + "a{}" * 9000 + "</style>" + SHAPE), "characters"),
    "a huge figure": (svg('<path d="M0 0 H1e300"/>'), "figure over"),
    "a figure without end": (svg(f'<path d="M0 0 H{"9" * 5000}"/>'), "figure over"),
    "a figure that is none": (svg('<path d="M0 0 H nan"/>'), "cannot be drawn"),
    "a width that is none": (svg('<rect width="nan" height="4"/>'), "figure that is none"),
    "an endless width": (svg('<rect width="-inf" height="4"/>'), "figure that is none"),
    "no width": (svg(size='width="0" height="10"'), "cannot be drawn"),
    "a width below nothing": (svg(size='width="-20" height="10"'), "cannot be drawn"),
    "a hair's width": (svg(size='width="0.001" height="10"'), "cannot be drawn"),
    "a width of a mile": (svg(size='width="900000" height="900000"'), "cannot be drawn"),
    "a slim strip": (svg(size='width="90000" height="1"'), "cannot be drawn"),
    "no size at all": (f'<svg xmlns="{NS}">{SHAPE}</svg>'.encode(), "cannot be drawn"),
    "too many bytes": (svg() + b" " * 600_000, "bytes"),
    "nothing": (b"", "well-formed"),
    "half of it": (svg()[:-9], "well-formed"),
    "a page": (b"<html/>", "not <svg>"),
    "a picture of points": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "UTF-8"),
}


@pytest.fixture
def no_way_out(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No socket, no file and no program is opened while a drawing is looked at."""

    def refused(*_: Any, **__: Any) -> Any:
        raise AssertionError("a drawing reached out")

    signs.drawing(svg())  # fonts are read before
    for module, name in ((socket, "socket"), (socket, "getaddrinfo"), (builtins, "open"), (io, "open"), (os, "system")):
        monkeypatch.setattr(module, name, refused)
    yield


@pytest.mark.usefixtures("no_way_out")
@pytest.mark.parametrize("what", HOSTILE)
def test_a_drawing_that_could_do_harm_is_refused_in_one_sentence(what: str) -> None:
    data, told = HOSTILE[what]
    with pytest.raises(BookletError, match=re.escape(told)) as found:
        signs.drawing(data, "sign.svg")
    (fault,) = found.value.faults
    assert fault.where == "sign.svg" and "\n" not in str(fault) and len(str(fault)) < 400


@pytest.mark.parametrize("what", sorted(set(HOSTILE) - {"groups that grow", "no width", "no size at all"}))
def test_what_is_refused_for_what_it_holds_is_refused_before_it_is_drawn(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def drawn(*_: Any) -> Any:
        raise AssertionError("it was drawn")

    if not what.startswith(("a hair", "a width", "a slim")):
        monkeypatch.setattr(signs, "svg2rlg", drawn)
        with pytest.raises(BookletError):
            signs.drawing.__wrapped__(HOSTILE[what][0], "sign.svg")


@pytest.mark.usefixtures("no_way_out")
@pytest.mark.parametrize(
    "data",
    [
        svg(),
        b"\xef\xbb\xbf" + svg(),
        svg(before='<?xml version="1.0" encoding="UTF-8"?>\n'),
        svg(before='<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'),
        svg('<defs><g id="a">' + SHAPE + '</g></defs><use href="#a"/><use xlink:href="#a" x="3"/>'),
        svg('<defs><linearGradient id="g"><stop offset="0"/></linearGradient></defs><rect fill="url(#g)" width="9" height="9"/>'),
        svg("<style>.a { fill: #1e9999; stroke: none }</style>" + SHAPE.replace("<path", '<path class="a"')),
        svg(f'<title>Kiln</title><metadata><x:y xmlns:x="urn:x">z</x:y></metadata><g id="inf" fill="#1e999999">{SHAPE}</g>'),
    ],
)
def test_a_plain_drawing_is_taken(data: bytes) -> None:
    made = signs.drawing(data)
    assert (made.width, made.height) == (15.0, 7.5)


def test_only_what_was_looked_at_is_handed_on() -> None:
    data = svg(f'<?x y?><!-- z --><g x:w="1" xmlns:x="urn:x">{SHAPE}<x:v/></g>', before="<!DOCTYPE svg>")
    plain = svgfile.checked(data, "sign.svg").decode()
    assert "urn:x" not in plain and "<!" not in plain and "<?" not in plain and 'd="M0 0 H20 V10 H0 Z"' in plain


WORDS = (
    '<svg| >|/>|</svg>|<g|<use| href="#a"| id="a"|<path| d="|M0 0|"|&|;|<!DOCTYPE svg|[|]|nan|<rect| width="|1e9|%|<style>|</style>|url(|)|'
    '<!--|-->|<![CDATA[|]]>|\0|\ud7ff|<?xml|?>|\'| viewBox="0 0 | transform="|rotate(| fill="|#|A1 1 0 0 1 3 3|z|-|.'
)
PARTS = st.sampled_from([*WORDS.split("|"), f' xmlns="{NS}"'])


@given(st.binary(max_size=200))
def test_bytes_by_chance_are_refused(data: bytes) -> None:
    with pytest.raises(BookletError):
        signs.drawing(data, "sign.svg")


@given(st.lists(PARTS, max_size=30), st.booleans())
def test_parts_of_drawings_by_chance_are_drawn_or_refused(parts: list[str], within: bool) -> None:
    text = "".join(parts)
    try:
        signs.drawing(svg(text) if within else text.encode(), "sign.svg")
    except BookletError as error:
        assert len(error.faults) == 1
