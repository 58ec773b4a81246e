"""The German words: articles, cases and contractions of what is filled into sentences, against the grammar of German."""

from __future__ import annotations

import re

import pytest

from booklet.pages.sentences import selftest_of, steps_of
from booklet.pages.words import formed, words
from tests.plans import plan

DECLINED = {
    "der": ("der", "den", "dem", "des", "zum"),
    "die": ("die", "die", "der", "der", "zur"),
    "das": ("das", "das", "dem", "des", "zum"),
}
"""The definite article: nominative, accusative, dative, genitive, and behind "zu" (Duden, Die Grammatik; from memory)."""

MANY = ("die", "die", "den", "der", "zu den")
SAID = words("de").with_forms
ROLES = sorted(SAID.data["roles"])
CASES = SAID.data["language"]["cases"]


def forms(text: str) -> list[str]:
    """Without an article, and in the five cases."""
    return [formed(text, case) for case in range(6)]


def test_the_cases_are_those_that_the_words_have_forms_for() -> None:
    assert CASES[:6] == ["plain", "nominative", "accusative", "dative", "genitive", "to"]


@pytest.mark.parametrize("path", [*(("roles", role, "told") for role in ROLES), *(("parts", part) for part in SAID.data["parts"])])
def test_every_article_is_declined_by_the_gender_of_its_word(path: tuple[str, ...]) -> None:
    plain, *told = forms(SAID(*path))
    articles = [text.split(" ")[0] for text in told]
    assert tuple(articles) == DECLINED[articles[0]]
    genitive = told[3].removeprefix("des ")
    assert not plain.startswith(("der ", "die ", "das ")) and (articles[3] == "der" or genitive in (plain + "s", plain + "es"))


@pytest.mark.parametrize("role", ROLES)
def test_several_panels_stand_in_the_plural_and_their_dative_ends_in_n(role: str) -> None:
    plain, *told = forms(SAID("roles", role, "many"))
    assert all(text.startswith(f"{article} ") for text, article in zip(told, MANY, strict=True))
    assert told[2].endswith("n") and told[4].endswith("n") and told[3].split(" ")[-1] == plain.split(" ")[-1]


@pytest.mark.parametrize("role", ROLES)
def test_a_numbered_panel_has_no_article_and_is_told_with_von_in_the_genitive(role: str) -> None:
    told = forms(SAID.filled(SAID("roles", role, "numbered"), role, n="2"))
    if not told[0].startswith("2"):  # the two ends of a carton have no numbers
        assert told[4].startswith("von ") and told[5].startswith("zu ") and all(text.endswith(" 2") for text in told)


STYLES = ("tray", "lidded-box", "tuck-carton", "sleeve-drawer")


@pytest.mark.parametrize("style", STYLES)
def test_articles_and_prepositions_are_drawn_together(style: str) -> None:
    """ "zum Boden", not "zu dem Boden"; and no case is left open."""
    made = plan(style, height=30.0)
    told = [step.text for step in steps_of(made, words("de"))] + list(selftest_of(made, words("de")))
    assert told and not [text for text in told if re.search(r"\bzu (?:dem|der)\b|\bvon (?:dem|der|den)\b|[\[\]{}|]", text)]


def test_sentences_are_told_as_a_german_manual_has_them() -> None:
    steps = [step.text for step in steps_of(plan("tray", height=30.0), words("de"))]
    carton = [step.text for step in steps_of(plan("tuck-carton", height=30.0), words("de"))]
    assert "Die Wände 2 und 4 nach oben falten, bis 90\u00a0Grad zum Boden erreicht sind." in steps
    assert any(text.startswith("Die Wände 1 und 3 nach oben auf 90\u00a0Grad falten und mit den Ecklaschen 1 bis 4 ") for text in steps)
    assert any(text.startswith("Die Oberseite schließen: die obere Verschlussklappe zuklappen und die obere ") for text in carton)


def test_an_end_of_a_carton_is_an_adjective_before_a_panel_and_a_noun_alone() -> None:
    assert words("de").panel("closing-top", "closing") == "obere Verschlussklappe"
    assert [formed(SAID("ends", "top"), case) for case in (1, 3)] == ["die Oberseite", "der Oberseite"]
