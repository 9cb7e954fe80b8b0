"""What a style may set once: the later of two settings of one thing is told.

In: settings with what each is called. Out: diagnostics at those that come again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from stavebound.diagnostics import Diagnostic
from stavebound.score.model import Origin


def set_once(code: str, settings: Iterable[tuple[str, Origin]]) -> Iterator[Diagnostic]:
    """Each with its code; a message begins with what is set."""
    first: dict[str, Origin] = {}
    for what, origin in settings:
        before = first.setdefault(what, origin)
        if before is not origin:
            yield Diagnostic(
                code,
                f"{what} is set already",
                origin.of("of"),
                ("Keep one of them.",),
                ((before.of("of"), "the first time"),),
            )
