"""Paths: what a source names lies inside the root and is read through one door; whatever a
path leads to, there are words for it at the place that names it."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from stavebound.build import sources
from stavebound.build.loading import Loaded, load, load_project
from stavebound.build.sources import Named, Source, find_all, given, read
from stavebound.diagnostics import Diagnostic, Span
from stavebound.source.rules import NAMESPACE
from tests.support.paths import write

SECRET = "not for the eyes of others"
STEPS = (
    f'<steps xmlns="{NAMESPACE}"><define step="bend" counts="1">'
    '<frame at="1"><knees bend="half"/></frame></define></steps>'
)


def score(*names: str) -> str:
    """A score that names files of steps, the first of them on line 2."""
    used = "\n".join(f'<steps from="{name}"/>' for name in names)
    return (
        f'<score xmlns="{NAMESPACE}" title="Bends">\n{used}\n'
        '<phrase counts="2"><frame at="1"><knees bend="half"/></frame></phrase></score>'
    )


def book(*scores: str) -> str:
    """A book whose first exercise is on line 2."""
    listed = "\n".join(f'<exercise score="{name}"/>' for name in scores)
    return (
        f'<book xmlns="{NAMESPACE}" title="B" date="2026-01-01"><chapter title="C">\n'
        f"{listed}</chapter></book>"
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A book's folder with a file of steps; outside of it another one, and a secret."""
    write(tmp_path / "secret.xml", SECRET)
    write(tmp_path / "outside.xml", STEPS)
    write(tmp_path / "in" / "steps.xml", STEPS)
    write(tmp_path / "in" / "book.xml", book("scores/a.xml"))
    write(tmp_path / "in" / "scores" / "a.xml", score("../steps.xml"))
    return tmp_path / "in"


def told(loaded: Loaded) -> Diagnostic:
    """The one fault, which is told in full and without the secret."""
    (fault,) = loaded.diagnostics
    words = (fault.message, *fault.hints, *loaded.texts.values())
    assert not any(SECRET in text for text in words)
    assert fault.hints
    return fault


# ---------------------------------------------------------------- the root


def test_the_root_is_the_nearest_folder_upwards_with_a_book(folder: Path) -> None:
    path = folder / "scores" / "a.xml"
    assert given(path, "a.xml").root == folder
    assert load(path, "a.xml").diagnostics == ()
    write(folder / "scores" / "book.xml", "")
    assert told(load(path, "a.xml")).code == "B602"


def test_without_a_book_the_root_is_the_folder_itself(tmp_path: Path) -> None:
    write(tmp_path / "steps.xml", STEPS)
    path = write(tmp_path / "scores" / "a.xml", score("../steps.xml"))
    fault = told(load(path, "scores/a.xml"))
    assert (fault.code, fault.span and fault.span.line) == ("B602", 2)
    assert "“scores”" in fault.hints[0]
    assert "“.”" in fault.hints[1]
    assert load(path, "a.xml", root=tmp_path).diagnostics == ()


def test_a_book_at_the_very_top_makes_no_root_of_everything(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os.path, "isfile", lambda path: str(path) == "/book.xml")
    assert given(tmp_path / "a.xml", "a.xml").root == tmp_path


def test_a_file_of_the_command_line_may_lie_anywhere(folder: Path) -> None:
    other = folder.parent / "elsewhere" / "a.xml"
    write(other, score())
    (folder / "linked.xml").symlink_to(other)
    assert load(other, "a.xml", root=folder).diagnostics == ()
    assert load(folder / "linked.xml", "linked.xml").diagnostics == ()


# ---------------------------------------------------------------- what a source may not name


@pytest.mark.parametrize("up", range(1, 12))
def test_a_path_that_leads_out_shows_nothing(up: int, folder: Path) -> None:
    """Also over the top of all folders, and by way of one that is not there."""
    for before in ("", "no-folder/../", "./"):
        name = before + "../" * (up + 1) + "secret.xml"
        fault = told(load(write(folder / "scores" / "b.xml", score(name)), "b.xml"))
        assert (fault.code, fault.span and fault.span.line) == ("B602", 2)


def test_an_absolute_path_is_refused_and_the_short_one_offered(folder: Path) -> None:
    outside = write(folder / "b.xml", score(str(folder.parent / "secret.xml")))
    assert told(load(outside, "b.xml")).code == "B602"
    inside = write(folder / "scores" / "b.xml", score(str(folder / "steps.xml")))
    assert told(load(inside, "b.xml")).hints == ("Write “../steps.xml”.",)


def test_links_are_followed_inside_the_root_and_not_out_of_it(folder: Path) -> None:
    (folder / "good.xml").symlink_to(folder / "steps.xml")
    (folder / "bad.xml").symlink_to(folder.parent / "outside.xml")
    (folder / "up").symlink_to(folder.parent)
    assert load(write(folder / "b.xml", score("good.xml")), "b.xml").diagnostics == ()
    for name in ("bad.xml", "up/outside.xml"):
        fault = told(load(write(folder / "b.xml", score(name)), "b.xml"))
        assert (fault.code, "link" in fault.message) == ("B602", True)


def loop(path: Path) -> None:
    path.symlink_to(path)


def socket_at(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as bound:
        os.chdir(path.parent)
        bound.bind(path.name)


def file_for_folder(path: Path) -> None:
    path.parent.rmdir()
    path.parent.touch()


AWKWARD: dict[str, Callable[[Path], object]] = {
    "round in a circle": loop,
    "to nothing": lambda path: path.symlink_to(path.with_name("nothing.xml")),
    "a pipe": os.mkfifo,
    "a socket": socket_at,
    "a folder": os.mkdir,
    "inside a file": file_for_folder,
}


@pytest.mark.parametrize("make", AWKWARD.values(), ids=AWKWARD)
def test_what_is_no_ordinary_file_is_refused(
    make: Callable[[Path], object], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    (folder / "place").mkdir()
    make(folder / "place" / "x.xml")
    path = write(folder / "b.xml", score("place/x.xml"))
    fault = told(load(path, "b.xml"))
    assert (fault.code, fault.span) == ("B601", Span("b.xml", 2, 14, len("place/x.xml")))
    project = load_project(write(folder / "book.xml", book("place/x.xml")), "book.xml")
    assert [one.code for one in project.diagnostics] == ["B601"]


def test_devices_are_refused(tmp_path: Path) -> None:
    path = write(tmp_path / "a.xml", score("null", "zero", "tty"))
    faults = load(write(tmp_path / "a.xml", path.read_text()), "a.xml", root=Path("/dev"))
    assert {fault.code for fault in faults.diagnostics} == {"B602"}
    (tmp_path / "null").symlink_to("/dev/null")
    faults = load(path, "a.xml", root=Path("/"))
    assert {fault.code for fault in faults.diagnostics} == {"B601"}


@pytest.mark.parametrize("name", ["x" * 240, "é" * 200, "a\u0085b.xml", "a\u202eb.xml", "/", "."])
def test_names_that_no_file_has(name: str, folder: Path) -> None:
    fault = told(load(write(folder / "b.xml", score(name)), "b.xml"))
    assert fault.code in ("B601", "B602")


@pytest.mark.parametrize("name", ["", " ", "a\\b.xml", "C:/b.xml", "b*.xml", "file:///b.xml"])
def test_names_that_the_schema_refuses(name: str, folder: Path) -> None:
    assert told(load(write(folder / "b.xml", score(name)), "b.xml")).code == "S107"


def test_what_may_not_be_read_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(root: Path, real: Path) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(sources, "_opened", refuse)
    fault = told(load(folder / "scores" / "a.xml", "a.xml"))
    assert (fault.code, fault.span and fault.span.line) == ("B601", 2)
    assert "permission denied" in fault.message


# ---------------------------------------------------------------- races


def found(folder: Path) -> Source:
    by = given(folder / "scores" / "a.xml", "a.xml")
    ((_, outcome),) = find_all(by, [Named("../steps.xml", "steps", Span("a.xml", 1, 1))])
    assert outcome.value
    return outcome.value


def swaps(folder: Path) -> Iterator[None]:
    """What takes the place of the file, or of a folder on its way, after it was found."""
    steps = folder / "steps.xml"
    steps.unlink()
    yield
    steps.symlink_to(folder.parent / "secret.xml")
    yield
    steps.unlink()
    os.mkfifo(steps)
    yield
    moved = folder.rename(folder.with_name("moved"))
    folder.symlink_to(folder.parent)
    write(folder.parent / "steps.xml", SECRET)
    yield
    moved.is_dir()


def test_what_is_opened_is_what_was_found(folder: Path) -> None:
    source = found(folder)
    assert read(source).value == STEPS
    for _ in swaps(folder):
        outcome = read(source)
        assert outcome.value is None
        assert [fault.code for fault in outcome.diagnostics] == ["B601"]


def test_a_folder_on_the_way_that_becomes_a_link_is_not_followed(folder: Path) -> None:
    inner = write(folder / "deep" / "er" / "steps.xml", STEPS).parent
    by = given(folder / "book.xml", "book.xml")
    named = Named("deep/er/steps.xml", "steps", Span("book.xml", 1, 1))
    ((_, outcome),) = find_all(by, [named])
    assert outcome.value
    write(folder.parent / "er" / "steps.xml", SECRET)
    inner.rename(folder / "away")
    inner.symlink_to(folder.parent / "er")
    assert read(outcome.value).value is None


# ---------------------------------------------------------------- how much


def test_one_file_of_several_names_is_read_once(folder: Path) -> None:
    """Its steps would be defined twice, and its faults told twice."""
    (folder / "same.xml").symlink_to(folder / "steps.xml")
    steps = ("steps.xml", "./steps.xml", "scores/../steps.xml", "same.xml", "steps.xml")
    loaded = load(write(folder / "b.xml", score(*steps)), "b.xml")
    assert loaded.diagnostics == ()
    assert set(loaded.texts) == {"b.xml", "steps.xml"}
    names = ("scores/a.xml", "./scores/a.xml", "scores/../scores/a.xml")
    project = load_project(write(folder / "book.xml", book(*names)), "book.xml")
    assert [name for name, _ in project.scores] == list(names)
    assert project.scores[0][1] is project.scores[2][1]


@pytest.mark.parametrize("bound", ["MOST_NAMED", "MOST_BYTES"])
def test_a_source_names_so_much_and_no_more(
    bound: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(folder / "more.xml", STEPS.replace("bend", "more"))
    least = {"MOST_NAMED": 1, "MOST_BYTES": {"steps": len(STEPS)}}
    monkeypatch.setattr(sources, bound, least[bound])
    fault = told(load(write(folder / "b.xml", score("steps.xml", "more.xml")), "b.xml"))
    assert (fault.code, fault.span and fault.span.line) == ("B605", 3)


def test_thousands_of_names_take_no_long_time(folder: Path) -> None:
    names = [f"gone-{number}.xml" for number in range(5000)]
    project = load_project(write(folder / "book.xml", book(*names)), "book.xml")
    codes = [fault.code for fault in project.diagnostics]
    assert codes == ["B601"] * sources.MOST_NAMED + ["B605"]


# ---------------------------------------------------------------- what was meant


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("scores/plies.xml", None),
        ("book.xm", None),
        ("boo.xml", None),
        ("a.xml", "scores/a.xml"),
        ("Scores/A.XML", "scores/a.xml"),
        ("scores/tendu.xml", "scores/tendus.xml"),
        ("scores/tendus", "scores/tendus.xml"),
        ("step.xml", None),
    ],
)
def test_only_what_could_be_meant_is_offered(name: str, hint: str | None, folder: Path) -> None:
    """A score that is missing was not meant to be the book, nor a file of steps."""
    write(folder / "scores" / "tendus.xml", score())
    write(folder / "scores" / "tendus.txt", score())
    project = load_project(write(folder / "book.xml", book(name)), "book.xml")
    (fault,) = project.diagnostics
    usual = "The path is relative to the folder of the file that names it."
    assert fault.hints == ((f"Did you mean “{hint}”?",) if hint else (usual,))


def test_a_missing_file_of_the_command_line_was_one_of_the_wanted_kind(folder: Path) -> None:
    for wanted, hint in (("book", "Did you mean “book.xml”?"), ("score", "Check the spelling")):
        (fault,) = load(folder / "boks.xml", "boks.xml", wanted=wanted).diagnostics
        assert (fault.code, fault.hints[0].startswith(hint)) == ("X101", True)


def test_a_path_is_shown_as_short_as_it_is(folder: Path) -> None:
    write(folder / "steps.xml", STEPS.replace("half", "haf"))
    loaded = load(folder / "scores" / "a.xml", "in/scores/a.xml")
    assert [fault.span and fault.span.path for fault in loaded.diagnostics] == ["in/steps.xml"]
    # Not where the shorter path would be another file.
    (folder / "deep" / "er").mkdir(parents=True)
    (folder / "way").symlink_to(folder / "deep" / "er")
    write(folder / "deep" / "steps.xml", STEPS.replace("half", "haf"))
    loaded = load(write(folder / "b.xml", score("way/../steps.xml")), "b.xml")
    assert [fault.span and fault.span.path for fault in loaded.diagnostics] == ["way/../steps.xml"]
