"""A fault in one place hides none elsewhere, and brings none that the rest has not."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copytree

import pytest

from stavebound.build.checking import check_files
from stavebound.build.loading import Loaded, load
from stavebound.build.on_paper import remains_faults
from stavebound.build.setting import setting_of
from stavebound.build.values import open_house
from stavebound.check.scores import AHEAD, ALONE, RULES, RULES_OF_NAMES
from stavebound.diagnostics import Diagnostic, told
from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from tests.support.damage import damaged
from tests.support.sources import score_faults

ROOT = Path(__file__).parents[1]
HOUSE = open_house()
SETTING = setting_of((), HOUSE)
DEMO = sorted((ROOT / "books" / "syllabus" / "scores").glob("*.xml"))
CASES = sorted((ROOT / "tests" / "cases" / "check").glob("*.xml"))
FAULTY = [path for path in CASES if "<score " in path.read_text("utf-8")]


def faults_of(loaded: Loaded) -> tuple[Diagnostic, ...]:
    """All that is said of a score by itself but of its engraving."""
    if isinstance(loaded.content, Score):
        catalogue = SETTING.catalogue
        school = catalogue.school(loaded.content.school or "english") or catalogue.schools.school[0]
        return (*loaded.diagnostics, *score_faults(loaded.content, catalogue, school))
    if loaded.remains:
        return (*loaded.diagnostics, *remains_faults(loaded.remains, None, SETTING))
    return loaded.diagnostics


def found(path: Path) -> set[tuple[str, int]]:
    """Code and line of all that is told of a file."""
    faults = faults_of(load(path, path.name))
    return {(fault.code, fault.span.line) for fault in told(faults) if fault.span}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demonstration book, whose scores may be damaged."""
    return copytree(ROOT / "books" / "syllabus", tmp_path_factory.mktemp("books") / "syllabus")


# ---------------------------------------------------------------- random damage


@pytest.mark.parametrize("index", range(len(DEMO)))
def test_of_a_sound_score_that_is_damaged_only_the_damage_is_told(index: int, folder: Path) -> None:
    """Two slips for each score of the demonstration book: no fault that follows from them."""
    for seed in (index, index + 1000):
        path = folder / "scores" / "damaged.xml"
        path.write_text(damaged(DEMO[index].read_text("utf-8"), seed), encoding="utf-8")
        if any(code.startswith("S") for code, _ in found(path)):
            assert {code[0] for code, _ in found(path)} == {"S"}, (DEMO[index].name, seed)


@pytest.mark.parametrize("path", FAULTY, ids=lambda path: path.stem)
def test_of_a_faulty_score_that_is_damaged_nothing_new_is_told(path: Path, tmp_path: Path) -> None:
    text, before = path.read_text("utf-8"), found(path)
    for seed in range(2):
        other = tmp_path / path.name
        other.write_text(damaged(text, seed), encoding="utf-8")
        after = found(other)
        if any(code.startswith("S") for code, _ in after):
            assert {one for one in after if one[0][0] != "S"} <= before, seed


# ---------------------------------------------------------------- what is told all the same

MUSIC = '<music metre="2/4" counts-per-bar="2"/>'
START = '<start><feet in="first"/><arms in="first"/></start>'
TURN = '<frame at="2"><turn to="left" by="1/4" on="both"/></frame>'
PLANTED = f"""{MUSIC}{START}
<phrase counts="4">{TURN}
<frame at="3"><facing to="front"/></frame><!-- T422: by the turn before it -->
<frame at="4"><arms in="secnod"/></frame><!-- T322 -->
</phrase>
<phrase counts="4"><frame at="1"><knees bend="half" kept="yes"/></frame>
<frame at="2">DAMAGE</frame>
<frame at="3"><feet in="fifth"/></frame><!-- T342 -->
<frame at="4"><facing to="back"/></frame>
</phrase>
<again/>
<phrase counts="4"><frame at="1"><hand side="left" in="frist"/></frame><!-- T322 -->
</phrase>
<note> </note><!-- T361 -->
"""


def score(inside: str, attributes: str = "") -> str:
    return f'<score xmlns="{NAMESPACE}" title="A score" {attributes}>{inside}</score>'


def at(text: str, tmp_path: Path) -> set[tuple[str, int]]:
    path = tmp_path / "score.xml"
    path.write_text(text, encoding="utf-8")
    return found(path)


def marked(text: str) -> set[tuple[str, int]]:
    return {
        (match[1], number)
        for number, line in enumerate(text.splitlines(), 1)
        for match in re.finditer(r"<!-- ([A-Z][0-9]{3})", line)
    }


def test_a_fault_before_the_damage_and_one_of_its_own_behind_it_are_told(tmp_path: Path) -> None:
    text = score(PLANTED.replace("DAMAGE", '<knees bend="haf"/>'))
    assert at(text, tmp_path) == {*marked(text), ("S106", 7)}


def test_what_follows_from_the_damage_is_not_told(tmp_path: Path) -> None:
    """The facing in the end is right by a turn that is misspelled."""
    text = score(PLANTED.replace("DAMAGE", '<turn to="left" by="1/4" on="bth"/>'))
    assert at(text, tmp_path) == {*marked(text), ("S106", 7)}


@pytest.mark.parametrize(
    ("inside", "attributes"),
    [
        # what is danced is known before a passage that cannot be unfolded, and behind a text
        (PLANTED.replace("<again/>", '<again phrases="9"/><!-- U107 -->'), ""),
        (
            PLANTED.replace("<again/>", '<phrase counts="2"><do step="x"/></phrase><!-- U102 -->'),
            "",
        ),
        (PLANTED.replace("<again/>", "") + "<aim><b>x</b></aim><!-- S102 -->", ""),
        (PLANTED.replace("<again/>", "<agian/><!-- S102 -->"), ""),
        (PLANTED.replace("<again/>", '<steps from="nowhere.xml"/><!-- B601 -->'), ""),
        (PLANTED.replace("<again/>", ""), "levl='1'"),
    ],
)
def test_faults_of_any_kind_hide_none(inside: str, attributes: str, tmp_path: Path) -> None:
    text = score(inside.replace("DAMAGE", '<turn to="left" by="1/4" on="both"/>'), attributes)
    more = {("S104", 1)} if attributes else set()
    assert at(text, tmp_path) == marked(text) | more


@pytest.mark.parametrize(
    "start",
    [
        '<start><feet in="frst"/></start>',
        "<strat/>",
        '<start on="both"/>',
        '<music metre="2/4" counts-per-bar="none"/>',
    ],
)
def test_without_its_beginning_only_what_stands_alone_is_told(start: str, tmp_path: Path) -> None:
    text = score(PLANTED.replace(START, start).replace("DAMAGE", ""))
    told_of = {code for code, _ in at(text, tmp_path)}
    assert told_of - {"S102", "S104", "S106", "S107", "S110"} == {"T322", "T342", "T361"}


def test_names_are_not_read_where_the_school_is_lost(tmp_path: Path) -> None:
    text = score(PLANTED.replace("DAMAGE", ""), 'scool="russian"')
    assert {code for code, _ in at(text, tmp_path)} == {"S104", "T342", "T361"}


def test_a_book_tells_of_all_its_scores_whatever_is_damaged(tmp_path: Path) -> None:
    (tmp_path / "book.xml").write_text(
        f'<book xmlns="{NAMESPACE}" title="A book" date="2026-03-02"><chapter title="One">'
        '<exercise score="a.xml"/><exercise score="b.xml"/></chapter></book>',
        encoding="utf-8",
    )
    damage = score(PLANTED.replace("DAMAGE", '<knees bend="haf"/>'))
    (tmp_path / "a.xml").write_text(damage, encoding="utf-8")
    (tmp_path / "b.xml").write_text(score(PLANTED.replace("DAMAGE", "")), encoding="utf-8")
    faults = told(check_files([tmp_path / "book.xml"], HOUSE).diagnostics)
    for name, damages in (("a.xml", {("S106", 7)}), ("b.xml", set())):
        own = {(one.code, one.span.line) for one in faults if one.span and name in one.span.path}
        assert own >= {*marked(damage), *damages}


def test_rules_are_sorted_among_those_there_are() -> None:
    assert {*RULES, *RULES_OF_NAMES} >= ALONE | AHEAD
    assert not ALONE & AHEAD
