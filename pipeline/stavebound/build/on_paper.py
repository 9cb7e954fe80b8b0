"""On paper: a score through all that it goes through before it is printed.

In: a score, or what remains of one, the setting or several sizes of it, and what the reader goes
by. Out: its lines as they were proved, and all that is wrong on the way; what passes here can be
printed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from stavebound.book.papers import Paper
from stavebound.build.setting import school_of
from stavebound.check.scores import check_length, check_remains, check_score
from stavebound.check.type import check_score_type
from stavebound.dance.danced import Danced, dance
from stavebound.dance.printed import Printed, with_signs, written_out
from stavebound.diagnostics import Diagnostic, Outcome, Severity, has_errors
from stavebound.engrave.engraving import Engraved, engrave, too_high
from stavebound.engrave.style import Setting
from stavebound.plan.book import SIGNS, WRITTEN_OUT
from stavebound.proof.lines import OnPaper, drawn_lines, prove_lines
from stavebound.readback.claims import ReadingKey
from stavebound.score.model import Score
from stavebound.score.unfolding.remains import Remains
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import School

# By which power of the staves' ratio lines of larger staves are higher: what has a least size grows
# less.
GROWTH = 0.93


@dataclass(frozen=True, slots=True)
class Sizes:
    """A setting in several sizes, the largest first, and whether lines of such heights, in
    millimetres, have room."""

    settings: tuple[Setting, ...]
    have_room: Callable[[Sequence[float]], bool]


def score_on_paper(
    score: Score,
    fallback: str | None,
    paper: Paper,
    setting: Setting,
    key: ReadingKey,
    repeats: str = WRITTEN_OUT,
    sizes: Sizes | None = None,
) -> Outcome[OnPaper]:
    """A score through rules, type, engraving and proof, each only where those before it found
    no error; `fallback` reads its names where it has no school of its own. `paper` is in the
    sizes of the house.

    The rules hold of all that is danced; `repeats` are printed as signs, or written out. It is
    engraved in the largest of the `sizes` in which it has room, else in the setting.
    """
    danced = sound(score, fallback, setting)
    if danced.value is None:
        return Outcome(None, danced.diagnostics)
    made = danced_on_paper(danced.value, paper, setting, key, repeats, sizes)
    return Outcome(made.value, (*danced.diagnostics, *made.diagnostics))


def danced_on_paper(
    danced: Danced,
    paper: Paper,
    setting: Setting,
    key: ReadingKey,
    repeats: str = WRITTEN_OUT,
    sizes: Sizes | None = None,
) -> Outcome[OnPaper]:
    """The same of a score that is danced by the rules."""
    printed = with_signs(danced) if repeats == SIGNS else written_out(danced)
    setting, engraved = _in_size(printed, paper, setting, sizes)
    if engraved.value is None:
        return Outcome(None, engraved.diagnostics)
    lines = drawn_lines(engraved.value, danced.score.title, setting)
    proof = prove_lines(lines, engraved.value, printed, setting, key)
    faults = (*engraved.diagnostics, *proof)
    return Outcome(OnPaper(danced, printed, engraved.value, lines), faults)


def danced_by(score: Score, fallback: str | None, catalogue: Catalogue) -> Danced:
    """As its school reads it, also where the one that is named is not known."""
    return dance(score, catalogue, _reader(score.school, fallback, catalogue))


def sound(score: Score, fallback: str | None, setting: Setting) -> Outcome[Danced]:
    """The score as it is danced, if it is by the rules and can be set in the faces."""
    catalogue = setting.catalogue
    typed, too_long = check_score_type(score, setting.faces), check_length(score)
    if too_long:
        return Outcome(None, (*too_long, *typed))
    danced = danced_by(score, fallback, catalogue)
    faults = (*check_score(danced), *typed)
    known = school_of(score.school, fallback, catalogue)
    return Outcome(None if known is None or has_errors(faults) else danced, faults)


def _in_size(
    printed: Printed, paper: Paper, setting: Setting, sizes: Sizes | None
) -> tuple[Setting, Outcome[Engraved]]:
    """The setting that was taken, and the score engraved in it."""
    if sizes is None or not sizes.settings:
        return setting, _engraved(printed, paper, setting)
    made = _Made(printed, paper, sizes)
    taken = made.largest() or setting
    return taken, made.in_size(taken)


class _Made:
    """A score in the sizes that were asked for, each engraved once. From one that was tried, it is
    told which other is worth trying: lines are higher by as much as the staves are."""

    def __init__(self, printed: Printed, paper: Paper, sizes: Sizes) -> None:
        self._printed, self._paper, self._sizes = printed, paper, sizes
        self._engraved: dict[Setting, Outcome[Engraved]] = {}

    def in_size(self, setting: Setting) -> Outcome[Engraved]:
        if setting not in self._engraved:
            self._engraved[setting] = _engraved(self._printed, self._paper, setting)
        return self._engraved[setting]

    def largest(self) -> Setting | None:
        """The largest size in which it has room; None where it has in none. Where the lines of one
        that has room do not tell how much larger they may be, the middle size is tried."""
        tried, *untried = self._sizes.settings
        if self._fits(tried):
            return tried
        at, found, told = self._first(tried, untried), None, True
        while at is not None and untried:
            tried = untried[at]
            if self._fits(tried):
                found = tried
                likely = [size for size in untried[:at] if self._likely(size, tried)]
                untried, told = likely, len(likely) < at
            else:
                untried = untried[at + 1 :]
                told = found is None or self._as_many(tried, found)
            at = 0 if told else len(untried) // 2
        return found

    def _first(self, tried: Setting, smaller: Sequence[Setting]) -> int | None:
        """The number of the largest size that is likely to have room by the lines of one that has
        none; the last one where only fewer lines would; None where there is none."""
        for at, size in enumerate(smaller):
            if self._likely(size, tried):
                return at
        last = len(smaller) - 1
        return last if smaller and self._likely(smaller[last], tried, fewer=True) else None

    def _fits(self, setting: Setting) -> bool:
        return self._has_room(self._heights(setting))

    def _likely(self, setting: Setting, tried: Setting, *, fewer: bool = False) -> bool:
        """Whether a size may have room, by the lines of one that was tried: as many, or `fewer`, in
        the proportion of the two."""
        heights, ratio = self._heights(tried), setting.style.space / tried.style.space
        count = int(len(heights) * ratio) if fewer else len(heights)
        return not count or self._has_room([height * ratio**GROWTH for height in heights[:count]])

    def _as_many(self, setting: Setting, other: Setting) -> bool:
        """Whether it has as many lines in either size."""
        return len(self._heights(setting)) == len(self._heights(other))

    def _has_room(self, heights: Sequence[float]) -> bool:
        return bool(heights) and self._sizes.have_room(heights)

    def _heights(self, setting: Setting) -> list[float]:
        """Of the lines in that size, in millimetres."""
        engraved = self.in_size(setting).value
        systems = engraved.systems if engraved else ()
        return [system.box.height * system.space for system in systems]


def _engraved(printed: Printed, paper: Paper, setting: Setting) -> Outcome[Engraved]:
    """Its lines, if all of them can be set and fit on a page."""
    engraved = engrave(printed, paper.music, setting)
    depth = paper.depth - setting.style.distance("staves apart")
    high = too_high(engraved.value, printed, depth) if engraved.value else ()
    faults = (*_stay_written_out(printed), *engraved.diagnostics, *high)
    return Outcome(None if has_errors(faults) else engraved.value, faults)


def _stay_written_out(printed: Printed) -> Iterator[Diagnostic]:
    for part, why in printed.left:
        yield Diagnostic(
            "E408",
            f"this is printed written out: {why}",
            part.origin.span,
            ('Say so with repeats="written out", or write it so that signs can tell it.',),
            severity=Severity.WARNING,
        )


def _reader(name: str | None, fallback: str | None, catalogue: Catalogue) -> School:
    """The school by which names are read, also where the one that is named is not known."""
    return school_of(name, fallback, catalogue) or catalogue.schools.school[0]


def remains_faults(
    remains: Remains, fallback: str | None, setting: Setting
) -> tuple[Diagnostic, ...]:
    """What is wrong with a score besides that which keeps it from being understood."""
    school = _reader(remains.school, fallback, setting.catalogue)
    typed = check_score_type(remains.pieces, setting.faces) if remains.pieces else ()
    return (*check_remains(remains, setting.catalogue, school), *typed)
