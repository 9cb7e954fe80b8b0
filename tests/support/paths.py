"""Files in tests: written where a test says, with the folders on the way."""

from __future__ import annotations

from pathlib import Path


def write(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path
