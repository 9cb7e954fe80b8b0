"""The frames of `make legibility`: every way of writing is among them, and ink is counted."""

from __future__ import annotations

from PIL import Image, ImageDraw

from stavebound.dance.features import features
from tests.support.families import NEAR, families
from tests.support.seeing import Eye, differing, ink_of
from tests.support.staves import CATALOGUE, ENGLISH

FAMILIES = families(CATALOGUE)
EYE = Eye(dpi=150, spread=0.5, shift=1)


def test_the_families_have_every_way_of_writing() -> None:
    """But for bows of phrasing, which have no neighbours."""
    shown = {
        feature
        for family in FAMILIES
        for frame in family.frames
        for feature in features(family.posed(frame, CATALOGUE, ENGLISH), CATALOGUE)
    }
    phrased = {row.feature for row in CATALOGUE.key.row if row.phrased}
    assert CATALOGUE.key.features - phrased == shown


def test_neighbours_differ_in_one_slot() -> None:
    for family in FAMILIES:
        for words, one, other in family.pairs():
            differ = [pair for pair in zip(one, other, strict=True) if pair[0] != pair[1]]
            assert differ == [words]
            assert family.source(one) != family.source(other)


def test_what_may_be_near_is_a_pair() -> None:
    pairs = {
        (family.name, frozenset(words)) for family in FAMILIES for words, _, _ in family.pairs()
    }
    assert pairs >= NEAR


def square(x: int) -> Image.Image:
    image = Image.new("L", (20, 20))
    ImageDraw.Draw(image).rectangle((x, 5, x + 3, 8), fill=255)
    return image


def test_ink_is_counted_and_a_shift_that_is_not_seen_is_none() -> None:
    assert ink_of(square(4)) == 16
    assert differing(square(4), square(5), EYE) == 0
    # Moved by three dots, of which one is not seen: two of its four columns on either side.
    assert differing(square(4), square(7), EYE) == 16 * EYE.dot
