"""Running text: elements of words to runs.

In: an element whose content the schema allows to be mixed. Out: `Words`, white
space folded as in print, with none at the ends.
"""

from __future__ import annotations

import re
from dataclasses import replace

from stavebound.score.lexical import one_line
from stavebound.score.model import Origin, Run, Words
from stavebound.source.document import Element, Text

DETAIL = {"term": "entry", "side": "is", "foreign": "language"}


def origin_of(element: Element) -> Origin:
    return Origin(element.span, tuple((a.name, a.span) for a in element.attributes))


def words_of(element: Element) -> Words:
    runs = [_run(child) for child in element.children]
    return _trimmed(tuple(run for run in runs if run.text or run.kind == "side"))


def plain(words: Words) -> str:
    """The words without their marks, as they are read aloud."""
    return "".join(run.detail or "" if run.kind == "side" else run.text for run in words)


def _run(child: Element | Text) -> Run:
    if isinstance(child, Text):
        return Run("text", re.sub(r"\s+", " ", child.value), origin=Origin(child.span))
    inner = "".join(text.value for text in child.children if isinstance(text, Text))
    detail = child.get(DETAIL.get(child.name, ""))
    return Run(
        child.name,
        one_line(inner),
        detail.value if detail else None,
        origin=origin_of(child),
    )


def _trimmed(words: Words) -> Words:
    if words and words[0].kind == "text":
        words = (replace(words[0], text=words[0].text.lstrip()), *words[1:])
    if words and words[-1].kind == "text":
        words = (*words[:-1], replace(words[-1], text=words[-1].text.rstrip()))
    return tuple(run for run in words if run.text or run.kind == "side")
