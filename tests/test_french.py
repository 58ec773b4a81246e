"""The French words: articles, contractions, pronouns, apostrophes and spaces, against the grammar of French."""

from __future__ import annotations

import re

import pytest

from booklet.pages.sentences import selftest_of, steps_of
from booklet.pages.words import formed, words
from tests.plans import plan
from tests.test_languages import layouts, layouts_folder, sentences

ELISION = "l\u2019"

ARTICLES = {
    "le ": ("le ", "du ", "au "),
    "la ": ("la ", "de la ", "à la "),
    ELISION: (ELISION, "de " + ELISION, "à " + ELISION),
    "les ": ("les ", "des ", "aux "),
}
"""The definite article alone, behind "de" and behind "à": "de le" and "à les" are drawn together (Grevisse, Le bon usage; from memory)."""

ELIDED = {"hem": "le", "corner-tab": "le", "ear": "la"}
"""Gender of the words whose article does not tell it: ourlet, onglet, oreille."""

SAID = words("fr").with_forms
ROLES = sorted(SAID.data["roles"])


def article(text: str) -> str:
    """The article of a word that is told rightly in all four forms; fails for one that is not."""
    plain, *told = [formed(text, case) for case in range(4)]
    found = next(one for one in ARTICLES if told[0] == one + plain)
    assert told == [begun + plain for begun in ARTICLES[found]]
    assert found == "les " or (found == ELISION) == plain.startswith((*"aeiouéèêâîô", "habillage"))
    return found


def test_the_cases_are_those_that_the_words_have_forms_for() -> None:
    assert SAID.data["language"]["cases"] == ["seul", "le", "de", "à"]


@pytest.mark.parametrize("role", ROLES)
def test_a_panel_has_the_article_and_the_pronoun_of_its_gender(role: str) -> None:
    found, many = article(SAID("roles", role, "one")), article(SAID("roles", role, "many"))
    gender = ELIDED[role] if found == ELISION else found.strip()
    assert many == "les " and (SAID.get("roles", role, "it") or SAID("lists", "it")) == gender


@pytest.mark.parametrize("part", SAID.data["parts"])
def test_a_part_has_its_article(part: str) -> None:
    assert article(SAID("parts", part)) != "les "


@pytest.mark.parametrize("style", ["tray", "lidded-box", "tuck-carton", "sleeve-drawer", "web-tray"])
def test_articles_and_prepositions_are_drawn_together(style: str) -> None:
    made = plan(style, height=30.0)
    told = [step.text for step in steps_of(made, words("fr"))] + list(selftest_of(made, words("fr")))
    wrong = re.compile(r"\b(?:de|à) les? (?!coller)|\b(?:[dn]e|la|le) [aeiouéêî]|[\[\]{}|']")
    assert told and not [found[0] for text in told if (found := wrong.search(text))]


@pytest.mark.parametrize("layout", layouts())
def test_signs_have_their_spaces_and_apostrophes_are_round(layout: str) -> None:
    """A space that does not break before : ; ! ? and within marks of speech; keys and lines of a spec keep theirs."""
    data = words("fr", layout).data
    assert data["text"]
    wrong = re.compile(r"\w'\w|(?<=[\w)]) ?[;!?](?=\s|$)|(?<=\w) :|«(?!\u00a0)|(?<!\u00a0)»")
    keys = sentences(layouts_folder() / layout / "words.fr.toml")
    told = {key: words("fr", layout).get(*key.split(".")) or "" for key in keys if not key.startswith("language.")}
    assert len([text for text in told.values() if text]) > 50
    assert not {key: text for key, text in told.items() if wrong.search(re.sub("`[^`]*`", "", text))}
