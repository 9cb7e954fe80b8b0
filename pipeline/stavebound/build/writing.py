"""Writing files: all of it or nothing.

In: bytes or text and a path. Out: the file, complete. What is written lies under
another name in the same folder until it is whole, and then takes its place at
once; a killed run leaves the place as it was.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Write and put in place at once. OSError where that cannot be done."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    aside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        aside.chmod(0o666 & ~_umask())
        aside.replace(path)
    finally:
        aside.unlink(missing_ok=True)


def set_aside(path: Path) -> Path | None:
    """Give an earlier file at that name another one, so that it is not taken for new.

    The new name says that it is an earlier one; None where there was no file.
    """
    if not path.exists():
        return None
    number = 1
    while (earlier := path.with_name(f"{path.stem}.earlier-{number}{path.suffix}")).exists():
        number += 1
    path.replace(earlier)
    return earlier


def told_aside(path: Path) -> tuple[str, ...]:
    """`set_aside`, and a sentence about it where there was an earlier file."""
    earlier = set_aside(path)
    return (f"The earlier {path} is now {earlier}.",) if earlier else ()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
