"""The words that layouts print by themselves: every language has all of them."""

from __future__ import annotations

import re
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from stavebound.faces import families, load_faces
from stavebound.wording.labels import ENGLISH, THIN, WHOLE, in_type, labels, languages, same_rows
from stavebound.wording.sentences import (
    counts_said,
    in_words,
    music_facts,
    start_words,
    status_words,
)
from stavebound.wording.translation import catalogue_in
from tests.support.sources import score_of, whole
from tests.support.staves import CATALOGUE
from tests.support.words import table_texts

OTHERS = [language for language in languages() if language != ENGLISH]
TEMPLATES = sorted((Path(__file__).parents[1] / "layouts").rglob("*.html"))


@pytest.mark.parametrize("language", languages())
def test_every_language_has_every_label(language: str) -> None:
    assert labels(language).keys() == labels(ENGLISH).keys()
    for name, english in labels(ENGLISH).items():
        values = set(re.findall(r"\{[a-z]+\}", english))
        assert set(re.findall(r"\{[a-z]+\}", labels(language)[name])) == values, name


def test_a_row_too_few_or_too_many_is_told_by_its_name() -> None:
    with pytest.raises(ValueError, match="labels in xx: lacking music; not in the tables musik"):
        same_rows("labels in xx", {"musik": "", "start": ""}, {"music": "", "start": ""})


@pytest.mark.parametrize("language", OTHERS)
def test_a_row_that_a_table_gains_is_asked_for_in_every_language(language: str) -> None:
    row = CATALOGUE.key.row[0].model_copy(update={"feature": "hand waving"})
    key = CATALOGUE.key.model_copy(update={"row": (*CATALOGUE.key.row, row)})
    with pytest.raises(ValueError, match=f"{language}, key-name: lacking hand waving"):
        catalogue_in(language, replace(CATALOGUE, key=key))


@pytest.mark.parametrize("language", OTHERS)
def test_another_language_changes_words_and_nothing_else(language: str) -> None:
    said = catalogue_in(language, CATALOGUE)
    assert said.digest != CATALOGUE.digest
    assert catalogue_in(ENGLISH, CATALOGUE) is CATALOGUE
    for before, after in zip(CATALOGUE.key.row, said.key.row, strict=True):
        assert (after.feature, after.show, after.before) == (
            before.feature,
            before.show,
            before.before,
        )
        assert after.meaning != before.meaning
    for before_sign, after_sign in zip(CATALOGUE.signs.values(), said.signs.values(), strict=True):
        assert (after_sign.strokes, after_sign.discs) == (before_sign.strokes, before_sign.discs)
    groups = [scale.group for scale in CATALOGUE.key.scale]
    pairs = set(zip(groups, (scale.group for scale in said.key.scale), strict=True))
    assert len(pairs) == len(set(groups)), "scales of one group fall apart"
    for own, other in zip(CATALOGUE.key.scale, said.key.scale, strict=True):
        assert bool(own.note) is bool(other.note), own.name


@pytest.mark.parametrize("language", languages())
def test_every_note_value_has_its_name(language: str) -> None:
    assert [row.value for row in CATALOGUE.notes.note if not row.name.get(language)] == []


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("family", families())
def test_every_face_can_print_every_word(language: str, family: str) -> None:
    faces = load_faces(family)
    for text in (*labels(language).values(), *table_texts(language)):
        assert faces.missing(text) == (), text
        assert faces.missing(text, "italic") == (), text


def test_french_has_fixed_spaces_before_its_high_signs_and_inside_its_quotation_marks() -> None:
    """Whole ones at the colon and within quotation marks, thin ones at the others."""
    texts = [
        *(text for name, text in labels("fr").items() if not name.endswith(("_before", "_after"))),
        *table_texts("fr"),
    ]
    signs = re.compile(r"(.)([:;!?»])")
    found = [match for text in texts for match in signs.finditer(text)]
    assert len(found) > 100
    assert all(match[1] == (WHOLE if match[2] in ":»" else THIN) for match in found)
    assert all(
        text[at + 1] == WHOLE for text in texts for at, char in enumerate(text) if char == "«"
    )
    assert in_type("« & » : oui !", "fr") == f"«{WHOLE}&{WHOLE}»{WHOLE}: oui{THIN}!"
    assert in_type("one : two", "en") == "one : two"


def test_music_is_told_in_both_languages() -> None:
    music = score_of(
        whole(
            '<music metre="3/4" counts-per-bar="1" tempo="54" introduction="4">Calm.</music>'
            '<phrase counts="2"><frame at="1"><arms in="first"/></frame></phrase>'
        )
    ).music
    assert music is not None
    assert counts_said(music, "en") == "One count to a bar."
    assert music_facts(music, True, "en") == (
        "54 counts a minute",
        "introduction of four counts",
    )
    assert counts_said(music, "fr") == "Un compte par mesure."
    assert music_facts(music, True, "fr") == (
        "54 comptes à la minute",
        "introduction de quatre comptes",
    )
    assert len(music_facts(music, False, "fr")) == 1
    assert (in_words(8, "fr"), in_words(9, "fr")) == ("huit", "9")


@pytest.mark.parametrize(
    ("attributes", "english", "french"),
    [
        ("", "", ""),
        ('status="draft"', "Draft.", "Projet."),
        ('date="2026-11-01"', "1 November 2026.", "1er novembre 2026."),
        (
            'status="final" date="2026-08-12"',
            "Final, 12 August 2026.",
            "Définitive, 12 août 2026.",
        ),
    ],
)
def test_how_far_a_score_has_come_is_told_in_both_languages(
    attributes: str, english: str, french: str
) -> None:
    text = whole('<phrase counts="2"><frame at="1"><arms in="first"/></frame></phrase>')
    score = score_of(text.replace("<score ", f"<score {attributes} ", 1))
    told = [status_words(score, language).replace("\u00a0", " ") for language in ("en", "fr")]
    assert told == [english, french]


@pytest.mark.parametrize(
    ("start", "english", "french"),
    [
        (
            '<feet in="fifth" front="right" on="half point"/>',
            "Feet in fifth on half point, right foot in front.",
            "Pieds en cinquième sur demi-pointes, pied droit devant.",
        ),
        ('<arms in="low rounded"/>', "Arms in bras bas.", "Bras au repos."),
        ('<arms in="third" lead="left"/>', "Arms in third, left arm leading.", None),
        (
            '<hand side="left" in="second"/>',
            "Left arm in second.",
            "Bras gauche en seconde.",
        ),
        (
            '<foot side="right" to="side" raised="90"/>',
            "Right foot raised to 90° to the side.",
            "Pied droit levé à 90° à la seconde.",
        ),
        (
            '<foot side="left" to="back" place="pointed"/>',
            "Left foot pointed to the back.",
            "Pied gauche pointé derrière.",
        ),
        ('<facing to="back left"/>', "Facing back left.", "Face à la diagonale arrière gauche."),
    ],
)
def test_a_start_is_told_in_both_languages(start: str, english: str, french: str | None) -> None:
    score = score_of(
        whole(f'<start>{start}</start><phrase counts="2"><frame at="1"><still/></frame></phrase>')
    )
    own, other = CATALOGUE.school("english"), CATALOGUE.school("french")
    assert own is not None
    assert other is not None
    assert start_words(score, own, own, CATALOGUE, "en") == english
    if french is not None:
        assert start_words(score, own, other, CATALOGUE, "fr") == french


def test_templates_were_found() -> None:
    assert len(TEMPLATES) > 5


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_a_template_holds_no_words(path: Path) -> None:
    """What is left without tags and placeholders has no letter."""
    text = path.read_text(encoding="utf-8")
    # Attributes that are read aloud come from the tables too.
    assert re.findall(r'(?:alt|title)="(?!\{\{)[^"]*"', text) == []
    bare = re.sub(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", "", text, flags=re.DOTALL)
    assert re.findall(r"[^\W\d_]+", re.sub(r"<[^>]*>", "", bare)) == []


def test_the_packaged_languages_are_those_that_have_a_table() -> None:
    folder = files("stavebound.wording")
    tables = {path.name for path in folder.iterdir() if path.name.startswith("tables-")}
    assert tables == {f"tables-{language}.toml" for language in OTHERS}
