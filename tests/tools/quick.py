"""A sign tried in seconds: `make quick SIGN="half bend"`.

Draws the sign and what uses it (tests/support/sign_sheet.py) on a sheet, build/quick-SIGN.png,
reads all of it back, and runs the tests that have the sign, one of these pictures' rows, or one
of their cases as a parameter. The exit code is 1 where something is misread or a test fails.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from stavebound.suggest import suggest
from tests.support.sign_sheet import Picture, pictures_with, sheet_of
from tests.support.staves import CATALOGUE

ROOT = Path(__file__).parents[2]
FILES = [
    f"tests/test_{name}.py"
    for name in ("signs", "house_signs", "readback_proof", "key", "engrave", "readback")
]
# Of these all is tried: whether the sign looks like another.
WHOLE = {"test_signs"}


class Chosen:
    """A plugin of pytest: keeps the tests that have one of the names as a parameter."""

    def __init__(self, names: set[str]) -> None:
        self.names = names

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [item for item in items if self._has(item)]

    def _has(self, item: pytest.Item) -> bool:
        given = getattr(item, "callspec", None)
        values = given.params.values() if given else ()
        named = {str(getattr(value, "feature", value)) for value in values}
        return item.path.stem in WHOLE or not named.isdisjoint(self.names)


def main(*words: str) -> int:
    sign = " ".join(words)
    if sign not in CATALOGUE.signs:
        meant = suggest(sign, CATALOGUE.signs) or f"Signs: {', '.join(CATALOGUE.signs)}."
        print(f"There is no sign “{sign}”. {meant}", file=sys.stderr)
        return 2
    pictures = pictures_with(sign)
    misread = _told(sign, pictures)
    arguments = ["-q", "-p", "no:cacheprovider", *FILES]
    failed = pytest.main(arguments, plugins=[Chosen({one.name for one in pictures})])
    return int(misread or bool(failed))


def _told(sign: str, pictures: tuple[Picture, ...]) -> bool:
    """Print where the sheet is and what is misread in it; whether there is something."""
    out = ROOT / "build" / f"quick-{sign.replace(' ', '-')}.png"
    out.parent.mkdir(exist_ok=True)
    sheet_of(pictures).save(out)
    print(f"{out.relative_to(ROOT)}: {len(pictures)} pictures with the sign {sign}")
    faults = [f"{one.name}: {fault}" for one in pictures for fault in one.faults]
    for fault in faults:
        print(f"misread: {fault}", file=sys.stderr)
    return bool(faults)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
