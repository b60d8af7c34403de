"""What a PDF says to those who do not see it."""

from __future__ import annotations

from collections.abc import Iterator

from pypdf.generic import DictionaryObject


def elements(node: object) -> Iterator[DictionaryObject]:
    """The elements of a structure tree (ISO 32000-1:2008, 14.7.2)."""
    if hasattr(node, "get_object"):
        node = node.get_object()
    if isinstance(node, list):
        for kid in node:
            yield from elements(kid)
    elif isinstance(node, DictionaryObject):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from elements(node["/K"])
