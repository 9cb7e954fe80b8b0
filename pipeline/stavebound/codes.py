"""The registry of all codes a diagnostic can carry.

In: the packaged table codes.toml. Out: frozen values. Always holds: a code is
one letter for its room and three figures, and never changes its meaning once
released. X is for files and their XML, S for the schema, U for what is written
once and used again, T for the rules of the trade, E for the engraving, B for the
book and the press, R for reading back.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

ROOMS: Mapping[str, str] = MappingProxyType(
    {
        "X": "files and their XML",
        "S": "the schema",
        "U": "what is written once and used again",
        "T": "the rules of the trade",
        "E": "the engraving",
        "B": "the book and the press",
        "R": "reading the ink back",
    }
)


@dataclass(frozen=True, slots=True)
class Code:
    """What a code means, why it matters, how to mend it, and what it looks like.

    `example` is the smallest piece of a source that shows the fault, or, where
    the fault is of the whole file, a sentence.
    """

    code: str
    meaning: str
    why: str
    remedy: str
    example: str


@cache
def load_codes() -> Mapping[str, Code]:
    """All codes by their name, in the order of the alphabet.

    ValueError where the table names a code badly or says too much or too little of one.
    """
    table = tomllib.loads((files("stavebound") / "codes.toml").read_text(encoding="utf-8"))
    return MappingProxyType({name: _code(name, table[name]) for name in sorted(table)})


def _code(name: str, row: Mapping[str, str]) -> Code:
    if not re.fullmatch(rf"[{''.join(ROOMS)}][1-9][0-9][0-9]", name):
        raise ValueError(f"codes.toml: {name} is not a letter of a room and three figures")
    if set(row) != {"meaning", "why", "remedy", "example"} or not all(row.values()):
        raise ValueError(f"codes.toml: {name} wants meaning, why, remedy and example, no more")
    return Code(name, row["meaning"], row["why"], row["remedy"], row["example"].strip("\n"))
