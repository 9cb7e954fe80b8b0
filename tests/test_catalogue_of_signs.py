"""The printed catalogue: every sign once, and a plate of forty frames that use them all."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import get_args

import pypdfium2
import pytest
from typer.testing import CliRunner

from stavebound.book.sign_catalogue import signs_sheet
from stavebound.book.values import Sheet
from stavebound.build import sign_catalogue
from stavebound.build.movements import movement_lines, movement_score, movement_text
from stavebound.build.on_paper import score_on_paper
from stavebound.build.sign_catalogue import PLATE, SIGNS_LAYOUT, packaged, print_signs
from stavebound.check.promises.looks import kind_of_spring
from stavebound.check.promises.shots import shots
from stavebound.check.scores import check_lone_score
from stavebound.cli import app
from stavebound.dance.features import features, score_features
from stavebound.engrave.parts import Setting
from stavebound.press.values import PressError
from stavebound.proof.lines import DrawnLine, OnPaper
from stavebound.score.lanes import Front, TravelChange, TravelPath, TurnChange, TurnedOn
from stavebound.score.model import Score, Transfer, WholeChange
from stavebound.source.rules import NAMESPACE
from stavebound.trade.steps import SpringKind
from stavebound.trade.tables import Sign
from tests.support.pages import tree_of
from tests.support.readers import signs_of
from tests.support.sources import score_of
from tests.support.staves import (
    CATALOGUE,
    HOUSE,
    LAYOUTS,
    PAPERS,
    SETTING,
    danced_of,
    key_in,
    styled,
)

RUNNER = CliRunner()
LAYOUT = LAYOUTS[SIGNS_LAYOUT]
MOVEMENTS = CATALOGUE.movements.movement
# The groups of the key that tell of movement.
MOVING = ("Movement", "Facing, travel and turns", "Above the counts", "Held and still")
REDRAWN = (
    '<sign of="half bend"><stroke from="-0.26 0" to="0.26 0" width="0.10"/>'
    '<disc at="0 0.14" diameter="0.14"/></sign>'
)


@cache
def plate_in(setting: Setting, paper: str = "A4") -> OnPaper:
    outcome = score_on_paper(
        score_of(packaged(PLATE), PLATE), None, PAPERS[paper], setting, key_in(setting)
    )
    assert outcome.diagnostics == ()
    assert outcome.value is not None
    return outcome.value


@cache
def moves_in(setting: Setting, paper: str = "A4") -> tuple[DrawnLine, ...]:
    outcome = movement_lines(PAPERS[paper], setting, key_in(setting))
    assert outcome.diagnostics == ()
    assert outcome.value is not None
    return outcome.value


@cache
def sheet_in(setting: Setting) -> Sheet:
    return signs_sheet(LAYOUT, plate_in(setting), moves_in(setting), setting, key_in(setting))


def style_file(folder: Path, inside: str) -> Path:
    path = folder / "house.xml"
    path.write_text(f'<style xmlns="{NAMESPACE}">{inside}</style>', encoding="utf-8")
    return path


# ---------------------------------------------------------------- the tables and the plate


def test_every_sign_stands_in_one_group_of_the_catalogue() -> None:
    """A sign that is new wants its place in trade/groups.toml."""
    named = Counter(name for group in CATALOGUE.groups.group for name in group.signs)
    assert named == Counter(list(CATALOGUE.signs))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_plate_has_forty_frames_that_use_every_sign(paper: str) -> None:
    """A sign that is new wants its place in build/plate.xml."""
    systems = plate_in(SETTING, paper).engraved.systems
    counts = [text.text for system in systems for text in system.texts if text.lane == "counts"]
    assert counts == [str(count) for count in range(1, 41)]
    used = {sign for system in systems for sign in signs_of(system)}
    assert set(CATALOGUE.signs) - used == set()


def test_the_plate_is_a_sound_score() -> None:
    assert tuple(check_lone_score(score_of(packaged(PLATE), PLATE), CATALOGUE)) == ()


def test_a_sign_is_shown_where_it_is_a_limb_s_and_no_part_of_a_turn() -> None:
    html = sheet_in(SETTING).html
    found = re.search(r"stave:sign%20weight.*?stave:frame%20(\d+)", html, re.DOTALL)
    assert found
    posed = plate_in(SETTING).danced.poses[int(found[1])]
    assert "weight on one foot" in features(posed, CATALOGUE)


def test_words_stand_under_every_frame_of_the_plate() -> None:
    words = [
        each.text
        for each in tree_of(sheet_in(SETTING).html).all("span")
        if each.attributes.get("class") == "under"
    ]
    assert len(words) == 40
    assert all(words)
    assert "weight" in words[27]


# ---------------------------------------------------------------- forms of movement


def shown_movements() -> tuple[Score, ...]:
    """The scores of the rows, each as the schema and the reading of any score have it."""
    return tuple(score_of(movement_text(row), row.meaning) for row in MOVEMENTS)


def test_every_form_of_movement_is_shown() -> None:
    """A form that is new wants its row in trade/movements.toml. A turn on one foot is on the left
    one there."""
    scores = shown_movements()
    assert scores == tuple(map(movement_score, MOVEMENTS))
    dances = [danced_of(score) for score in scores]
    found = {name for danced in dances for name in score_features(danced)}
    scales = {scale.name for scale in CATALOGUE.key.scale if scale.group in MOVING}
    wanted = {row.feature for row in CATALOGUE.key.row if row.scale in scales and not row.when}
    wanted -= {"turn on right"}
    assert wanted | {"weight on one foot"} <= found
    moves = [move for danced in dances for posed in danced.poses for move in posed.moves]
    assert {move.kind for move in moves} == {*CATALOGUE.moves.transfer, "way"}
    assert {move.path for move in moves if move.path} == set(CATALOGUE.moves.way.sag)
    assert {move.subject.kind for move in moves if move.via} == {"hand", "foot"}


def test_every_spring_turn_path_and_word_is_shown() -> None:
    moments = [moment for score in shown_movements() for moment in danced_of(score).moments]
    springs = {
        kind_of_spring(shots((moment,))[-1])
        for moment in moments
        if any(getattr(change, "by", None) is Transfer.SPRING for change in moment.changes)
    }
    assert springs == set(get_args(SpringKind))
    changes = [change for moment in moments for change in moment.changes]
    turns = {change.on for change in changes if isinstance(change, TurnChange)}
    assert {TurnedOn.BOTH, TurnedOn.NEITHER} < turns
    travels = [change for change in changes if isinstance(change, TravelChange)]
    assert {change.path for change in travels} == set(TravelPath)
    assert {change.of for change in travels} == set(Front)
    whole = {change.name for change in changes if isinstance(change, WholeChange)}
    assert {"hold", "hold of arms", "hold of legs"} <= whole
    frames = [frame for score in shown_movements() for frame in score.phrases[0].frames]
    assert any(frame.text("quality") for frame in frames)
    assert any(text.attributes and text.words for frame in frames for text in frame.texts)


def test_forms_of_movement_have_each_a_picture_and_a_meaning_of_their_own() -> None:
    lines = moves_in(SETTING)
    assert len(lines) == len(MOVEMENTS)
    pictures = {re.sub(r"<title>.*</title>", "", line.svg) for line in lines}
    assert len(pictures) == len(lines)
    assert len({row.meaning for row in MOVEMENTS}) == len(MOVEMENTS)
    assert max(line.box.width * line.space for line in lines) < 48.0
    groups = [group for group, _ in groupby(MOVEMENTS, key=lambda row: row.group)]
    assert len(set(groups)) == len(groups)


# ---------------------------------------------------------------- the sheet


def test_the_sheet_says_of_every_sign_what_its_row_says() -> None:
    tree = tree_of(sheet_in(SETTING).html)
    rows = [row.text for row in tree.all("li")]
    assert rows[len(CATALOGUE.signs) :] == [
        f"{row.meaning[0].upper()}{row.meaning[1:]}." for row in MOVEMENTS
    ]
    for row, sign in zip(rows, printed_order(), strict=False):
        for words in (sign.name, sign.meaning, sign.description[1:], sign.source[1:]):
            assert words.replace("'", "’") in row


def printed_order() -> list[Sign]:
    return [CATALOGUE.signs[name] for group in CATALOGUE.groups.group for name in group.signs]


def test_every_picture_is_asked_for_and_every_one_asked_for_is_there() -> None:
    sheet = sheet_in(SETTING)
    asked = {
        image.attributes["src"].removeprefix("stave:").replace("%20", " ")
        for image in tree_of(sheet.html).all("img")
    }
    assert asked == {name for name, _ in sheet.images}
    assert len(asked) == len(sheet.images)


def test_a_sign_that_no_frame_shows_is_refused() -> None:
    plate = plate_in(SETTING)
    short = replace(plate, danced=replace(plate.danced, lines=(plate.danced.moments[:-5],)))
    with pytest.raises(KeyError, match="the plate has no frame with the sign"):
        signs_sheet(LAYOUT, short, moves_in(SETTING), SETTING, key_in(SETTING))


def test_a_house_s_own_drawings_are_shown() -> None:
    usual, own = dict(sheet_in(SETTING).images), dict(sheet_in(styled(REDRAWN)).images)
    assert {name for name in usual if name.startswith("sign") and usual[name] != own[name]} == {
        "sign half bend"
    }
    assert "house style" not in sheet_in(SETTING).html
    text = tree_of(sheet_in(styled(REDRAWN)).html).text
    assert "Some signs are shown here as the house style has them." in text
    assert "Drawn by the house." in text
    assert "The house style" in text


# ---------------------------------------------------------------- the file


def test_the_same_signs_make_the_same_bytes_and_nothing_else_is_left(tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        report = print_signs(tmp_path / name, PAPERS["A4"], None, HOUSE)
        assert report.diagnostics == ()
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one.pdf", "two.pdf"]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_command_prints_the_catalogue(paper: str, tmp_path: Path) -> None:
    out = tmp_path / "signs.pdf"
    result = RUNNER.invoke(app, ["signs", "--out", str(out), "--paper", paper])
    assert result.exit_code == 0
    assert result.stdout == f"wrote {out}\n"
    with pypdfium2.PdfDocument(out) as document:
        assert document.get_metadata_value("Title") == "Signs of the movement stave"
        width, height = document[0].get_size()
        told = "".join(page.get_textpage().get_text_bounded() for page in document)
    text = " ".join(told.split())
    assert (width, height) == pytest.approx(
        (PAPERS[paper].width * 72 / 25.4, PAPERS[paper].height * 72 / 25.4), abs=0.01
    )
    assert all(name in text for name in CATALOGUE.signs)
    assert "Forty frames" in text
    assert "Every form of movement" in text


def test_a_house_style_is_printed(tmp_path: Path) -> None:
    out, style = tmp_path / "signs.pdf", style_file(tmp_path, REDRAWN)
    result = RUNNER.invoke(app, ["signs", "--out", str(out), "--style", str(style)])
    assert result.exit_code == 0
    assert out.is_file()


def test_a_faulty_style_leaves_no_catalogue_that_could_be_taken_for_new(tmp_path: Path) -> None:
    out, style = tmp_path / "signs.pdf", style_file(tmp_path, '<sign of="hok" size="1.1"/>')
    out.write_bytes(b"%PDF-an earlier one")
    result = RUNNER.invoke(app, ["signs", "--out", str(out), "--style", str(style)])
    assert result.exit_code == 1
    assert "error[B510]" in result.stderr
    assert f"The earlier {out} is now" in result.stderr
    left = sorted(path.name for path in tmp_path.iterdir())
    assert left == ["house.xml", "signs.earlier-1.pdf"]


def test_a_failure_of_the_press_leaves_nothing_half_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> bytes:
        raise PressError("no paper")

    monkeypatch.setattr(sign_catalogue, "bind", fails)
    (tmp_path / "signs.pdf").write_bytes(b"%PDF-an earlier one")
    with pytest.raises(PressError) as raised:
        print_signs(tmp_path / "signs.pdf", PAPERS["A4"], None, HOUSE)
    assert [path.name for path in tmp_path.iterdir()] == ["signs.earlier-1.pdf"]
    assert any("is now" in note for note in raised.value.__notes__)


def test_what_is_no_style_is_refused(tmp_path: Path) -> None:
    score = tmp_path / "plate.xml"
    score.write_text(packaged(PLATE), encoding="utf-8")
    report = print_signs(tmp_path / "signs.pdf", PAPERS["A4"], score, HOUSE)
    assert [fault.code for fault in report.diagnostics] == ["B604"]
    assert not (tmp_path / "signs.pdf").exists()
