"""Glossaries that several books share: what is found, printed, and said of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from stavebound.book.layouts import Asked
from stavebound.build.checking import check_files
from stavebound.build.loading import Project, load_project
from stavebound.build.manuscripts import manuscript_of
from stavebound.build.values import House, Report
from stavebound.diagnostics import Severity
from stavebound.source.rules import NAMESPACE
from tests.support.paths import write
from tests.support.sources import whole
from tests.support.staves import CATALOGUE, FACES

HOUSE = House(CATALOGUE, FACES)
SCORE = whole('<phrase counts="2"><frame at="1" step="relevé" promise="none"/></phrase>')
WORDS = """
<entry term="plié">A bend, unlike a <term>fondu</term>.</entry>
<entry term="fondu">A melting one; see <term>tendu</term>.</entry>
<entry term="tendu">A stretch.</entry>
<entry term="relevé">A rise.</entry>
<entry term="jeté">A throw, as a <term>grand jeté</term>.</entry>
<entry term="grand jeté">A large <term>jeté</term>, not a <term>saut</term>.</entry>
"""


def glossary(entries: str, name: str = "") -> str:
    source = f' from="{name}"' if name else ""
    return f"<glossary{source}>{entries}</glossary>"


def book(text: str, *glossaries: str) -> str:
    return (
        f'<book xmlns="{NAMESPACE}" title="B" date="2026-01-01" language="en">'
        f"<preface><text>Of {text}.</text></preface>"
        '<caution about="warm-up"/><caution about="pain"/><caution about="supervision"/>\n'
        '<chapter title="C"><exercise score="a.xml"/></chapter>\n'
        f"{chr(10).join(glossaries)}</book>"
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The folder of a book beside the words of its house."""
    write(tmp_path / "book.xml", "")
    write(tmp_path / "words.xml", f'<glossary xmlns="{NAMESPACE}">{WORDS}</glossary>')
    write(tmp_path / "one" / "a.xml", SCORE)
    return tmp_path / "one"


def loaded(folder: Path, text: str) -> Project:
    return load_project(write(folder / "class.xml", text), "one/class.xml")


def checked(folder: Path, text: str) -> Report:
    return check_files([write(folder / "class.xml", text)], HOUSE)


def printed(folder: Path, text: str) -> list[str]:
    """The words that the book explains."""
    outcome = manuscript_of(loaded(folder, text), Asked(), HOUSE)
    assert outcome.value, outcome.diagnostics
    return [entry.term for entry in outcome.value.plan.glossary]


def test_a_book_prints_of_a_shared_glossary_what_it_uses(folder: Path) -> None:
    """Also what is used in the entries that it prints, and nothing else."""
    text = book("<term>plié</term>", glossary("", "../words.xml"))
    assert printed(folder, text) == ["plié", "fondu", "tendu", "relevé"]
    text = book("nothing", glossary("", "../words.xml"))
    assert printed(folder, text) == ["relevé"]
    assert checked(folder, text).diagnostics == ()


def test_a_book_may_have_words_of_its_own_besides(folder: Path) -> None:
    own = glossary('<entry term="saut">A spring, no <term>tendu</term>.</entry>', "../words.xml")
    text = book("<term>saut</term>", own)
    assert printed(folder, text) == ["tendu", "relevé", "saut"]
    write(
        folder / "more.xml",
        f'<glossary xmlns="{NAMESPACE}"><entry term="pas">A step.</entry></glossary>',
    )
    text = book("a <term>pas</term>", own, glossary("", "more.xml"), glossary("", "./more.xml"))
    assert printed(folder, text) == ["tendu", "relevé", "pas", "saut"]


def test_an_own_word_that_is_not_used_is_warned_of_and_a_shared_one_is_not(folder: Path) -> None:
    own = glossary('<entry term="saut">A spring.</entry>', "../words.xml")
    report = checked(folder, book("<term>plié</term>", own))
    (fault,) = report.diagnostics
    assert (fault.code, fault.severity) == ("B503", Severity.WARNING)
    assert fault.span
    assert (fault.span.line, fault.span.length) == (3, len("saut"))
    assert not report.failed


def test_a_word_in_both_is_told_at_the_books_own(folder: Path) -> None:
    own = glossary('<entry term="Tendu">Mine.</entry>', "../words.xml")
    report = checked(folder, book("<term>tendu</term>", own))
    (fault,) = report.diagnostics
    assert (fault.code, fault.span and fault.span.path) == ("B504", str(folder / "class.xml"))
    assert [span.path for span, _ in fault.related] == [str(folder.parent / "words.xml")]
    assert set(report.texts) >= {str(folder.parent / "words.xml")}


def test_a_word_that_is_in_neither_is_guessed_from_both(folder: Path) -> None:
    text = book("<term>grand jetée</term>", glossary("", "../words.xml"))
    (fault,) = checked(folder, text).diagnostics
    assert (fault.code, "“grand jeté”" in fault.hints[0]) == ("B502", True)
    # What a shared entry marks must be explained where that is printed.
    text = book("<term>jeté</term>", glossary("", "../words.xml"))
    (fault,) = checked(folder, text).diagnostics
    assert (fault.code, "“saut”" in fault.message) == ("B502", True)


@pytest.mark.parametrize(
    ("name", "code"),
    [("../wrods.xml", "B601"), ("../../words.xml", "B602"), ("a.xml", "B603"), ("bad.xml", "S109")],
)
def test_a_glossary_that_cannot_be_used_is_told(name: str, code: str, folder: Path) -> None:
    write(folder / "bad.xml", f'<glossary xmlns="{NAMESPACE}"/>')
    project = loaded(folder, book("nothing", glossary("", name)))
    (fault,) = project.diagnostics
    assert fault.code == code
    assert fault.hints
    if code == "B601":
        assert fault.hints == ("Did you mean “../words.xml”?",)
    # What it may explain is not asked for besides.
    marked = checked(folder, book("<term>jeté</term>", glossary("", name)))
    assert [one.code for one in marked.diagnostics] == [code]


def test_a_glossary_is_checked_by_itself_and_is_no_book(folder: Path) -> None:
    words = folder.parent / "words.xml"
    assert check_files([words], HOUSE).diagnostics == ()
    write(
        folder / "bad.xml", words.read_text().replace("A rise.", "A ♩.").replace('fondu"', 'PLIE"')
    )
    assert {fault.code for fault in check_files([folder / "bad.xml"], HOUSE).diagnostics} == {
        "B504",
        "E403",
    }
    write(folder.parent / "book.xml", book("nothing", glossary("", "words.xml")))
    (fault,) = load_project(words, "words.xml").diagnostics
    assert fault.code == "B604"
    assert '<glossary from="words.xml"/>' in fault.hints[-1]
