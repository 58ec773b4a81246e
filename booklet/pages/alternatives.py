"""What a picture shows, told in words: for those who hear a booklet instead of seeing it. Each is worked out from the plan.

The sentences stand under [alt] of the words file. A drawing of a layout of its own is told by the sentence of its kind there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from booklet import flatfaces
from booklet.drawing import scenes, stepsigns
from booklet.drawing.bars import ID1
from booklet.drawing.pen import MM_PER_POINT
from booklet.drawing.recording import RecordingPen
from booklet.pages import strips
from booklet.pages.figures import Figures, figures_of
from booklet.pages.gluing import part_name
from booklet.pages.sentences import StepFacts
from booklet.pages.telling import Telling
from booklet.pages.words import Words
from booklet.pdf import blocks, flow
from booklet.plan import Plan
from booklet.plane import bounds
from booklet.sheets import Placed
from booklet.spec.model import BAR

ROOM = 100.0
"""mm: the place in which a drawing is tried that has no size of its own."""


def words_in(block: Any) -> Callable[[], str]:
    """All words that a picture draws, in their order, found by drawing it once where nobody sees it."""

    def found() -> str:
        pen, size = RecordingPen(), (block.width * MM_PER_POINT, block.height * MM_PER_POINT)
        if isinstance(block, flow.Picture):
            block.drawn_on(pen)
        elif isinstance(block, blocks.Rest):
            block.drawn_on(pen, *(side or ROOM for side in size))
        return " ".join(dict.fromkeys(text.strip() for text in pen.texts()))

    return found


@dataclass(frozen=True)
class Alternatives:
    """The alternatives to the pictures of one plan, in one language. `steps`: as they are told."""

    plan: Plan
    words: Words
    steps: Sequence[StepFacts] = ()

    def of(self, kind: str, arguments: Sequence[str] = (), drawn: Callable[[], str] = str) -> list[str]:
        """A text for each picture that a drawing makes, in their order. Raises `BookletError` for a kind without words.

        `drawn`: the words that stand in the picture, for a sentence that asks for {words}.
        """
        own = {
            "cover": self._cover, "bars": self._bars, "sheets": self._sheets, "patterns": self._patterns, "maps": self._maps,
            "cuts": self._cuts, "marking": self._marking, "glue": self._glue, "signs": self._signs, "step-signs": self._step_signs,
            "steps": self._step_signs, "net": self._net,
        }  # fmt: skip
        if kind in own:
            return own[kind](*arguments[: kind in ("cuts", "marking")])
        if kind == "artwork":
            name = (arguments or ("",))[0]
            return [self.words.get("alt", "files", name) or self._said("artwork", name=name)]
        words = drawn() if "{words}" in self.words("alt", kind) else ""
        return [self._said(kind, words=words)]

    def step(self, index: int) -> str:
        """What the picture of a step shows, by its index from 0: what moves, and the numbers of what is glued."""
        told = Telling(self.plan, self.plan.net.steps[index])
        panels = [(name, told.part.panel[name].role) for name in told.moved]
        said = [self._said("step")]
        if panels:
            said.append(self._said("step_moves", panels=self.words.panels(panels)))
        if told.step.bonds:
            said.append(self._said("step_glue", numbers=self.words.numbers(bond + 1 for bond in told.step.bonds)))
        return " ".join(said)

    def strip(self, index: int) -> str:
        """The signs under the picture of a step, by their names and figures."""
        signs = strips.strips(self.plan, self.words, self.steps)[index]
        return self._listed("signs", [f"{self._sign(sign.name)} {sign.figures}".strip() for sign in signs])

    def leaf(self, leaf: int) -> str:
        """What stands on a template page, by its number from 1."""
        names = sorted({tile.piece for tile in self.plan.tiles if tile.leaf == leaf})
        return self._said("template", n=str(leaf), count=str(self.plan.leaves), pieces=self._pieces(names))

    def _said(self, key: str, **given: str) -> str:
        return self.words.filled(self.words("alt", key), f"alt.{key}", **given)

    def _listed(self, key: str, items: Sequence[str]) -> str:
        return self._said(key, list=self.words("marking", "between").join(items))

    def _pieces(self, names: Sequence[str]) -> str:
        return self.words.listed(self._said("piece", name=self._piece(name)) for name in names)

    def _piece(self, name: str) -> str:
        """What the piece of a name is called."""
        return next((self.words.piece(part, piece) for part, piece in self.plan.pieces if piece.name == name), name)

    def _cover(self) -> list[str]:
        last, parts = self.plan.played.moments[-1].step, self.plan.net.parts
        key = "cover_closing" if last.kind == "close" and last.path else "cover_parts" if len(parts) > 1 else "cover_whole"
        return [self._said(key)]

    def _bars(self) -> list[str]:
        tell = Figures("mm", self.words.decimal)
        return [self._said("bars", bar=tell.length(BAR), card=tell.size(*ID1))]

    def _sheets(self) -> list[str]:
        count = self.plan.sheets
        return [
            self._sheet("sheet", [p for p in self.plan.placed if p.sheet == n], n=str(n), count=str(count)) for n in range(1, count + 1)
        ]

    def _patterns(self) -> list[str]:
        patterns = self.plan.many.patterns if self.plan.many else ()
        return [self._sheet("pattern", one.placed, n=str(n), times=str(one.times)) for n, one in enumerate(patterns, 1)]

    def _sheet(self, key: str, placed: Sequence[Placed], **given: str) -> str:
        return self._said(key, pieces=self.words("marking", "between").join(self._at(one) for one in placed), **given)

    def _at(self, one: Placed) -> str:
        """A piece and where the rectangle round it lies on its sheet."""
        piece = next(piece for _, piece in self.plan.pieces if piece.name == one.piece)
        left, low, *_ = bounds(one.to_sheet.ring(piece.outline))
        tell = figures_of(self.plan, self.words)
        return self._said("at", name=self._piece(one.piece), right=tell.length(left), up=tell.length(low))

    def _maps(self) -> list[str]:
        result = []
        for _, piece, _ in self.plan.templates:
            names = [tile.name for tile in self.plan.tiles if tile.piece == piece.name]
            key = "map_many" if len(names) > 1 else "map_one"
            result.append(self._said(key, name=self._piece(piece.name), count=str(len(names)), pages=self.words.listed(names)))
        return result

    def _cuts(self, name: str = "") -> list[str]:
        numbers = [cut.number for cut in self.plan.cuts if cut.piece == name]
        return [self._said("cuts", name=self._piece(name), numbers=self.words.numbers(sorted(set(numbers))))]

    def _marking(self, name: str = "") -> list[str]:
        sheet = next((one for one in self.plan.marking if one.piece == name), None)
        return [self._said("marking", name=self._piece(name), count=str(len(sheet.points) if sheet else 0))]

    def _net(self) -> list[str]:
        """The flat net of a worksheet: every face with its size, and the faces that it hangs on."""
        known = flatfaces.faces(self.plan.net)
        return [self._listed("net", [self._face(face, known) for face in known])]

    def _face(self, face: flatfaces.Face, known: Sequence[flatfaces.Face]) -> str:
        over = {
            side for fold in face.part.folds for side in ((fold.parent, fold.child), (fold.child, fold.parent)) if side[0] in face.names
        }
        beside = [other.number for other in known if other.part is face.part and {name for _, name in over} & set(other.names)]
        said = {"n": str(face.number), "size": figures_of(self.plan, self.words).size(*face.round_it)}
        others = [number for number in beside if number != face.number]
        return self._said("net_face", faces=self.words.listed(map(str, others)), **said) if others else self._said("net_alone", **said)

    def _glue(self) -> list[str]:
        found = scenes.glue_maps(self.plan)
        return [
            self._said(
                "glue", part=part_name(self.plan, self.words, one.part), numbers=self.words.numbers(sorted({s.number for s in one.spots}))
            )
            for one in found
        ]

    def _signs(self) -> list[str]:
        return [self._listed("signs", [self._sign(name) for name in self._used])]

    def _sign(self, name: str) -> str:
        return self.words("signs", name).replace("{mark}", self.words("glue", self.plan.spec.glue.kind, "mark"))

    @cached_property
    def _used(self) -> list[str]:
        return strips.used(strips.strips(self.plan, self.words, self.steps))

    def _step_signs(self) -> list[str]:
        mark = self.words("glue", self.plan.spec.glue.kind, "mark")
        keys = stepsigns.keys_of(self.plan.net)
        return [self._listed("signs", [self.words("labels", key).replace("{mark}", mark) for key in keys])]
