"""A score is danced once: whoever looks at it is handed the same time and the same poses."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import FrameType

import pytest

from stavebound.book.editions import body_sheets
from stavebound.book.layouts import Asked
from stavebound.build.checking import check_files
from stavebound.build.engraving import engrave_file
from stavebound.build.loading import load, load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.setting import setting_of
from stavebound.dance.printed import with_signs, written_out
from stavebound.dance.state import apply
from stavebound.diagnostics import Span
from stavebound.plan.book import SIGNS, WRITTEN_OUT
from stavebound.score.counts import time_line
from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from tests.support.staves import HOUSE, PAPERS, danced_of

TITLE = "Danced"
MUSIC = '<music metre="4/4" counts-per-bar="4"/><start><feet in="first"/><arms in="side"/></start>'
PHRASE = """<phrase counts="4"><frame at="1"><knees bend="{}"/><arms in="second"/></frame>
<frame at="3"><knees bend="none"/><hand side="left" in="first"/><head turn="left"/></frame>
</phrase>"""
PLAIN = PHRASE.format("half") + PHRASE.format("full")
REPEATED = f"{PLAIN}<repeat>{PHRASE.format('half')}</repeat>{PHRASE.format('full')}"


class Reckoned:
    """What is reckoned of the score: how often its time, and which of its changes."""

    def __init__(self) -> None:
        self.times, self.changes = 0, Counter[Span]()

    def __call__(self, frame: FrameType, event: str, _: object) -> None:
        if event != "call":
            return
        if frame.f_code is time_line.__code__:
            self.times += frame.f_locals["score"].title == TITLE
        elif frame.f_code is apply.__code__:
            span = frame.f_locals["change"].origin.span
            self.changes.update([span] if span.path.endswith("danced.xml") else ())


def reckoned(work: Callable[[], object]) -> Reckoned:
    found = Reckoned()
    sys.setprofile(found)
    try:
        work()
    finally:
        sys.setprofile(None)
    return found


def score_file(folder: Path, inside: str) -> Path:
    path = folder / "danced.xml"
    text = f'<score xmlns="{NAMESPACE}" title="{TITLE}" school="english">{MUSIC}{inside}</score>'
    path.write_text(text, encoding="utf-8")
    return path


def score_in(path: Path) -> Score:
    score = load(path, str(path)).content
    assert isinstance(score, Score)
    return score


def changes_of(score: Score) -> Iterator[Span]:
    """The place of every change that is danced, as often as it is danced."""
    assert score.start is not None
    frames = (frame.changes for phrase in score.phrases for frame in phrase.frames)
    moments = (score.start.changes, *frames)
    return (change.origin.span for changes in moments for change in changes)


def pages(path: Path, repeats: str) -> None:
    """The pages of a book of the score, up to the press, with the key to its signs."""
    book = path.with_name("book.xml")
    book.write_text(
        f'<book xmlns="{NAMESPACE}" title="B" date="2026-03-02" school="english" '
        f'repeats="{repeats}"><chapter id="one" title="At the barre">'
        f'<exercise score="{path.name}"/></chapter></book>',
        encoding="utf-8",
    )
    project = load_project(book, str(book))
    manuscript = manuscript_of(project, Asked(), HOUSE)
    assert manuscript.value is not None, manuscript.diagnostics
    assert [*body_sheets(manuscript.value, setting_of(project.sheets, HOUSE))]


WORKS: dict[str, Callable[[Path, str], object]] = {
    "build": pages,
    "check": lambda path, _: check_files([path], HOUSE),
    "engrave": lambda path, repeats: engrave_file(
        path, path.parent / "out", PAPERS["A5"], None, HOUSE, repeats
    ),
}


@pytest.mark.parametrize("work", WORKS.values(), ids=WORKS)
@pytest.mark.parametrize("inside", [PLAIN, REPEATED], ids=["plain", "repeated"])
def test_a_score_is_reckoned_once(
    work: Callable[[Path, str], object], inside: str, tmp_path: Path
) -> None:
    path = score_file(tmp_path, inside)
    found = reckoned(lambda: work(path, WRITTEN_OUT))
    assert found.times == 1
    assert found.changes == Counter(changes_of(score_in(path)))


@pytest.mark.parametrize("name", ["build", "engrave"])
def test_what_is_printed_with_signs_has_a_time_of_its_own(name: str, tmp_path: Path) -> None:
    """The time of the whole, and that of the shorter score; the poses are those of the whole."""
    path = score_file(tmp_path, REPEATED)
    found = reckoned(lambda: WORKS[name](path, SIGNS))
    assert found.times == 2
    assert found.changes == Counter(changes_of(score_in(path)))


def test_what_is_printed_is_danced_as_the_whole_is(tmp_path: Path) -> None:
    whole = danced_of(score_in(score_file(tmp_path, REPEATED)))
    printed = with_signs(whole).danced
    assert len(whole.moments) - len(printed.moments) == 2
    at = whole.score.phrases.index(printed.score.phrases[-2]) * 2
    assert [id(each.posed) for each in printed.moments[:at]] == [
        id(each.posed) for each in whole.moments[:at]
    ]
    assert written_out(whole).danced is whole


def test_a_moment_tells_how_it_came_there(tmp_path: Path) -> None:
    """Step after step, from the pose before to the pose after; the next begins where it ends."""
    danced = danced_of(score_in(score_file(tmp_path, PLAIN)))
    assert len(danced.lines) == 1
    for moment, after in zip(danced.moments, danced.moments[1:], strict=False):
        poses = [moment.before, *(step.after for step in moment.steps)]
        assert [step.before for step in moment.steps] == poses[:-1]
        assert poses[-1] == moment.after == after.before
    assert [each.event for each in danced.moments[1:]] == [*danced.timeline.events]
    assert danced.moments[0].event is None


def test_poses_are_equal_whatever_words_led_to_them(tmp_path: Path) -> None:
    first = danced_of(score_in(score_file(tmp_path, PLAIN))).poses[1]
    assert first.steps
    assert replace(first, steps=()) == first
