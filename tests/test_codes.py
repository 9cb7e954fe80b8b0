"""The table of codes and what the pipeline says agree, and every example shows its fault."""

import re
from pathlib import Path

import pytest

from stavebound.check.type import check_score_type
from stavebound.codes import Code, load_codes
from stavebound.diagnostics import Diagnostic
from stavebound.plan.book import BookPlan
from stavebound.score.model import Score
from stavebound.score.unfolding.unfold import unfold
from stavebound.source.reading import read_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_schema, schema_faults
from stavebound.trade.catalogue import Catalogue
from tests.support.sources import BrokenSourceError, faults_of, root_of, score_of, whole
from tests.support.staves import (
    FACES,
    outcome_of,
)

TESTS = Path(__file__).parent
PIPELINE = TESTS.parent / "pipeline" / "stavebound"
LITERAL = re.compile(r'"([XSTEBRU][1-9][0-9]{2})"')
EXPECTED = re.compile(r"<!-- (?:error|warning) ([XSTEBRU][1-9][0-9]{2}) ")
CODES = load_codes()

# Faults of a book's files, which no file shows by itself.
OF_FILES = "B6"
EXAMPLES = [
    code
    for code in CODES.values()
    if code.example.startswith("<") and not code.code.startswith(OF_FILES)
]


def test_every_code_that_is_said_is_in_the_table() -> None:
    files = [path for path in PIPELINE.rglob("*.py") if path.name != "codes.py"]
    said = {code for path in files for code in LITERAL.findall(path.read_text(encoding="utf-8"))}
    assert said == set(CODES)


def test_every_code_has_a_failing_case() -> None:
    """A rule of the trade in the cases of `check`, any other in a case, a test or its example."""
    cases = {
        code
        for path in (TESTS / "cases").rglob("*.xml")
        for code in EXPECTED.findall(path.read_text(encoding="utf-8"))
    }
    tests = {
        code
        for path in TESTS.rglob("test_*.py")
        for code in LITERAL.findall(path.read_text(encoding="utf-8"))
    }
    examples = {code.code for code in EXAMPLES}
    rules = {code for code in examples if code.startswith(("T3", "T4", "B5"))}
    assert rules - cases == set()
    assert set(CODES) - cases - tests - examples == set()


@pytest.mark.parametrize("code", EXAMPLES, ids=[code.code for code in EXAMPLES])
def test_example_shows_its_fault(code: Code, catalogue: Catalogue, tmp_path: Path) -> None:
    file = tmp_path / "example.xml"
    file.write_text(whole(code.example), encoding="utf-8")
    assert code.code in found(file, catalogue)


@pytest.mark.parametrize("code", CODES.values(), ids=CODES)
def test_codes_are_told_in_sentences(code: Code) -> None:
    for text in (code.meaning, code.why, code.remedy):
        assert text[0].isupper() or not text[0].isalpha()
        assert text.endswith(".")


def found(file: Path, catalogue: Catalogue) -> set[str]:
    """The codes of all that the pipeline says of a file, from reading to engraving."""
    read = read_source(file, file.name)
    faults = schema_faults(read.value, load_schema()) if read.value else read.diagnostics
    if read.value is None or faults:
        return {fault.code for fault in faults}
    try:
        root = root_of(read.value.text)
    except BrokenSourceError as broken:
        return {fault.code for fault in broken.faults}
    scores = _scores(root)
    checked = faults_of(root, scores, catalogue)
    drawn = [fault for score in scores.values() for fault in _engraved(score)]
    unfolding = unfold(read.value.root).diagnostics if isinstance(root, Score) else ()
    return {fault.code for fault in (*unfolding, *checked, *drawn)}


def _scores(root: object) -> dict[str, Score]:
    """A book's scores, in whose stead a sound one stands; a score by itself."""
    if isinstance(root, BookPlan):
        sound = score_of(whole("<knees bend='half'/>"))
        return {exercise.score: sound for exercise in root.exercises}
    return {"example.xml": root} if isinstance(root, Score) else {}


def _engraved(score: Score) -> list[Diagnostic]:
    """What is found on the way to the page, where it can be gone at all."""
    faults = check_score_type(score, FACES)
    if not faults and score.school == "english":
        faults = outcome_of(score).diagnostics
    return list(faults)


def test_the_namespace_is_that_of_the_examples() -> None:
    examples = [code.example for code in CODES.values() if "xmlns" in code.example]
    assert all(NAMESPACE in example for example in examples)
