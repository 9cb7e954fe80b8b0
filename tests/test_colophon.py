"""The colophon: facts of the book itself, which nobody writes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from stavebound.book.colophon import colophon
from stavebound.book.values import Manuscript
from stavebound.faces import load_faces
from stavebound.wording.labels import labels, languages
from tests.support.manuscripts import manuscript, one_chapter
from tests.support.staves import CATALOGUE, PAPERS, SETTING

SCORE = """<start><feet in="first"/></start>
<phrase counts="2"><frame at="1"><knees bend="half"/></frame></phrase>"""


@pytest.fixture(scope="module")
def book() -> Manuscript:
    return manuscript(one_chapter("one.xml"), {"one.xml": SCORE})


def test_it_says_what_the_book_is_set_in_and_what_made_it(book: Manuscript) -> None:
    height = f"{SETTING.style.stave_height:g}"
    assert colophon(book) == (
        f"Set in Crimson Text, 10.75 on 13 points, on A5; staves are {height}\u00a0mm high.",
        "One exercise. The names of the arms are those of the English school.",
        "Staves and pages made by stavebound from one source of 2\u00a0March 2026.",
    )


def test_other_facts_are_told_otherwise(book: Manuscript) -> None:
    setting = replace(SETTING, faces=load_faces("Spectral", "Crimson Text"))
    plan = replace(book.plan, date=date(2026, 8, 31))
    school = CATALOGUE.school("russian")
    assert school is not None
    other = replace(
        book,
        plan=plan,
        pieces=book.pieces * 2,
        setting=setting,
        paper=PAPERS["A4"],
        school=school,
        labels="fr",
    )
    set_in, holds, made = colophon(other)
    assert "Spectral, titres en Crimson Text" in set_in
    assert "A4" in set_in
    assert holds.startswith("2 exercices. ")
    assert "l’école russe" in holds
    assert "31\u00a0août 2026" in made


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "staves are from 8 to 12.5\u00a0mm high"),
        ("fr", "les portées ont de 8 à 12,5\u00a0mm de haut"),
    ],
)
def test_it_says_the_sizes_that_the_staves_have(book: Manuscript, language: str, said: str) -> None:
    """Each card has the largest in which it is one page."""
    ((path, piece),) = book.pieces
    pieces = tuple(
        (path, replace(piece, lines=tuple(replace(line, space=height / 4) for line in piece.lines)))
        for height in (12.5, 8.0, 10.0)
    )
    assert said in colophon(replace(book, pieces=pieces, labels=language))[0]


@pytest.mark.parametrize("language", languages())
def test_every_school_and_month_has_its_name(language: str) -> None:
    words = labels(language)
    assert len(words["months"].split()) == 12
    assert all(words[f"school_{school.name}"] for school in CATALOGUE.schools.school)
