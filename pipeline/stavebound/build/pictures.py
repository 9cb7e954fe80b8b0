"""Pictures that every book may have, in a house's style: the key's, and those beside it.

In: a house's styles, the setting that comes of them, and what the reader goes by. Out: a
diagnostic where one of them cannot be drawn or read. What is sound here cannot fail in a
book that prints the key to what it uses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from stavebound.book.key import PictureError, row_system
from stavebound.book.reading import in_key, labelled_picture
from stavebound.book.repeats import repeat_picture
from stavebound.diagnostics import Diagnostic
from stavebound.engrave.parts import Setting
from stavebound.plan.book import StyleSheet
from stavebound.readback.claims import ReadingKey
from stavebound.score.origin import Origin


def picture_faults(
    sheets: Sequence[StyleSheet], setting: Setting, key: ReadingKey
) -> Iterator[Diagnostic]:
    """None of a house that leaves distances and signs as they are: its pictures are the usual."""
    own: list[Origin] = []
    for sheet in sheets:
        own += (setting.origin for setting in sheet.distances)
        own += (setting.origin for setting in sheet.signs)
    failed = list(_failed(setting, key)) if own else []
    if failed:
        others = f", nor {len(failed) - 1} others" if len(failed) > 1 else ""
        yield Diagnostic(
            "E412",
            f"in this style a picture that explains the stave cannot be printed{others}",
            own[-1].span,
            (
                f"The first of them: {failed[0]}",
                f"The key's staves are {in_key(setting).style.stave_height:g} mm high: "
                "keep signs and distances nearer to the usual ones.",
            ),
        )


def _failed(setting: Setting, key: ReadingKey) -> Iterator[str]:
    for draw in _pictures(setting, key):
        try:
            draw()
        except PictureError as failure:
            yield str(failure)


def _pictures(setting: Setting, key: ReadingKey) -> Iterator[Callable[[], object]]:
    catalogue, school = setting.catalogue, setting.catalogue.schools.school[0]
    small = in_key(setting)
    yield partial(labelled_picture, setting, school, key)
    for row in catalogue.key.row:
        yield partial(row_system, row, small, school, key)
    for repeat in catalogue.repeats.key:
        yield partial(repeat_picture, repeat, small, school, key)
