"""The schema's XML form made anew from its compact form: `make schema`.

Prints whether the file changed; the exit code is 1 where nothing could be made.
"""

from __future__ import annotations

import sys
from pathlib import Path

import stavebound.source
from tests.support.trang import SchemaError, xml_form

COMPACT = Path(stavebound.source.__file__).parent / "stavebound.rnc"


def main() -> int:
    target = COMPACT.with_suffix(".rng")
    try:
        made = xml_form(COMPACT)
    except SchemaError as fault:
        print(fault, file=sys.stderr)
        return 1
    changed = made != target.read_bytes()
    if changed:
        target.write_bytes(made)
    print(f"{target.name} {'is made anew' if changed else 'is as it was'}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
