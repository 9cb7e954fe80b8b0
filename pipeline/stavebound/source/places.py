"""Where a character of a text stands: offsets into lines and columns.

In: a text whose lines end in "\\n". Out: spans. Offsets count characters from
0; lines and columns count characters from 1. A span never leaves its line.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stavebound.diagnostics import Span


@dataclass(frozen=True, slots=True)
class Places:
    """The offsets at which the lines of one file start, and the length of its text."""

    path: str
    starts: tuple[int, ...]
    size: int

    def span(self, offset: int, length: int = 1) -> Span:
        """The span at an offset; cut at the end of the line, at least one character long."""
        line = bisect_right(self.starts, offset)
        start = self.starts[line - 1]
        end = self.starts[line] - 1 if line < len(self.starts) else self.size
        return Span(self.path, line, offset - start + 1, max(1, min(length, end - offset)))


def places_of(path: str, text: str) -> Places:
    """The places of a text; `path` is the file as the person named it."""
    starts = [0]
    at = text.find("\n")
    while at >= 0:
        starts.append(at + 1)
        at = text.find("\n", at + 1)
    return Places(path, tuple(starts), len(text))


def character_offsets(encoded: bytes, byte_offsets: Iterable[int]) -> Iterator[int]:
    """Offsets in characters for offsets in UTF-8 bytes, which must not decrease."""
    last = characters = 0
    for byte_offset in byte_offsets:
        characters += len(encoded[last:byte_offset].decode("utf-8"))
        last = byte_offset
        yield characters
