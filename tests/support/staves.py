"""Engraved staves for the tests: how to get one, and how to look at it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cache, lru_cache
from itertools import islice

from stavebound.book.descriptions import load_layouts
from stavebound.build import setting as house_setting
from stavebound.build.values import House
from stavebound.dance.danced import Danced, dance
from stavebound.dance.pose import Posed
from stavebound.dance.printed import Printed, written_out
from stavebound.diagnostics import Outcome
from stavebound.engrave.bars import Measure
from stavebound.engrave.columns import Column
from stavebound.engrave.cost import Line
from stavebound.engrave.engraving import Engraved, engrave
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import PlacedSign, System
from stavebound.faces import load_faces
from stavebound.geometry import Box, union
from stavebound.plan.book import USUAL_LAYOUT, StyleSheet
from stavebound.readback.claims import ReadingKey
from stavebound.readback.house import house_table
from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from stavebound.trade.catalogue import load_catalogue
from stavebound.trade.tables import School
from tests.support.sources import root_of, score_of

CATALOGUE = load_catalogue()
FACES = load_faces()
ENGLISH = CATALOGUE.schools.school[0]
LAYOUTS = load_layouts()
SYLLABUS = LAYOUTS[USUAL_LAYOUT]
PAPERS = {paper.name: paper for paper in SYLLABUS.papers}
# The width of a line of music on A5 paper, in millimetres.
MEASURE = 115.0


HOUSE = House(CATALOGUE, FACES)
# The tables of which no sign's drawing is a part.
PLACES = tuple(row.name for row in fields(CATALOGUE) if row.name not in ("signs", "digest"))


def setting_of(*sheets: StyleSheet) -> Setting:
    return house_setting.setting_of(sheets, HOUSE)


@lru_cache(maxsize=64)
def key_in(setting: Setting) -> ReadingKey:
    """What the reader goes by in this setting. Most differ in signs alone: where all other
    tables are the usual ones, the anchors need not be asked again."""
    catalogue = setting.catalogue
    if any(getattr(catalogue, name) is not getattr(CATALOGUE, name) for name in PLACES):
        return house_setting.key_in(setting, HOUSE)
    return replace(
        _usual_key(), catalogue=catalogue, table=house_table(HOUSE.table, setting.style.signs)
    )


@cache
def _usual_key() -> ReadingKey:
    return house_setting.key_in(SETTING, HOUSE)


SETTING = setting_of()


def school_of(score: Score) -> School:
    school = CATALOGUE.school(score.school or "english")
    assert school is not None
    return school


def style_of(text: str, shown: str = "style.xml") -> StyleSheet:
    root = root_of(text, shown)
    assert isinstance(root, StyleSheet)
    return root


@lru_cache(maxsize=64)
def styled(inside: str) -> Setting:
    """The setting of a house style with this inside; the same one for the same, so that what is
    remembered of it serves again."""
    return setting_of(style_of(f'<style xmlns="{NAMESPACE}">{inside}</style>'))


def small_score(inside: str, music: str = '<music metre="4/4" counts-per-bar="4"/>') -> Score:
    """A score with a first line of its own, so that `inside` begins at line 2."""
    return score_of(f'<score xmlns="{NAMESPACE}" title="Small">{music}\n{inside}\n</score>')


def danced_of(score: Score, setting: Setting = SETTING) -> Danced:
    return dance(score, setting.catalogue, school_of(score))


def printed_of(score: Score, setting: Setting = SETTING) -> Printed:
    """The score without signs of repeats."""
    return written_out(danced_of(score, setting))


def outcome_of(
    score: Score, width: float = MEASURE, setting: Setting = SETTING
) -> Outcome[Engraved]:
    """The score on paper, and whatever is found wrong with it there."""
    return engrave(printed_of(score, setting), width, setting)


def engraved(
    score: Score, width: float = MEASURE, setting: Setting = SETTING, printed: Printed | None = None
) -> Engraved:
    """The score on paper, where nothing is found wrong with it."""
    outcome = engrave(printed or printed_of(score, setting), width, setting)
    assert outcome.diagnostics == ()
    assert outcome.value is not None
    return outcome.value


def poses_of(score: Score) -> tuple[Posed, ...]:
    """The pose of the start and of every frame."""
    return danced_of(score).poses


def bars_of(score: Score, setting: Setting = SETTING) -> tuple[Measure, ...]:
    """The bars of the score as it is written out, whatever is found wrong with them."""
    result = outcome_of(score, MEASURE, setting).value
    assert result is not None
    return result.bars


def least_width(score: Score, setting: Setting = SETTING, printed: Printed | None = None) -> float:
    """The least width in millimetres on which every bar stands whole and every text fits."""
    style, narrow = (
        setting.style,
        engrave(printed or printed_of(score, setting), 1.0, setting).value,
    )
    assert narrow is not None
    room = max(sum(gap.least for gap in line.run.gaps) for line in narrow.lines)
    columns = [column for bar in narrow.bars for column in bar.columns]
    longest = max(label.width for column in columns for label in column.texts) + 2 * style.distance(
        "text gap"
    )
    return max(room, longest) * style.space


@dataclass(frozen=True, slots=True)
class Moment:
    """A column on its axis, with the signs that were placed for it, cluster by cluster."""

    column: Column
    axis: float
    clusters: tuple[tuple[PlacedSign, ...], ...]

    @property
    def signs(self) -> tuple[PlacedSign, ...]:
        return tuple(sign for cluster in self.clusters for sign in cluster)

    @property
    def box(self) -> Box | None:
        return union(sign.box for sign in self.signs) if self.signs else None


def moments_of(line: Line, system: System, bars: Sequence[Measure]) -> tuple[Moment, ...]:
    """The columns of a line beside what was placed for them."""
    columns = [column for bar in bars[line.start : line.end] for column in bar.columns]
    signs = iter(system.staves[0].signs)
    moments = []
    for column, axis in zip(columns, line.run.places(line.ratio)[:-1], strict=True):
        clusters = tuple(
            tuple(islice(signs, len(cleared.cluster.inks))) for cleared in column.cells[0].signs
        )
        moments.append(Moment(column, axis, clusters))
    assert next(signs, None) is None
    return tuple(moments)


@dataclass(frozen=True, slots=True)
class View:
    """A score on paper, `width` spaces wide, with all that is needed to judge it."""

    score: Score
    setting: Setting
    width: float
    result: Engraved
    bars: tuple[Measure, ...]
    printed: Printed | None = None

    @property
    def lines(self) -> tuple[tuple[System, tuple[Moment, ...]], ...]:
        return tuple(
            (system, moments_of(line, system, self.bars))
            for line, system in zip(self.result.lines, self.result.systems, strict=True)
        )


def view(
    score: Score, width: float = MEASURE, setting: Setting = SETTING, printed: Printed | None = None
) -> View:
    """The score on paper `width` millimetres wide, where nothing is found wrong with it."""
    return viewed(engraved(score, width, setting, printed), score, width, setting, printed)


def viewed(
    result: Engraved, score: Score, width: float, setting: Setting, printed: Printed | None = None
) -> View:
    """What was engraved, with all that is needed to judge it."""
    return View(score, setting, width / setting.style.space, result, result.bars, printed)
