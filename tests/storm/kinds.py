"""The kinds of mutants: what each is made from, and which commands it is put through.

In: a folder of this trial's own, and a source of chance. Out: commands to be tried. Scores and
styles come from the demonstration book, the houses and the cases of the tests; a book is the
starter, whole; a path is a name put where a source names a file, or where a command does.
"""

from __future__ import annotations

import os
import re
import socket
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from functools import cache
from importlib.resources import files
from pathlib import Path
from random import Random

from tests.storm.mutants import mutant

Command = tuple[str, ...]
ROOT = Path(__file__).parents[2]
CASES, BOOKS = ROOT / "tests" / "cases", ROOT / "books"
SOUND = (CASES / "engrave", BOOKS)
# One in so many is put through what takes longer than a check.
ENGRAVED, BUILT, PRINTED = 8, 50, 100
LONGEST = 6000
"""Characters of a score that is mutated: a longer one takes long to be sound."""


@cache
def _texts(root: str, *folders: Path) -> tuple[str, ...]:
    """All sources in the folders that have this root element and need no other file."""
    places = (path for folder in folders for path in sorted(folder.rglob("*.xml")))
    found = (path.read_text(encoding="utf-8") for path in places)
    usable = (text for text in found if "<steps from" not in text and len(text) <= LONGEST)
    return tuple(text for text in usable if re.search(rf"<{root}[\s>]", text))


@cache
def _starter() -> Mapping[str, str]:
    folder = Path(str(files("stavebound.build") / "starter"))
    return {
        str(path.relative_to(folder)): path.read_text(encoding="utf-8")
        for path in sorted(folder.rglob("*.xml"))
    }


def _written(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    return path


def scores(folder: Path, chance: Random) -> Iterator[Command]:
    sound, all_kinds = _texts("score", *SOUND), _texts("score", CASES, *SOUND)
    path = _written(folder / "score.xml", mutant(chance.choice(sound), all_kinds, chance))
    yield "check", str(path), "--format", "json"
    if chance.randrange(ENGRAVED) == 0:
        yield "unfold", str(path), "--format", "json"
        out, paper = str(folder / "lines"), chance.choice(("A5", "A4", "Letter"))
        repeats = chance.choice(("signs", "written-out"))
        yield (
            *("engrave", str(path), "--out", out, "--paper", paper),
            *("--repeats", repeats, "--format", "json"),
        )


def styles(folder: Path, chance: Random) -> Iterator[Command]:
    texts = _texts("style", CASES, BOOKS)
    score = _written(folder / "plies.xml", _starter()["scores/plies.xml"])
    path = _written(folder / "style.xml", mutant(chance.choice(texts), texts, chance))
    yield "check", str(path), "--format", "json"
    style = ("--style", str(path), "--format", "json")
    if chance.randrange(ENGRAVED) == 0:
        yield ("engrave", str(score), "--out", str(folder / "lines"), *style)
    if chance.randrange(PRINTED) == 0:
        yield ("signs", "--out", str(folder / "signs.pdf"), *style)


def books(folder: Path, chance: Random) -> Iterator[Command]:
    texts = dict(_starter())
    pool = (*texts.values(), *_texts("book", CASES), *_texts("glossary", CASES))
    for name in chance.sample(sorted(texts), chance.choice((1, 1, 2))):
        texts[name] = mutant(texts[name], pool, chance)
    for name, text in texts.items():
        _written(folder / name, text)
    yield from _book(folder, chance)


def _book(folder: Path, chance: Random) -> Iterator[Command]:
    path = str(folder / "book.xml")
    yield "check", path, "--format", "json"
    if chance.randrange(BUILT) == 0:
        edition = chance.choice(("teacher", "cards", "music", "examiner"))
        yield ("build", path, "--jobs", "1", "--edition", edition, "--format", "json")


# Names of files, most of which nobody may follow. FOLDER is that of the trial.
NAMES = (
    "scores/plies.xml",
    "./scores/plies.xml",
    "scores//plies.xml",
    "scores/../scores/plies.xml",
    "scores/plies.xml/",
    "scores",
    ".",
    "..",
    "/",
    "",
    " ",
    "../outside.xml",
    "../../../../../../etc/hostname",
    "/etc/hostname",
    "/dev/zero",
    "/dev/stdin",
    "/proc/self/environ",
    "/proc/self/mem",
    "FOLDER/scores/plies.xml",
    "loop.xml",
    "link-out.xml",
    "link-in.xml",
    "link-broken.xml",
    "link-folder/plies.xml",
    "pipe.xml",
    "socket.xml",
    "folder.xml",
    "empty.xml",
    "unreadable.xml",
    "large.xml",
    "SCORES/PLIES.XML",
    "scores\\plies.xml",
    "C:\\scores\\plies.xml",
    "file:///etc/hostname",
    "scores/plies.xml#x",
    "scores/plies.xml?x=1",
    "~/plies.xml",
    "$HOME/plies.xml",
    "scores/pli\N{COMBINING ACUTE ACCENT}s.xml",
    "sco\N{ZERO WIDTH SPACE}res/plies.xml",
    "\N{RIGHT-TO-LEFT OVERRIDE}lmx.seilp",
    "a" * 255 + ".xml",
    "a" * 5000,
    "a/" * 2500 + "plies.xml",
    "../" * 1500 + "etc/hostname",
    "book.xml",
    "style.xml",
    "*.xml",
    "%s%s%s",
    "{0}",
    "scores/plies.xml\t",
)


def _objects(folder: Path) -> None:
    """What may lie in a folder beside files."""
    (folder / "loop.xml").symlink_to("loop.xml")
    (folder / "link-out.xml").symlink_to(ROOT / "books" / "syllabus" / "trial.xml")
    (folder / "link-in.xml").symlink_to(folder / "scores" / "plies.xml")
    (folder / "link-broken.xml").symlink_to(folder / "nothing.xml")
    (folder / "link-folder").symlink_to(folder / "scores")
    (folder / "folder.xml").mkdir()
    (folder / "empty.xml").touch()
    _written(folder / "unreadable.xml", "<score/>").chmod(0)
    os.mkfifo(folder / "pipe.xml")
    with suppress(OSError), socket.socket(socket.AF_UNIX) as end:
        end.bind(str(folder / "socket.xml"))
    with (folder / "large.xml").open("wb") as file:
        file.truncate(1 << 30)


def paths(folder: Path, chance: Random) -> Iterator[Command]:
    for name, text in _starter().items():
        _written(folder / name, text)
    _objects(folder)
    named = _name(folder, chance)
    yield from chance.choice((_named_by_a_source, _named_by_a_command))(folder, named, chance)


def _name(folder: Path, chance: Random) -> str:
    """A name of the table, sometimes with a slip of the hand in it."""
    name = chance.choice(NAMES).replace("FOLDER", str(folder))
    if chance.random() < 0.4:
        at = chance.randrange(len(name) + 1)
        slip = chance.choice(("/", "..", "../", "\\", " ", "\x01", "\N{NO-BREAK SPACE}", "é", "."))
        name = name[:at] + slip + name[at + chance.choice((0, 1)) :]
    return name


def _named_by_a_source(folder: Path, name: str, chance: Random) -> Iterator[Command]:
    value = name.replace("&", "&amp;").replace("<", "&lt;").replace("\x01", "&#1;")
    book, score = folder / "book.xml", folder / "scores" / "plies.xml"
    place = chance.choice(("score", "style", "steps", "glossary"))
    if place == "steps":
        text = score.read_text(encoding="utf-8")
        _written(score, text.replace("<phrase", f'<steps from="{value}"/><phrase', 1))
        yield "check", str(score), "--format", "json"
        yield "unfold", str(score), "--format", "json"
    elif place == "glossary":
        text = book.read_text(encoding="utf-8")
        _written(book, text.replace("<glossary>", f'<glossary from="{value}">', 1))
    else:
        usual = "scores/plies.xml" if place == "score" else "style.xml"
        text = book.read_text(encoding="utf-8")
        _written(book, text.replace(f'{place}="{usual}"', f'{place}="{value}"', 1))
    yield from _book(folder, chance)


COMMANDS: Mapping[str, Callable[[str, str, str], Command]] = {
    "check": lambda name, other, out: ("check", name, other),
    "build": lambda name, other, out: ("build", name, "--jobs", "1"),
    "engrave": lambda name, other, out: ("engrave", name, "--out", out),
    "unfold": lambda name, other, out: ("unfold", name),
    "readback": lambda name, other, out: ("readback", name),
    "style": lambda name, other, out: ("engrave", other, "--out", out, "--style", name),
    "root": lambda name, other, out: ("check", other, "--root", name),
    "out of build": lambda name, other, out: ("build", "book.xml", "--jobs", "1", "--out", name),
    "out of engrave": lambda name, other, out: ("engrave", other, "--out", name),
    "out of schema": lambda name, other, out: ("schema", "--out", name),
    "out of new": lambda name, other, out: ("new", name),
}


def _named_by_a_command(folder: Path, name: str, chance: Random) -> Iterator[Command]:
    """The name as a word of a command that runs in the trial's folder."""
    os.chdir(folder)
    # A command never has this character in a word, and what is outside is not to be written to.
    name = name.replace("\0", "")
    kind = chance.choice(sorted(COMMANDS))
    if kind.startswith("out") and (name.startswith(("/", "~")) or ".." in name):
        name = "scores/../made/here.pdf"
    words = COMMANDS[kind](name, "scores/plies.xml", "lines")
    takes_format = words[0] not in ("new", "schema")
    yield (*words, "--format", "json") if takes_format else words


KINDS: Mapping[str, Callable[[Path, Random], Iterator[Command]]] = {
    "scores": scores,
    "styles": styles,
    "books": books,
    "paths": paths,
}
