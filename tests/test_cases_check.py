"""The cases of `check`: each file says in comments what is to be found in it, and where.

The first comment is a sentence that says what the case shows. A comment at the
end of a line such as <!-- error T322 "bras bass" --> expects a diagnostic on
that line whose caret stands under the quoted words. Nothing else may be found.
A book's case is checked together with the scores that it lists.
"""

import re
from pathlib import Path

import pytest

from stavebound.diagnostics import Diagnostic
from stavebound.plan.book import BookPlan
from stavebound.score.model import Score
from stavebound.trade.catalogue import Catalogue
from tests.support.expectations import EXPECTATION
from tests.support.sources import faults_of, root_of, score_of

FOLDER = Path(__file__).parent / "cases" / "check"
CASES = sorted(FOLDER.glob("*.xml"))
SCORES = sorted((FOLDER / "scores").glob("*.xml"))
COMMENT = re.compile(r"<!--(.*?)-->", re.DOTALL)

Finding = tuple[str, int, str, str, str]


def expected(path: Path) -> list[Finding]:
    """File, line, severity, code and words under the caret of all that a file expects."""
    return [
        (path.name, number, match[1], match[2], match[3])
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        for match in EXPECTATION.finditer(line)
    ]


def found(fault: Diagnostic, folder: Path) -> Finding:
    assert fault.span is not None
    path = folder / fault.span.path
    line = path.read_text(encoding="utf-8").splitlines()[fault.span.line - 1]
    start = fault.span.column - 1
    caret = line[start : start + fault.span.length]
    return (path.name, fault.span.line, str(fault.severity), fault.code, caret)


def scores_of(root: object) -> dict[str, Score]:
    if not isinstance(root, BookPlan):
        return {}
    return {
        exercise.score: score_of((FOLDER / exercise.score).read_text("utf-8"), exercise.score)
        for exercise in root.exercises
    }


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(path: Path, catalogue: Catalogue) -> None:
    root = root_of(path.read_text(encoding="utf-8"), path.name)
    scores = scores_of(root)
    faults = faults_of(root, scores, catalogue)
    files = [path, *(FOLDER / score for score in dict.fromkeys(map(_tidy, scores)))]
    wanted = [finding for file in files for finding in expected(file)]
    assert sorted(found(fault, FOLDER) for fault in faults) == sorted(wanted)


@pytest.mark.parametrize("path", CASES + SCORES, ids=lambda path: path.stem)
def test_case_says_what_it_shows(path: Path) -> None:
    comments = COMMENT.findall(path.read_text(encoding="utf-8"))
    assert re.fullmatch(r" [A-Z][^\n]*\. ", comments[0]), "the first comment is no sentence"
    rest = [comment for comment in comments[1:] if not EXPECTATION.fullmatch(f"<!--{comment}-->")]
    assert not rest, "neither a sentence at the top nor an expectation"


def test_each_score_belongs_to_a_book() -> None:
    listed = {
        FOLDER / _tidy(path)
        for case in CASES
        for path in scores_of(root_of(case.read_text(encoding="utf-8"), case.name))
    }
    assert listed == set(SCORES)


def _tidy(path: str) -> str:
    return str(Path(path))
