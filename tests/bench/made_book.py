"""A made-up book of about as many pages as one likes, from generated scores.

In: a folder and a number of pages. Out: `book.xml` and its scores in that folder, the same
files for the same number: chapters of six exercises with text before and after their lines,
a key, a glossary with page references, and contents.
"""

from __future__ import annotations

from itertools import cycle
from pathlib import Path
from random import Random

from stavebound.score.write import write_score
from stavebound.source.rules import NAMESPACE
from tests.support.exercises import exercise

EXERCISES_A_CHAPTER = 6
# Bars of an exercise, in turn, and the pages that four of them open on A4.
BARS = (40, 56, 72, 88)
PAGES_OF_FOUR = 10
STEPS = ("tendu", "dégagé", "fondu", "rond de jambe", "frappé", "à la seconde", "développé")
WORDS = (
    "the weight stays over the whole foot and the heel comes forward as the knee gives way",
    "arms leave the body without haste and the eyes follow the hand that is farther away",
    "nothing in the back changes while the leg goes out and nothing changes as it comes home",
    "the music breathes before the first count and the dancer breathes with it",
    "whoever is late opens the arm later and not faster",
    "the standing leg is long and the hips are level however high the other foot may be",
)


def make_book(folder: Path, pages: int) -> Path:
    """The file of the book."""
    (folder / "scores").mkdir(parents=True, exist_ok=True)
    count = max(4, round(pages / PAGES_OF_FOUR * 4))
    names = [f"scores/exercise-{number:03}.xml" for number in range(1, count + 1)]
    for number, (name, bars) in enumerate(zip(names, cycle(BARS), strict=False), 1):
        (folder / name).write_text(_score(number, bars), encoding="utf-8")
    chapters = "".join(
        _chapter(names[at : at + EXERCISES_A_CHAPTER], at // EXERCISES_A_CHAPTER + 1)
        for at in range(0, count, EXERCISES_A_CHAPTER)
    )
    book = folder / "book.xml"
    book.write_text(
        f'<book xmlns="{NAMESPACE}" title="Made to Measure" date="2026-01-02" language="en" '
        f'school="english" layout="syllabus" paper="A4">\n<caution about="supervision"/>\n'
        f"{chapters}<glossary>\n{_entries()}</glossary>\n</book>\n",
        encoding="utf-8",
    )
    return book


def _chapter(names: list[str], number: int) -> str:
    exercises = "".join(f'<exercise score="{name}"/>\n' for name in names)
    text = _text(Random(number), 6)
    return f'<chapter title="Class {number}">\n<text>{text}</text>\n{exercises}</chapter>\n'


def _score(number: int, bars: int) -> str:
    """An exercise whose steps have names in turn, with text before and after its lines."""
    chance, steps = Random(number), cycle(STEPS[number % len(STEPS) :] + STEPS)
    head, *rest = write_score(exercise(bars, number)).split('step="tendu"')
    written = head + "".join(f'step="{next(steps)}"{part}' for part in rest)
    said = [
        f"<aim>{_text(chance, 4)}</aim>",
        *(f"<quality>{_text(chance, 1)}</quality>" for _ in range(2)),
        *(f"<fault>{_text(chance, 1)}</fault>" for _ in range(2)),
        f"<note>{_text(chance, 3)}</note>",
    ]
    titled = written.replace('title="Exercise"', f'title="Exercise of {bars} bars"', 1)
    return titled.replace("</score>", f"{''.join(said)}</score>")


def _entries() -> str:
    return "".join(
        f'<entry term="{step}" language="fr">{_text(Random(step), 2)}</entry>\n'
        for step in sorted(STEPS)
    )


def _text(chance: Random, sentences: int) -> str:
    said = (chance.choice(WORDS) for _ in range(sentences))
    return " ".join(f"{words[0].upper()}{words[1:]}." for words in said)
