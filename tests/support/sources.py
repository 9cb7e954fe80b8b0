"""Sources in tests: from text to values, and the sound score that examples are set into."""

from collections.abc import Callable, Mapping

from stavebound.book.descriptions import load_layouts
from stavebound.book.layouts import Asked, laid_out
from stavebound.check.books import check_book, check_glossary, check_style
from stavebound.check.scores import check_length, check_lone_score, check_score
from stavebound.dance.danced import dance
from stavebound.diagnostics import Diagnostic
from stavebound.plan.book import (
    BookPlan,
    Glossary,
    StyleSheet,
    read_book,
    read_glossary,
    read_style,
)
from stavebound.score.model import Score
from stavebound.score.read import read_score
from stavebound.score.unfolding.unfold import Unfolded, unfold
from stavebound.score.write import write_score
from stavebound.source.document import Element, SourceFile
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.source.schema import load_schema, schema_faults
from stavebound.trade.catalogue import Catalogue
from stavebound.trade.tables import School

Root = Score | BookPlan | StyleSheet | Glossary

# What stands round an example that is no whole file.
MUSIC = '<music metre="2/4" counts-per-bar="2"/>'
START = '<start><feet in="first"/><arms in="bras bas"/></start>'
PHRASE = '<phrase counts="4"><frame at="1"><knees bend="half"/></frame></phrase>'
ARMS = {"arms", "hand", "elbow"}
LEGS = {"feet", "foot", "kneel", "knees", "knee"}
CENTRE = {"head", "body", "hips", "return"}
CHANGES = ARMS | LEGS | CENTRE | {"cue"}


class BrokenSourceError(Exception):
    """A source that cannot be read, with what is wrong with it."""

    def __init__(self, faults: tuple[Diagnostic, ...]) -> None:
        super().__init__("; ".join(f"{fault.code} {fault.message}" for fault in faults))
        self.faults = faults


def source_of(text: str, shown: str = "example.xml") -> SourceFile:
    """A source that the schema accepts."""
    read = parse_source(text, shown)
    if read.value is None:
        raise BrokenSourceError(read.diagnostics)
    if faults := schema_faults(read.value, load_schema()):
        raise BrokenSourceError(faults)
    return read.value


def root_of(text: str, shown: str = "example.xml") -> Root:
    root = source_of(text, shown).root
    if root.name == "score":
        return unfolded(root).score
    if root.name == "glossary":
        return read_glossary(root)
    return read_book(root) if root.name == "book" else read_style(root)


def unfolded(root: Element) -> Unfolded:
    """A score's root, unfolded, with its form."""
    outcome = unfold(root)
    if outcome.value is None:
        raise BrokenSourceError(outcome.diagnostics)
    return outcome.value


def score_of(text: str, shown: str = "example.xml") -> Score:
    root = root_of(text, shown)
    assert isinstance(root, Score)
    return root


def danced(score: Score, change: Callable[[Element], Element]) -> Score:
    """The score to the other side, or in reverse."""
    return read_score(change(source_of(write_score(score)).root))


def whole(example: str) -> str:
    """An example as a whole file: a sound score round what is less than one."""
    names = _names(example)
    if not names or names & {"score", "book", "style", "glossary"} or NAMESPACE in example:
        return example
    if names <= CHANGES:
        return whole(f'<frame at="1">{example}</frame>')
    if names <= {"frame", "bar", "do", "over"}:
        return whole(f'<phrase counts="4">{example}</phrase>')
    usual = {"music": MUSIC, "start": START, "phrase": PHRASE}
    rest = "".join(text for name, text in usual.items() if name not in names)
    return f'<score xmlns="{NAMESPACE}" title="An example" school="english">{rest}{example}</score>'


def faults_of(root: Root, scores: Mapping[str, Score], catalogue: Catalogue) -> list[Diagnostic]:
    """All that is said of a file and, where it is a book, of its scores."""
    if isinstance(root, Score):
        return [*_of_score(root, catalogue), *check_lone_score(root, catalogue)]
    if isinstance(root, StyleSheet):
        return list(check_style(root, catalogue))
    if isinstance(root, Glossary):
        return list(check_glossary(root))
    alone = (fault for score in scores.values() for fault in _of_score(score, catalogue))
    _, strange = laid_out(root, Asked(), load_layouts())
    return [*strange, *check_book(root, scores, catalogue), *alone]


def _of_score(score: Score, catalogue: Catalogue) -> tuple[Diagnostic, ...]:
    school = catalogue.school(score.school or "english") or catalogue.schools.school[0]
    return score_faults(score, catalogue, school)


def score_faults(score: Score, catalogue: Catalogue, school: School) -> tuple[Diagnostic, ...]:
    """All that the rules say of a score by itself."""
    return check_length(score) or check_score(dance(score, catalogue, school))


def _names(example: str) -> set[str]:
    """The names of the elements that an example is made of; none where it is no XML by itself."""
    read = parse_source(f'<example xmlns="{NAMESPACE}">{example}</example>', "example")
    return {element.name for element in read.value.root.elements} if read.value else set()
