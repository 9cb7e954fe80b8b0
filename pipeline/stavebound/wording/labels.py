"""The words that a layout prints by itself.

In: a language. Out: its row of the packaged table. KeyError for a language that
the table does not have.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files


@cache
def languages() -> Mapping[str, Mapping[str, str]]:
    text = files("stavebound.wording").joinpath("labels.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def labels(language: str) -> Mapping[str, str]:
    return languages()[language]
