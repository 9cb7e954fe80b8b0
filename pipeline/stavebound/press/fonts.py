"""The embedded faces of a bound book.

In: the joined pages, each chapter with its own subset of each face, and all
subsets of a face under one name. Out: the same pages, in which subsets that
differ have different tags before their names, as PDF demands (ISO 32000-1,
9.6.4; a printer may take the first of a name for all), and subsets that are
equal are stored once.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from pikepdf import Dictionary, Name, Object, Pdf

FILES = (Name.FontFile2, Name.FontFile3)
TAG_LENGTH = 6
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def part_subsets(book: Pdf) -> None:
    """Tag every subset by its content, and keep one copy of each."""
    kept: dict[bytes, Object] = {}
    for font in _composite_fonts(book):
        for drawn in font.DescendantFonts:
            digest = _share_file(drawn.FontDescriptor, kept)
            name = Name(f"/{_tag(digest)}+{str(font.BaseFont).partition('+')[2]}")
            font.BaseFont = drawn.BaseFont = drawn.FontDescriptor.FontName = name


def _composite_fonts(book: Pdf) -> Iterator[Object]:
    for thing in book.objects:
        if isinstance(thing, Dictionary) and thing.get(Name.Subtype) == Name.Type0:
            yield thing


def _share_file(descriptor: Object, kept: dict[bytes, Object]) -> bytes:
    """Point the descriptor to the first file with its content; its digest comes back."""
    key = next(key for key in FILES if key in descriptor)
    digest = hashlib.sha256(descriptor[key].read_bytes()).digest()
    descriptor[key] = kept.setdefault(digest, descriptor[key])
    return digest


def _tag(digest: bytes) -> str:
    return "".join(LETTERS[byte % len(LETTERS)] for byte in digest[:TAG_LENGTH])
