"""XML as a tree that is written once: every text escaped, attributes in the order given.

Characters that XML 1.0 does not allow (production 2) are left out, as are invisible ones that
reorder text: what comes in may be typed by anybody.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from xml.etree.ElementTree import XML, Element

from ....problems.formulas.tree import Formula
from ....problems.solutions.step import Equation
from ...documents.math.mathml import mathml
from ...language.texts import plain

_OUTSIDE = re.compile("[^\\x09\\x0a\\x0d\\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


@dataclass(slots=True)
class Node:
    """An element.  Children are nodes and texts, in order."""

    name: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list[Node | str] = field(default_factory=list)


def node(name: str, *children: Node | str, **attributes: str | int | float | bool) -> Node:
    """The element ``name`` with ``children``.

    Of ``attributes``, ``xml_lang`` is written ``xml:lang``, truth values as XML Schema has them.
    """
    return Node(
        name,
        {key.replace("_", ":"): _value(value) for key, value in attributes.items()},
        list(children),
    )


def _value(value: str | int | float | bool) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return number(value) if isinstance(value, float) else str(value)


def math(thing: Formula | Equation) -> Node:
    """A formula as MathML, with the same in words for whoever does not see it.

    Fractions are of full size by an ``mstyle``: MathML 2, which QTI 2.1 names, has no attribute
    for that at a fraction.
    """
    return _grown(XML(mathml(thing)))


def _grown(found: Element) -> Node:
    space, _, name = found.tag.rpartition("}")
    attributes = dict(found.attrib)
    full = {key: attributes.pop(key) for key in ("displaystyle",) if key in attributes}
    if name == "math":
        attributes = {"xmlns": space.lstrip("{"), **attributes}
    made = Node(name, attributes, [found.text] if found.text else [])
    for child in found:
        made.children.append(_grown(child))
        if child.tail:
            made.children.append(child.tail)
    return Node("mstyle", full, [made]) if full else made


def number(value: float) -> str:
    """A float as ``xs:double`` has it, the shortest that reads back as the same."""
    return repr(value).removesuffix(".0")


@lru_cache(maxsize=8192)
def escape(text: str) -> str:
    """Text for content or attributes: one line, nothing but text."""
    text = _OUTSIDE.sub("", plain(text))
    for sign, name in (("&", "amp"), ("<", "lt"), (">", "gt"), ('"', "quot"), ("'", "#39")):
        text = text.replace(sign, f"&{name};")
    return text


def written(root: Node) -> bytes:
    """A document, UTF-8."""
    parts: list[str] = [HEAD]
    _write(root, parts)
    parts.append("\n")
    return "".join(parts).encode()


def _write(one: Node, parts: list[str]) -> None:
    marks = "".join(f' {key}="{escape(value)}"' for key, value in one.attributes.items())
    if not one.children:
        parts.append(f"<{one.name}{marks}/>")
        return
    parts.append(f"<{one.name}{marks}>")
    for child in one.children:
        if isinstance(child, str):
            parts.append("\n".join(map(escape, child.split("\n"))))
        else:
            _write(child, parts)
    parts.append(f"</{one.name}>")
