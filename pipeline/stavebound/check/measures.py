"""Measures: words of titles and names are not broken, so each has to fit where it is printed.

In: the labels of a score or a book, the places of the layout, the faces. Out: a diagnostic
for each label with a word that is wider than its place, at the label; and for an imprint
that is longer than its page.

    ┊ room ────────────────────┊
    ┊ Pirouettes en dehors     ┊   parted at spaces, after hyphens and dashes
    ┊ Pirouettesendehorsendedans ✗
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from stavebound.check.texts import PrintedValue, book_labels, score_labels
from stavebound.diagnostics import Diagnostic
from stavebound.faces import REGULAR, Faces
from stavebound.plan.book import BookPlan
from stavebound.score.model import Score
from stavebound.score.words import plain

# What holds together on paper: spaces that do not break are part of it.
WORD = re.compile("[^ \t\r\n\u2002\u2003\u2009\u200b\\-–—]+[\\-–—]*|[\\-–—]+")
MOST_TOLD = 24
MILLIMETRES = 25.4 / 72
# Points: where type leaves a place no room at all, it is this that a word is held against.
LEAST_ROOM = 0.01


@dataclass(frozen=True, slots=True)
class TextPlace:
    """A place of a layout: which texts are printed there, as element.attribute, and in how
    much room; lengths in points. Of `lines` it has so many in all, where they are counted."""

    of: tuple[str, ...]
    where: str
    room: float
    size: float
    style: str = "normal"
    heading: bool = False
    lines: int | None = None
    weight: int = REGULAR

    def width(self, text: str, faces: Faces) -> float:
        """How wide a text is there; what the face lacks has no width."""
        family = faces.families[-1] if self.heading else faces
        face = family.face(self.style, self.weight)
        return self.size * sum(face.advances.get(char, 0.0) for char in text)


def score_words_in_place(
    score: Score, places: Sequence[TextPlace], faces: Faces
) -> tuple[Diagnostic, ...]:
    return tuple(_too_wide(score_labels(score), places, faces))


def book_words_in_place(
    plan: BookPlan, places: Sequence[TextPlace], faces: Faces
) -> tuple[Diagnostic, ...]:
    return (*_too_wide(book_labels(plan), places, faces), *_too_long(plan, places, faces))


def _too_wide(
    labels: Iterable[PrintedValue], places: Sequence[TextPlace], faces: Faces
) -> Iterator[Diagnostic]:
    for label in labels:
        own = [place for place in places if f"{label.element}.{label.name}" in place.of]
        over = [
            (place.width(word, faces) / max(place.room, LEAST_ROOM), word, place)
            for place in own
            for word in WORD.findall(label.text)
        ]
        most = max(over, key=lambda each: each[0], default=None)
        if most and most[0] > 1:
            yield _told(label, most[1], most[2], faces)


def _told(label: PrintedValue, word: str, place: TextPlace, faces: Faces) -> Diagnostic:
    width, shown = place.width(word, faces), word[:MOST_TOLD] + "…" * (len(word) > MOST_TOLD)
    fitting = next(
        (n for n in range(len(word), 0, -1) if place.width(word[:n], faces) <= place.room), 0
    )
    part_it = f"Some {fitting} of its {len(word)} letters fit: part it by spaces or hyphens, "
    return Diagnostic(
        "E411",
        f"the word “{shown}” in the {label.name} of this {label.element} is wider than its place "
        f"{place.where}: it is {width * MILLIMETRES:.0f} mm wide and has "
        f"{max(place.room, 0) * MILLIMETRES:.0f} mm",
        label.span,
        hints=(
            f"{part_it}shorten it, or choose smaller type or a wider paper."
            if fitting
            else "Choose smaller type or a wider paper.",
        ),
    )


def _too_long(plan: BookPlan, places: Sequence[TextPlace], faces: Faces) -> Iterator[Diagnostic]:
    """The imprint, with the book's rights, where its page cannot hold it. Words are not
    parted here, so that in print there are as many lines at most."""
    place = next((place for place in places if "imprint" in place.of), None)
    if place is None:
        return
    lines = 0
    texts = [(text.words, text.origin) for text in plan.imprint]
    for words, origin in (*texts, *((prose.words, prose.origin) for prose in plan.texts("rights"))):
        lines += 1 + _lines(plain(words), place, faces)
        if lines > (place.lines or lines):
            yield Diagnostic(
                "E413",
                f"the imprint is longer than its page: this ends on line {lines}, "
                f"and there are {place.lines}",
                origin.span,
                hints=("Shorten it, or move some of it into the preface.",),
            )
            return


def _lines(text: str, place: TextPlace, faces: Faces) -> int:
    space, lines, at = place.width(" ", faces), 1, 0.0
    for word in text.split():
        width = place.width(word, faces)
        if at and at + width > place.room:
            lines, at = lines + 1, 0.0
        lines, at = lines + int(width // place.room), at + width % place.room + space
    return lines
