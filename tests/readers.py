"""Lines read back for the tests: how to get a reading, and what was written."""

from __future__ import annotations

from dataclasses import replace

from stavebound.build.proving import prove_score
from stavebound.diagnostics import Diagnostic
from stavebound.engrave.engraving import Engraved, engrave
from stavebound.engrave.parts import Setting
from stavebound.readback.read import read_svg, reading_key
from stavebound.readback.values import Frame, Reading
from stavebound.score.model import (
    CentreChange,
    Change,
    ElbowChange,
    FeetChange,
    HandChange,
    KneesChange,
    Phrase,
    Return,
    Score,
)
from stavebound.svg.draw import draw
from tests.staves import CATALOGUE, FACES, MEASURE, SETTING, school_of

KEY = reading_key(CATALOGUE)

# A frame or more for every sign of the table.
EVERY_SIGN = """<start><feet in="fifth" front="right"/><arms in="side"/></start>
<phrase counts="12">
<frame at="1"><feet in="fourth" front="left"/><arms in="front rounded"/></frame>
<frame at="2"><feet in="first"/><hand side="left" in="arabesque back"/></frame>
<frame at="3"><knees bend="half"/></frame>
<frame at="4"><knee side="left" bend="full"/></frame>
<frame at="5"><knees bend="none"/></frame>
<frame at="6"><foot side="right" to="front" place="pointed"/></frame>
<frame at="7"><foot side="right" to="back" place="ankle"/></frame>
<frame at="8"><foot side="right" to="side" raised="90"/></frame>
<frame at="9"><foot side="right" to="back" raised="90"/></frame>
<frame at="10"><foot side="right" to="side" place="knee"/></frame>
<frame at="11"><feet in="third" front="left"/></frame>
</phrase>"""


def read_lines(engraved: Engraved) -> tuple[Reading, ...]:
    """Every line of a score, read from its SVG without a doubt."""
    found = []
    for system in engraved.systems:
        outcome = read_svg(draw(system, FACES, "A line"), "line.svg", KEY, FACES)
        assert outcome.value is not None, outcome.diagnostics
        assert outcome.value.faults == ()
        found.append(outcome.value)
    return tuple(found)


def frames_of(readings: tuple[Reading, ...]) -> tuple[Frame, ...]:
    return tuple(frame for reading in readings for frame in reading.frames)


def known(score: Score) -> Score:
    """The score with only those changes whose signs the reader knows."""
    upbeat = _known_phrase(score.upbeat) if score.upbeat else None
    start = score.start and replace(score.start, changes=_known(score.start.changes))
    phrases = tuple(_known_phrase(phrase) for phrase in score.phrases)
    return replace(score, start=start, upbeat=upbeat, phrases=phrases)


def _known_phrase(phrase: Phrase) -> Phrase:
    frames = tuple(replace(frame, changes=_known(frame.changes)) for frame in phrase.frames)
    return replace(phrase, frames=frames)


def _known(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    return tuple(known for change in changes if (known := _as_known(change)))


def _as_known(change: Change) -> Change | None:
    match change:
        case CentreChange() | Return() | ElbowChange():
            return None
        case HandChange():
            out = abs(change.out) if change.out is not None else None
            return replace(change, palm=None, arm=None, out=out)
        case FeetChange():
            return replace(change, weight=None)
        case KneesChange():
            return replace(change, depth=None, height=None, out=None)
    return change


def unproved(faults: tuple[Diagnostic, ...]) -> bool:
    """Whether all that the proof says is that it does not know the signs of a line."""
    return bool(faults) and {fault.code for fault in faults} == {"R301"}


def proved(
    score: Score, width: float = MEASURE, setting: Setting = SETTING
) -> tuple[Diagnostic, ...]:
    """What the proof finds in a score that was engraved in this setting, whatever it looks like."""
    engraved = engrave(score, school_of(score), width, setting).value
    assert engraved is not None
    return prove_score(engraved, score, setting)
