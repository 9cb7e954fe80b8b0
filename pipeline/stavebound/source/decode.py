"""From a path to the text of a file, or to plain words about why there is none.

In: a path, or a file that was opened. Out: the text, without a byte order mark and with
"\\n" at the end of each line, or one diagnostic. Always holds: the text is UTF-8 on the disk and
every character in it is one that XML allows.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Callable
from pathlib import Path

from stavebound.diagnostics import Diagnostic, Outcome, Span
from stavebound.source.places import places_of
from stavebound.suggest import suggest

# What a file may begin with, as messages say it.
ROOTS = "<score>, <book>, <style>, <glossary> or <steps>"

LARGEST_FILE = 8 * 1024 * 1024
"""Bytes of one source file, at the most."""

READING = os.O_RDONLY | os.O_CLOEXEC | os.O_NOCTTY | os.O_NONBLOCK
"""How a source is opened: a pipe that nobody writes to does not keep us waiting."""

_UTF8_MARK = b"\xef\xbb\xbf"
# The longer marks first: the mark of UTF-32 begins with that of UTF-16.
_OTHER_ENCODINGS = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
    (b"<\x00", "UTF-16"),
    (b"\x00<", "UTF-16"),
    (b"\x4c\x6f\xa7\x94", "EBCDIC"),
)
_OTHER_FILES = (
    (b"%PDF", "a PDF"),
    (b"PK\x03\x04", "an archive or the file of a word processor"),
    (b"\xd0\xcf\x11\xe0", "the file of a word processor"),
    (b"{\\rtf", "the file of a word processor"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
)
_DECLARED = re.compile(rb"""^<\?xml\s[^>]{0,200}?encoding\s*=\s*["']([^"'<>]{0,80})["']""")
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_NAME_A_FILE = "Name a file in it."
_SAVE_AS_UTF8 = (
    'Save the file as UTF-8, and write encoding="UTF-8" in its first line or no encoding at all.'
)


def read_text(
    path: Path, shown: str, could_be: Callable[[Path], bool] | None = None
) -> Outcome[str]:
    """The text of the file at a path; `shown` is the path as the person named it.

    Where it is not there, another of its folder is offered: one that `could_be` meant, else
    of the same ending.
    """
    whole = Span(shown, 1, 1)
    try:
        # Not even opened: with some devices that does something.
        _must_be_file(path.stat().st_mode)
        data = bytes_of(os.open(path, READING))
    except FileNotFoundError:
        return _refused("X101", "there is no such file", whole, _elsewhere(path, shown, could_be))
    except IsADirectoryError:
        return _refused("X102", "this is a folder", whole, _a_file_in(path, shown))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the path itself is not valid"
        return _refused(
            "X102",
            f"this cannot be read: {reason.lower()}",
            whole,
            "Name an XML file that you may read.",
        )
    return text_of(data, shown)


def bytes_of(handle: int, most: int = LARGEST_FILE + 1) -> bytes:
    """The first bytes of an opened file, which is closed; usually one more than allowed where
    there are too many. OSError where it is no ordinary file."""
    try:
        _must_be_file(os.fstat(handle).st_mode)
        with os.fdopen(handle, "rb", closefd=False) as file:
            return file.read(most)
    finally:
        os.close(handle)


def _must_be_file(mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise IsADirectoryError
    # Devices and pipes could keep us waiting without end.
    if not stat.S_ISREG(mode):
        raise OSError(0, "it is a device, not a file")


def _elsewhere(path: Path, shown: str, could_be: Callable[[Path], bool] | None) -> str:
    """What may have been meant by a path that leads nowhere."""
    if not path.parent.is_dir():
        return f"There is no folder {Path(shown).parent} either: check the spelling."
    alike = [name for name in _names(path.parent) if Path(name).suffix in (path.suffix, ".xml")]
    meant = [name for name in alike if could_be is None or could_be(path.parent / name)]
    return suggest(path.name, meant) or "Check the spelling of the path."


def _a_file_in(folder: Path, shown: str) -> str:
    """Name a file in it: the book, where there is one."""
    sources = sorted(name for name in _names(folder) if name.endswith(".xml"))
    example = next((name for name in ("book.xml", *sources) if name in sources), None)
    return f"Name a file in it, such as {Path(shown) / example}." if example else _NAME_A_FILE


def _names(folder: Path) -> list[str]:
    """What a folder holds, if it is one that may be looked into."""
    try:
        return [entry.name for entry in folder.iterdir()]
    except OSError:
        return []


def text_of(data: bytes, shown: str) -> Outcome[str]:
    """The text that the bytes of a file stand for."""
    whole = Span(shown, 1, 1)
    if len(data) > LARGEST_FILE:
        message = f"the file is larger than {LARGEST_FILE // 1024 // 1024} megabytes"
        return _refused("X103", message, whole, f"Expected {ROOTS}.")
    for mark, name in _OTHER_ENCODINGS:
        if data.startswith(mark):
            return _refused("X106", f"the file is written in {name}", whole, _SAVE_AS_UTF8)
    kind = next((kind for mark, kind in _OTHER_FILES if data.startswith(mark)), None)
    if kind or _is_rubbish(data[:4096]):
        message = f"this is {kind}, not XML" if kind else "this is no text, and so no XML"
        return _refused("X105", message, whole, "Name the XML source itself.")
    return _decoded(data.removeprefix(_UTF8_MARK), shown)


def _is_rubbish(head: bytes) -> bool:
    """True where more than a tenth of the bytes are control characters, which text has not."""
    controls = sum(byte < 32 and byte not in b"\t\n\r" for byte in head)
    return controls * 10 > len(head)


def _decoded(data: bytes, shown: str) -> Outcome[str]:
    declared = _DECLARED.match(data)
    if declared and declared[1].lower() not in (b"utf-8", b"utf8"):
        name = declared[1].decode("ascii", "replace")
        before = data[: declared.start(1)].decode("utf-8", "replace")
        span = Span(shown, 1, len(before) + 1, len(declared[1]) or 1)
        return _refused("X106", f"the file says that it is written in {name}", span, _SAVE_AS_UTF8)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        return _not_utf8(data, error.start, shown)
    return _allowed(text.replace("\r\n", "\n").replace("\r", "\n"), shown)


def _not_utf8(data: bytes, at: int, shown: str) -> Outcome[str]:
    before = data[:at].decode("utf-8").replace("\r\n", "\n").replace("\r", "\n")
    span = places_of(shown, before + "?").span(len(before))
    message = f"the byte {data[at]:02X} is not UTF-8"
    guess = data[at : at + 1].decode("cp1252", "ignore")
    hints = (
        (f"In Windows-1252 it would be “{guess}”.", _SAVE_AS_UTF8) if guess else (_SAVE_AS_UTF8,)
    )
    return _refused("X107", message, span, *hints)


def _allowed(text: str, shown: str) -> Outcome[str]:
    found = _FORBIDDEN.search(text)
    if found:
        span = places_of(shown, text).span(found.start())
        message = f"the character U+{ord(found[0]):04X} cannot stand in XML"
        return _refused("X108", message, span, "Delete it; an editor may not show it.")
    if not text.strip():
        message = "the file holds nothing but white space" if text else "the file is empty"
        hint = f'Expected {ROOTS}, each with xmlns="urn:stavebound:1".'
        return _refused("X104", message, Span(shown, 1, 1), hint)
    return Outcome(text)


def _refused(code: str, message: str, span: Span, *hints: str) -> Outcome[str]:
    return Outcome(None, (Diagnostic(code, message, span, hints),))
