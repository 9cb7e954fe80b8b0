"""The software that the press stands on, and its versions.

In: this machine. Out: a name and a version each, for a colophon, for
`--version` and for cache keys; the same versions give the same bytes. A missing
shared library is a `PressError` that says how to get it.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import functools
import importlib.metadata
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

from stavebound.press.values import PressError


@dataclass(frozen=True, slots=True)
class Library:
    name: str
    version: str


@dataclass(frozen=True, slots=True)
class _Shared:
    """A shared library: names to load it by, Debian's package, who tells its version."""

    name: str
    files: tuple[str, ...]
    package: str
    version_function: str


SHARED = (
    _Shared(
        "pango",
        ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0-0.dll", "pango-1.0"),
        "libpango-1.0-0",
        "pango_version_string",
    ),
    _Shared(
        "pangoft2",
        (
            "libpangoft2-1.0.so.0",
            "libpangoft2-1.0.dylib",
            "libpangoft2-1.0-0.dll",
            "pangoft2-1.0",
        ),
        "libpangoft2-1.0-0",
        "pango_version_string",
    ),
    _Shared(
        "harfbuzz",
        ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz-0.dll", "harfbuzz"),
        "libharfbuzz0b",
        "hb_version_string",
    ),
    _Shared(
        "harfbuzz-subset",
        (
            "libharfbuzz-subset.so.0",
            "libharfbuzz-subset.0.dylib",
            "libharfbuzz-subset-0.dll",
            "harfbuzz-subset",
        ),
        "libharfbuzz-subset0",
        "hb_version_string",
    ),
)

PACKAGES = ("weasyprint", "pydyf", "pikepdf", "fonttools")


@functools.cache
def shared_libraries() -> tuple[Library, ...]:
    """The four shared libraries that set text. PressError names each that is missing."""
    loaded = [(row, _load(row.files)) for row in SHARED]
    missing = [row for row, library in loaded if library is None]
    if missing:
        names = ", ".join(row.name for row in missing)
        packages = " ".join(row.package for row in missing)
        raise PressError(
            f"cannot set text: this machine lacks {names}. "
            f"On Debian and Ubuntu: apt-get install {packages}"
        )
    return tuple(
        Library(row.name, _version(library, row.version_function)) for row, library in loaded
    )


def versions() -> tuple[Library, ...]:
    """Everything that shapes the bytes of a book: shared libraries first, then packages."""
    packages = (Library(name, importlib.metadata.version(name)) for name in PACKAGES)
    return (*shared_libraries(), *packages)


def _load(names: tuple[str, ...]) -> ctypes.CDLL | None:
    """The first of the names that loads, by itself or as the system's search finds it."""
    search: tuple[Callable[[str], str | None], ...] = (str, ctypes.util.find_library)
    for name in names:
        for find in search:
            with suppress(OSError):
                if found := find(name):
                    return ctypes.CDLL(found)
    return None


def _version(library: ctypes.CDLL | None, function: str) -> str:
    """A library that has no such function of its own finds it in the one it rests on."""
    try:
        tell = getattr(library, function)
    except AttributeError:
        return "unknown"
    tell.restype = ctypes.c_char_p
    return str(tell().decode("ascii"))
