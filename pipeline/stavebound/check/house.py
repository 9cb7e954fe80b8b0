"""A house style's type, school and language: faces that are packaged, words that there are.

In: a style, or several of which the last lies uppermost, and the catalogue. Out: diagnostics
at the attributes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stavebound.check.names import school_known
from stavebound.check.phrasing import hints, listed, quoted
from stavebound.diagnostics import Diagnostic
from stavebound.faces import families
from stavebound.plan.book import StyleSheet, TypeSetting
from stavebound.suggest import suggest
from stavebound.trade.catalogue import Catalogue
from stavebound.wording.labels import languages


def faces_known(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    kind = style.type
    for attribute, name in (("text", kind.text), ("headings", kind.headings)):
        if name is not None and name not in families():
            yield Diagnostic(
                "B513",
                f"no faces of a family “{name}” are packaged",
                kind.origin.of(attribute),
                hints(suggest(name, families()), f"Expected {listed(quoted(families()), 'or')}."),
            )


def labels_known(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    if style.labels is not None and style.labels not in languages():
        yield Diagnostic(
            "B514",
            f"there are no labels in the language “{style.labels}”",
            style.origin.of("labels"),
            hints(suggest(style.labels, languages()), f"Expected {listed(languages(), 'or')}."),
        )


def styles_school(style: StyleSheet, catalogue: Catalogue) -> Iterator[Diagnostic]:
    yield from school_known(style.school, style.origin.of("school"), catalogue)


def lines_apart(sheets: Sequence[StyleSheet], catalogue: Catalogue) -> Iterator[Diagnostic]:
    """Lines that are set closer than their type is high run into each other."""
    kind = TypeSetting()
    for sheet in sheets:
        kind = sheet.type.over(kind)
    if kind.size and kind.leading and kind.leading < kind.size:
        yield Diagnostic(
            "B515",
            f"lines {kind.leading} pt apart are too close for type of {kind.size} pt",
            kind.origin.of("leading"),
            (f"Expected {kind.size} or more; a fifth to a third more is usual.",),
        )
