"""Lines read back for the tests: how to get a reading, and what was written."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import chain

from stavebound.dance.printed import Printed
from stavebound.diagnostics import Diagnostic
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import System
from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.readback.changes import change_of
from stavebound.readback.joining import joined_score
from stavebound.readback.read import read_svg
from stavebound.readback.values import FrameRead, LimbRead, Reading
from stavebound.score.lexical import lean_text
from stavebound.score.model import CentrePart, Score
from stavebound.score.write import write_change, write_score
from stavebound.svg.staves import draw_staves
from tests.support.leans import all_leans, leans_known_of
from tests.support.staves import (
    CATALOGUE,
    FACES,
    MEASURE,
    SETTING,
    engraved,
    key_in,
    outcome_of,
    printed_of,
    small_score,
)

KEY = key_in(SETTING)

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
START = '<start><feet in="fifth" front="right"/><arms in="side"/></start>'
LISTED = (
    '<feet in="fourth" front="left"/><arms in="front rounded"/>',
    '<feet in="first"/><hand side="left" in="arabesque back"/>',
    '<knees bend="half"/>',
    '<knee side="left" bend="full"/>',
    '<knees bend="none"/>',
    '<foot side="right" to="front" place="pointed"/>',
    '<foot side="right" to="back" place="ankle"/>',
    '<foot side="right" to="side" raised="90"/>',
    '<foot side="right" to="back" raised="90"/>',
    '<foot side="right" to="side" place="knee"/>',
    '<foot side="right" to="side" place="calf"/>',
    '<foot side="right" to="front" place="ankle" ankle="wrapped"/>',
    '<feet in="parallel"/>',
    '<foot side="right" to="side" raised="90"/>'
    '<hand side="right" height="hip" out="0.40" depth="level" touching="leg"/>',
    '<feet in="third" front="left"/>',
    '<feet in="fourth" front="left" weight="left"/>',
    '<hand side="right" in="side" arm="stretched" palm="up"/>',
    '<hand side="right" in="arabesque side" arm="rounded" palm="down"/>',
    '<hand side="right" in="side" palm="in"/>',
    '<hand side="right" height="waist" out="-0.12" depth="front"/>',
    '<elbow side="left" bend="half" depth="front"/>',
    '<elbow side="left" bend="full" depth="front"/>',
    '<elbow side="left" bend="half" depth="behind"/>',
    '<elbow side="left" bend="full" depth="behind"/>',
    '<head tilt="right"/><body turn="right"/><hips bend="right"/>',
    '<head tilt="left 2"/><body turn="left 2"/><hips bend="left 2"/>',
    '<body tilt="right 3"/>',
    '<body turn="right 3"/>',
    '<body bend="right 3"/>',
    '<body bend="front"/><head bend="back"/>',
    '<body bend="front 2"/><head bend="back 2"/>',
    '<body bend="front 3"/><head bend="back 3"/>',
    '<return of="head"/>',
    '<feet in="fifth" front="left" turned="parallel"/>',
    '<foot side="right" to="front" place="pointed" turned="in" ankle="flexed"/>',
    '<foot side="left" to="side" height="knee+0.60" ankle="flexed"/>',
    '<foot side="left" to="front" height="knee" out="-0.10"/>',
    '<hand side="right" touching="hip"/><hand side="left" touching="other shoulder"/>',
    '<arms in="overhead rounded" hands="joined"/>',
    '<hand side="right" touching="barre"/>',
    "<hold/>",
    '<hold of="arms"/><hold of="legs"/>',
    "<still/>",
    '<feet in="fifth" front="left" by="spring" beats="left right"/>',
    '<feet in="fifth" front="left" by="spring" legs="split" size="large"/>',
    '<feet in="fifth" front="left" by="spring" legs="bent behind" size="small"/>',
    '<hand side="right" in="second" bow="front"/><hand side="left" in="second" bow="behind"/>',
    '<hand side="right" in="second" bow="side"/>',
    "<accent/>",
    "<accent/><pause/>",
    "<accent/><through/>",
    '<clap/><stamp side="both"/>',
    '<snap side="left"/><heel-beat side="right"/>',
    '<snap side="both"/><stamp side="left"/><heel-beat side="both"/><facing to="front"/>',
    '<turn to="right" by="1" on="both"/><facing to="front"/>',
    '<travel to="front" of="body" steps="walking"/>',
    '<turn to="right" by="1/8" on="right"/><facing to="front right"/>',
    '<turn to="left" by="1/8" on="both"/><travel to="front right" of="body"/>',
    '<turn to="right" by="1/4" on="left"/><facing to="right"/>',
    '<turn to="left" by="1/4" on="both"/><travel to="right" of="body"/>',
    '<turn to="right" by="3/8" on="neither"/><facing to="back right"/>',
    '<turn to="left" by="3/8" on="both"/><travel to="back right" of="body"/>',
    '<turn to="right" by="1/2" on="both" spotting="front"/><facing to="back"/>',
    '<turn to="left" by="1/2" on="both" spotting="back"/><travel to="back" of="body"/>',
    '<turn to="left" by="1" on="both" spotting="front right"/>'
    '<travel to="front" of="stage" path="curved right"/>',
    '<turn to="left" by="1" on="both" spotting="right"/>'
    '<travel to="front right" of="stage" steps="running"/>',
    '<turn to="left" by="1" on="both" spotting="back left"/><travel to="right" of="stage"/>',
    '<travel to="back right" of="stage" steps="bourrée"/>',
    '<travel to="back" of="stage" path="circling left"/>',
)
WRITTEN = "".join(LISTED)
# And what none of them has: departures and what is said of the whole dancer as the key shows it,
# leans in every direction.
FRAMES = (
    *LISTED,
    *(
        row.show
        for row in CATALOGUE.key.row
        for value in CATALOGUE.departures.value
        if row.feature == value.name and f' {value.of}="' not in WRITTEN
    ),
    *(
        row.show
        for row in CATALOGUE.key.row
        for whole in CATALOGUE.lanes.whole
        if row.feature == whole.name and row.show not in WRITTEN
    ),
    *(
        f'<{part} {row.name}="{lean_text(lean)}"/>'
        for part in CentrePart
        for row in leans_known_of(part)
        if f' {row.name}="' not in WRITTEN
        for lean in all_leans(row)
    ),
)


def score_with(frames: Sequence[str]) -> Score:
    """The start, and so many frames, a count each; frame 1 stands on line 3 of the source."""
    written = "\n".join(
        f'<frame at="{count}">{inside}</frame>' for count, inside in enumerate(frames, 1)
    )
    return small_score(f'{START}\n<phrase counts="{len(frames)}">\n{written}\n</phrase>')


EVERY_SIGN = score_with(FRAMES)


def signs_of(system: System) -> set[str]:
    """The names of all signs of a line, of bows too."""
    stave = system.staves[0]
    return {sign.sign for sign in stave.signs} | {name for way in stave.ways for name in way.marks}


@cache
def frames_with(sign: str) -> Score:
    """A short score that uses the sign."""
    score = next((score for score, signs in _short_scores() if sign in signs), None)
    if score is None:
        raise KeyError(sign)
    return score


@cache
def _short_scores() -> tuple[tuple[Score, frozenset[str]], ...]:
    """A score of each of the frames, and its signs."""
    scores = [score_with((inside,)) for inside in FRAMES]
    drawn = [chain.from_iterable(map(signs_of, engraved(score).systems)) for score in scores]
    return tuple(zip(scores, map(frozenset, drawn), strict=True))


def read_lines(engraved: Engraved) -> tuple[Reading, ...]:
    """Every line of a score, read from its SVG without a doubt."""
    found = []
    for system in engraved.systems:
        outcome = read_svg(draw_staves(system, FACES, "A line"), "line.svg", KEY, FACES)
        assert outcome.value is not None, outcome.diagnostics
        assert outcome.value.faults == ()
        found.append(outcome.value)
    return tuple(found)


def frames_of(readings: tuple[Reading, ...]) -> tuple[FrameRead, ...]:
    return tuple(frame for reading in readings for frame in reading.frames)


def limb_text(subject: LimbRead) -> str:
    """What was read of a limb, in the dialect."""
    return write_change(change_of(subject, KEY))


def proved(
    score: Score, width: float = MEASURE, setting: Setting = SETTING
) -> tuple[Diagnostic, ...]:
    """What the proof finds in a score that was engraved in this setting, whatever it looks like."""
    engraved = outcome_of(score, width, setting).value
    assert engraved is not None
    return faults_in(engraved, score, setting)


def faults_in(
    engraved: Engraved, score: Score, setting: Setting = SETTING, printed: Printed | None = None
) -> tuple[Diagnostic, ...]:
    """What the proof finds in an engraved score."""
    lines = drawn_lines(engraved, score.title, setting)
    return prove_lines(
        lines, engraved, printed or printed_of(score, setting), setting, key_in(setting)
    )


def written(readings: Sequence[Reading], title: str) -> str:
    """What was read, in the dialect."""
    read = joined_score(readings, title, KEY)
    return write_score(read.score, read.parts)
