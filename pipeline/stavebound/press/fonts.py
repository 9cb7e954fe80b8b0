"""The embedded faces of a bound book.

In: the joined pages, each chapter with its own subset of each face, and all
subsets of a face under one name. Out: the same pages, in which subsets that
differ have different tags before their names, as PDF demands (ISO 32000-1,
9.6.4; a printer may take the first of a name for all), and subsets that are
equal are stored once. A thin space that a face makes from its word space, and one on which
no line is broken, are told as word spaces, so that text that is searched or copied has the
spaces that are typed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from pikepdf import Dictionary, Name, Object, Pdf

from stavebound.faces import MADE_SPACE, SHARED_SPACE

FILES = (Name.FontFile2, Name.FontFile3)
TAG_LENGTH = 6
WORD_SPACE = b"> <0020>"
TIE = "\u00a0"
# How a face's table from glyphs to text ends a row of a space that has no glyph of its own, or
# is a word space but for where lines are broken.
MADE_SPACES = tuple(f"> <{ord(char):04x}>".encode() for char in (*MADE_SPACE, *SHARED_SPACE, TIE))
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def part_subsets(book: Pdf) -> None:
    """Tag every subset by its content, and keep one copy of each; spaces are told as typed."""
    kept: dict[bytes, Object] = {}
    for font in _composite_fonts(book):
        _tell_spaces(font)
        for drawn in font.DescendantFonts:
            digest = _share_file(drawn.FontDescriptor, kept)
            name = Name(f"/{_tag(digest)}+{str(font.BaseFont).partition('+')[2]}")
            font.BaseFont = drawn.BaseFont = drawn.FontDescriptor.FontName = name


def _tell_spaces(font: Object) -> None:
    told = text = font.ToUnicode.read_bytes()
    for made in MADE_SPACES:
        told = told.replace(made, WORD_SPACE)
    if told != text:
        font.ToUnicode.write(told)


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
