"""Sources: where the files lie that others name, and the one door to them.

In: a file of the command line, and the names that sources write. Out: where each of
them lies, and its text, or a fault at the place that names it.

Always holds: what a source names lies inside the root, links followed. It is opened
folder by folder from the root and no link is followed then, so that what is read is
what was looked at. Only an ordinary file is opened, and of a refused one nothing is
read. A file of the command line may lie anywhere; its root is the nearest folder
upwards that holds a book.xml, else its own.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from types import MappingProxyType

from stavebound.build.nearby import near
from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.source.decode import LARGEST_FILE, READING, bytes_of, read_text, text_of

BOOK = "book.xml"

MOST_NAMED = 1000
"""Files that one source may name."""
MOST_BYTES: Mapping[str, int] = MappingProxyType(
    {
        "score": 4 * LARGEST_FILE,
        "style": LARGEST_FILE,
        "glossary": LARGEST_FILE,
        "steps": LARGEST_FILE,
    }
)
"""Bytes that all the files together may have that one source names, up to one of this kind."""

_LONGEST_NAME = 255
"""Bytes of one name in a path: no usual file system has longer ones."""
_MOST_GUESSES = 20
"""Missing files for which others of a like name are looked for: that takes time."""

# A folder on the way need not be readable, where the system can do without.
_FOLDER = os.O_DIRECTORY | os.O_NOFOLLOW | os.O_CLOEXEC | getattr(os, "O_PATH", os.O_RDONLY)

_BEGINNING = 4096
_FIRST_TAG = re.compile(rb"<(?:[\w.-]+:)?([A-Za-z][\w-]*)[\s/>]")

_ANOTHER = "Name an XML file that you may read."
_USUAL = "The path is relative to the folder of the file that names it."


@dataclass(frozen=True, slots=True)
class Named:
    """A file as a source names it; `kind` is the root element that it is to have."""

    name: str
    kind: str
    span: Span


@dataclass(frozen=True, slots=True)
class Source:
    """A file to be read: its path, and that path as it is shown.

    `root` holds all that it may name; `real` is where the file lies; both are absolute
    and free of links. `named` says by what it was named; None on the command line.
    """

    path: Path
    shown: str
    root: Path
    real: Path
    named: Named | None = None

    @property
    def folder(self) -> Path:
        """The folder from which names in it go, free of links."""
        return Path(os.path.realpath(self.path.parent))


def given(path: Path, shown: str, root: Path | None = None) -> Source:
    """A file of the command line, and its root: the folder that was asked for, if one was."""
    folder = Path(os.path.realpath(path.parent))
    asked = Path(os.path.realpath(root)) if root else None
    return Source(path, shown, asked or _nearest_root(folder), Path(os.path.realpath(path)))


def _nearest_root(folder: Path) -> Path:
    """A book.xml at the very top would make a root of everything, and counts for nothing."""
    upwards = (folder, *folder.parents)[: len(folder.parents)]
    return next((place for place in upwards if os.path.isfile(place / BOOK)), folder)


def book_above(source: Source) -> Path | None:
    """The nearest book.xml upwards from a source, inside its root."""
    upwards = (source.folder, *source.folder.parents)
    inside = (place / BOOK for place in upwards if place.is_relative_to(source.root))
    return next((path for path in inside if os.path.isfile(path)), None)


def shown_from(source: Source, path: Path) -> str:
    """Another path, as it is shown beside that of the source."""
    way = os.path.relpath(path, source.folder)
    return Path(os.path.normpath(Path(source.shown).parent / way)).as_posix()


# ---------------------------------------------------------------- finding


def find_all(by: Source, names: Iterable[Named]) -> tuple[tuple[Named, Outcome[Source]], ...]:
    """What a source names, in its order: where each lies, or why it cannot be used."""
    found: list[tuple[Named, Outcome[Source]]] = []
    sizes: dict[Path, int] = {}
    missing = 0
    for named in names:
        one, size = _find(by, named, guess=missing < _MOST_GUESSES)
        missing += one.value is None
        if one.value:
            # What is too large is not read, and is told where it is opened.
            sizes[one.value.real] = min(size, LARGEST_FILE)
        if len(found) == MOST_NAMED or sum(sizes.values()) > MOST_BYTES[named.kind]:
            return (*found, (named, _too_much(named)))
        found.append((named, one))
    return tuple(found)


def _find(by: Source, named: Named, *, guess: bool) -> tuple[Outcome[Source], int]:
    """A file that is there and may be read, and its size; else why not."""
    fault = _unspeakable(named, by)
    if fault:
        return Outcome(None, (fault,)), 0
    path = by.path.parent / named.name
    real = Path(os.path.realpath(path))
    if not real.is_relative_to(by.root):
        return Outcome(None, (_outside(by, named, real),)), 0
    try:
        status = os.stat(real)
    except (FileNotFoundError, NotADirectoryError):
        return Outcome(None, (_missing(by, named, guess=guess),)), 0
    except OSError as error:
        return Outcome(None, (_unreadable(named, error),)), 0
    if not stat.S_ISREG(status.st_mode):
        return Outcome(None, (_no_file(named, status.st_mode),)), 0
    return Outcome(Source(path, _shown(by, named, real), by.root, real, named)), status.st_size


def _shown(by: Source, named: Named, real: Path) -> str:
    """The name put to the path of the file that names it, without .. where that is the same."""
    shown, path = Path(by.shown).parent / named.name, by.path.parent / named.name
    same = os.path.realpath(os.path.normpath(path)) == str(real)
    return Path(os.path.normpath(shown) if same else shown).as_posix()


def _unspeakable(named: Named, by: Source) -> Diagnostic | None:
    """What is wrong with a name by itself, before anything is looked at."""
    name = named.name
    unseen = next((letter for letter in name if not letter.isprintable()), None)
    if unseen:
        said = f"a path cannot hold the character U+{ord(unseen):04X}"
        return _refused("B601", said, named, "Delete it; an editor may not show it.")
    if max(len(part.encode()) for part in name.split("/")) > _LONGEST_NAME:
        said = f"a name in this path has more than {_LONGEST_NAME} bytes"
        return _refused("B601", said, named, "Give the file a shorter name.")
    if name.startswith("/"):
        inside = os.path.normpath(name).startswith(f"{by.root}/")
        way = f"Write “{os.path.relpath(name, by.folder)}”." if inside else _USUAL
        return _refused("B602", f"“{name}” is named from the top of all folders", named, way)
    return None


# ---------------------------------------------------------------- reading


def read(source: Source, could_be: str | None = None) -> Outcome[str]:
    """The text of a source; `could_be` is the root element that is wanted of it, if any, and
    says which files are offered in place of one that is not there."""
    if source.named is None:
        kinds = partial(_begins_with, could_be)
        return read_text(source.path, source.shown, kinds if could_be else None)
    try:
        data = bytes_of(_opened(source.root, source.real))
    except OSError as error:
        return Outcome(None, (_unreadable(source.named, error),))
    return text_of(data, source.shown)


def _opened(root: Path, real: Path) -> int:
    """The file opened to be read, by way of each folder from the root. OSError."""
    *folders, name = real.relative_to(root).parts
    handle = os.open(root, _FOLDER)
    try:
        for folder in folders:
            inner = os.open(folder, _FOLDER, dir_fd=handle)
            os.close(handle)
            handle = inner
        return os.open(name, READING | os.O_NOFOLLOW, dir_fd=handle)
    finally:
        os.close(handle)


def _begins_with(kind: str | None, path: Path) -> bool:
    """Whether the first element of a file has that name; of no file that is a link."""
    try:
        beginning = bytes_of(os.open(path, READING | os.O_NOFOLLOW), _BEGINNING)
    except OSError:
        return False
    tag = _FIRST_TAG.search(beginning)
    return tag is not None and tag[1].decode() == kind


# ---------------------------------------------------------------- words


def _outside(by: Source, named: Named, real: Path) -> Diagnostic:
    lexical = Path(os.path.normpath(by.folder / named.name))
    how = "is a link that leads" if lexical.is_relative_to(by.root) else "leads"
    common = Path(os.path.commonpath((by.root, lexical)))
    wider = f" --root “{shown_from(by, common)}” would have room for it."
    return _refused(
        "B602",
        f"“{named.name}” {how} out of the root",
        named,
        "All that a source names lies inside the root, the nearest folder upwards with a "
        f"{BOOK}, else the file's own; here that is “{shown_from(by, by.root)}”.",
        "Put the file there, or name another root with --root."
        f"{wider if common not in (by.root, Path(common.anchor)) else ''}",
    )


def _missing(by: Source, named: Named, *, guess: bool) -> Diagnostic:
    is_link = os.path.islink(by.path.parent / named.name)
    said = f"“{named.name}” is a link to nothing" if is_link else f"there is no file “{named.name}”"
    could_be = partial(_begins_with, named.kind)
    meant = near(named.name, by.folder, by.root, could_be) if guess else None
    return _refused("B601", said, named, meant or _USUAL)


def _no_file(named: Named, mode: int) -> Diagnostic:
    if stat.S_ISDIR(mode):
        return _refused("B601", f"“{named.name}” is a folder", named, "Name a file in it.")
    return _refused("B601", f"“{named.name}” is a device, not a file", named, _ANOTHER)


def _unreadable(named: Named, error: OSError) -> Diagnostic:
    reason = (error.strerror or "its path is not valid").lower()
    return _refused("B601", f"“{named.name}” cannot be read: {reason}", named, _ANOTHER)


def _too_much(named: Named) -> Outcome[Source]:
    most = f"{MOST_NAMED} files, or {MOST_BYTES[named.kind] // 1024 // 1024} megabytes of them"
    hint = "Nothing that is named from here on was read. Divide the source."
    return Outcome(None, (_refused("B605", f"a source names at most {most}", named, hint),))


def _refused(code: str, message: str, named: Named, *hints: str) -> Diagnostic:
    return Diagnostic(code, message, named.span, hints)
