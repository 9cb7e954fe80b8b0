"""Lanes of texts are rows: one is added here by rows alone, engraved, read back and proved."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.readback.claims import Key
from stavebound.readback.joining import joined_score
from stavebound.readback.read import read_svg
from stavebound.readback.table import TextRow
from stavebound.score.frame_texts import text_names
from stavebound.score.model import FrameText, Run, Score
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import TextLane
from tests.support.readers import KEY
from tests.support.staves import (
    CATALOGUE,
    FACES,
    MEASURE,
    SETTING,
    engraved,
    printed_of,
    small_score,
)

OWN = [row for row in CATALOGUE.lanes.text if row.name in text_names().attributes]
OWN += [row for row in CATALOGUE.lanes.text if row.name in text_names().elements]
# Bold under the stave, where step names are.
LAMP = TextLane(
    name="lamp", called="lamp", size="quality size", heavy=True, rows="step", broken=True,
    description="what is lit from here on",
)  # fmt: skip
READ = TextRow(
    name="lamp", stands="under", slanted=False, heavy=True, description="what is lit from here on"
)
EVERY = small_score(
    '<start><feet in="first"/></start><phrase counts="4">'
    '<frame at="1" step="plié" quality="softly"><knees bend="half"/>'
    '<tempo counts="72">quicker</tempo><cue>the oboe</cue></frame>'
    '<frame at="3" step="relevé"><knees bend="none"/></frame></phrase>'
)


@cache
def lit() -> Score:
    """A lamp beside a step's name, and one that is too long for its line."""
    phrase = EVERY.phrases[0]
    lamps = ("red", "a pale light that comes and goes and comes again, from the back of the room")
    frames = (
        replace(frame, texts=(*frame.texts, FrameText("lamp", (Run("text", words),))))
        for frame, words in zip(phrase.frames, lamps, strict=True)
    )
    return replace(EVERY, phrases=(replace(phrase, frames=tuple(frames)),))


def with_lane(row: TextLane) -> Catalogue:
    others = (other for other in CATALOGUE.lanes.text if other.name != row.name)
    return replace(CATALOGUE, lanes=CATALOGUE.lanes.model_copy(update={"text": (*others, row)}))


def key_with(catalogue: Catalogue, *rows: TextRow) -> Key:
    lanes = (*KEY.table.text.lane, *rows)
    text = KEY.table.text.model_copy(update={"lane": lanes})
    table = KEY.table.model_copy(update={"text": text})
    return replace(KEY, catalogue=catalogue, table=table)


def faults(score: Score, catalogue: Catalogue, key: Key) -> list[str]:
    setting = replace(SETTING, catalogue=catalogue)
    printed, found = printed_of(score, setting), engraved(score, MEASURE, setting)
    lines = drawn_lines(found, "A line", setting)
    return [fault.message for fault in prove_lines(lines, found, printed, setting, key)]


def test_a_lane_is_added_by_rows_alone() -> None:
    catalogue = with_lane(LAMP)
    setting, key = replace(SETTING, catalogue=catalogue), key_with(catalogue, READ)
    assert faults(lit(), catalogue, key) == []
    (line,) = drawn_lines(engraved(lit(), MEASURE, setting), "A line", setting)
    (system,) = engraved(lit(), MEASURE, setting).systems
    red, *pale = (text for text in system.texts if text.lane == "lamp")
    plie, _ = (text for text in system.texts if text.lane == "step")
    assert red.y < plie.y, "it shares the rows of step names"
    assert len({text.y for text in pale}) == len(pale) > 1, "it is broken"
    reading = read_svg(line.svg, "line.svg", key, FACES).value
    assert reading is not None
    found = [frame.text("lamp") for frame in reading.frames if frame.texts]
    assert found == [frame.texts[-1].text for frame in lit().phrases[0].frames]


def test_a_reader_without_the_row_finds_the_text_strange() -> None:
    assert any("stands where no text" in fault for fault in faults(lit(), with_lane(LAMP), KEY))


def test_every_lane_of_the_schema_has_a_row_and_one_of_the_readers_own() -> None:
    names = {*text_names().attributes, *text_names().elements}
    assert {row.name for row in OWN} == names
    assert {row.name for row in KEY.table.text.lane} == names


def test_the_texts_of_a_frame_are_read_back_as_they_were_written() -> None:
    setting = SETTING
    lines = drawn_lines(engraved(EVERY, MEASURE, setting), "A line", setting)
    readings = [read_svg(line.svg, "line.svg", KEY, FACES).value for line in lines]
    read = joined_score([one for one in readings if one], "A line", KEY).score
    (phrase,) = read.phrases
    written = [frame.texts for frame in EVERY.phrases[0].frames]
    assert [frame.texts for frame in phrase.frames if frame.texts] == written


def looking_like_others(row: TextLane) -> list[TextLane]:
    """With the other slant, and with the other weight; no face is both slanted and heavy."""
    others = (
        row.model_copy(update={look: not getattr(row, look)}) for look in ("slanted", "heavy")
    )
    return [other for other in others if not (other.slanted and other.heavy)]


@pytest.mark.parametrize("row", OWN, ids=lambda row: row.name)
def test_the_proof_sees_a_text_that_looks_like_another(row: TextLane) -> None:
    others = looking_like_others(row)
    assert others
    assert all(faults(EVERY, with_lane(other), KEY) for other in others)
