"""Lanes of texts are rows, of the engraver and of the reader."""

from __future__ import annotations

from stavebound.proof.lines import drawn_lines
from stavebound.readback.joining import joined_score
from stavebound.readback.read import read_svg
from stavebound.score.frame_texts import text_names
from tests.support.readers import KEY
from tests.support.staves import CATALOGUE, FACES, MEASURE, SETTING, engraved, small_score

OWN = [row for row in CATALOGUE.lanes.text if row.name in text_names().attributes]
OWN += [row for row in CATALOGUE.lanes.text if row.name in text_names().elements]
EVERY = small_score(
    '<phrase counts="4"><frame at="1" step="plié" quality="softly"><knees bend="half"/>'
    '<tempo counts="72">quicker</tempo><cue>the oboe</cue></frame>'
    '<frame at="3" step="relevé"><knees bend="none"/></frame></phrase>'
)


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
