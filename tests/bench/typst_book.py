"""The same book for another typesetter: sheets of HTML and their staves as Typst source.

In: the sheets of a book, with the numbers found, its paper, and which exercises lie open
on two pages. Out: `book.typ` in a folder, and beside it a file of numbers for each stave.
Typst sets the same words in the same faces on the same grid, draws the same outlines and
the same texts of staves at the same places, and finds page numbers and running heads by
itself; how it sets each element stands in `typst_book.typ`. It is spared what it need not
do: a centre line is one dotted stroke, and of the ways to draw that were tried, a file of
numbers for each stave, made into one curve a pen, is the quickest.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

from stavebound.book.papers import Paper
from stavebound.press.values import Chapter, Folios
from tests.support.pages import HEADINGS, Tag, tree_of

FAMILY = "Crimson Text"
PRELUDE = Path(__file__).with_name("typst_book.typ")
# The widest that running text is set, in millimetres.
MEASURE = 122
CORNERS_OF_A_DOT = 8
# Whether a figure is curved, and its points.
Figure = tuple[bool, list[tuple[float, float]]]
# What Typst has a function for, by element or class, with its name: first what is laid around
# text, then what is laid around blocks.
TEXTS = {"facts": "facts", "entry": "term", "p": "par"}
BLOCKS = {
    **{name: name for name in ("imprint", "cautions", "contents", "preface")},
    **{name: name for name in ("key", "within", "staves", "small", "run", "index", "lead")},
    "aim": "run",
    "listed": "listed",
    "prose": "words",
}
# How far the numbers of headings and of lists push what stands behind them.
NUMBERS = {"h2": "9mm", "li": "9mm", "a": "1.6em"}


def typst_folder(folder: Path, as_drawn: bool) -> Path:
    """Where the source of a book is, of the two ways to draw its centre lines."""
    return folder / ("as drawn" if as_drawn else "dotted")


def write_typst(
    folder: Path,
    chapters: Sequence[Chapter],
    paper: Paper,
    title: str,
    facing: Collection[str],
    as_drawn: bool = False,
) -> Path:
    """The file of the book. `chapters` are in the order of the book, with its numbers;
    `facing` are the ids of exercises that lie open on two pages; `as_drawn` draws the dots of
    centre lines as the outlines that they are here, not as one dotted stroke."""
    parts = [
        f"#set document(title: {_quoted(title)})",
        f"#let (leading, size) = ({paper.leading}pt, {paper.type_size}pt)",
        f"#let paper-size = ({paper.width}mm, {paper.height}mm)",
        f"#let margins = (top: {paper.top}mm, bottom: {paper.bottom - 0.01}mm, "
        f"inside: {paper.inside}mm, outside: {paper.outside}mm)",
        f"#let measure = {min(MEASURE, paper.measure)}mm",
        f"#let family = {_quoted(FAMILY)}",
        PRELUDE.read_text(encoding="utf-8"),
    ]
    arabic = False
    for chapter in chapters:
        for name, svg in chapter.images:
            file = folder / _file(chapter.key, name)
            file.write_text(json.dumps(_stave(svg, as_drawn)), encoding="utf-8")
        parts += _opening(chapter, first=chapter.folios is Folios.ARABIC and not arabic)
        arabic = arabic or chapter.folios is Folios.ARABIC
        (html,) = tree_of(chapter.html).all("html")
        parts += _Setter(chapter.key, facing, html.attributes["lang"]).sheet(html)
    book = folder / "book.typ"
    book.write_text("\n".join(parts), encoding="utf-8")
    return book


def _opening(chapter: Chapter, first: bool) -> Iterator[str]:
    """A right-hand page, and its folios."""
    yield '#pagebreak(to: "odd", weak: true)'
    yield f'#set page(numbering: "{"1" if chapter.folios is Folios.ARABIC else "i"}")'
    if first:
        yield "#counter(page).update(1)"


def _file(chapter: str, stave: str) -> str:
    return f"{chapter} {stave.replace('/', ' in ')}.json"


def _stave(svg: str, as_drawn: bool) -> dict[str, object]:
    root = ElementTree.fromstring(svg)
    named = {kind: [one for one in root if one.tag.endswith(kind)] for kind in ("path", "text")}
    pens = [
        [_figure(figure) for figure in path.attrib["d"].split("Z")[:-1]] for path in named["path"]
    ]
    lines = [pen for pen in pens if as_drawn or not all(map(_is_dot, pen))]
    dots = [figure for pen in pens if pen not in lines for figure in pen]
    return {
        "width": float(root.attrib["width"].removesuffix("mm")),
        "height": float(root.attrib["height"].removesuffix("mm")),
        "pens": [[(curved, *points) for curved, points in pen] for pen in lines],
        "dotted": list(_dotted(dots)),
        "words": [words for text in named["text"] for words in _words(text)],
    }


def _figure(figure: str) -> Figure:
    points = re.findall(r"(-?[\d.]+),(-?[\d.]+)", figure)
    return "C" in figure, [(float(x), float(y)) for x, y in points]


def _is_dot(figure: Figure) -> bool:
    return not figure[0] and len(figure[1]) == CORNERS_OF_A_DOT


def _dotted(dots: list[Figure]) -> Iterator[tuple[float, ...]]:
    """Of dots below each other: where the line is, how thick, and from dot to dot."""
    for _, column in groupby(dots, key=lambda dot: dot[1][0][0]):
        boxes = [tuple(zip(*points, strict=True)) for _, points in column]
        xs, ys = boxes[0][0], [(min(ys) + max(ys)) / 2 for _, ys in boxes]
        step = abs(ys[-1] - ys[0]) / max(1, len(ys) - 1)
        yield (min(xs) + max(xs)) / 2, ys[0], ys[-1], max(xs) - min(xs), step


def _words(text: ElementTree.Element) -> Iterator[tuple[object, ...]]:
    given = text.attrib
    style, weight = given.get("font-style", "normal"), int(given.get("font-weight", "400"))
    rest = float(given["y"]), float(given["font-size"]), style, weight
    xs, letters = given["x"].split(" "), text.text or ""
    for x, words in zip(xs, letters if len(xs) > 1 else [letters], strict=True):
        yield float(x), *rest, words


class _Setter:
    """Writes the elements of one chapter."""

    def __init__(self, key: str, facing: Collection[str], language: str) -> None:
        self._key, self._facing, self._language = key, facing, language

    def sheet(self, html: Tag) -> Iterator[str]:
        (body,) = html.all("body")
        yield f"#set text(lang: {_quoted(self._language[:2])})"
        yield from self._blocks(body)

    def _blocks(self, tag: Tag) -> Iterator[str]:
        for child in tag.children:
            if isinstance(child, Tag):
                yield from self._block(child)

    def _block(self, tag: Tag) -> Iterator[str]:
        names = [*tag.attributes.get("class", "").split(), tag.name]
        if "strip" in names:
            yield self._strip(tag)
        elif tag.name == "figure":
            yield self._figure(tag, names)
        elif tag.name == "img":
            yield self._span(tag)
        elif tag.name in HEADINGS:
            yield self._heading(tag)
        elif "title" in names:
            yield from self._title(tag)
        elif tag.name == "table":
            yield from self._table(tag)
        elif tag.name in ("li", "a"):
            yield from self._row(tag)
        elif found := next((TEXTS[name] for name in names if name in TEXTS), None):
            yield f"#{found}[{_mark(tag)}{self._inline(tag)}]"
        else:
            yield self._around(tag, names)
            yield from self._blocks(tag)
            yield "]"

    def _around(self, tag: Tag, names: list[str]) -> str:
        if "exercise" in names:
            (heading, *_) = tag.all("h2")
            side = '"even"' if heading.attributes["id"] in self._facing else "none"
            return f"#exercise({side})["
        found = [BLOCKS[name] for name in names if name in BLOCKS]
        return f"#{found[0]}[" if found else "#["

    def _figure(self, tag: Tag, names: list[str]) -> str:
        """A stave in the whole lines that it takes."""
        height = tag.attributes.get("style", "height: 100pt").removeprefix("height: ")
        name = "labelled" if "labelled" in names else "figure"
        return f"#{name}({height})[{_mark(tag)}{self._inline(tag)}]"

    def _strip(self, tag: Tag) -> str:
        """A piece of stave of the key, with the words under its frames."""
        (shown,) = tag.all("img")
        cells = (cell for cell in tag.all("span") if cell.attributes.get("class") == "cell")
        width = tag.attributes["style"].removeprefix("width: ")
        words = ", ".join(f"[{self._inline(cell)}]" for cell in cells)
        return f"#strip({width}, [{_mark(tag)}{self._span(shown)}], {words})"

    def _heading(self, tag: Tag) -> str:
        if tag.name == "h3":
            return f"#heading-3[{self._inline(tag)}]"
        label = f"#label({_quoted(tag.attributes['id'])})" if "id" in tag.attributes else ""
        return f"#heading(level: {tag.name[1]}, outlined: false)[{self._inline(tag)}]{label}"

    def _title(self, tag: Tag) -> Iterator[str]:
        """The title of the book is no heading of a part."""
        yield "#title["
        for child in tag.children:
            if isinstance(child, Tag) and child.name == "h1":
                yield f"#title-head[{self._inline(child)}]"
            elif isinstance(child, Tag):
                yield from self._block(child)
        yield "]"

    def _row(self, tag: Tag) -> Iterator[str]:
        """A row of the contents, of the key, or of a list."""
        links = [child for child in tag.children if isinstance(child, Tag) and child.name == "a"]
        lists = [child for child in tag.children if isinstance(child, Tag) and child.name == "ol"]
        pictures = [child for child in tag.children if isinstance(child, Tag)]
        if lists or (links and len(list(links[0].all("span"))) > 1):
            yield from self._contents_row(links[0], lists)
        elif pictures and pictures[0].name == "img":
            shown, meaning = pictures
            yield f"#key-row[{self._span(shown)}][{self._inline(meaning)}]"
        elif links and list(links[0].all("span")):
            yield f"#row(9mm)[{self._inline(links[0], NUMBERS['li'])}]"
        elif "data-word" in tag.attributes or tag.attributes.get("class") == "under":
            yield f"#row(1.4em)[{self._inline(tag)}]"
        else:
            yield f"#listed-row[{self._inline(tag)}]"

    def _contents_row(self, link: Tag, lists: list[Tag]) -> Iterator[str]:
        title = next(child for child in link.children if isinstance(child, Tag))
        target = link.attributes["href"].removeprefix("stavebound:")
        if lists:
            yield "#part["
        yield f"#entry({_quoted(target)})[{self._inline(title, NUMBERS['a'])}]"
        for inner in lists:
            yield from self._blocks(inner)
            yield "]"

    def _table(self, tag: Tag) -> Iterator[str]:
        heads, *rows = tag.all("tr")
        titles = [self._cell(cell) for cell in heads.all("th")]
        widths = ", ".join("1fr" if at == 1 else "auto" for at in range(len(titles)))
        yield f"#listing(({widths}), ({', '.join(titles)}),"
        for row in rows:
            yield ", ".join(self._cell(cell) for cell in row.all("td")) + ","
        yield ")"

    def _cell(self, cell: Tag) -> str:
        words = f"[{self._inline(cell)}]"
        if "colspan" in cell.attributes:
            return f"wide-cell({cell.attributes['colspan']}, {words})"
        right = cell.attributes.get("class") == "figure"
        return f"right-cell({words})" if right else words

    def _inline(self, tag: Tag, number: str = NUMBERS["h2"]) -> str:
        return "".join(
            _escaped(child) if isinstance(child, str) else self._span(child, number)
            for child in tag.children
        )

    def _span(self, tag: Tag, number: str = NUMBERS["h2"]) -> str:
        target = tag.attributes.get("href", "").removeprefix("stavebound:")
        kind = tag.attributes.get("class", "")
        if tag.name == "img":
            name = unquote(tag.attributes["src"].removeprefix("stave:"))
            return f"#stave({_quoted(_file(self._key, name))})"
        if tag.name == "a" and re.fullmatch(r"[ivxlc\d]+(–\d+)?", tag.text):
            return f"#folio({_quoted(target)})" + _escaped("".join(tag.text.partition("–")[1:]))
        if tag.name == "br":
            return "#linebreak()"
        words = _mark(tag) + self._inline(tag, number)
        if kind == "number":
            return f"#number({number})[{words}]"
        if tag.attributes.get("lang", self._language) != self._language:
            words = f"#text(lang: {_quoted(tag.attributes['lang'][:2])})[{words}]"
        if kind == "label":
            return f"#capitals[{words}]"
        return f"#emph[{words}]" if tag.name in ("em", "i") else words


def _mark(tag: Tag) -> str:
    """What a page number can be asked for by."""
    return f"#at({_quoted(tag.attributes['id'])})" if "id" in tag.attributes else ""


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _escaped(text: str) -> str:
    return re.sub(r"([\\#$*_`@<>~\[\]/=+.-])", r"\\\1", " ".join(re.split(r"\s+", text)))
