"""Lines read back for the tests: how to get a reading, and what was written."""

from __future__ import annotations

from stavebound.build.proving import prove_score
from stavebound.diagnostics import Diagnostic
from stavebound.engrave.engraving import Engraved, engrave
from stavebound.engrave.parts import Setting
from stavebound.readback.read import read_svg, reading_key
from stavebound.readback.values import Frame, Reading
from stavebound.score.model import Score
from stavebound.svg.draw import draw
from tests.staves import CATALOGUE, FACES, MEASURE, SETTING, school_of

KEY = reading_key(CATALOGUE)


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


def proved(
    score: Score, width: float = MEASURE, setting: Setting = SETTING
) -> tuple[Diagnostic, ...]:
    """What the proof finds in a score that was engraved in this setting, whatever it looks like."""
    engraved = engrave(score, school_of(score), width, setting).value
    assert engraved is not None
    return prove_score(engraved, score, setting)
