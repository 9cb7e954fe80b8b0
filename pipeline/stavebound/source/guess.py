"""What was probably meant where the schema refuses something, as the first hint of a message.

In: what was written, and where. Out: one sentence, or None. Always holds: what is
offered could stand there, as far as the schema tells. First comes what a word of the
class stands for (meant.toml), then what looks like the word, then what the schema
says with it elsewhere near by.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stavebound.source.datatypes import allows, collapsed
from stavebound.source.document import Attribute, Element, Text
from stavebound.source.meant import (
    about,
    attributes_of,
    beside,
    likely,
    meant_element,
    meant_values,
    saying,
    tag_of,
)
from stavebound.source.rules import AttributeRule, ElementRule, Schema
from stavebound.suggest import did_you_mean, folded, nearest, suggest

_MOST = 3
"""Ways to say one thing that are offered together, at the most."""
_YES = ("yes", "true", "1", "on")


@dataclass(frozen=True, slots=True)
class Site:
    """An element's rule, that of the element round it, and whether the element is a guess."""

    rule: ElementRule
    holder: ElementRule | None
    schema: Schema
    guessed: bool = False

    def inside(self, key: str, guessed: bool) -> Site:
        """The site of a child."""
        return Site(self.schema.rules[key], self.rule, self.schema, guessed)

    @property
    def children(self) -> tuple[ElementRule, ...]:
        """What may stand in the element."""
        return tuple(self.schema.rules[key] for key in self.rule.children.values())

    @property
    def siblings(self) -> tuple[ElementRule, ...]:
        """What else could stand where the element stands."""
        children = self.holder.children if self.holder else {}
        return tuple(self.schema.rules[key] for key in children.values())

    @property
    def beside(self) -> tuple[ElementRule, ...]:
        """What says more of the same limb, and could stand where the element stands."""
        names = beside(self.rule.name)
        return tuple(rule for rule in self.siblings if rule.name in names)


# ---------------------------------------------------------------- attributes


def meant_attributes(attribute: Attribute, element: Element, rule: ElementRule) -> tuple[str, ...]:
    """What an attribute that the element does not have may be: names, or names with values."""
    word, known = attribute.value, rule.known
    if by_table := _by_table(attribute, known.values()):
        return (by_table,)
    free = [one for one in known.values() if element.get(one.name) is None]
    if folded(word) in _YES:
        return _said(free, folded(attribute.name))
    # The two the wrong way round: right="front".
    if word in known and allows(known[word].datatype, attribute.name):
        return (f'{word}="{attribute.name}"',)
    if near := nearest(attribute.name, known):
        return (near,)
    lacking = [one for one in free if one.required and _narrow(one)]
    wanted = [_written(one, word) for one in lacking if _takes(one, word)]
    return tuple(wanted) or _said(free, word)


def _by_table(attribute: Attribute, rules: Iterable[AttributeRule]) -> str | None:
    """The first of the table's attributes that is there, and has the value."""
    known = {rule.name: rule for rule in rules}
    listed = [known[name] for name in attributes_of(attribute.name) if name in known]
    taking = (rule for rule in listed if _takes(rule, attribute.value))
    rule = next(taking, listed[0] if listed else None)
    if rule is None or allows(rule.datatype, attribute.value) or not _takes(rule, attribute.value):
        return rule.name if rule else None
    return _written(rule, attribute.value)


def attribute_hint(attribute: Attribute, element: Element, site: Site) -> str | None:
    """What was meant by an attribute that the element does not have."""
    rule = site.rule
    meant = meant_attributes(attribute, element, rule)
    said = None if meant and meant[0] in rule.known else about(rule.name, attribute.name)
    return said or _or_of(meant) or _as_content(attribute, rule) or _owners(attribute, site)


def _as_content(attribute: Attribute, rule: ElementRule) -> str | None:
    """Where what is written as an attribute stands between the tags."""
    name = attribute.name
    if name in rule.children:
        return f"It is an element in <{rule.name}>: <{name}>."
    in_text = rule.text and name in ("text", "words")
    return f"Write it between the tags: <{rule.name}>…</{rule.name}>." if in_text else None


def _owners(attribute: Attribute, site: Site) -> str | None:
    """Which elements have the attribute: those inside, those beside, else any."""
    for rules in (site.children, site.siblings, site.schema.rules.values()):
        owners = [rule.name for rule in rules if attribute.name in rule.known]
        if owners:
            return f"{attribute.name} is an attribute of {any_of(owners)}."
    return None


# ---------------------------------------------------------------- values


def value_hint(attribute: Attribute, rule: AttributeRule, element: Element, site: Site) -> str:
    """What was meant by a value that the attribute cannot have; "" where nobody knows."""
    value, owner = attribute.value, site.rule
    meant = meant_values(value, lambda other: allows(rule.datatype, other))
    near = did_you_mean(likely(value, [word.value for word in rule.datatype.words]))
    free = [one for one in owner.known.values() if element.get(one.name) is None]
    hints = (
        did_you_mean(meant),
        None if near else about(owner.name, rule.name),
        saying(value),
        near,
        _or_of(_said(free, value)),
        _tags(value, site.beside),
    )
    return next((hint for hint in hints if hint), "")


def _said(rules: Iterable[AttributeRule], word: str) -> tuple[str, ...]:
    """Attributes that have the word as a value of their own, written out: place="pointed"."""
    found = [_written(rule, word) for rule in rules if rule.datatype.words and _takes(rule, word)]
    return tuple(found) if len(found) <= _MOST else ()


def _narrow(rule: AttributeRule) -> bool:
    """Whether the attribute refuses some word."""
    return not allows(rule.datatype, "anything")


def _takes(rule: AttributeRule, word: str) -> bool:
    return bool(word) and bool(_values(rule, word))


def _values(rule: AttributeRule, word: str) -> tuple[str, ...]:
    """The value, if the attribute has it, else those that are meant by it."""
    if allows(rule.datatype, word):
        return (word,)
    return meant_values(word, lambda other: allows(rule.datatype, other))


def _written(rule: AttributeRule, word: str) -> str:
    return f'{rule.name}="{_values(rule, word)[0]}"'


# ---------------------------------------------------------------- elements


def element_key(child: Element, rule: ElementRule, schema: Schema) -> tuple[str | None, bool]:
    """The key of the rule by which to look into a child that cannot stand where it is, and
    whether its name was guessed; None where nothing is known of it."""
    tag = meant_element(child.name, rule.children)
    if tag is not None:
        # A whole tag is no other name for what stands there.
        return (rule.children[tag_of(tag)] if tag == f"<{tag_of(tag)}>" else None), True
    if child.name in schema.roots:
        return None, True
    name = None if schema.named(child.name) else nearest(child.name, rule.children)
    if name is not None:
        return rule.children[name], True
    keys = [key for key, other in schema.rules.items() if other.name == child.name]
    return (keys[0] if len(keys) == 1 else None), False


def element_hint(child: Element, site: Site) -> str | None:
    """What was meant by an element of a name that nothing in the dialect has."""
    schema, known = site.schema, site.rule.children
    return (
        tag_hint(child, site.rule)
        or saying(child.name)
        or suggest(child.name, known)
        or attribute_instead(child.name, (site.rule,))
        or attribute_instead(child.name, site.children)
        or _tags(folded(child.name), site.children)
        or suggest(child.name, [rule.name for rule in schema.rules.values()])
    )


def tag_hint(child: Element, rule: ElementRule) -> str | None:
    """The tag that a word of the class stands for here."""
    tag = meant_element(child.name, rule.children)
    return f"Did you mean {tag}?" if tag else None


def attribute_instead(name: str, rules: Iterable[ElementRule]) -> str | None:
    """Where what is written as an element is an attribute."""
    owners = [rule.name for rule in rules if name in rule.known]
    return f'It is an attribute of {any_of(owners)}: {name}="…".' if owners else None


def _tags(word: str, rules: Iterable[ElementRule]) -> str | None:
    """Tags that say the word: <feet in="fifth">."""
    said = [(rule.name, _said(rule.attributes, word)) for rule in rules]
    tags = [f"<{name} {found[0]}>" for name, found in said if found]
    return f"Did you mean {' or '.join(tags)}?" if 0 < len(tags) <= _MOST else None


def text_hint(text: Text, element: Element, site: Site) -> str | None:
    """Where text belongs that stands in an element by itself."""
    word = collapsed(text.value)
    lacking = [one for one in site.rule.attributes if one.required and not element.get(one.name)]
    taking = next((one for one in lacking if _takes(one, word)), None)
    if taking:
        return f"Write it into the tag: {_written(taking, word)}."
    return about(site.rule.name, "text")


# ---------------------------------------------------------------- words


def _or_of(written: tuple[str, ...]) -> str | None:
    """The hint for names in quotation marks, and for attributes with values as they stand."""
    if written and '"' not in written[0]:
        return did_you_mean(written)
    return f"Did you mean {' or '.join(written)}?" if written else None


def any_of(names: Iterable[str]) -> str:
    """Elements as words: <a>, <b> or <c>."""
    return listed([f"<{name}>" for name in dict.fromkeys(names)], "or")


_MOST_NAMES = 8
"""Names listed in one hint; a longer list is not read."""


def listed(names: list[str], link: str) -> str:
    """The names as words, as many as can be read: a, b or c."""
    if len(names) > _MOST_NAMES:
        shown = ", ".join(names[:_MOST_NAMES])
        return f"{shown} and {len(names) - _MOST_NAMES} more"
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} {link} {names[-1]}"
