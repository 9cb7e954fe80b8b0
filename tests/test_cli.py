"""The command line as a person meets it: words, files and exit codes."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest

from stavebound import cli, telling
from stavebound.build.kinds import quoted
from stavebound.build.starting import start_book
from stavebound.build.values import open_house


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command said, and its exit code."""

    returncode: int
    stdout: str
    stderr: str


def run(*arguments: str | Path, cwd: Path | None = None) -> Ran:
    """The command in this process, which has the program loaded already."""
    out, err = StringIO(), StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
        patch.setattr(sys, "argv", ["stavebound", *map(str, arguments)])
        if cwd:
            patch.chdir(cwd)
        return Ran(cli.run(), out.getvalue(), err.getvalue())


def run_alone(*arguments: str | Path, cwd: Path | None = None) -> Ran:
    """The command as a person runs it, in a process of its own."""
    command = [sys.executable, "-m", "stavebound", *map(str, arguments)]
    result = subprocess.run(command, capture_output=True, text=True, cwd=cwd, timeout=120)
    assert "Traceback" not in result.stderr
    return Ran(result.returncode, result.stdout, result.stderr)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The starter book."""
    start_book(tmp_path / "a book")
    return tmp_path / "a book" / "book.xml"


def test_a_command_runs_alone_as_it_does_in_the_tests(tmp_path: Path) -> None:
    """Done, faults and wrong use: the same words in the same stream, and the same exit code."""
    for arguments in (("explain", "E401"), ("check", "nowhere.xml"), ("build", "b.xml", "--jobs")):
        assert run_alone(*arguments, cwd=tmp_path) == run(*arguments, cwd=tmp_path)


def test_new_says_what_it_wrote_and_what_comes_next(tmp_path: Path) -> None:
    result = run_alone("new", "début", cwd=tmp_path)
    assert result.returncode == 0
    assert "wrote début/book.xml" in result.stdout
    assert "stavebound build début/book.xml" in result.stdout


@pytest.mark.parametrize(
    ("folder", "typed"),
    [
        ("a book", '"a book/book.xml"'),
        ("-book", "./-book/book.xml"),
        ("a $HOME", "'a $HOME/book.xml'"),
        ("a;b", "'a;b/book.xml'"),
        ("début à deux", '"début à deux/book.xml"'),
    ],
)
def test_what_comes_next_can_be_typed(folder: str, typed: str) -> None:
    assert quoted(f"{folder}/book.xml") == typed


def test_a_name_cannot_move_or_change_the_terminal(tmp_path: Path) -> None:
    result = run("new", "a\x1b[31m\nb", cwd=tmp_path)
    assert result.returncode == 0
    assert "wrote a␛[31m␊b/book.xml" in result.stdout
    again = run("new", "a\x1b[31m\nb", cwd=tmp_path)
    assert again.stderr.startswith("a␛[31m␊b is not an empty folder")


def test_an_output_of_few_letters_is_no_failure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    result = run_alone("new", "début", cwd=tmp_path)
    assert (result.returncode, result.stderr) == (0, "")
    assert "wrote d&#233;but/book.xml" in result.stdout
    unfolded = run_alone("unfold", tmp_path / "début" / "scores" / "plies.xml").stdout
    assert fromstring(unfolded).get("title") == "Demi-pliés in first"


@pytest.mark.parametrize(
    "arguments",
    [("check", "book.xml"), ("schema", "--out", "x"), ("build", "/b.xml", "--out", "b.pdf")],
)
def test_a_folder_that_is_gone_is_wrong_use(
    arguments: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    monkeypatch.setattr(sys, "argv", ["stavebound", *arguments])
    assert cli.run() == 2
    assert capsys.readouterr().err.startswith("The folder in which this runs is no longer there.")


def test_new_leaves_a_used_folder_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    result = run("new", tmp_path)
    assert result.returncode == 2
    assert "not an empty folder" in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_check_and_build_of_the_starter(book: Path) -> None:
    assert run("check", book).stdout == f"{book}: no faults (1 score)\n"
    result = run_alone("build", book)
    assert (result.returncode, result.stderr) == (0, "")
    assert book.with_suffix(".pdf").read_bytes().startswith(b"%PDF-")


def test_check_takes_many_files_of_all_kinds(book: Path) -> None:
    files = [book, book.parent / "style.xml", book.parent / "scores" / "plies.xml"]
    result = run("check", *files)
    assert result.returncode == 0
    assert result.stdout.splitlines() == [
        f"{files[0]}: no faults (1 score)",
        f"{files[1]}: no faults",
        f"{files[2]}: no faults",
    ]


def test_check_ends_with_a_line_for_each_file_whatever_came_out(book: Path) -> None:
    """Faults are counted as they are told: once for what is danced again."""
    score = book.parent / "scores" / "plies.xml"
    text = score.read_text(encoding="utf-8").replace("</phrase>", "</phrase><again/>")
    nothing_new = '<frame at="7"><knees bend="none"/></frame><frame at="8">'
    bad = text.replace('in="second"', 'in="secnod"').replace('<frame at="8">', nothing_new)
    score.write_text(bad, encoding="utf-8")
    result = run("check", "book.xml", "scores/plies.xml", "nowhere.xml", cwd=book.parent)
    assert result.returncode == 1
    assert result.stdout.splitlines() == [
        "book.xml: 1 error, 1 warning (1 score)",
        "scores/plies.xml: 1 error, 1 warning",
        "nowhere.xml: 1 error",
    ]


def test_a_mistyped_name_is_shown_with_its_place_and_what_was_meant(book: Path) -> None:
    score = book.parent / "scores" / "plies.xml"
    text = score.read_text(encoding="utf-8")
    score.write_text(text.replace('in="second"', 'in="secnod"'), encoding="utf-8")
    result = run("check", score)
    assert result.returncode == 1
    line = text[: text.index('in="second"')].count("\n") + 1
    column = text.splitlines()[line - 1].index("second") + 1
    assert f"{score}:{line}:{column}: error[T" in result.stderr
    assert "secnod" in result.stderr
    assert "second" in result.stderr.replace("secnod", "")
    assert "^^^^^^" in result.stderr


def test_json_is_for_programs(book: Path) -> None:
    score = book.parent / "scores" / "plies.xml"
    text = score.read_text(encoding="utf-8")
    score.write_text(text.replace('bend="half"', 'bend="haf"'), encoding="utf-8")
    result = run("check", score, "--format", "json")
    assert result.returncode == 1
    found = json.loads(result.stdout)
    assert {row["code"][0] for row in found} == {"S"}
    assert run("check", book.parent / "style.xml", "--format", "json").stdout.strip() == "[]"


def test_a_failed_build_says_where_the_earlier_book_went(book: Path) -> None:
    book.with_suffix(".pdf").write_bytes(b"%PDF-1.7 an earlier book")
    (book.parent / "scores" / "plies.xml").unlink()
    result = run("build", book)
    assert result.returncode == 1
    assert "book.earlier-1.pdf" in result.stderr
    assert not book.with_suffix(".pdf").exists()


def test_engrave_writes_a_picture_a_line(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "lines"
    result = run("engrave", book.parent / "scores" / "plies.xml", "--out", out, "--costs")
    assert result.returncode == 0
    assert sorted(path.name for path in out.iterdir()) == ["plies-01.svg"]
    assert "line 1: ratio" in result.stdout


def test_engrave_tells_what_is_left_of_a_longer_engraving(book: Path, tmp_path: Path) -> None:
    """Nothing is removed; who reads all files of the folder would take two dances for one."""
    score = book.parent / "scores" / "plies.xml"
    for name in ("plies-02.svg", "plies-03.svg", "plies-2-04.svg", "pliés-05.svg"):
        (tmp_path / name).write_text("another")
    result = run("engrave", score, "--out", tmp_path)
    assert result.returncode == 0
    assert result.stderr.endswith("still holds plies-02.svg to plies-03.svg\n")
    assert (tmp_path / "plies-03.svg").read_text() == "another"


@pytest.mark.parametrize(
    ("edition", "said"),
    [
        ("teacher", r"page 8 \(1 [^)]+\): \d+\.\d"),
        ("examiner", r"no page of the edition examiner is made up of blocks that cost"),
    ],
)
def test_build_prints_what_the_pages_of_each_exercise_cost(
    book: Path, edition: str, said: str
) -> None:
    result = run("build", book, "--edition", edition, "--costs")
    assert result.returncode == 0
    assert re.search(said, result.stderr)


def test_engrave_prints_what_lines_of_movement_cost(tmp_path: Path) -> None:
    case = Path(__file__).parent / "cases" / "engrave" / "ways.xml"
    result = run("engrave", case, "--out", tmp_path / "lines", "--costs")
    assert result.returncode == 0
    assert "    slide of the right foot: sign " in result.stdout


def test_unfold_prints_the_plain_score_and_points_at_uses(tmp_path: Path) -> None:
    score = tmp_path / "bends.xml"
    text = (
        '<score xmlns="urn:stavebound:1" title="Bends">\n'
        '<define step="bend" counts="1" takes="bend">\n'
        '<frame at="1"><knees bend="{bend}"/></frame></define>\n'
        '<phrase counts="2"><do step="bend" with="bend half"/></phrase></score>'
    )
    score.write_text(text, encoding="utf-8")
    result = run("unfold", score)
    assert (result.returncode, result.stderr) == (0, "")
    assert '<knees bend="half"/>' in result.stdout
    assert "define" not in result.stdout
    score.write_text(text.replace("bend half", "bend haf"), encoding="utf-8")
    result = run("unfold", score, "--format", "json")
    (fault,) = json.loads(result.stdout)
    assert (result.returncode, fault["code"], fault["line"]) == (1, "S106", 3)
    assert [row["line"] for row in fault["related"]] == [4]
    assert run("unfold", tmp_path / "nowhere.xml").returncode == 1


def test_schema_writes_both_forms(tmp_path: Path) -> None:
    assert run("schema", "--out", tmp_path / "schema").returncode == 0
    names = sorted(path.name for path in (tmp_path / "schema").iterdir())
    assert names == ["stavebound.rnc", "stavebound.rng"]


def test_explain_lists_all_codes_and_tells_one() -> None:
    listed = run("explain").stdout
    assert "X101" in listed
    assert "E401" in listed
    told = run("explain", "e401").stdout
    assert "How to mend it" in told
    wrong = run("explain", "E999")
    assert wrong.returncode == 2
    assert "E999" in wrong.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("check",),
        ("build",),
        ("build", "book.xml", "--paper", "A3"),
        ("build", "book.xml", "--jobs", "0"),
        ("build", "book.xml", "--out", "book.xml"),
        ("engrave", "score.xml"),
        ("print", "book.xml"),
        ("signs",),
        ("signs", "--out", "signs.svg"),
        ("build", "book.xml", "--edition", "pianist"),
        ("check", "book.xml", "--format", "xml"),
        ("help",),
        ("build", "."),
        ("check", "book.xml", "--root", "nowhere"),
        ("unfold", "book.xml", "--root", "n" * 300),
    ],
)
def test_wrong_use_has_its_own_exit_code(arguments: tuple[str, ...], tmp_path: Path) -> None:
    assert run(*arguments, cwd=tmp_path).returncode == 2


COMMANDS = [row.callback.__name__ for row in cli.app.registered_commands if row.callback]


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(command: str) -> None:
    result = run(command, "--help")
    assert result.returncode == 0
    assert "Usage" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ("build", "book.xml", "--paper", "A3"),
            "There is no paper A3. Did you mean A4? Papers: A5, A4, Letter.",
        ),
        (
            ("engrave", "score.xml", "--out", "svg", "--paper", "leter"),
            "There is no paper leter. Did you mean Letter? Papers: A5, A4, Letter.",
        ),
        (
            ("build", "book.xml", "--edition", "pianist"),
            "There is no edition pianist. Did you mean music? "
            "Editions: teacher, cards, music, examiner.",
        ),
        (
            ("build", "book.pdf"),
            "book.pdf is a PDF. Name the book's source, such as book.xml.",
        ),
        (
            ("build", "book.xml", "--edition", "blue"),
            "There is no edition blue. Editions: teacher, cards, music, examiner.",
        ),
        (
            ("check", "book.xml", "--format", "jsn"),
            "There is no format jsn. Did you mean json? Formats: text, json.",
        ),
    ],
)
def test_a_choice_that_there_is_not(arguments: tuple[str, ...], told: str, tmp_path: Path) -> None:
    result = run(*arguments, cwd=tmp_path)
    assert (result.returncode, result.stdout, result.stderr) == (2, "", f"{told}\n")
    assert not list(tmp_path.iterdir())


def test_capitals_of_a_choice_do_not_matter(book: Path, tmp_path: Path) -> None:
    score = book.parent / "scores" / "plies.xml"
    assert run("check", score, "--format", "JSON").stdout.strip() == "[]"
    assert run("engrave", score, "--out", tmp_path / "lines", "--paper", "a4").returncode == 0


def test_help_says_which_choices_there_are() -> None:
    told = run("build", "--help").stdout
    for choices in ("A5|A4|Letter", "teacher|cards|music|examiner", "text|json"):
        assert choices in told


def test_a_path_with_spaces_wants_quotation_marks(tmp_path: Path) -> None:
    result = run("build", "my", "book/book.xml", cwd=tmp_path)
    assert result.returncode == 2
    assert "quotation marks" in result.stderr
    assert "“stavebound build --help”" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("explain",), 0),
        (("--help",), 0),
        (("--version",), 0),
        (("schema", "--out", "schema"), 0),
        (("check", "nowhere.xml", "--format", "json"), 1),
        (("check", "nowhere.xml"), 1),
    ],
)
def test_a_reader_that_goes_early_is_no_failure(
    arguments: tuple[str, ...], code: int, tmp_path: Path
) -> None:
    """As with `| head`: nothing is said of it, all is written, the exit code is as ever."""
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-m", "stavebound", *arguments]
    silent = arguments == ("check", "nowhere.xml")
    result = subprocess.run(
        command,
        stdout=subprocess.DEVNULL if silent else writing,
        stderr=writing if silent else subprocess.PIPE,
        cwd=tmp_path,
        timeout=120,
    )
    os.close(writing)
    assert (result.returncode, result.stderr or b"") == (code, b"")
    if "schema" in arguments:
        assert len(list((tmp_path / "schema").iterdir())) == 2


def test_a_missing_file_is_a_fault_of_the_source(tmp_path: Path) -> None:
    result = run("check", "nowhere.xml", cwd=tmp_path)
    assert result.returncode == 1
    assert "nowhere.xml:1:1: error[X101]" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "place", "told"),
    [
        (("check", "a book"), "a book:1:1", "such as a book/book.xml."),
        (("check", "a book/bok.xml"), "a book/bok.xml:1:1", "Did you mean “book.xml”?"),
        (("check", "no book/book.xml"), "no book/book.xml:1:1", "There is no folder no book"),
        (
            ("build", "a book/scores/plies.xml"),
            "a book/scores/plies.xml:4:2",
            '“a book/book.xml” lists it, <exercise score="scores/plies.xml"/>. '
            'Build that: stavebound build "a book/book.xml"',
        ),
        (("build", "a book/style.xml"), "a book/style.xml:3:2", 'style="style.xml"'),
        (
            ("engrave", "a book/book.xml", "--out", "svg"),
            "a book/book.xml:4:2",
            "the book lists, such as “a book/scores/plies.xml”.",
        ),
        (("unfold", "a book/style.xml"), "a book/style.xml:3:2", "root element is <score>"),
        (
            ("build", "a book/book.xml", "--style", "a book/scores/plies.xml"),
            "a book/scores/plies.xml:4:2",
            "root element is <style>",
        ),
    ],
)
def test_another_file_than_was_meant(
    arguments: tuple[str, ...], place: str, told: str, book: Path
) -> None:
    before = sorted(book.parent.parent.rglob("*"))
    result = run(*arguments, cwd=book.parent.parent)
    verdict = f"{arguments[1]}: 1 error\n" if arguments[0] == "check" else ""
    assert (result.returncode, result.stdout) == (1, verdict)
    assert result.stderr.startswith(f"{place}: error[")
    assert told in result.stderr
    assert sorted(book.parent.parent.rglob("*")) == before


def test_a_score_that_no_book_lists_is_told_which_could(book: Path) -> None:
    score = book.parent / "scores" / "tendus.xml"
    score.write_bytes((book.parent / "scores" / "plies.xml").read_bytes())
    told = run("build", "scores/tendus.xml", cwd=book.parent).stderr
    assert (
        'Write <exercise score="scores/tendus.xml"/> into a chapter of “book.xml”, '
        "and build that: stavebound build book.xml"
    ) in told
    book.unlink()
    told = run("build", "tendus.xml", cwd=score.parent).stderr
    assert 'write <exercise score="tendus.xml"/> into a chapter of a book.xml' in told


POSED = """<score xmlns="urn:stavebound:1" title="A rise">
<music metre="2/4" counts-per-bar="2"/>
<start><feet in="fifth" front="right"/><arms in="bras bas"/></start>
<upbeat counts="1"><frame at="2"><head turn="left 2"/></frame></upbeat>
<phrase counts="2">
<frame at="1" step="retiré"><foot side="right" to="side" place="knee"/></frame>
<frame at="2 and"><arms in="third" lead="left"/></frame>
</phrase>
<phrase counts="2"><frame at="1"><feet in="fifth" front="right" on="half point"/></frame></phrase>
</score>"""


@pytest.mark.parametrize(
    ("at", "told"),
    [
        ("start", ('<arms in="bras bas"/>', '<feet in="fifth" front="right" on="whole foot"/>')),
        ("bar 0, count 2", ('<head turn="left 2"/>', '<arms in="bras bas"/>')),
        ("Bar 1 count 2", ('<foot side="right" to="side" place="knee"/>', '<arms in="bras bas"/>')),
        (
            "bar 1, count 2 3/4",
            ('<foot side="left" on="whole foot"/>', '<arms in="third" lead="left"/>'),
        ),
        (
            "bar 2, count 2",
            ('on="half point"/>', '<arms in="third" lead="left"/>', 'turn="left 2"'),
        ),
    ],
)
def test_pose_prints_what_is_held_at_a_moment(
    at: str, told: tuple[str, ...], tmp_path: Path
) -> None:
    score = tmp_path / "rise.xml"
    score.write_text(POSED, encoding="utf-8")
    result = run("pose", score, "--at", at)
    assert (result.returncode, result.stderr) == (0, "")
    assert result.stdout.startswith("<start>\n  <")
    assert all(element in result.stdout for element in told)


@pytest.mark.parametrize(
    ("at", "told"),
    [
        ("bar 3, count 1", "There is no bar 3: the score has bars 0 to 2"),
        ("bar 1, count 3", "Bar 1 has no count 3: its counts are 1, 2."),
        ("bar 1, count 1 a", "Bar 1 has no count 1 a"),
        ("count 1", "Count 1 is in several bars: 1, 2."),
        ("count 9", "No phrase has a count 9."),
        ("bar 1, count 1 3/2", "3/2 is no part of a count"),
        ("the fifth bar", "is no moment. Expected the start, or a bar and a count"),
    ],
)
def test_a_moment_that_is_not_there_is_told_with_what_is(
    at: str, told: str, tmp_path: Path
) -> None:
    score = tmp_path / "rise.xml"
    score.write_text(POSED, encoding="utf-8")
    result = run("pose", score, "--at", at)
    assert (result.returncode, result.stdout) == (2, "")
    assert told in result.stderr


def test_pose_refuses_a_score_that_would_be_another(tmp_path: Path) -> None:
    score = tmp_path / "rise.xml"
    score.write_text(POSED.replace("bras bas", "bras hauts"), encoding="utf-8")
    result = run("pose", score, "--at", "start")
    assert (result.returncode, result.stdout) == (1, "")
    assert "T322" in result.stderr


AWKWARD = ("loop.xml", "pipe.xml", "folder", "/dev/zero", "x" * 300, "book.xml/x", "\x01.xml")


@pytest.mark.parametrize(
    "command",
    [
        ("check",),
        ("build",),
        ("build", "book.xml", "--style"),
        ("build", "book.xml", "--out", "loop.pdf", "--style"),
        ("engrave", "--out", "svg"),
        ("engrave", "--out", "svg", "scores/plies.xml", "--style"),
        ("unfold",),
        ("pose", "--at", "start"),
        ("readback",),
        ("signs", "--out", "signs.pdf", "--style"),
    ],
    ids=" ".join,
)
def test_whatever_is_named_there_are_words_for_it(
    command: tuple[str, ...],
    book: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    house = open_house()
    monkeypatch.setattr(cli, "open_house", lambda: house)
    monkeypatch.chdir(book.parent)
    Path("loop.xml").symlink_to("loop.xml")
    Path("loop.pdf").symlink_to("loop.pdf")
    Path("folder").mkdir()
    os.mkfifo("pipe.xml")
    for name in AWKWARD:
        monkeypatch.setattr(sys, "argv", ["stavebound", *command, name])
        assert cli.run() in (1, 2), name
        assert capsys.readouterr().err


def test_a_root_is_said_where_steps_lie_further_out(tmp_path: Path) -> None:
    (tmp_path / "steps.xml").write_text(
        '<steps xmlns="urn:stavebound:1"><define step="bend" counts="1">'
        '<frame at="1"><knees bend="half"/></frame></define></steps>'
    )
    score = tmp_path / "class" / "score.xml"
    score.parent.mkdir()
    score.write_text(
        '<score xmlns="urn:stavebound:1" title="Bends"><steps from="../steps.xml"/>'
        '<start><feet in="first"/><arms in="bras bas"/></start>'
        '<phrase counts="1"><do step="bend"/></phrase></score>'
    )
    for rest in ((), ("--out", "svg")):
        command = ("engrave" if rest else "unfold", "class/score.xml", *rest)
        alone = run(*command, cwd=tmp_path)
        assert (alone.returncode, "--root “.”" in alone.stderr) == (1, True)
        assert run(*command, "--root", ".", cwd=tmp_path).returncode == 0


@pytest.mark.parametrize("written", ["plies.xml", "score/plies.xml", "scores/plie.xml"])
def test_a_score_that_lies_elsewhere_in_the_books_folder(written: str, book: Path) -> None:
    text = book.read_text(encoding="utf-8")
    book.write_text(text.replace("scores/plies.xml", written), encoding="utf-8")
    result = run("check", "book.xml", cwd=book.parent)
    line = text[: text.index("scores/plies.xml")].count("\n") + 1
    assert result.returncode == 1
    assert result.stderr.startswith(f"book.xml:{line}:")
    assert "Did you mean “scores/plies.xml”?" in result.stderr


@pytest.mark.parametrize("command", ["build", "engrave", "signs", "schema"])
def test_a_place_that_cannot_be_written_to(command: str, book: Path) -> None:
    blocked = book.parent / "out"
    blocked.write_text("a file where a folder is wanted")
    sources = {"build": [book], "engrave": [book.parent / "scores" / "plies.xml"]}
    out = blocked / "book.pdf" if command in ("build", "signs") else blocked
    result = run(command, *sources.get(command, []), "--out", out)
    assert result.returncode == 2
    assert "a file where a folder is wanted" in result.stderr


def test_a_failure_of_our_own_is_told_in_a_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(**settings: object) -> None:
        failure = RuntimeError("a wheel came off")
        failure.add_note("The earlier book is now another.")
        raise failure

    monkeypatch.setattr(cli, "app", fails)
    assert cli.run() == 3
    told = capsys.readouterr().err
    assert told == (
        "stavebound failed: RuntimeError: a wheel came off\nThe earlier book is now another.\n"
    )


@pytest.mark.parametrize(
    ("terminal", "seconds", "told"),
    [
        (True, 2.0, "… pressed chapter-1\n"),
        (True, 0.5, ""),
        (False, 2.0, ""),
    ],
)
def test_progress_is_told_on_a_terminal_after_a_second(
    terminal: bool,
    seconds: float,
    told: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    clock = iter((0.0, seconds))
    monkeypatch.setattr("stavebound.telling.time.monotonic", lambda: next(clock))
    monkeypatch.setattr(sys.stderr, "isatty", lambda: terminal)
    telling.progress()("pressed chapter-1")
    assert capsys.readouterr().err == told
