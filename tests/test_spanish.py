"""The Spanish words: articles, contractions, pronouns and number of what is filled into sentences, against the grammar of Spanish."""

from __future__ import annotations

import re

import pytest

from booklet.pages.sentences import selftest_of, steps_of
from booklet.pages.words import formed, words
from tests.plans import plan

ARTICLES = {
    "el": ("el ", "del ", "al "),
    "la": ("la ", "de la ", "a la "),
    "los": ("los ", "de los ", "a los "),
    "las": ("las ", "de las ", "a las "),
}
"""The definite article alone, behind "de" and behind "a": "de el" and "a el" are drawn together (RAE, Nueva gramática; from memory)."""

PRONOUNS = {"el": "lo", "la": "la", "los": "los", "las": "las"}
"""What stands for a thing behind an infinitive: "plegarlo", "plegarlas" (RAE, Nueva gramática; from memory)."""

SAID = words("es").with_forms
ROLES = sorted(SAID.data["roles"])


def forms(text: str) -> list[str]:
    """Without an article, with it, and with it behind "de" and "a"."""
    return [formed(text, case) for case in range(4)]


def article(text: str) -> str:
    """The article of a word that is told rightly in all four forms; fails for one that is not."""
    plain, *told = forms(text)
    found = told[0].split(" ")[0]
    assert told == [begun + plain for begun in ARTICLES[found]]
    return found


def test_the_cases_are_those_that_the_words_have_forms_for() -> None:
    assert SAID.data["language"]["cases"] == ["sin", "el", "de", "a"]


@pytest.mark.parametrize("role", ROLES)
def test_one_panel_and_several_have_the_article_and_the_pronoun_of_their_gender(role: str) -> None:
    one, many = article(SAID("roles", role, "one")), article(SAID("roles", role, "many"))
    assert (one, many) in (("el", "los"), ("la", "las"))
    assert (SAID("roles", role, "it"), SAID("roles", role, "them")) == (PRONOUNS[one], PRONOUNS[many])


@pytest.mark.parametrize("role", ROLES)
def test_a_numbered_panel_is_told_as_the_one_alone(role: str) -> None:
    one, numbered = forms(SAID("roles", role, "one")), forms(SAID.filled(SAID("roles", role, "numbered"), role, n="2"))
    assert numbered == [f"{text} 2" for text in one]


@pytest.mark.parametrize("part", SAID.data["parts"])
def test_a_part_has_its_article(part: str) -> None:
    assert article(SAID("parts", part)) in ("el", "la")


def test_no_name_begins_with_a_sound_that_makes_y_to_e() -> None:
    """ "e inserto", not "y inserto": the words for lists know "y" alone."""
    said = [formed(SAID("roles", role, key)) for role in ROLES for key in ("one", "many")]
    assert not [text for text in said if re.match(r"h?i(?!e)", text)]


@pytest.mark.parametrize("style", ["tray", "lidded-box", "tuck-carton", "sleeve-drawer", "web-tray"])
def test_articles_and_prepositions_are_drawn_together_and_verbs_agree(style: str) -> None:
    made = plan(style, height=30.0)
    told = [step.text for step in steps_of(made, words("es"))] + list(selftest_of(made, words("es")))
    assert told and not [text for text in told if re.search(r"\b(?:de|a) el\b|[\[\]{}|]", text)]
    assert not [
        text for text in told if re.search(r"Plegar (?:la|el) .*\b(?:formen|se apoyen)\b|Plegar l[ao]s .*\b(?:forme|se apoye)\b", text)
    ]


def test_sentences_are_told_as_a_spanish_manual_has_them() -> None:
    tray = [step.text for step in steps_of(plan("tray", height=30.0), words("es"))]
    carton = [step.text for step in steps_of(plan("tuck-carton", height=30.0), words("es"))]
    assert "Plegar las paredes 2 y 4 hacia arriba hasta que formen 90\u00a0grados con la base." in tray
    assert any(
        text.startswith("Plegar las paredes 1 y 3 hacia arriba a 90\u00a0grados sobre las pestañas de esquina 1 a 4 y peg") for text in tray
    )
    assert any(
        text.startswith("Cerrar la parte superior: plegar el panel de cierre superior y deslizar la solapa de inserción ")
        for text in carton
    )


def test_an_end_of_a_carton_is_an_adjective_behind_a_panel_and_a_noun_alone() -> None:
    assert words("es").panel("closing-top", "closing") == "panel de cierre superior"
    assert forms(SAID("ends", "top"))[1:] == ["la parte superior", "de la parte superior", "a la parte superior"]
