"""The command line: arguments in, diagnostics and an exit code out.

Exit codes: 0 done, 1 faults in the source, 2 wrong use, 3 a failure of our own.
Findings go to standard error, what was asked for to standard output.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from stavebound import __version__
from stavebound.book.editions import MAKE_UPS, TEACHER, MakeUp
from stavebound.book.papers import PAPERS
from stavebound.build.books import OutIsSourceError, build_book
from stavebound.build.checking import check_files
from stavebound.build.engraving import engrave_file
from stavebound.build.reading import read_back
from stavebound.build.signs import print_signs
from stavebound.build.starting import start_book
from stavebound.build.unfolding import unfold_file
from stavebound.build.values import Report, open_house
from stavebound.build.writing import write_whole
from stavebound.codes import ROOMS, Code, load_codes
from stavebound.engrave.engraving import Engraved
from stavebound.press.pool import GARBAGE_THRESHOLD
from stavebound.render import render_json, render_text
from stavebound.source.schema import schema_text
from stavebound.suggest import nearest

FAULTS, WRONG_USE, OWN_FAILURE, STOPPED = 1, 2, 3, 130

app = typer.Typer(
    help="From a dance score in XML, written on the movement stave, to a bound, printed book.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


class Format(StrEnum):
    TEXT = "text"
    JSON = "json"


class Repeats(StrEnum):
    SIGNS = "signs"
    WRITTEN_OUT = "written-out"


class PaperName(StrEnum):
    A5 = "A5"
    A4 = "A4"
    LETTER = "Letter"


class EditionName(StrEnum):
    TEACHER = "teacher"
    CARDS = "cards"
    MUSIC = "music"
    EXAMINER = "examiner"


FormatOption = Annotated[
    Format, typer.Option("--format", help="How findings are shown: text, or json for editors.")
]


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"stavebound {__version__}")
        raise typer.Exit


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    pass


@app.command()
def new(
    folder: Annotated[
        Path, typer.Argument(readable=False, help="A folder that is empty or not there yet.")
    ],
) -> None:
    """Begin a small book that builds and shows how: book.xml, style.xml and a score."""
    try:
        written = start_book(folder)
    except FileExistsError as error:
        raise _wrong_use(f"{error}. Name a folder that is empty or not there yet.") from None
    except OSError as error:
        raise _wrong_use(f"{folder} cannot be written: {error.strerror}.") from None
    for path in written:
        typer.echo(f"wrote {path}")
    typer.echo(f"Now build it:  stavebound build {_quoted(folder / 'book.xml')}")


@app.command()
def check(
    files: Annotated[list[Path], typer.Argument(readable=False, help="Scores, books or styles.")],
    form: FormatOption = Format.TEXT,
) -> None:
    """Check files through all the stages they go through. What passes builds.

    A score is set to the width of A5; a book to its own paper, with all its scores.
    """
    report = check_files(files, open_house())
    warnings = len(report.diagnostics)
    done = f"No errors; warnings: {warnings}." if warnings else "No faults found."
    _finish(report, form, done)


@app.command()
def build(
    book: Annotated[Path, typer.Argument(readable=False, help="The book's XML file.")],
    out: Annotated[
        Path | None,
        typer.Option(readable=False, help="The PDF to write; else beside the book's file."),
    ] = None,
    paper: Annotated[
        PaperName | None,
        typer.Option(case_sensitive=False, help="The paper; else the book's own, else A5."),
    ] = None,
    style: Annotated[
        Path | None,
        typer.Option(readable=False, help="A style file, laid over the book's own style."),
    ] = None,
    edition: Annotated[
        EditionName,
        typer.Option(
            case_sensitive=False,
            help="The teacher's book, the pupils' cards, the music list, or the examiner's sheet.",
        ),
    ] = EditionName.TEACHER,
    jobs: Annotated[
        int, typer.Option(min=1, max=64, help="How many processes lay out chapters.")
    ] = os.cpu_count() or 1,
    form: FormatOption = Format.TEXT,
) -> None:
    """Build a book: check everything, engrave, lay out, and bind one PDF.

    The PDF takes its place only when it is whole. Where the build fails, an
    earlier PDF of that name is given another name.
    """
    make_up = MAKE_UPS[edition.value]
    target = out or book.with_name(f"{book.stem}{_suffix(make_up)}.pdf")
    _must_be_pdf(target, "book.pdf")
    tell = progress()
    try:
        asked = paper.value if paper else None
        report = build_book(book, target, asked, make_up, jobs, open_house(), tell, style)
    except OutIsSourceError as error:
        raise _wrong_use(f"{error} is a source of this book. Name another --out.") from None
    _finish(report, form, f"wrote {target}")


def _suffix(make_up: MakeUp) -> str:
    """What the name of an edition's file ends in, so that it stands beside the book."""
    return "" if make_up is TEACHER else f"-{make_up.name}"


@app.command()
def engrave(
    score: Annotated[Path, typer.Argument(readable=False, help="The score's XML file.")],
    out: Annotated[Path, typer.Option(readable=False, help="The folder for the SVG files.")],
    paper: Annotated[
        PaperName,
        typer.Option(case_sensitive=False, help="The paper whose measure the lines have."),
    ] = PaperName.A5,
    style: Annotated[Path | None, typer.Option(readable=False, help="A style file.")] = None,
    repeats: Annotated[
        Repeats, typer.Option(help="Repeats once, with signs, or as often as they are danced.")
    ] = Repeats.WRITTEN_OUT,
    costs: Annotated[
        bool, typer.Option(help="Print what each line costs, and each way in it.")
    ] = False,
    form: FormatOption = Format.TEXT,
) -> None:
    """Engrave a score: an SVG for each line, standing alone."""
    _must_hold(out)
    how = repeats.value.replace("-", " ")
    report, engraved = engrave_file(score, out, PAPERS[paper.value], style, open_house(), how)
    if costs and engraved:
        for text in _costs(engraved):
            typer.echo(text)
    _finish(report, form, "\n".join(f"wrote {path}" for path in report.written))


def _costs(engraved: Engraved) -> Iterator[str]:
    """What each line of the score costs, and each line of movement in it, by name."""
    pairs = zip(engraved.lines, engraved.systems, strict=True)
    for number, (line, system) in enumerate(pairs, 1):
        table = "  ".join(f"{name} {cost:.1f}" for name, cost in line.costs.items())
        yield f"line {number}: ratio {line.ratio:+.2f}  {table}"
        for way in (way for stave in system.staves for way in stave.ways):
            table = "  ".join(f"{name} {cost:.1f}" for name, cost in way.costs)
            yield f"    {way.kind} of the {way.limb}: {table}"


@app.command()
def readback(
    files: Annotated[
        list[Path],
        typer.Argument(readable=False, help="The SVG files of a score's lines, in their order."),
    ],
    style: Annotated[
        Path | None,
        typer.Option(readable=False, help="The style file in which they were engraved."),
    ] = None,
    form: FormatOption = Format.TEXT,
) -> None:
    """Read engraved lines back: print as XML what their ink says."""
    report, text = read_back(files, style, open_house())
    _finish(report, form, (text or "").rstrip())


@app.command()
def signs(
    out: Annotated[Path, typer.Option(readable=False, help="The PDF to write.")],
    style: Annotated[
        Path | None, typer.Option(readable=False, help="A style file, for the house's own signs.")
    ] = None,
    paper: Annotated[
        PaperName, typer.Option(case_sensitive=False, help="The paper.")
    ] = PaperName.A4,
    form: FormatOption = Format.TEXT,
) -> None:
    """Print all signs with their meaning, a plate that uses them, and all forms of movement."""
    _must_be_pdf(out, "signs.pdf")
    report = print_signs(out, PAPERS[paper.value], style, open_house())
    _finish(report, form, f"wrote {out}")


@app.command()
def unfold(
    score: Annotated[Path, typer.Argument(readable=False, help="The score's XML file.")],
    form: FormatOption = Format.TEXT,
) -> None:
    """Print the plain score: every step, repeat and other side written out."""
    report, text = unfold_file(score)
    _finish(report, form, (text or "").rstrip())


@app.command()
def schema(
    out: Annotated[Path, typer.Option(readable=False, help="The folder for the schema's files.")],
) -> None:
    """Write the RELAX NG schema in both its forms, for XML editors."""
    _must_hold(out)
    for form in ("rnc", "rng"):
        path = out / f"stavebound.{form}"
        write_whole(path, schema_text(form).encode())
        typer.echo(f"wrote {path}")


@app.command()
def explain(
    code: Annotated[str | None, typer.Argument(help="A code such as T301; without, all.")] = None,
) -> None:
    """Explain a code: what it means, why it matters, how to mend it, an example."""
    codes = load_codes()
    if code is None:
        for letter, room in ROOMS.items():
            typer.echo(f"{letter}  {room}")
            for row in codes.values():
                if row.code.startswith(letter):
                    typer.echo(f"   {row.code}  {row.meaning}")
        return
    known = codes.get(code.upper())
    if known is None:
        near = nearest(code.upper(), codes)
        hint = f" Did you mean {near}?" if near else ""
        raise _wrong_use(f"There is no code {code}.{hint} stavebound explain lists them all.")
    typer.echo(_explained(known))


def main() -> None:
    """Run the command line; a failure of our own is told in one line."""
    signal.signal(signal.SIGINT, _stop)
    signal.signal(signal.SIGTERM, _stop)
    gc.set_threshold(GARBAGE_THRESHOLD)
    try:
        app()
    except _StoppedError:
        _say("Stopped. Nothing was written.")
        sys.exit(STOPPED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(OWN_FAILURE)
    except Exception as error:
        _say(f"stavebound failed: {type(error).__name__}: {error}")
        for note in getattr(error, "__notes__", ()):
            _say(note)
        sys.exit(OWN_FAILURE)


class _StoppedError(BaseException):
    """Ctrl-C, or the wish of the system that we end; not caught by what lies between."""


def _stop(number: int, frame: object) -> None:
    raise _StoppedError


def _explained(code: Code) -> str:
    example = "\n".join(f"    {line}" for line in code.example.splitlines())
    return (
        f"{code.code}: {code.meaning}\n\nWhy: {code.why}\n"
        f"How to mend it: {code.remedy}\n\nExample:\n{example}"
    )


def _finish(report: Report, form: Format, done: str) -> None:
    """Show what was found; then say what was done, or leave with exit code 1."""
    if form is Format.JSON:
        typer.echo(render_json(report.diagnostics))
    elif report.diagnostics:
        dumb = "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
        colour = sys.stderr.isatty() and not dumb
        typer.echo(render_text(report.diagnostics, report.texts, colour), err=True)
    for note in report.notes:
        _say(note)
    if report.failed:
        raise typer.Exit(FAULTS)
    if form is Format.TEXT:
        typer.echo(done)


def _must_be_pdf(target: Path, usual: str) -> None:
    """Leave where the path is no place for a PDF; `usual` is how one could be called."""
    if target.is_dir():
        raise _wrong_use(f"{target} is a folder. Name the PDF in it: {target / usual}.")
    if target.suffix.lower() != ".pdf":
        raise _wrong_use(f"--out {target} is not the name of a PDF. Give it the ending .pdf.")
    _must_hold(target.parent)


def _must_hold(folder: Path) -> None:
    """Leave where a folder is not one, or cannot be made or written to."""
    there = next(path for path in (folder, *folder.absolute().parents) if path.exists())
    if not there.is_dir():
        raise _wrong_use(f"{there} is a file where a folder is wanted.")
    if not os.access(there, os.W_OK):
        raise _wrong_use(f"The folder {there.absolute()} cannot be written to.")


def _wrong_use(message: str) -> typer.Exit:
    _say(message)
    return typer.Exit(WRONG_USE)


def _say(message: str) -> None:
    typer.echo(message, err=True)


def _quoted(path: Path) -> str:
    text = str(path)
    return f'"{text}"' if " " in text else text


def progress() -> Callable[[str], None]:
    """Tells what is being done, on a terminal, once the work has taken a second."""
    start = time.monotonic()

    def tell(what: str) -> None:
        if sys.stderr.isatty() and time.monotonic() - start > 1:
            typer.echo(f"… {what}", err=True)

    return tell


if __name__ == "__main__":
    main()
