"""Places that cannot be written to, in every command: plain words, nothing half made, and an
earlier book told of however a build ends."""

from __future__ import annotations

import errno
import os
import resource
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from stavebound import cli
from stavebound.build import books, sign_catalogue
from stavebound.build.starting import start_book
from stavebound.build.writing import write_all
from stavebound.claims import UnwritableError
from stavebound.press.values import PressError

EARLIER, NEW = b"%PDF-1.7 an earlier one", b"%PDF-1.7 a new one" + b" " * 9000
Run = Callable[..., tuple[int, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """A command in this process: its exit code, and what it said to standard error."""

    def one(*given: str | Path) -> tuple[int, str]:
        monkeypatch.setattr(sys, "argv", ["stavebound", *map(str, given)])
        capsys.readouterr()
        return cli.run(), capsys.readouterr().err

    return one


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The starter book with an earlier PDF of it, and a press that takes no time."""
    monkeypatch.setattr(books, "press_book", lambda *given: ((), NEW))
    monkeypatch.setattr(sign_catalogue, "press_signs", lambda *given: NEW)
    start_book(tmp_path / "book")
    (tmp_path / "book" / "book.pdf").write_bytes(EARLIER)
    return tmp_path / "book" / "book.xml"


@contextmanager
def full(size: int) -> Iterator[None]:
    """No file can grow beyond the size: the system itself says so, as of a full disk."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def tree(folder: Path) -> dict[str, bytes | None]:
    paths = sorted(folder.rglob("*"))
    names = (str(path.relative_to(folder)) for path in paths)
    return dict(
        zip(names, (path.read_bytes() if path.is_file() else None for path in paths), strict=True)
    )


def test_all_files_are_written_or_none(tmp_path: Path) -> None:
    (tmp_path / "one").write_bytes(b"before")
    before = tree(tmp_path)
    files = [(tmp_path / "one", b"now"), (tmp_path / "new" / "two", b"x" * 5000)]
    with full(4000), pytest.raises(UnwritableError, match=r"two cannot be written: File too large"):
        write_all(files)
    assert tree(tmp_path) == before
    assert write_all(files) == (tmp_path / "one", tmp_path / "new" / "two")
    assert tree(tmp_path) == {"new": None, "new/two": b"x" * 5000, "one": b"now"}


def test_a_folder_at_the_place_of_a_file_stops_all(tmp_path: Path) -> None:
    (tmp_path / "two").mkdir()
    with pytest.raises(UnwritableError, match="two cannot be written: Is a directory"):
        write_all([(tmp_path / "one", b""), (tmp_path / "two", b"")])
    assert tree(tmp_path) == {"two": None}


@pytest.mark.parametrize(
    "command",
    [
        ("schema", "--out", "new/schema"),
        ("engrave", "book/scores/plies.xml", "--out", "new/lines"),
        ("new", "new"),
        ("build", "book/book.xml", "--out", "new/book.pdf", "--jobs", "1"),
        ("signs", "--out", "new/signs.pdf"),
    ],
)
def test_a_full_disk_is_told_and_leaves_nothing(
    command: tuple[str, ...], book: Path, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    before = tree(tmp_path)
    with full(500):
        code, told = run(*command)
    assert code == 2
    assert told.startswith("new/")
    assert told.endswith(" cannot be written: File too large.\n")
    assert tree(tmp_path) == before


def test_a_full_temporary_place_is_told(book: Path, run: Run) -> None:
    """Here things go to workers by way of files."""
    two = book.parent / "scores" / "two.xml"
    two.write_bytes((book.parent / "scores" / "plies.xml").read_bytes())
    exercise = '<exercise score="scores/plies.xml"/>'
    text = book.read_text(encoding="utf-8")
    others = "".join(exercise.replace("plies", f"no-{number}") for number in range(3))
    book.write_text(text.replace(exercise, exercise + others), encoding="utf-8")
    with full(50):
        code, told = run("build", book, "--jobs", "2")
    assert code == 2
    assert "cannot be written: File too large.\nThe earlier " in told


def faulty(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (book.parent / "scores" / "plies.xml").unlink()


def broken_press(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def press(*given: object) -> bytes:
        raise PressError("the press is broken")

    monkeypatch.setattr(books, "press_book", press)


def broken_program(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def load(*given: object) -> None:
        raise ZeroDivisionError("nought")

    monkeypatch.setattr(books, "load_project", load)


def sound(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is wrong."""


WAYS = [(faulty, 1, 9999), (broken_press, 3, 9999), (broken_program, 3, 9999), (sound, 2, 500)]


@pytest.mark.parametrize(("wrong", "code", "room"), WAYS)
def test_an_earlier_book_is_set_aside_and_told_of_however_a_build_ends(
    wrong: Callable[[Path, pytest.MonkeyPatch], None],
    code: int,
    room: int,
    book: Path,
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    wrong(book, monkeypatch)
    with full(room):
        left, told = run("build", book, "--jobs", "1")
    assert left == code
    out, aside = book.with_suffix(".pdf"), book.with_name("book.earlier-1.pdf")
    assert told.endswith(f"\nThe earlier {out} is now {aside}.\n")
    assert not out.exists()
    assert aside.read_bytes() == EARLIER


def test_an_earlier_book_that_cannot_be_renamed_is_told_of(
    book: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def replace(path: Path, other: Path) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    faulty(book, monkeypatch)
    monkeypatch.setattr(Path, "replace", replace)
    code, told = run("build", book, "--jobs", "1")
    assert code == 1
    assert "book.pdf is as it was, the earlier one and not a new one" in told
    assert told.endswith("it cannot be given another name: Read-only file system.\n")
    assert book.with_suffix(".pdf").read_bytes() == EARLIER


def test_what_is_no_pdf_is_not_touched(book: Path, run: Run) -> None:
    """Here it is one of the sources of the book."""
    text = book.read_text(encoding="utf-8")
    source = book.parent / "scores" / "plies.pdf"
    (book.parent / "scores" / "plies.xml").rename(source)
    book.write_text(text.replace("plies.xml", "plies.pdf"), encoding="utf-8")
    before = tree(book.parent)
    code, told = run("build", book, "--out", source, "--jobs", "1")
    assert code == 2
    assert told == f"{source} is a source of this book. Name another --out.\n"
    assert tree(book.parent) == before


def test_a_long_name_is_written_and_set_aside(
    book: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It has 251 bytes, and no other name could have an addition."""
    name = "é" * 123 + "x"
    out = book.with_name(f"{name}.pdf")
    assert run("build", book, "--out", out, "--jobs", "1") == (0, "")
    assert out.read_bytes() == NEW
    faulty(book, monkeypatch)
    code, told = run("build", book, "--out", out, "--jobs", "1")
    assert code == 1
    (aside,) = book.parent.glob("é*")
    assert aside.name.endswith("é.earlier-1.pdf")
    assert told.endswith(f"The earlier {out} is now {aside}.\n")
    code, told = run("build", book, "--out", book.with_name("x" * 252 + ".pdf"))
    assert (code, told.endswith("cannot be written: File name too long.\n")) == (2, True)


@pytest.mark.parametrize(
    ("out", "told"),
    [
        ("folder.pdf", "folder.pdf is a folder."),
        ("link.pdf", "link.pdf is no file, or a link to none."),
        ("loop.pdf", "loop.pdf is no file, or a link to none."),
        ("pipe.pdf", "pipe.pdf is no file, or a link to none."),
        ("book.xml/book.pdf", "book.xml is a file where a folder is wanted."),
        ("link.pdf/book.pdf", "link.pdf is a link to nowhere, and a folder is wanted."),
        ("x" * 256 + "/book.pdf", "cannot be written: File name too long."),
    ],
)
@pytest.mark.parametrize("command", ["build", "signs"])
def test_what_is_no_place_for_a_pdf(
    command: str, out: str, told: str, book: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(book.parent)
    Path("folder.pdf").mkdir()
    Path("link.pdf").symlink_to("nowhere")
    Path("loop.pdf").symlink_to("loop.pdf")
    os.mkfifo("pipe.pdf")
    before = sorted(Path().rglob("*"))
    code, said = run(command, *([book] if command == "build" else []), "--out", out)
    assert (code, told in said) == (2, True)
    assert sorted(Path().rglob("*")) == before


@pytest.mark.parametrize(
    ("command", "code"), [("check nowhere.xml 2>&-", 1), ("explain T301 >&- 2>&- <&-", 0)]
)
def test_a_closed_stream_is_no_failure(command: str, code: int, tmp_path: Path) -> None:
    shell = f'"{sys.executable}" -m stavebound {command}'
    done = subprocess.run(shell, shell=True, cwd=tmp_path, capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (code, b"")
    assert list(tmp_path.iterdir()) == []


def test_a_full_output_is_told_and_a_full_error_is_not() -> None:
    shell = f'"{sys.executable}" -m stavebound explain T301 '
    done = subprocess.run(shell + "> /dev/full", shell=True, capture_output=True, text=True)
    told = "standard output cannot be written: No space left on device.\n"
    assert (done.returncode, done.stderr) == (2, told)
    done = subprocess.run(shell + "T302 2> /dev/full", shell=True, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, "")
