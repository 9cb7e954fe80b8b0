"""Broken and hostile files are refused within seconds: one fault each, at its place.

The attacks are the usual ones on XML: entities that swell, entities that draw
in other files, nesting, sheer size, and encodings that are not what they say.
"""

import os
import random
import socket
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from stavebound.diagnostics import Diagnostic
from stavebound.source.decode import LARGEST_FILE
from stavebound.source.events import (
    DEEPEST,
    LONGEST_ATTRIBUTE,
    LONGEST_NAME,
    LONGEST_TEXT,
    MOST_ATTRIBUTES,
    MOST_CHILDREN,
    MOST_ELEMENTS,
)
from stavebound.source.reading import read_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_schema, schema_faults

LONGEST_WAIT = 3.0
"""Seconds for one file, at the most."""

OPEN = f"<score xmlns='{NAMESPACE}'"
ROOT = f"{OPEN} title='x'>"
IN = len(ROOT) + 1
"""The column right after the root's tag."""


def judged(path: Path) -> list[tuple[str, int, int]]:
    """Code, line and column of all that is said of a file, which must not take long."""
    start = time.process_time()
    read = read_source(path, "a.xml")
    faults = schema_faults(read.value, load_schema()) if read.value else read.diagnostics
    assert time.process_time() - start < LONGEST_WAIT
    for fault in faults:
        check_shape(fault)
    return [(fault.code, fault.span.line, fault.span.column) for fault in faults if fault.span]


def check_shape(fault: Diagnostic) -> None:
    """It has its place, says what was expected or how to mend it, and is no traceback."""
    assert fault.span is not None
    assert fault.span.path == "a.xml"
    assert fault.hints
    assert "Traceback" not in fault.message


LAUGHS = "".join(f'<!ENTITY a{n} "{"&a;".replace("a", f"a{n - 1}") * 10}">' for n in range(1, 12))
ENTITIES = f'<!DOCTYPE score [<!ENTITY a0 "ha">{LAUGHS}]>'
OUTSIDE = '<!DOCTYPE score [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
PARAMETER = '<!DOCTYPE score [<!ENTITY % x SYSTEM "http://127.0.0.1:9/x.dtd"> %x;]>'
ATTRIBUTES = " ".join(f'a{n}="x"' for n in range(50_000))
NAMESPACES = " ".join(f'xmlns:a{n}="u{n}"' for n in range(50_000))
PHRASE = f"<phrase>{'<frame/>' * 4_999}</phrase>"
END = "</score>"

Piece = str | bytes | tuple[str, int]

# Pieces that the file is made of, some of them many times; then code, line and column.
FILES: dict[str, tuple[tuple[Piece, ...], str, int, int]] = {
    # Entities and DOCTYPEs.
    "entities that swell": ((ENTITIES, ROOT, "&a11;", END), "X301", 1, 1),
    "an entity from another file": ((OUTSIDE, ROOT, "&x;", END), "X301", 1, 1),
    "a parameter entity from the net": ((PARAMETER, ROOT, END), "X301", 1, 1),
    "a doctype alone": (("\n <!DOCTYPE score>\n", ROOT, END), "X301", 2, 2),
    "a doctype of HTML": (("<!doctype html><html></html>",), "X301", 1, 1),
    "a doctype inside": ((ROOT, "\n<!DOCTYPE x>", END), "X301", 2, 1),
    "an entity inside": ((ROOT, '\n<!ENTITY x "y">', END), "X301", 2, 1),
    # Sizes.
    "deep": ((ROOT, ("<aim>", 100_000)), "X302", 1, IN + 63 * 5 + 1),
    "deep and closed": (
        (ROOT, ("<aim>", 100_000), ("</aim>", 100_000), END), "X302", 1, IN + 63 * 5 + 1,
    ),
    "too many elements": (
        (ROOT, "\n", (PHRASE, 40), END), "X303", 2, 40 * len(PHRASE) - len("</phrase>") - 6,
    ),
    "too many children": ((ROOT, "\n", ("<aim/>", 5_001), END), "X307", 2, 5_000 * 6 + 2),
    "a huge text": ((ROOT, "<aim>", ("x", 7_000_000), "</aim>"), "X304", 1, IN + 5),
    "a huge text of lines": ((ROOT, "<aim>\n", ("x\n", 3_000_000), "</aim>"), "X304", 1, IN + 5),
    "a huge text of references": (
        (ROOT, "<aim>", ("&#65;", 1_000_000), "</aim>"), "X304", 1, IN + 5,
    ),
    "a huge text in pieces": (
        (ROOT, "<aim>", ("<![CDATA[x]]><!-- -->", 300_000), "</aim>"), "X304", 1, IN + 5,
    ),
    "a huge value": ((f"{OPEN}\n title='", ("x", 7_000_000), "'/>"), "X305", 2, 9),
    "50,000 attributes": ((ROOT, f"\n <aim {ATTRIBUTES}/>"), "X306", 2, 3),
    "50,000 namespaces": ((ROOT, f"\n <aim {NAMESPACES}/>"), "X306", 2, 3),
    "a huge name": (("<", ("x", 7_000_000), "/>"), "X308", 1, 2),
    "a huge name of an attribute": ((ROOT, "<aim ", ("x", 201), "=''/>"), "X308", 1, IN + 1),
    "too large": (("<!-- ", ("x", LARGEST_FILE)), "X103", 1, 1),
    # Ends that never come.
    "a name without end": (("<", ("x", 7_000_000)), "X202", 1, 1),
    "a tag without end": ((ROOT, "<aim ", (" ", 7_000_000)), "X202", 1, IN),
    "a comment without end": ((ROOT, "<!-- ", ("x", 7_000_000)), "X202", 1, IN),
    "a value without end": ((ROOT, '<aim x="', ("y ", 3_000_000)), "X202", 1, IN + 7),
    "brackets without end": ((ROOT, ("<", 5_000_000)), "X204", 1, IN),
    "ampersands without end": ((ROOT, ("&", 5_000_000)), "X203", 1, IN),
    # Nothing.
    "empty": ((), "X104", 1, 1),
    "white space alone": ((" \r\n\t\r\n ",), "X104", 1, 1),
    "a byte order mark alone": ((b"\xef\xbb\xbf",), "X104", 1, 1),
    "a comment alone": (("<!-- nothing -->\n",), "X104", 1, 1),
    # Encodings.
    "UTF-16 with its mark": ((ROOT.encode("utf-16"),), "X106", 1, 1),
    "UTF-16 without its mark": ((ROOT.encode("utf-16-le"),), "X106", 1, 1),
    "UTF-16 from the large end": ((ROOT.encode("utf-16-be"),), "X106", 1, 1),
    "UTF-32": ((ROOT.encode("utf-32"),), "X106", 1, 1),
    "EBCDIC": (("<?xml version='1.0'?>".encode("cp037"),), "X106", 1, 1),
    "Latin-1 that says so": (
        ("<?xml version='1.0' encoding='ISO-8859-1'?>", ROOT, b"\xe9", END), "X106", 1, 31,
    ),
    "an encoding behind letters that are no single bytes": (
        ("<?xml version='1.\u03010' encoding='x-y'?><a/>",), "X106", 1, 32,
    ),
    "an encoding nobody knows": (("<?xml version='1.0' encoding='x-y'?><a/>",), "X106", 1, 31),
    "UTF-8 that says it is UTF-16": (
        ("<?xml version='1.0' encoding='UTF-16'?>", ROOT, "é", END), "X106", 1, 31,
    ),
    "Latin-1 that says it is UTF-8": (
        ("<?xml version='1.0' encoding='UTF-8'?>\r\n", ROOT, "é pli", b"\xe9", END),
        "X107", 2, IN + 5,
    ),
    "half a character": ((ROOT, b"\xc3"), "X107", 1, IN),
    "half of a pair": ((ROOT, b"\xed\xa0\x80", END), "X107", 1, IN),
    "a character in too many bytes": ((ROOT, b"\xc0\xaf", END), "X107", 1, IN),
    # Characters.
    "NUL": ((ROOT, "\n𝄞\0", END), "X108", 2, 2),
    "an escape": ((ROOT, "\x1b[31m", END), "X108", 1, IN),
    "no character": ((ROOT, "\uffff", END), "X108", 1, IN),
    "a reference to no character": ((ROOT, "&#0;", END), "X203", 1, IN),
    "a reference beyond all": ((ROOT, "&#x110000;", END), "X203", 1, IN),
    "a reference of many figures": ((ROOT, "&#", ("9", 5_000), ";", END), "X203", 1, IN),
    # What is no XML at all.
    "a PDF": (("%PDF-1.7\n1 0 obj",), "X105", 1, 1),
    "an archive": ((b"PK\x03\x04\x14\x00",), "X105", 1, 1),
    "rubbish": ((random.Random(1).randbytes(100_000),), "X105", 1, 1),
    "zeros": ((("\0", 100_000),), "X105", 1, 1),
    "words": (("Dear notator,\nplease find enclosed",), "X104", 1, 1),
    "an end alone": ((END,), "X201", 1, 2),
    # Numbers.
    "a fraction by nothing": (
        (ROOT, '<phrase counts="1"><frame at="1 1/0"/></phrase>', END), "S107", 1, IN + 30,
    ),
    "a number beyond sense": (
        (ROOT, '<phrase counts="', ("9", 3_000), '"><frame at="1"/></phrase>', END),
        "S107", 1, IN + 16,
    ),
    "a title that hardly fails": (
        (f"{OPEN}\n title='", ("a ", 1_900), "'><phrase counts='1'><frame at='1'/></phrase>", END),
        "S107", 2, 9,
    ),
}  # fmt: skip


def written(path: Path, *pieces: Piece) -> Path:
    """A file at the path, made of the pieces."""
    with path.open("wb") as file:
        for piece in pieces:
            if isinstance(piece, bytes):
                file.write(piece)
            else:
                text, times = piece if isinstance(piece, tuple) else (piece, 1)
                file.write(text.encode() * times)
    return path


@pytest.mark.parametrize("name", FILES)
def test_it_is_refused_at_its_place(name: str, tmp_path: Path) -> None:
    pieces, code, line, column = FILES[name]
    path = written(tmp_path / "a.xml", *pieces)
    assert judged(path) == [(code, line, column)]


def test_what_reaches_its_limits_is_read(tmp_path: Path) -> None:
    """Every limit exactly reached, in one file that the schema alone refuses."""
    longest = "n" * (LONGEST_NAME - 2)
    attributes = " ".join(f'{longest}{n:02}="x"' for n in range(MOST_ATTRIBUTES - 1))
    path = written(
        tmp_path / "a.xml",
        f"{OPEN} {attributes} title='",
        ("x", LONGEST_ATTRIBUTE),
        "'>",
        ("<aim>", DEEPEST - 1),
        ("</aim>", DEEPEST - 1),
        ("<aim/>", MOST_CHILDREN - 2),
        "<note>",
        ("x", LONGEST_TEXT),
        "</note></score>",
    )
    assert {code[0] for code, _, _ in judged(path)} == {"S"}


def test_the_greatest_file_is_read(tmp_path: Path) -> None:
    frames = '<frame at="1"/>' * (MOST_CHILDREN - 1)
    phrases = (f'<phrase counts="9">{frames}</phrase>', MOST_ELEMENTS // MOST_CHILDREN - 1)
    start = time.process_time()
    read = read_source(written(tmp_path / "a.xml", ROOT, phrases, END), "a.xml")
    assert read.value is not None
    assert not schema_faults(read.value, load_schema())
    # It is no attack, so that it may take longer than one; but not by the square of its size.
    assert time.process_time() - start < 10 * LONGEST_WAIT


def test_thousands_of_faults_are_told_in_time(tmp_path: Path) -> None:
    frames = "".join(f'<frame{n} at="1"/>' for n in range(MOST_CHILDREN - 1))
    phrase = f'<phrase counts="9">{frames}</phrase>'
    assert len(judged(written(tmp_path / "a.xml", ROOT, phrase, END))) == 2_000


# ---------------------------------------------------------------- paths


def _folder(path: Path) -> None:
    path.mkdir()


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def _circle(path: Path) -> None:
    path.symlink_to(path)


def _socket(path: Path) -> None:
    # The name of a socket is short; it is bound from inside its folder.
    before = Path.cwd()
    os.chdir(path.parent)
    try:
        with socket.socket(socket.AF_UNIX) as listener:
            listener.bind(path.name)
    finally:
        os.chdir(before)


@pytest.mark.parametrize("make", [_folder, _pipe, _device, _circle, _socket])
def test_what_is_no_file_is_refused(make: Callable[[Path], None], tmp_path: Path) -> None:
    make(tmp_path / "a.xml")
    assert judged(tmp_path / "a.xml") == [("X102", 1, 1)]


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    assert judged(tmp_path / "none" / "a.xml") == [("X101", 1, 1)]
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    assert judged(tmp_path / "link") == [("X101", 1, 1)]


@pytest.mark.parametrize("name", ["a\0b", "x" * 5_000])
def test_a_path_that_cannot_be_is_refused(name: str, tmp_path: Path) -> None:
    assert judged(tmp_path / name) == [("X102", 1, 1)]


def test_a_file_under_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("x")
    assert judged(tmp_path / "a" / "b.xml") == [("X102", 1, 1)]


def test_a_file_that_may_not_be_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Root may read every file, so that the system's refusal is played to it."""

    def refuse(*_arguments: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = written(tmp_path / "a.xml", ROOT, END)
    monkeypatch.setattr(os, "open", refuse)
    (fault,) = read_source(path, "a.xml").diagnostics
    monkeypatch.undo()
    assert (fault.code, fault.message) == ("X102", "this cannot be read: permission denied")


# ---------------------------------------------------------------- damage at random


def test_a_damaged_file_is_never_more_than_refused(tmp_path: Path) -> None:
    """A sound file cut off, with bytes changed, or with pieces doubled: always plain words."""
    sound = (Path(__file__).parent / "cases" / "schema" / "good-score.xml").read_bytes()
    chance = random.Random(2)
    path = tmp_path / "a.xml"
    codes = set()
    for _ in range(600):
        data = bytearray(sound)
        for _ in range(chance.randint(1, 3)):
            at, end = sorted(chance.choices(range(len(data)), k=2))
            piece = data[at : min(end, at + 40)]
            match chance.randrange(4):
                case 0:
                    del data[end:]
                case 1:
                    data[at] = chance.choice(b"<>&\"'=/!-[]x \xe9\n")
                case 2:
                    data[end:end] = piece
                case _:
                    del data[at : at + len(piece)]
            data = data or bytearray(b" ")
        path.write_bytes(data)
        codes |= {code for code, _, _ in judged(path)}
    assert {"X201", "X202", "X204", "X205", "X107"} <= codes
    assert "S111" not in codes
