"""From a score as it was typed to the plain score.

In: the root of a score that the schema accepts, and the roots of the files
whose steps it uses. Out: a root of the plain dialect with the form of its repeats, and
all that is wrong.
Always holds: a plain score stays as it is; every element keeps its place in the
file where it was typed, and the places where it is used.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from stavebound.diagnostics import Diagnostic, Outcome, Span, has_errors
from stavebound.score.form import Form
from stavebound.score.model import Score
from stavebound.score.read import given, only, read_music, read_score
from stavebound.score.unfolding.definitions import definitions, uses_faults
from stavebound.score.unfolding.exchange import names_a_side
from stavebound.score.unfolding.jumps import JUMPS, MARKS, PASSAGES, danced
from stavebound.score.unfolding.lines import for_leg, laid_over, leg, said_at, shifted
from stavebound.score.unfolding.passages import piece_of
from stavebound.score.unfolding.sides import plain_sides
from stavebound.score.unfolding.stage import Stage, UnfoldedPhrases
from stavebound.score.unfolding.values import Hand, UnfoldedPhrase, UnfoldingError
from stavebound.source.document import Attribute, Element
from stavebound.source.schema import load_plain_schema
from stavebound.source.validate import validate

SHORTHAND = (*PASSAGES, *MARKS, *JUMPS, "define", "steps")
"""What stands in a score and is not there any more when it is unfolded."""
LEGS = ("working", "supporting")
ONE_FRAME = "Frames of two lines at one moment become one frame."


@dataclass(frozen=True, slots=True)
class Unfolded:
    """The plain score, and how its phrases repeat."""

    root: Element
    form: Form

    @property
    def score(self) -> Score:
        return replace(read_score(self.root), form=self.form)


def unfold(root: Element, shared: Iterable[Element] = ()) -> Outcome[Unfolded]:
    """The plain score with its form. None where a fault prevents one."""
    defined = definitions((root, *shared))
    steps = defined.value or {}
    faults = (*defined.diagnostics, *uses_faults(root, steps))
    if has_errors(faults):
        return Outcome(None, faults)
    working = leg(root, None)
    plain = for_leg(replace(root, children=tuple(_others(root))), working)
    music, start, upbeat = (only(root, name) for name in ("music", "start", "upbeat"))
    stage = Stage(steps, read_music(music) if music else None, working, start)
    try:
        first = _first_count(root, upbeat)
        before = piece_of(upbeat, stage, first) if upbeat else None
        items = tuple(one for one in root.elements if one.name in (*PASSAGES, *MARKS, *JUMPS))
        pieces, form, faults = danced(items, replace(stage, upbeat=before))
        pieces = _in_their_places((before, *pieces) if before else pieces)
    except UnfoldingError as error:
        return Outcome(None, (error.fault,))
    if faults:
        return Outcome(None, faults)
    unfolded = _whole(plain, pieces)
    found = tuple(_legs_unsaid(unfolded)) or tuple(
        map(_of_lines, validate(unfolded, load_plain_schema()))
    )
    if found:
        return Outcome(None, found)
    frames = ((timed.frame, timed.sides) for piece in pieces for timed in piece.frames)
    return Outcome(Unfolded(unfolded, form), tuple(plain_sides(frames)))


def _of_lines(fault: Diagnostic) -> Diagnostic:
    """What stands too often only now came together from several lines."""
    told = fault.code == "S110"
    return replace(fault, hints=(*fault.hints, ONE_FRAME)) if told else fault


def _others(root: Element) -> Iterator[Element]:
    """What is not unfolded, and the first passage, which keeps the place for all of them."""
    first = next(one for one in root.elements if one.name in PASSAGES)
    for child in root.elements:
        if child.name not in (*SHORTHAND, "upbeat") or child is first:
            yield replace(child, children=()) if child is first else child


def _first_count(root: Element, upbeat: Element | None) -> int:
    """The number of an upbeat's first count: its last is the one before 1."""
    phrase = next((one for one in root.walk() if one.name == "phrase"), None)
    if upbeat is None or phrase is None:
        return 1
    lacking = (given(phrase, "counts", int) or 0) - (given(upbeat, "counts", int) or 0)
    return max(lacking, 0) + 1


# ---------------------------------------------------------------- what comes too early


def _in_their_places(pieces: UnfoldedPhrases) -> UnfoldedPhrases:
    """Frames before the first count of a phrase, laid over the end of the one before it."""
    found: list[UnfoldedPhrase] = []
    for piece in pieces:
        early = tuple(one for one in piece.frames if one.early and one.time < 0)
        kept = tuple(one for one in piece.frames if one.time >= 0 or not one.early)
        found.append(replace(piece, frames=kept))
        if early and len(found) == 1:
            raise UnfoldingError(_too_early(early[0].frame))
        if early:
            last = found[-2]
            hand = Hand({}, last.division, first=last.first)
            moved = shifted(early, Fraction(last.counts), piece.division, hand)
            found[-2] = replace(last, frames=laid_over((last.frames, moved)))
    return tuple(found)


def _too_early(frame: Element) -> Diagnostic:
    at = frame.get("at") or frame
    return Diagnostic(
        "U114",
        "this falls before the first count, where there is nothing",
        at.span,
        ('Begin the score with <upbeat counts="1">; a frame there may be empty.',),
    )


# ---------------------------------------------------------------- the plain tree


def _whole(plain: Element, pieces: UnfoldedPhrases) -> Element:
    children: list[Element] = []
    for child in plain.elements:
        children += map(_phrase, pieces) if child.name in PASSAGES else (child,)
    own = tuple(one for one in plain.attributes if one.name != "working")
    return replace(plain, attributes=own, children=tuple(children))


def _phrase(piece: UnfoldedPhrase) -> Element:
    """A phrase in which all is held has an empty frame, as a phrase wants one."""
    frames = tuple(one.frame for one in piece.frames) or (_empty(piece),)
    return replace(piece.element, children=(*piece.bars, *piece.phrasings, *frames))


def _empty(piece: UnfoldedPhrase) -> Element:
    span = piece.element.span
    return Element("frame", (said_at(str(piece.first), span),), (), span)


def _legs_unsaid(root: Element) -> Iterator[Diagnostic]:
    """The working leg where nobody has said which it is."""
    for element in root.walk():
        for attribute in element.attributes:
            words = attribute.value.split(" ")
            word = next((word for word in words if word in LEGS), None)
            if word and names_a_side(element, attribute):
                yield _leg_unsaid(word, attribute)


def _leg_unsaid(word: str, attribute: Attribute) -> Diagnostic:
    return Diagnostic(
        "U109",
        f"it is not said which leg is the {word} one",
        attribute.span,
        ('Write working="right" or working="left" on the score, the phrase or the step.',),
    )


def steps_used(root: Element) -> Iterator[tuple[str, Span]]:
    """The files whose steps a score uses, each with the place that names it."""
    for child in root.elements:
        attribute = child.get("from")
        if child.name == "steps" and attribute:
            yield attribute.value, attribute.span
