"""Options: those that choose one of a few names, places to write to, and what is said of others.

In: a value as the person wrote it. Out: the name as the program has it, or a
sentence and exit code 2:

    There is no paper A3. Did you mean A4? Papers: A5, A4, Letter.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any

import typer

from stavebound.book.layouts import Layout, edition_names, paper_names
from stavebound.claims import UnwritableError
from stavebound.render import visible
from stavebound.source.meant import likely
from stavebound.telling import say

WRONG_USE = 2

FORMATS = ("text", "json")
REPEATS = ("signs", "written-out")

# What the program says of a command it cannot take begins so; what mends it.
_REMEDIES: Mapping[str, str] = MappingProxyType(
    {
        "Got unexpected extra argument": (
            'Put a path that has spaces into quotation marks, "my book/book.xml".'
        ),
        "Missing option '--out'": "Say where to write: --out, and a path.",
    }
)


def chosen(kind: str, names: tuple[str, ...], text: str) -> Any:
    """An option `--kind` with one of the names, capitals not told apart."""
    return typer.Option(
        f"--{kind}",
        metavar="|".join(names),
        help=text,
        callback=_one_of(kind, names),
    )


def argument(name: str, text: str) -> Any:
    """A path that is looked into by the stages, which say more of it than the command could."""
    return typer.Argument(metavar=name, readable=False, help=text)


def path(name: str, text: str) -> Any:
    return typer.Option(metavar=name, readable=False, help=text)


def paper(text: str, *layouts: Layout) -> Any:
    """One that any of the layouts has."""
    return chosen("paper", paper_names(layouts), text)


def edition(text: str, *layouts: Layout) -> Any:
    """One that any of the layouts has."""
    return chosen("edition", edition_names(layouts), text)


def of_layout(layout: Layout, edition: str | None, paper: str | None) -> None:
    """Leave where a layout has not what was chosen."""
    for kind, name, names in (
        ("edition", edition, edition_names((layout,))),
        ("paper", paper, paper_names((layout,))),
    ):
        _one_of(kind, names, f" in the layout {layout.name}")(name)


def wrong_use(message: str) -> typer.Exit:
    """Says the sentence; the exit with the code for a command used wrongly, to be raised."""
    say(visible(message))
    return typer.Exit(WRONG_USE)


def told(error: typer.TyperException) -> str:
    """What is wrong with a command, what mends it, and where the rest is told."""
    message = error.format_message()
    if message.startswith("Usage:"):
        return message
    remedies = [remedy for begins, remedy in _REMEDIES.items() if message.startswith(begins)]
    command = getattr(getattr(error, "ctx", None), "command_path", "stavebound")
    usual = f"“{command} --help” tells how it is used."
    return "\n".join((message, *remedies, usual))


def must_be_pdf(target: Path, usual: str) -> None:
    """Leave where the path is no place for a PDF; `usual` is how one could be called."""
    _must_have_a_name(target)
    if target.is_dir():
        raise wrong_use(f"{target} is a folder. Name the PDF in it: {target / usual}.")
    if target.suffix.lower() != ".pdf":
        raise wrong_use(f"--out {target} is not the name of a PDF. Give it the ending .pdf.")
    if os.path.lexists(target) and not target.is_file():
        raise wrong_use(f"{target} is no file, or a link to none. Name another --out.")
    must_hold(target.parent, f" {target} is as it was." if target.exists() else "")


def must_hold(folder: Path, kept: str = "") -> None:
    """Leave where a folder is not one, or cannot be made or written to; `kept` is what is said
    besides of what lies in one that cannot."""
    _must_have_a_name(folder)
    there = next(path for path in (folder, *folder.absolute().parents) if os.path.lexists(path))
    if not there.exists():
        raise wrong_use(f"{there} is a link to nowhere, and a folder is wanted.")
    if not there.is_dir():
        raise wrong_use(f"{there} is a file where a folder is wanted.")
    if not os.access(there, os.W_OK):
        raise wrong_use(f"The folder {there.absolute()} cannot be written to.{kept}")


def _must_have_a_name(path: Path) -> None:
    """Leave where nothing can be called so, or lie there; not being there yet is no reason."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return
    except OSError as error:
        raise wrong_use(str(UnwritableError(path, error.strerror))) from None


def _folder(asked: Path | None) -> Path | None:
    if asked is None or os.path.isdir(asked):
        return asked
    what = f"{asked} is no folder" if os.path.lexists(asked) else f"There is no folder {asked}"
    raise wrong_use(f"{what}. Name with --root the folder that holds all that the sources name.")


def _one_of(
    kind: str, names: tuple[str, ...], where: str = ""
) -> Callable[[str | None], str | None]:
    known = {name.casefold(): name for name in names}

    def one(written: str | None) -> str | None:
        if written is None or written.casefold() in known:
            return written and known[written.casefold()]
        meant = likely(written, names)
        hint = f" Did you mean {' or '.join(meant)}?" if meant else ""
        listed = ", ".join(names)
        one_of_them = kind.removesuffix("s")
        raise wrong_use(
            f"There is no {one_of_them} {written}{where}.{hint} "
            f"{one_of_them.capitalize()}s: {listed}."
        )

    return one


Root = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER",
        readable=False,
        callback=_folder,
        help="The folder in which everything lies that the sources name; else the nearest "
        "one upwards that holds a book.xml, else the file's own.",
    ),
]
"""The folder that holds all that sources name, None where the command does not say."""
