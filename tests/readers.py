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

# Feet, knees and hands.
SOME_SIGNS = """<start><feet in="fifth" front="right"/><arms in="side"/></start>
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

# A frame or more for every sign of the table.
EVERY_SIGN = """<start><feet in="fifth" front="right"/><arms in="side"/></start>
<phrase counts="32">
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
<frame at="12"><feet in="fourth" front="left" weight="left"/></frame>
<frame at="13"><hand side="right" in="side" arm="stretched" palm="up"/></frame>
<frame at="14"><hand side="right" in="arabesque side" arm="rounded" palm="down"/></frame>
<frame at="15"><hand side="right" in="side" palm="in"/></frame>
<frame at="16"><hand side="right" height="waist" out="-0.12" depth="front"/></frame>
<frame at="17"><elbow side="left" bend="half" depth="front"/></frame>
<frame at="18"><elbow side="left" bend="full" depth="front"/></frame>
<frame at="19"><elbow side="left" bend="half" depth="behind"/></frame>
<frame at="20"><elbow side="left" bend="full" depth="behind"/></frame>
<frame at="21"><head tilt="right"/><body turn="right"/><hips bend="right"/></frame>
<frame at="22"><head tilt="left 2"/><body turn="left 2"/><hips bend="left 2"/></frame>
<frame at="23"><body tilt="right 3"/></frame>
<frame at="24"><body turn="right 3"/></frame>
<frame at="25"><body bend="right 3"/></frame>
<frame at="26"><body bend="front"/><head bend="back"/></frame>
<frame at="27"><body bend="front 2"/><head bend="back 2"/></frame>
<frame at="28"><body bend="front 3"/><head bend="back 3"/></frame>
<frame at="29"><return of="head"/></frame>
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


def proved(
    score: Score, width: float = MEASURE, setting: Setting = SETTING
) -> tuple[Diagnostic, ...]:
    """What the proof finds in a score that was engraved in this setting, whatever it looks like."""
    engraved = engrave(score, school_of(score), width, setting).value
    assert engraved is not None
    return prove_score(engraved, score, setting)
