"""Lanes of texts are rows: one is added here by rows alone, engraved, read back and proved."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from stavebound.proof.lines import drawn_lines, prove_lines
from stavebound.readback.claims import ReadingKey
from stavebound.readback.joining import joined_score
from stavebound.readback.read import read_svg
from stavebound.readback.table import TextRow
from stavebound.score.frame_texts import text_names
from stavebound.score.model import STEP, FrameText, Run, Score
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.lanes import Lanes, TextLane
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

NAMES = (*text_names().attributes, *text_names().elements)
OWN = [CATALOGUE.lanes.texts[name] for name in NAMES]
# What no lane of the reader looks like; no face is both slanted and heavy.
FREE = next(
    look
    for look in product(("under", "over"), (False, True), (True, False))
    if look[1:] != (True, True) and look not in {row.look for row in KEY.table.text.lane}
)
WHAT = "what is lit from here on"
READ = TextRow(name="lamp", stands=FREE[0], slanted=FREE[1], heavy=FREE[2], description=WHAT)
LAMP = TextLane(
    name="lamp",
    called="lamp",
    size="quality size",
    slanted=READ.slanted,
    heavy=READ.heavy,
    rows="step" if READ.stands == "under" else "cue",
    broken=True,
    description=WHAT,
)
PLAIN = small_score(
    '<start><feet in="first"/></start><phrase counts="4">'
    '<frame at="1"><knees bend="half"/></frame><frame at="3"><knees bend="none"/></frame></phrase>'
)


def said(row: TextLane, words: str) -> FrameText:
    measure = row.measure
    attributes = ((measure.attribute, measure.example),) if measure else ()
    return FrameText(row.name, (Run("text", words),), attributes)


def with_texts(first: list[FrameText], second: list[FrameText]) -> Score:
    (phrase,) = PLAIN.phrases
    frames = tuple(
        replace(frame, texts=tuple(texts))
        for frame, texts in zip(phrase.frames, (first, second), strict=True)
    )
    return replace(PLAIN, phrases=(replace(phrase, frames=frames),))


# A text in every lane, and once more a step's name.
EVERY = with_texts(
    [said(row, f"so {row.name}") for row in OWN], [said(CATALOGUE.lanes.texts[STEP], "relevé")]
)
LONG = "a pale light that comes and goes and comes again, from the back of the room"
# A lamp beside a step's name, and one that is too long for its line.
LIT = with_texts([said(CATALOGUE.lanes.texts[STEP], "plié"), said(LAMP, LONG)], [said(LAMP, "red")])


def with_lane(row: TextLane) -> Catalogue:
    kept = {name: getattr(CATALOGUE.lanes, name) for name in Lanes.model_fields}
    others = (other for other in CATALOGUE.lanes.text if other.name != row.name)
    return replace(CATALOGUE, lanes=Lanes(**kept | {"text": (*others, row)}))


def key_with(catalogue: Catalogue, *rows: TextRow) -> ReadingKey:
    lanes = (*KEY.table.text.lane, *rows)
    text = KEY.table.text.model_copy(update={"lane": lanes})
    table = KEY.table.model_copy(update={"text": text})
    return replace(KEY, catalogue=catalogue, table=table)


def faults(score: Score, catalogue: Catalogue, key: ReadingKey) -> list[str]:
    setting = replace(SETTING, catalogue=catalogue)
    printed, found = printed_of(score, setting), engraved(score, MEASURE, setting)
    lines = drawn_lines(found, "A line", setting)
    return [fault.message for fault in prove_lines(lines, found, printed, setting, key)]


def test_a_lane_is_added_by_rows_alone() -> None:
    catalogue = with_lane(LAMP)
    setting, key = replace(SETTING, catalogue=catalogue), key_with(catalogue, READ)
    assert faults(LIT, catalogue, key) == []
    found = engraved(LIT, MEASURE, setting)
    (line,), (system,) = drawn_lines(found, "A line", setting), found.systems
    *pale, _ = (text for text in system.texts if text.lane == "lamp")
    assert len({text.y for text in pale}) == len(pale) > 1, "it is broken"
    reading = read_svg(line.svg, "line.svg", key, FACES).value
    assert reading is not None
    assert [frame.text("lamp") for frame in reading.frames if frame.texts] == [LONG, "red"]


def test_a_reader_without_the_row_finds_the_text_strange() -> None:
    assert any("stands where no text" in fault for fault in faults(LIT, with_lane(LAMP), KEY))


def test_every_lane_of_the_schema_has_a_row_and_one_of_the_readers_own() -> None:
    assert {row.name for row in KEY.table.text.lane} == set(NAMES)
    assert set(NAMES) < set(CATALOGUE.lanes.texts)


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
