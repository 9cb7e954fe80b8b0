"""Values that are remembered and compared: by what they say, wherever they were made; and
nothing that is remembered grows with every house of a long process."""

from __future__ import annotations

import gc
import subprocess
import sys
import weakref
from dataclasses import replace
from functools import _lru_cache_wrapper
from typing import Any

import pytest

from stavebound.build import setting as house_setting
from stavebound.build.setting import OUTFITS, outfit_of
from stavebound.build.values import House
from stavebound.engrave.engraving import Engraved
from stavebound.engrave.parts import Setting
from stavebound.engrave.system import PlacedSign
from stavebound.engrave.ways import PlacedWay
from stavebound.faces import load_faces
from stavebound.plan.book import StyleSheet
from stavebound.remembering import forget
from stavebound.score.model import Score
from stavebound.source.rules import NAMESPACE
from stavebound.svg.staves import draw_staves
from stavebound.trade.catalogue import load_catalogue
from tests.support.engraved_cases import score_in
from tests.support.sources import score_of
from tests.support.staves import (
    CATALOGUE,
    FACES,
    HOUSE,
    danced_of,
    engraved,
    least_width,
    setting_of,
    style_of,
)

TEXT = f"""<score xmlns="{NAMESPACE}" title="Small"><music metre="4/4" counts-per-bar="4"/>
<start><feet in="fifth" front="right"/><arms in="side"/></start><phrase counts="4">
<frame at="1" step="dégagé"><knees bend="half"/><hand side="left" in="first" palm="up"/></frame>
<frame at="2 and"><foot side="right" to="front" place="pointed" by="slide"/></frame></phrase>
</score>"""
SCORE = score_of(TEXT, "here.xml")
# Whatever a house may change: distances, sizes, signs, words and faces.
INSIDE = (
    '<stave height="{height}"/><distance of="sign clearance" spaces="{white}"/>'
    '<distance of="count size" spaces="{size}"/><signs size="{size}"/>'
)
SPOKEN = 'labels="fr"'


def sheet(number: int, shown: str = "style.xml") -> StyleSheet:
    inside = INSIDE.format(
        height=8 + number / 100,
        white=f"0.{25 + number % 20}",
        size=f"1.0{number % 10}{number // 10}",
    )
    return style_of(f'<style xmlns="{NAMESPACE}" {SPOKEN}>{inside}</style>', shown)


def printed(score: Score, setting: Setting) -> list[str]:
    return [draw_staves(system, setting.faces) for system in engraved(score, 115, setting).systems]


def caches() -> dict[str, _lru_cache_wrapper[Any]]:
    """Whatever of ours remembers anything."""
    found = (one for one in gc.get_objects() if type(one) is _lru_cache_wrapper)
    own = [one for one in found if str(one.__module__).startswith("stavebound")]
    return {f"{one.__module__}.{one.__qualname__}": one for one in own}


def sizes() -> dict[str, int]:
    return {name: one.cache_info().currsize for name, one in caches().items()}


# ---------------------------------------------------------------- what is remembered


def test_what_is_remembered_of_houses_is_bounded_and_no_house_lives_for_ever() -> None:
    """Whatever has no bound remembers packaged things alone."""
    forget()
    empty = sum(sizes().values())
    first = outfit_of((sheet(0),), HOUSE).setting
    printed(SCORE, first)
    alive: list[weakref.ref[Any]] = [weakref.ref(first.style), weakref.ref(first.catalogue)]
    del first
    unbounded = {name for name, one in caches().items() if one.cache_info().maxsize is None}
    before = sizes()
    most_of_one, most = sum(before.values()) - empty, 0
    for number in range(1, 2 * OUTFITS):
        printed(SCORE, outfit_of((sheet(number),), HOUSE).setting)
        most = max(most, sum(sizes().values()) - empty)
    assert {name: sizes()[name] for name in unbounded} == {name: before[name] for name in unbounded}
    assert 2 * most_of_one < most < 1.2 * OUTFITS * most_of_one
    gc.collect()
    assert [one() for one in alive] == [None, None]


def test_what_another_house_with_the_same_tables_remembers_changes_nothing() -> None:
    """Of two counts beside each other, one may be remembered from there: their lanes are equal
    and not the same."""
    score = score_in("syllables")
    forget()
    alone = least_width(score)
    forget()
    other = house_setting.setting_of((), House(load_catalogue(), FACES))
    engraved(SCORE, setting=other)
    assert least_width(score) == alone


def test_the_next_book_of_a_house_adds_nothing() -> None:
    """Also where its style stands in another file."""
    one = outfit_of((sheet(3, "one.xml"),), HOUSE)
    lines = printed(SCORE, one.setting)
    before = sizes()
    other = outfit_of((sheet(3, "other.xml"),), HOUSE)
    assert other is one
    assert printed(score_of(TEXT, "there.xml"), other.setting) == lines
    assert sizes() == before


def test_what_was_forgotten_is_reckoned_alike() -> None:
    lines = printed(SCORE, setting_of(sheet(5)))
    forget()
    assert sum(sizes()[f"stavebound.engrave.gather.{name}"] for name in ("_pair", "_hand")) == 0
    assert printed(SCORE, setting_of(sheet(5))) == lines


def test_every_house_has_its_own_outfit() -> None:
    other = House(CATALOGUE, FACES)
    assert outfit_of((), HOUSE) is outfit_of((), HOUSE)
    assert outfit_of((), HOUSE) is not outfit_of((), other)
    assert outfit_of((), HOUSE, "fr") is not outfit_of((), HOUSE)


# ---------------------------------------------------------------- digests

CHANGES = (
    '<stave height="10"/>',
    '<stave height="9.5"/>',
    '<stave centre-line="no"/>',
    '<stave line-names="every"/>',
    '<distance of="count size" spaces="1.3"/>',
    '<signs size="1.1"/>',
    '<signs weight="1.1"/>',
    '<type text="Spectral"/>',
    '<type headings="Spectral"/>',
    '<type size="9"/>',
)


def styled(inside: str, attributes: str = "", shown: str = "style.xml") -> StyleSheet:
    return style_of(f'<style xmlns="{NAMESPACE}" {attributes}>{inside}</style>', shown)


def test_a_digest_tells_every_setting_from_any_other() -> None:
    sheets = [styled(inside) for inside in CHANGES] + [styled("", SPOKEN), styled("")]
    assert len({setting_of(one).digest for one in sheets}) == len(sheets)
    usual = setting_of()
    assert setting_of(styled("")).digest == usual.digest
    assert usual.at_height(10.0).digest == setting_of(styled(CHANGES[0])).digest
    assert replace(usual.style, costs={**usual.style.costs, "slack": 7}).digest != (
        usual.style.digest
    )


def test_digests_are_of_what_is_said_and_not_of_where() -> None:
    own = [CHANGES[at] for at in (0, 4, 6, 7)]
    one = setting_of(styled("".join(own), SPOKEN, "one.xml"))
    forget()
    other = setting_of(styled("\n\n".join(own), SPOKEN, "other.xml"))
    assert one is not other
    assert one.digest == other.digest
    assert load_faces("Spectral").digest != load_faces().digest


def test_a_digest_is_the_same_in_another_process() -> None:
    code = (
        "from stavebound.build.values import open_house\n"
        "from stavebound.build.setting import setting_of\n"
        "from tests.test_remembered import sheet\n"
        "print(setting_of((sheet(7),), open_house()).digest)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert run.stdout.strip() == house_setting.setting_of((sheet(7),), HOUSE).digest


# ---------------------------------------------------------------- places without their origin


def placed(score: Engraved) -> list[PlacedSign | PlacedWay]:
    (line,) = score.systems
    return [*line.staves[0].signs, *line.staves[0].ways]


def test_what_is_danced_and_drawn_is_equal_wherever_it_is_written() -> None:
    """All of a line, its places too; the place of each is still told."""
    setting = setting_of()
    there = score_of("\n\n" + TEXT.replace("><", ">\n <"), "there.xml")
    assert danced_of(there) == danced_of(SCORE)
    one, other = (engraved(score, 115, setting) for score in (SCORE, there))
    assert one == other
    places, others = map(placed, (one, other))
    assert {type(place) for place in places} == {PlacedSign, PlacedWay}
    for here, elsewhere in zip(places, others, strict=True):
        assert not here != elsewhere  # noqa: SIM202
        assert hash(here) == hash(elsewhere)
        assert here.origin.span.path == "here.xml"
        assert elsewhere.origin.span.path == "there.xml"


@pytest.mark.parametrize(("change", "to"), [("right", "left"), ("side", "bras bas")])
def test_what_is_drawn_otherwise_is_not_equal(change: str, to: str) -> None:
    other = score_of(TEXT.replace(f'"{change}"', f'"{to}"'), "here.xml")
    assert danced_of(other) != danced_of(SCORE)
    one, two = (engraved(score, 115, setting_of()) for score in (SCORE, other))
    assert one != two
    assert set(placed(one)) != set(placed(two))
    assert len(set(placed(one))) == len(placed(one))
