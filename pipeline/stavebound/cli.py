"""The command line: arguments in, diagnostics and an exit code out.

Exit codes: 0 done, 1 faults in the source, 2 wrong use or a place that cannot be written to,
3 a failure of our own; where the run is stopped, what `stopping` says. Findings go to
standard error, what was asked for to standard output.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer

from stavebound import __version__, options
from stavebound.book.descriptions import load_layouts
from stavebound.book.layouts import Asked, Layout, book_layouts
from stavebound.build.books import OutIsSourceError, build_book, layouts_for
from stavebound.build.checking import check_files
from stavebound.build.engraving import engrave_file
from stavebound.build.kinds import quoted
from stavebound.build.posing import pose_in_file
from stavebound.build.reading import read_back
from stavebound.build.sign_catalogue import SIGNS_LAYOUT, print_signs
from stavebound.build.starting import start_book
from stavebound.build.unfolding import unfold_file
from stavebound.build.values import Report, open_house
from stavebound.build.writing import write_all
from stavebound.claims import NO_ROOM, UnwritableError
from stavebound.codes import ROOMS, Code, load_codes
from stavebound.engrave.engraving import Engraved
from stavebound.options import WRONG_USE, wrong_use
from stavebound.plan.book import USUAL_LAYOUT
from stavebound.render import render_json, render_text, visible
from stavebound.score.moments import MomentError
from stavebound.source.schema import schema_text
from stavebound.suggest import nearest
from stavebound.telling import progress, put, say
from stavebound.workers import GARBAGE_THRESHOLD

DONE, FAULTS, OWN_FAILURE = 0, 1, 3
NOWHERE = "The folder in which this runs is no longer there. Go to one that is."

LAYOUTS = load_layouts()
BOOKS, USUAL, SIGNS = book_layouts(LAYOUTS), LAYOUTS[USUAL_LAYOUT], LAYOUTS[SIGNS_LAYOUT]

app = typer.Typer(
    help="From a dance score in XML, written on the movement stave, to a bound, printed book.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


FormatOption = Annotated[
    str,
    options.chosen("format", options.FORMATS, "How findings are shown: text, or json for editors."),
]


def _version(asked: bool) -> None:
    if asked:
        put(f"stavebound {__version__}")
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
        Path,
        options.argument("FOLDER", "A folder that is empty or not there yet."),
    ],
) -> None:
    """Begin a small book that builds and shows how.

    It has book.xml, style.xml and a score, scores/plies.xml.
    """
    try:
        written = start_book(folder)
    except FileExistsError as error:
        raise wrong_use(f"{error}. Name a folder that is empty or not there yet.") from None
    except OSError as error:
        raise wrong_use(str(UnwritableError(folder, error.strerror))) from None
    for path in written:
        put(visible(f"wrote {path}"))
    put(f"Now build it:  stavebound build {quoted(str(folder / 'book.xml'))}")


@app.command()
def check(
    files: Annotated[list[Path], options.argument("FILE", "Sources of any kind.")],
    root: options.Root = None,
    form: FormatOption = "text",
) -> None:
    """Check scores, books, styles, glossaries and files of steps.

    They go through all the stages up to final places: what passes builds. A score is
    set to the width of A5; a book to its own paper, with all its scores.
    """
    report = check_files(files, open_house(), root)
    _finish(report, form, "\n".join(map(visible, report.verdicts)))


@app.command()
def build(
    book: Annotated[Path, options.argument("BOOK", "The book's XML file.")],
    out: Annotated[
        Path | None,
        options.path("FILE.pdf", "The PDF to write; else beside the book's file."),
    ] = None,
    paper: Annotated[
        str | None,
        options.paper("The paper; else the edition's or the book's own, else A5.", *BOOKS),
    ] = None,
    style: Annotated[
        Path | None,
        options.path("FILE", "A style file, laid over the book's own style."),
    ] = None,
    edition: Annotated[
        str | None,
        options.edition("An edition that the book's layout has; else its first.", *BOOKS),
    ] = None,
    jobs: Annotated[
        int, typer.Option(metavar="N", min=1, max=64, help="How many processes work at once.")
    ] = os.cpu_count() or 1,
    root: options.Root = None,
    costs: Annotated[bool, typer.Option(help="Print what each page of an exercise costs.")] = False,
    form: FormatOption = "text",
) -> None:
    """Build a book, one PDF.

    Everything is checked, engraved, laid out and bound. The PDF takes its place only
    when it is whole. Where the build fails, an earlier PDF of that name is given
    another name.
    """
    if not book.name:
        raise wrong_use(f"{book} is a folder. Name the book's file in it, such as book.xml.")
    if book.suffix == ".pdf" and out is None:
        raise wrong_use(f"{book} is a PDF. Name the book's source, such as {book.stem}.xml.")
    house, asked = open_house(), Asked(edition, paper)
    layouts = layouts_for(book, house, root)
    if len(layouts) == 1:
        options.of_layout(layouts[0], edition, paper)
    target = out or book.with_name(f"{book.stem}{_suffix(edition, layouts)}.pdf")
    options.must_be_pdf(target, "book.pdf")
    tell = progress()
    try:
        report = build_book(book, target, asked, jobs, house, tell, style, root)
    except OutIsSourceError as error:
        raise wrong_use(f"{error} is a source of this book. Name another --out.") from None
    if costs:
        for text in report.costs:
            typer.echo(text, err=True)
    _finish(report, form, visible(f"wrote {target}"))


def _suffix(edition: str | None, layouts: tuple[Layout, ...]) -> str:
    """What the name of an edition's file ends in, so that it stands beside the book."""
    books = (None, *(layout.edition(None).name for layout in layouts))
    return "" if edition in books else f"-{edition}"


@app.command()
def engrave(
    score: Annotated[Path, options.argument("SCORE", "The score's XML file.")],
    out: Annotated[Path, options.path("FOLDER", "The folder for the SVG files.")],
    paper: Annotated[
        str | None, options.paper("The paper whose measure the lines have; else A5.", USUAL)
    ] = None,
    style: Annotated[Path | None, options.path("FILE", "A style file.")] = None,
    repeats: Annotated[
        str,
        options.chosen(
            "repeats", options.REPEATS, "Repeats once, with signs, or as often as they are danced."
        ),
    ] = "written-out",
    costs: Annotated[
        bool, typer.Option(help="Print what each line costs, and each way in it.")
    ] = False,
    root: options.Root = None,
    form: FormatOption = "text",
) -> None:
    """Engrave a score: an SVG for each line, standing alone."""
    options.must_hold(out)
    how = repeats.replace("-", " ")
    report, engraved = engrave_file(score, out, USUAL.paper(paper), style, open_house(), how, root)
    if costs and engraved:
        for text in _costs(engraved):
            put(text)
    _finish(report, form, "\n".join(visible(f"wrote {path}") for path in report.written))


def _costs(engraved: Engraved) -> Iterator[str]:
    """What each line of the score costs, and each line of movement in it, by name."""
    pairs = zip(engraved.lines, engraved.systems, strict=True)
    for number, (line, system) in enumerate(pairs, 1):
        table = "  ".join(f"{name} {cost:.1f}" for name, cost in line.costs.items())
        yield f"line {number}: ratio {line.ratio:+.2f}  {table}"
        for way in (way for stave in system.staves for way in stave.ways):
            table = "  ".join(f"{name} {cost:.1f}" for name, cost in way.costs)
            yield f"    {way.kind} of the {way.subject}: {table}"


@app.command()
def readback(
    files: Annotated[
        list[Path],
        options.argument("FILE.svg", "The SVG files of a score's lines, in their order."),
    ],
    style: Annotated[
        Path | None,
        options.path("FILE", "The style file in which they were engraved."),
    ] = None,
    form: FormatOption = "text",
) -> None:
    """Print as XML what engraved lines say."""
    report, text = read_back(files, style, open_house())
    _finish(report, form, (text or "").rstrip())


@app.command()
def signs(
    out: Annotated[Path, options.path("FILE.pdf", "The PDF to write.")],
    style: Annotated[
        Path | None,
        options.path("FILE", "A style file, for the house's own signs."),
    ] = None,
    paper: Annotated[str | None, options.paper("The paper; else A4.", SIGNS)] = None,
    form: FormatOption = "text",
) -> None:
    """Print all signs with their meaning.

    With them come a plate that uses them, and all forms of movement.
    """
    options.must_be_pdf(out, "signs.pdf")
    report = print_signs(out, SIGNS.paper(paper), style, open_house())
    _finish(report, form, visible(f"wrote {out}"))


@app.command()
def unfold(
    score: Annotated[Path, options.argument("SCORE", "The score's XML file.")],
    root: options.Root = None,
    form: FormatOption = "text",
) -> None:
    """Print a score with all written out.

    Every step, repeat and other side stands there as the plain dialect has it.
    """
    report, text = unfold_file(score, open_house().catalogue, root)
    _finish(report, form, (text or "").rstrip())


@app.command()
def pose(
    score: Annotated[Path, options.argument("SCORE", "The score's XML file.")],
    at: Annotated[
        str,
        typer.Option(
            metavar="MOMENT",
            help='The moment: "bar 5, count 1 and", or start; bars are numbered with repeats '
            "written out.",
        ),
    ],
    root: options.Root = None,
    form: FormatOption = "text",
) -> None:
    """Print the whole position at a moment.

    It is all that is written there and all that is held, as the start of a score has it.
    """
    try:
        report, text = pose_in_file(score, at, open_house().catalogue, root)
    except MomentError as error:
        raise wrong_use(str(error)) from None
    _finish(report, form, text or "")


@app.command()
def schema(
    out: Annotated[
        Path,
        options.path("FOLDER", "The folder for the schema's files."),
    ],
) -> None:
    """Write the schema for XML editors.

    It is RELAX NG, in its compact and in its XML form.
    """
    options.must_hold(out)
    forms = ("rnc", "rng")
    files = [(out / f"stavebound.{form}", schema_text(form).encode()) for form in forms]
    for path in write_all(files):
        put(visible(f"wrote {path}"))


@app.command()
def explain(
    code: Annotated[
        str | None, typer.Argument(metavar="CODE", help="A code such as T301; without, all.")
    ] = None,
) -> None:
    """Explain a code such as T301.

    What it means, why it matters, how to mend it, an example. Without a code, lists all.
    """
    codes = load_codes()
    if code is None:
        for letter, room in ROOMS.items():
            put(f"{letter}  {room}")
            for row in codes.values():
                if row.code.startswith(letter):
                    put(f"   {row.code}  {row.meaning}")
        return
    known = codes.get(code.upper())
    if known is None:
        near = nearest(code.upper(), codes)
        hint = f" Did you mean {near}?" if near else ""
        raise wrong_use(f"There is no code {code}.{hint} stavebound explain lists them all.")
    put(_explained(known))


def run() -> int:
    """Run the command line; its exit code. A failure of our own is told in one line."""
    gc.set_threshold(GARBAGE_THRESHOLD)
    try:
        return int(app(prog_name="stavebound", standalone_mode=False) or DONE)
    except typer.TyperException as error:
        say(options.told(error))
        return error.exit_code
    except SystemExit as left:
        # Help that nobody reads to its end.
        return DONE if isinstance(left.__context__, BrokenPipeError) else int(left.code or DONE)
    except UnwritableError as error:
        return _failed(error, str(error), WRONG_USE)
    except OSError as error:
        if error.errno in NO_ROOM:
            place = error.filename or "a temporary file, or the output,"
            return _failed(error, str(UnwritableError(place, error.strerror)), WRONG_USE)
        if _is_nowhere():
            return _failed(error, NOWHERE, WRONG_USE)
        return _own_failure(error)
    except Exception as error:
        return _own_failure(error)


def _is_nowhere() -> bool:
    """Whether the folder in which this runs has been removed."""
    try:
        os.getcwd()
    except OSError:
        return True
    return False


def _own_failure(error: Exception) -> int:
    return _failed(error, f"stavebound failed: {type(error).__name__}: {error}", OWN_FAILURE)


def _failed(error: Exception, told: str, code: int) -> int:
    for sentence in (told, *getattr(error, "__notes__", ())):
        say(visible(sentence))
    return code


def _explained(code: Code) -> str:
    example = "\n".join(f"    {line}" for line in code.example.splitlines())
    return (
        f"{code.code}: {code.meaning}\n\nWhy: {code.why}\n"
        f"How to mend it: {code.remedy}\n\nExample:\n{example}"
    )


def _finish(report: Report, form: str, done: str) -> None:
    """Show what was found; then say what was done or came out, and leave with exit code 1
    where there are faults."""
    if form == "json":
        put(render_json(report.diagnostics))
    elif report.diagnostics:
        dumb = "NO_COLOR" in os.environ or os.environ.get("TERM") == "dumb"
        colour = sys.stderr.isatty() and not dumb
        say(render_text(report.diagnostics, report.texts, colour))
    for note in report.notes:
        say(visible(note))
    if form == "text" and (report.verdicts or not report.failed):
        put(done)
    if report.failed:
        raise typer.Exit(FAULTS)
