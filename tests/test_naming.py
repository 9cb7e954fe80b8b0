"""Names of places are looked up in one module, but where the reader keeps its own on purpose."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

import stavebound
from stavebound.trade.naming import nearest_line, strays
from tests.support.staves import CATALOGUE

PACKAGE = Path(stavebound.__file__).parent
# The tables in which a place has a name.
NAMED = (
    "shapes.hand",
    "shapes.arms",
    "shapes.contact",
    "feet.free.place",
    "feet.position",
    "feet.kneeling",
    "school.arms",
)
# The reader's own side, the words in another language, and a list of what a school does not have.
ELSEWHERE = ("trade/naming.py", "readback/", "wording/translation.py", "check/names.py")


def test_one_module_knows_what_a_place_is_called() -> None:
    asking = {
        path.relative_to(PACKAGE).as_posix()
        for path in PACKAGE.rglob("*.py")
        if any(table in path.read_text(encoding="utf-8") for table in NAMED)
    }
    assert "trade/naming.py" in asking
    assert {path for path in asking if not path.startswith(ELSEWHERE)} == set()


@pytest.mark.parametrize(
    ("height", "line"),
    [(0.49, "floor+0.49"), (1.51, "waist-0.49"), (-0.3, "floor-0.30"), (4.8, "head+0.80")],
)
def test_a_height_is_counted_from_the_nearest_line(height: float, line: str) -> None:
    name, offset = nearest_line(CATALOGUE.ruling, height)
    assert f"{name}{offset:+}" == line
    assert isinstance(offset, Decimal)


def test_a_place_strays_from_a_shape_in_what_the_table_does_not_allow() -> None:
    (side,) = (row for row in CATALOGUE.shapes.hand if row.name == "side")
    allowed = CATALOGUE.shapes.tolerance
    assert not list(strays(side, side.height + allowed.height, side.out, "level", CATALOGUE))
    far = side.height - allowed.height - 0.01, side.out + allowed.across, "front"
    assert list(strays(side, *far, CATALOGUE)) == ["height", "out", "depth"]
    assert not list(strays(side, None, None, None, CATALOGUE))
