"""The places that reader and engraver share are held by anchors, each of which sees it move."""

from __future__ import annotations

from itertools import combinations

import pytest

from stavebound.build.setting import setting_of
from stavebound.readback.anchors import OWN, astray
from stavebound.readback.formula import worked_out
from stavebound.wording.translation import catalogue_in
from tests.support.mutants import (
    HELD,
    LEAVES,
    Mutant,
    anchors_see,
    house_with,
    mutants,
    places,
    spared,
)
from tests.support.readers import EVERY_SIGN, proved
from tests.support.staves import CATALOGUE, HOUSE


def test_the_tables_are_as_their_anchors_have_them() -> None:
    assert astray(CATALOGUE, HOUSE.table, HOUSE.anchors) == ()
    french = catalogue_in("fr", CATALOGUE)
    assert astray(french, HOUSE.table, HOUSE.anchors) == ()


def test_every_place_is_held_or_spared_with_a_reason() -> None:
    """Places of the reader's own are held by what refers to them."""
    assert set(spared()) <= set(places())
    theirs = {path for path in places() if not path.startswith(OWN)}
    assert theirs - set(HELD) == set(spared())
    assert set(HELD) <= set(LEAVES)


def test_the_anchors_see_every_place_that_moves() -> None:
    """By .3 of a space, to the other side, to another sign: the cheap half of the mutations."""
    every = {path: list(mutants(path, leaf)) for path, leaf in places().items()}
    assert sum(map(len, every.values())) > 1000
    unseen = {path for path, some in every.items() for one in some if not anchors_see(one)}
    assert unseen == set(spared())


@pytest.mark.parametrize(
    "mutant",
    [
        Mutant("feet.free.place.90.level", 1.25),
        Mutant("shapes.hand.side.height", 2.25),
        Mutant("centre.part.head.y", 3.65),
        Mutant("lanes.facing.y", -2.7),
        Mutant("ruling.across.hand.base", 0.25),
    ],
    ids=str,
)
def test_the_proof_sees_a_row_by_which_ink_is_both_drawn_and_read(mutant: Mutant) -> None:
    """The ink says what was written, by the wrong row: the anchor alone tells."""
    (fault,) = proved(EVERY_SIGN, setting=setting_of((), house_with(mutant)))
    assert fault.code == "R202"
    assert mutant.path in fault.message
    assert fault.span
    assert fault.span.line == 1


# What would be something else at the same height, or as far out.
APART = {
    "a free foot to the side or behind": [
        f"feet.free.place.{name}.level"
        for name in ("pointed", "off the floor", "45", "65", "90", "105", "120", "135", "180")
    ],
    "a free foot to the front": [
        f"feet.free.place.{name}.front"
        for name in ("pointed", "off the floor", "45", "65", "90", "105", "120", "135", "180")
    ],
    "a foot that touches the other leg": [
        f"feet.free.place.{n}.level" for n in ("ankle", "calf", "knee")
    ],
    "how much of a foot stands": [
        f"feet.rise.{name}.level" for name in ("whole foot", "half point", "point")
    ],
    "feet alike": [f"feet.position.{name}.right.x" for name in ("first", "second")],
    "fourths": [f"feet.position.{name}.front.x" for name in ("fourth", "open fourth")],
    "the dot of the foot behind": [f"feet.position.{n}.behind.x" for n in ("third", "fifth")],
    "parts of the body": [f"centre.part.{name}.y" for name in ("hips", "body", "head")],
    "what is held": [f"lanes.whole.hold{of}.y" for of in (" of legs", "", " of arms")],
    "lanes": [f"lanes.{name}.y" for name in ("turn", "travel", "facing")],
    "over the counts": [f"lanes.whole.{name}.y" for name in ("accent", "pause")],
    "over an accent": [f"lanes.whole.{name}.y" for name in ("accent", "through")],
    "how thick lines of weight end": [
        f"moves.transfer.{name}.widths[2]" for name in ("spring", "slide", "step")
    ],
    "ways": [f"moves.way.sag.{name}" for name in ("under", "straight", "over")],
}


@pytest.mark.parametrize("what", APART)
def test_anchors_are_closer_than_what_parts_two_meanings(what: str) -> None:
    """At the worst that the anchors allow, the order stays and no two are at one place."""
    held = [HELD[path] for path in APART[what]]
    for low, high in combinations(held, 2):
        assert not isinstance(low.wanted, str)
        assert not isinstance(high.wanted, str)
        assert low.wanted + low.within < high.wanted - high.within


def test_no_two_shapes_of_a_hand_can_come_to_one_place() -> None:
    """In height, or on paper across, of those with one sign."""
    for one, other in combinations(CATALOGUE.shapes.hand, 2):
        if one.depth == other.depth:
            assert any(
                apart(f"shapes.hand.{one.name}.{key}", f"shapes.hand.{other.name}.{key}")
                for key in ("height", "out")
            ), (one.name, other.name)


def apart(*paths: str) -> bool:
    one, other = (HELD[path] for path in paths)
    assert not isinstance(one.wanted, str)
    assert not isinstance(other.wanted, str)
    return abs(one.wanted - other.wanted) > one.within + other.within


def test_a_mutant_is_the_tables_with_one_leaf_changed() -> None:
    catalogue = house_with(Mutant("feet.tail.at.full bend[1]", 0.27)).catalogue
    assert catalogue.feet.tail.at["full bend"] == (0.33, 0.27)
    assert catalogue.feet.tail.at["half bend"] == CATALOGUE.feet.tail.at["half bend"]
    assert house_with(Mutant("reader.hand.lowest", 1.32)).table.hand.lowest == 1.32


def test_a_formula_is_arithmetic_by_names() -> None:
    names = {"shape.dash.length": 0.4, "at[0]": 2.0}
    functions = {"twice": lambda number: 2 * number}
    assert worked_out("-shape.dash.length / 2 + twice(at[0]) * 3 - 1", names, functions) == 10.8
    assert worked_out(0.25, {}, {}) == 0.25
    for wrong in ("'a'", "1 if 2 else 3", "at[0] ** 2", "twice(number=1)", "(lambda: 1)()"):
        with pytest.raises(ValueError, match="is no arithmetic"):
            worked_out(wrong, names, functions)
    with pytest.raises(KeyError):
        worked_out("nowhere", names, functions)
