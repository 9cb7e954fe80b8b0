"""The colophon: what a book is set in, what it holds, and what made it.

In: a `Manuscript`. Out: sentences in the language of the text, each of a fact that the book
itself has: nobody writes them, and none can be out of date.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from stavebound.book.values import Manuscript
from stavebound.wording.labels import labels
from stavebound.wording.sentences import day_words


def colophon(manuscript: Manuscript) -> tuple[str, ...]:
    return tuple(_sentences(manuscript, labels(manuscript.language)))


def _sentences(manuscript: Manuscript, words: Mapping[str, str]) -> Iterator[str]:
    paper, number = manuscript.paper, len(manuscript.pieces)
    yield words["colophon_set"].format(
        faces=_faces(manuscript, words),
        size=_figure(paper.type_size, words),
        leading=_figure(paper.leading, words),
        staves=_staves(manuscript, words),
        paper=paper.name,
    )
    yield words["colophon_exercise" if number == 1 else "colophon_exercises"].format(
        number=number, school=words[f"school_{manuscript.school.name}"]
    )
    yield words["colophon_made"].format(date=day_words(manuscript.plan.date, words))


def _staves(manuscript: Manuscript, words: Mapping[str, str]) -> str:
    """How high they are: those of the lines that are printed, where each has its own size."""
    style = manuscript.setting.style
    lines = [line for _, piece in manuscript.pieces for line in piece.lines]
    heights = [line.space * style.stave_height / style.space for line in lines]
    extremes = (min(heights, default=style.stave_height), max(heights, default=style.stave_height))
    least, most = (_figure(height, words) for height in extremes)
    return least if least == most else words["from_to"].format(least=least, most=most)


def _faces(manuscript: Manuscript, words: Mapping[str, str]) -> str:
    text, headings = manuscript.faces.family, manuscript.faces.families[-1].family
    return text if text == headings else words["two_faces"].format(text=text, headings=headings)


def _figure(value: float, words: Mapping[str, str]) -> str:
    return f"{value:.4g}".replace(".", words["decimal"])
