"""The same book for another typesetter: sheets of HTML and their staves as Typst source.

In: the sheets of a book, with the numbers found, and its paper. Out: `book.typ` in a
folder, and beside it a file of numbers for each stave. Typst sets the same words in the
same faces, draws the same outlines and the same texts of staves at the same places, and
finds page numbers by itself. It is spared what it need not do: a centre line is one
dotted stroke, and of the ways to draw that were tried, a file of numbers for each stave,
made into one curve a pen, is the quickest.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

from stavebound.book.papers import Paper
from stavebound.press.values import Chapter, Folios
from tests.pages import Tag, tree_of

FAMILY = "Crimson Text"
# The widest that running text is set, in millimetres.
MEASURE = 122
CORNERS_OF_A_DOT = 8
# Whether a figure is curved, and its points.
Figure = tuple[bool, list[tuple[float, float]]]
SIZES = {"h1": "19pt", "h2": "15pt", "h3": "1em"}
HEAD = r"""
#let mm(points) = points.map(((x, y)) => (x * 1mm, y * 1mm))
#let figure_of(figure) = {
  let (curved, ..points) = figure
  let (begin, ..others) = mm(points)
  let sides = if curved {
    others.chunks(3).map(three => curve.cubic(..three))
  } else {
    others.map(curve.line)
  }
  (curve.move(begin), ..sides, curve.close())
}
#let stave(name) = {
  let drawn = json(name)
  box(width: drawn.width * 1mm, height: drawn.height * 1mm, {
    for pen in drawn.pens {
      place(curve(fill: black, ..pen.map(figure_of).flatten()))
    }
    for (x, top, floor, thick, step) in drawn.dotted {
      place(line(
        start: (x * 1mm, top * 1mm), end: (x * 1mm, floor * 1mm),
        stroke: (thickness: thick * 1mm, cap: "round", dash: (0pt, step * 1mm)),
      ))
    }
    for (x, y, size, style, weight, words) in drawn.words {
      place(dx: x * 1mm, dy: y * 1mm, text(
        size: size * 1mm, style: style, weight: weight, hyphenate: false,
        top-edge: "baseline", bottom-edge: "baseline", words,
      ))
    }
  })
}
#let folio(name) = context {
  let place = locate(label(name))
  link(place, numbering(place.page-numbering(), ..counter(page).at(place)))
}
#let at(name) = [#metadata(none)#label(name)]
#set smartquote(enabled: false)
#set par(justify: true, first-line-indent: 1.2em)
#set block(above: 0pt, below: 0pt)
"""


def write_typst(folder: Path, chapters: Sequence[Chapter], paper: Paper, title: str) -> Path:
    """The file of the book. `chapters` are in the order of the book, with its numbers."""
    gap = paper.leading - paper.type_size
    parts = [
        f"#set document(title: {json.dumps(title, ensure_ascii=False)})",
        f"#set page(width: {paper.width}mm, height: {paper.height}mm, margin: ("
        f"top: {paper.top}mm, bottom: {paper.bottom}mm, "
        f"inside: {paper.inside}mm, outside: {paper.outside}mm))",
        f'#set text(font: "{FAMILY}", size: {paper.type_size}pt, lang: "en", hyphenate: true, '
        "top-edge: 0.75em, bottom-edge: -0.25em)",
        HEAD,
        f"#set par(leading: {gap}pt, spacing: {gap}pt)",
    ]
    arabic = False
    for chapter in chapters:
        parts.append(_opening(chapter, title, first=chapter.folios is Folios.ARABIC and not arabic))
        arabic = arabic or chapter.folios is Folios.ARABIC
        for name, svg in chapter.images:
            file = folder / _file(chapter.key, name)
            file.write_text(json.dumps(_stave(svg)), encoding="utf-8")
        (body,) = tree_of(chapter.html).all("body")
        parts += _Setter(chapter.key, paper).blocks(body)
    book = folder / "book.typ"
    book.write_text("\n".join(parts), encoding="utf-8")
    return book


def _opening(chapter: Chapter, title: str, first: bool) -> str:
    """A right-hand page, its folios and its running heads."""
    numbers = "1" if chapter.folios is Folios.ARABIC else "i"
    (body,) = tree_of(chapter.html).all("body")
    head = _quoted(body.attributes["data-chapter"])
    return "\n".join(
        (
            '#pagebreak(to: "odd", weak: true)',
            f'#set page(numbering: "{numbers}", footer: context align('
            "if calc.odd(here().page()) { right } else { left }, counter(page).display()), "
            "header: context if calc.odd(here().page()) "
            f"{{ align(right, emph({head})) }} else {{ emph({_quoted(title)}) }})",
            *(("#counter(page).update(1)",) if first else ()),
        )
    )


def _file(chapter: str, stave: str) -> str:
    return f"{chapter} {stave}.json"


def _stave(svg: str) -> dict[str, object]:
    root = ElementTree.fromstring(svg)
    named = {kind: [one for one in root if one.tag.endswith(kind)] for kind in ("path", "text")}
    pens = [
        [_figure(figure) for figure in path.attrib["d"].split("Z")[:-1]] for path in named["path"]
    ]
    lines = [pen for pen in pens if not all(map(_is_dot, pen))]
    dots = [figure for pen in pens if all(map(_is_dot, pen)) for figure in pen]
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
    """Writes the elements of one chapter; blank is that of the layout's style sheet."""

    def __init__(self, key: str, paper: Paper) -> None:
        self._key, self._paper = key, paper
        line, self._gap = paper.leading, paper.leading - paper.type_size
        self._above = {
            **dict.fromkeys(("facts", "group", "small", "dt"), line / 2),
            **dict.fromkeys(("run", "h3"), line / 4),
            **dict.fromkeys(("staves", "labelled"), line),
            "exercise": 2 * line,
        }
        self._below = {"h1": 2 * line, "staves": line, "labelled": line, "level": line / 2}
        self._below |= {"h2": line / 2, "p": line / 4}

    def blocks(self, tag: Tag) -> Iterator[str]:
        before = ""
        for child in tag.children:
            if isinstance(child, Tag):
                names = [child.name, *child.attributes.get("class", "").split(" ")]
                yield from self._break(child, names, before)
                yield self._blank(self._above, names)
                yield from self._block(child, names)
                yield self._blank(self._below, names)
                before = names[1]

    def _blank(self, table: dict[str, float], names: list[str]) -> str:
        """Paragraphs are set close, unless they are facts."""
        wanted = max((table.get(name, 0) for name in names if name != "p"), default=0)
        return f"#v({self._gap + wanted}pt, weak: true)"

    def _break(self, tag: Tag, names: list[str], before: str) -> Iterator[str]:
        alone = {"exercise": before != "opening", "opening": before == "exercise"}
        key = tag.attributes.get("id") == "key"
        if key or any(alone.get(name, name in ("contents", "preface")) for name in names):
            yield "#pagebreak(weak: true)"
        if "cautions" in names:
            yield '#pagebreak(weak: true, to: "odd")'

    def _block(self, tag: Tag, names: list[str]) -> Iterator[str]:
        if tag.name in SIZES and "title" not in names:
            yield self._heading(tag)
        elif tag.name == "figure" or tag.name == "img":
            yield f"#block[{_mark(tag)}{self._inline(tag)}]\n#v(3mm, weak: true)"
        elif tag.name == "li" and list(tag.all("img")):
            yield self._key_row(tag)
        elif tag.name in ("p", "dt", "dd") or (tag.name == "li" and not list(tag.all("span"))):
            yield self._paragraph(tag)
        elif tag.name == "a":
            yield self._entry(tag)
        else:
            yield from self._group(tag, names)

    def _group(self, tag: Tag, names: list[str]) -> Iterator[str]:
        around = {
            "prose": f"#block(width: {MEASURE}mm)[",
            "key": "#columns(2, gutter: 6mm)[",
            "small": "#block[#set text(size: 9pt)\n",
            "title": f"#block[#v({self._paper.height * 0.22}mm)\n#set align(center)\n",
            "imprint": "#pagebreak()\n#block(height: 100%)[#v(1fr)\n#set text(size: 9pt)\n",
        }
        opening = next((around[name] for name in names if name in around), "")
        yield opening
        yield from self.blocks(tag)
        yield "]" if opening else ""

    def _heading(self, tag: Tag) -> str:
        level = int(tag.name[1])
        words = f"#text(size: {SIZES[tag.name]}, weight: 400)[{self._inline(tag)}]"
        pad = "#v(12mm)\n" if level == 1 else ""
        label = f"#label({_quoted(tag.attributes['id'])})" if "id" in tag.attributes else ""
        shown = f"_{words}_" if level == 3 else words
        return f"{pad}#heading(level: {level}, outlined: false)[{shown}]{label}"

    def _paragraph(self, tag: Tag) -> str:
        """Entries of lists and glossaries hang."""
        given = "hanging-indent: 4mm, first-line-indent: 0pt" if tag.name == "li" else ""
        words = f"#par({given})[{_mark(tag)}{'– ' if tag.name == 'li' else ''}{self._inline(tag)}]"
        return f"#pad(left: 4mm)[{words}]" if tag.name == "dd" else words

    def _key_row(self, tag: Tag) -> str:
        """A row of the key: its picture, and what it means."""
        cells = (f"[{self._inline(Tag('', {}, [one]))}]" for one in tag.children)
        columns = "columns: (auto, 1fr), column-gutter: 4mm, align: horizon"
        return f"#grid({columns}, {', '.join(cells)})\n#v(2mm, weak: true)"

    def _entry(self, tag: Tag) -> str:
        """A line of the contents."""
        target = tag.attributes["href"].removeprefix("stavebound:")
        title, _ = (child for child in tag.children if isinstance(child, Tag))
        return f"#block[{self._inline(title)}#h(1fr)#folio({_quoted(target)})]"

    def _inline(self, tag: Tag) -> str:
        return "".join(
            _escaped(child) if isinstance(child, str) else self._span(child)
            for child in tag.children
        )

    def _span(self, tag: Tag) -> str:
        target = tag.attributes.get("href", "").removeprefix("stavebound:")
        if tag.name == "img":
            name = unquote(tag.attributes["src"].removeprefix("stave:"))
            return f"#stave({_quoted(_file(self._key, name))})"
        if tag.name == "a" and re.fullmatch(r"[ivxlc\d]+(–\d+)?", tag.text):
            return f"#folio({_quoted(target)})" + _escaped("".join(tag.text.partition("–")[1:]))
        words = _mark(tag) + self._inline(tag)
        slanted = tag.name in ("em", "i") or "label" in tag.attributes.get("class", "")
        return f"#emph[{words}]" if slanted else words


def _mark(tag: Tag) -> str:
    """What a page number can be asked for by."""
    return f"#at({_quoted(tag.attributes['id'])})" if "id" in tag.attributes else ""


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _escaped(text: str) -> str:
    return re.sub(r"([\\#$*_`@<>~\[\]/=+-])", r"\\\1", " ".join(re.split(r"\s+", text)))
