"""The example of the pages on how to read: a phrase on its stave, proved like any other.

In: the table of the key, the measure and the setting. Out: its lines.
"""

from __future__ import annotations

from dataclasses import replace

from stavebound.book.key import PictureError
from stavebound.dance.danced import dance
from stavebound.dance.printed import written_out
from stavebound.engrave.engraving import engrave
from stavebound.engrave.parts import Setting
from stavebound.proof.lines import DrawnLine, drawn_lines, prove_lines
from stavebound.readback.claims import ReadingKey
from stavebound.score.model import Score
from stavebound.score.read import read_score
from stavebound.source.reading import parse_source
from stavebound.source.rules import NAMESPACE
from stavebound.trade.tables import KeyExample, School

TITLE = "example"


def example_lines(
    measure: float, setting: Setting, school: School, key: ReadingKey
) -> tuple[DrawnLine, ...]:
    """Within so many millimetres. PictureError where it does not say what is written."""
    style = setting.style
    wide = {**style.distances, "count width": style.distance("movement count width")}
    own = replace(setting, style=replace(style, line_names="none", distances=wide))
    score = example_score(setting.catalogue.key.example)
    printed = written_out(dance(score, setting.catalogue, school))
    engraved = engrave(printed, measure, own)
    if engraved.value is None or engraved.diagnostics:
        raise PictureError(f"it cannot be drawn: {TITLE}")
    lines = drawn_lines(engraved.value, TITLE, own)
    if faults := prove_lines(lines, engraved.value, printed, own, key):
        raise PictureError(f"{TITLE}: {faults[0].message}")
    return lines


def example_score(example: KeyExample) -> Score:
    """ValueError where it is no XML."""
    parsed = parse_source(
        f'<score xmlns="{NAMESPACE}" title="{TITLE}"><start>{example.start}</start>'
        f'<phrase counts="{example.counts}">{example.phrase}</phrase></score>',
        TITLE,
    )
    if parsed.value is None:
        raise ValueError(f"{TITLE}: {parsed.diagnostics[0].message}")
    return read_score(parsed.value.root)
