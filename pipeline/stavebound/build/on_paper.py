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
    danced = _sound(score, fallback, setting)
    if danced.value is None:
        return Outcome(None, danced.diagnostics)
    printed = with_signs(danced.value) if repeats == SIGNS else written_out(danced.value)
    setting, engraved = _in_size(printed, paper, setting, sizes)
    faults = (*danced.diagnostics, *engraved.diagnostics)
    if engraved.value is None:
        return Outcome(None, faults)
    lines = drawn_lines(engraved.value, score.title, setting)
    proof = prove_lines(lines, engraved.value, printed, setting, key)
    return Outcome(OnPaper(danced.value, printed, engraved.value, lines), (*faults, *proof))


def _sound(score: Score, fallback: str | None, setting: Setting) -> Outcome[Danced]:
    """The score as it is danced, if it is by the rules and can be set in the faces."""
    catalogue = setting.catalogue
    typed, too_long = check_score_type(score, setting.faces), check_length(score)
    if too_long:
        return Outcome(None, (*too_long, *typed))
    danced = dance(score, catalogue, _reader(score.school, fallback, catalogue))
    faults = (*check_score(danced), *typed)
    known = school_of(score.school, fallback, catalogue)
    return Outcome(None if known is None or has_errors(faults) else danced, faults)


def _in_size(
    printed: Printed, paper: Paper, setting: Setting, sizes: Sizes | None
) -> tuple[Setting, Outcome[Engraved]]:
    """The setting that was taken, and the score engraved in it. Where even the smallest size
    has no room, none is looked for."""
    if sizes is None or not sizes.settings:
        return setting, _engraved(printed, paper, setting)
    made = _Made(printed, paper, sizes.have_room)
    first, *others = sizes.settings
    if not made.has_room(first) and any(made.may_have_room(size, first) for size in others[-1:]):
        first = next((size for size in others if made.has_room(size)), setting)
    taken = first if made.has_room(first) else setting
    return taken, made.in_size(taken)


class _Made:
    """A score in the sizes that were asked for, each engraved once."""

    def __init__(
        self, printed: Printed, paper: Paper, have_room: Callable[[Sequence[float]], bool]
    ) -> None:
        self._printed, self._paper, self._have_room = printed, paper, have_room
        self._sizes: dict[Setting, Outcome[Engraved]] = {}

    def in_size(self, setting: Setting) -> Outcome[Engraved]:
        if setting not in self._sizes:
            self._sizes[setting] = _engraved(self._printed, self._paper, setting)
        return self._sizes[setting]

    def has_room(self, setting: Setting) -> bool:
        heights = self._heights(setting)
        return bool(heights) and self._have_room(heights)

    def may_have_room(self, setting: Setting, larger: Setting) -> bool:
        """Whether it has in a size that is not tried in vain: lines are lower by as much as the
        staves are, and fewer by no more."""
        heights, ratio = self._heights(larger), setting.style.space / larger.style.space
        fewest = [height * ratio for height in heights[: int(len(heights) * ratio)]]
        return (not fewest or self._have_room(fewest)) and self.has_room(setting)

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
