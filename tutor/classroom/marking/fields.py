"""Members of a JSON document, each asked for with the type that it should have."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, TypeVar

from ....problems.quantities.spelling import shown
from ....problems.sheets.model import PlanTrouble, SheetError

Found = TypeVar("Found")
REMEDY = "run `rungwise sheet mark` again"


def bad(path: str, value: object, what: str) -> SheetError:
    """The error for a member that is not what it should be."""
    return SheetError(PlanTrouble(path.strip("."), shown(str(value)), what, REMEDY))


class JsonFields:
    """A JSON object.

    Each of the methods raises ``SheetError`` where a member is not what it should be; the message
    says where, and what was found.
    """

    def __init__(self, document: object, path: str) -> None:
        if not isinstance(document, Mapping):
            raise bad(path, document, "it is no object")
        self._members = document
        self.path = path

    def __contains__(self, name: str) -> bool:
        return name in self._members

    def _get(self, name: str, types: type | tuple[type, ...], what: str, empty: Any) -> Any:
        value = self._members.get(name, empty)
        if not isinstance(value, types) or isinstance(value, bool):
            raise bad(f"{self.path}.{name}", value, f"it is no {what}")
        return value

    def text(self, name: str) -> str:
        """A text; "" where there is none."""
        return str(self._get(name, str, "text", ""))

    def whole(self, name: str, empty: int | None = None) -> int:
        """A whole number from 0 on; ``empty`` where there is none."""
        value = int(self._get(name, int, "whole number", empty))
        if not 0 <= value < 2**63:
            raise bad(f"{self.path}.{name}", value, "it is out of range")
        return value

    def fraction(self, name: str) -> Fraction:
        """A fraction from 0 on, as a text such as "3/2"."""
        text = self.text(name)
        if not re.fullmatch(r"\d{1,12}(?:/[1-9]\d{0,11})?", text, re.ASCII):
            raise bad(f"{self.path}.{name}", text, 'it is no fraction such as "3/2"')
        return Fraction(text)

    def one_of(self, name: str, kinds: Callable[[str], Found]) -> Found:
        """A text that stands for one of a kind."""
        text = self.text(name)
        try:
            return kinds(text)
        except ValueError:
            raise bad(f"{self.path}.{name}", text, "there is no such word here") from None

    def _list(self, name: str) -> list[Any]:
        return list(self._get(name, list, "list", []))

    def each(self, name: str, read: Callable[[JsonFields], Found]) -> tuple[Found, ...]:
        """A list of objects, each read."""
        return tuple(
            read(JsonFields(value, f"{self.path}.{name}[{place}]"))
            for place, value in enumerate(self._list(name))
        )

    def texts(self, name: str) -> tuple[str, ...]:
        """A list of texts."""
        found = self._list(name)
        if not all(isinstance(text, str) for text in found):
            raise bad(f"{self.path}.{name}", found, "it is no list of texts")
        return tuple(found)

    def pairs(self, name: str) -> tuple[tuple[str, str], ...]:
        """A list of pairs of texts."""
        found = self._list(name)
        for pair in found:
            if not isinstance(pair, list) or len(pair) != 2 or not all(map(_is_text, pair)):
                raise bad(f"{self.path}.{name}", pair, "it is no pair of texts")
        return tuple((one, other) for one, other in found)

    def pair(self, name: str) -> tuple[int, int] | None:
        """Two counts; ``None`` where there are none."""
        found = self._list(name)
        if not found:
            return None
        if len(found) != 2 or not all(type(n) is int and 0 <= n < 10_000 for n in found):
            raise bad(f"{self.path}.{name}", found, "it is no pair of counts")
        return found[0], found[1]


def _is_text(value: object) -> bool:
    return isinstance(value, str)
