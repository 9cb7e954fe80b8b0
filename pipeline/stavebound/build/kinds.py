"""Files of another kind than was wanted, and where such a file belongs.

In: the kind that a file has and the kind that is wanted, as names of root elements. Out:
what is said of it. A score, a style or a file of words is told by which name, and in which
book, it would be used.
"""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

from stavebound.build.sources import Named, Source, book_above, find_all, given, read, shown_from
from stavebound.diagnostics import Diagnostic, Outcome
from stavebound.source.document import Element
from stavebound.source.reading import parse_source

_SAID: Mapping[str | None, str] = MappingProxyType(
    {"steps": "a file of steps", None: "another kind of file"}
)

# How a book names what it is made of, and where that is written.
_IN_A_BOOK: Mapping[str | None, tuple[str, str]] = MappingProxyType(
    {
        "score": ('<exercise score="{}"/>', "into a chapter"),
        "style": ('style="{}"', "on the root element"),
        "glossary": ('<glossary from="{}"/>', "behind the chapters"),
    }
)

# By which elements and attributes it does, and what is to be found there.
_NAMING: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "exercise": ("score", "score"),
        "book": ("style", "style"),
        "glossary": ("from", "glossary"),
    }
)

# What else helps whoever has the one kind where the other is wanted.
_ELSE: Mapping[tuple[str | None, str], str] = MappingProxyType(
    {
        ("score", "book"): "By itself, stavebound check and stavebound engrave take it.",
        ("steps", "book"): 'The scores that use the steps name it: <steps from="…"/>.',
        ("steps", "score"): 'The scores that use the steps name it: <steps from="…"/>.',
    }
)


def said(kind: str | None) -> str:
    """A kind of file in words, with its article."""
    return _SAID.get(kind, f"a {kind}")


def other_kind(named: Named, have: str) -> Diagnostic:
    """The fault of a file that is named where one of another kind is wanted."""
    return Diagnostic(
        "B603",
        f"“{named.name}” is {said(have)}, and {said(named.kind)} is wanted",
        named.span,
        hints=(f"Name a file whose root element is <{named.kind}>.",),
    )


def where(have: str | None, wanted: str, source: Source) -> Iterator[str]:
    """Where a file belongs that a command has no use for, in sentences."""
    if wanted == "book" and have in _IN_A_BOOK:
        yield _listed(source, *_IN_A_BOOK[have])
    if (have, wanted) == ("book", "score"):
        yield _one_that_it_lists(source)
    if (have, wanted) in _ELSE:
        yield _ELSE[have, wanted]


def _listed(source: Source, how: str, place: str) -> str:
    """The book upwards that lists a file, or could, and in which words."""
    book = book_above(source)
    if book is None:
        line = how.format(source.path.name)
        return f"A book lists it: write {line} {place} of a book.xml in its folder, and build that."
    path = shown_from(source, book)
    command = f"stavebound build {quoted(path)}"
    listed = {file.value.real: named.name for named, file in _files_of(book, path) if file.value}
    if source.real in listed:
        return f"“{path}” lists it, {how.format(listed[source.real])}. Build that: {command}"
    name = Path(os.path.relpath(source.real, book.parent)).as_posix()
    return f"Write {how.format(name)} {place} of “{path}”, and build that: {command}"


def _one_that_it_lists(source: Source) -> str:
    files = _files_of(source.path, source.shown)
    scores = (file.value for named, file in files if named.kind == "score" and file.value)
    first = next((score.shown for score in scores), None)
    such_as = f", such as “{first}”" if first else ""
    return f"It is one of those that the book lists{such_as}."


def _files_of(book: Path, shown: str) -> tuple[tuple[Named, Outcome[Source]], ...]:
    """The files that a book names, as far as it can be read."""
    source = given(book, shown)
    text = read(source)
    parsed = parse_source(text.value, shown).value if text.value else None
    return find_all(source, _names_in(parsed.root) if parsed else ())


def _names_in(root: Element) -> Iterator[Named]:
    for element in root.walk():
        attribute, kind = _NAMING.get(element.name, ("", ""))
        name = element.get(attribute)
        if name:
            yield Named(name.value, kind, name.span)


def quoted(path: str) -> str:
    """A path as it is typed into a shell."""
    typed = f"./{path}" if path.startswith("-") else path
    plain = "".join(char for char in typed if char.isascii() or not char.isprintable())
    if shlex.quote(plain.replace(" ", "") or ".") != (plain.replace(" ", "") or "."):
        return shlex.quote(typed)
    return f'"{typed}"' if " " in typed else typed
