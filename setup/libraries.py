"""Print the shared libraries for setting text that cannot be loaded here, one name a line.

Comes in: nothing. Goes out: the missing names of LIBRARIES, nothing where all are there.
It runs before anything is installed, so it needs the standard library alone. A library is tried
by its file name and through the system's search, as WeasyPrint tries it: what passes here,
loads there.
"""

import ctypes
import ctypes.util
from contextlib import suppress

# What it is called: its file name on Linux, its file name on macOS, its name for the search.
LIBRARIES = {
    "pango": ("libpango-1.0.so.0", "libpango-1.0.dylib", "pango-1.0"),
    "pangoft2": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "pangoft2-1.0"),
    "harfbuzz": ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "harfbuzz"),
    "harfbuzz-subset": (
        "libharfbuzz-subset.so.0",
        "libharfbuzz-subset.0.dylib",
        "harfbuzz-subset",
    ),
}


def loads(name: str) -> bool:
    """Whether the file of this name, or the one the system's search finds for it, can be loaded."""
    with suppress(OSError):
        ctypes.CDLL(name)
        return True
    found = ctypes.util.find_library(name)
    with suppress(OSError):
        return found is not None and bool(ctypes.CDLL(found))
    return False


def missing_libraries() -> list[str]:
    """The names in LIBRARIES, in its order, for which no file can be loaded."""
    return [called for called, names in LIBRARIES.items() if not any(map(loads, names))]


if __name__ == "__main__":
    for called in missing_libraries():
        print(called)
