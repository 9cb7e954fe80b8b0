"""Sheets of a book as a reader of HTML finds them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

# Elements that have no end tag.
VOID = {"img", "meta", "br", "hr", "link"}
HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")


@dataclass(slots=True)
class Tag:
    """An element: its attributes, its children, and all the text inside it."""

    name: str
    attributes: dict[str, str]
    children: list[Tag | str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return "".join(child if isinstance(child, str) else child.text for child in self.children)

    def all(self, *names: str) -> Iterator[Tag]:
        """The elements of these names inside it, in the order of the text."""
        for child in self.children:
            if isinstance(child, Tag):
                if not names or child.name in names:
                    yield child
                yield from child.all(*names)


class _Builder(HTMLParser):
    """Builds the tree, and fails where a tag is not closed by its own end."""

    def __init__(self) -> None:
        super().__init__()
        self.root = Tag("", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"<{tag}> has an attribute twice"
        element = Tag(tag, {name: value or "" for name, value in attrs})
        self.open[-1].children.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].name == tag, f"</{tag}> closes <{self.open[-1].name}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].children.append(data)


def tree_of(html: str) -> Tag:
    """The sheet as a tree. AssertionError where its tags do not nest."""
    builder = _Builder()
    builder.feed(html)
    builder.close()
    assert builder.open == [builder.root], f"<{builder.open[-1].name}> is not closed"
    return builder.root


def images_of(html: str) -> list[str]:
    """The names of the staves that a sheet shows."""
    return [image.attributes["src"].removeprefix("stave:") for image in tree_of(html).all("img")]


def headings_of(html: str) -> list[int]:
    """The levels of a sheet's headings."""
    return [int(heading.name[1]) for heading in tree_of(html).all(*HEADINGS)]


def anchors_of(html: str) -> list[str]:
    return [tag.attributes["id"] for tag in tree_of(html).all() if "id" in tag.attributes]


def links_of(html: str) -> list[str]:
    """Where the links inside the book lead."""
    links = (tag.attributes["href"] for tag in tree_of(html).all("a"))
    return [link.removeprefix("stavebound:") for link in links]
