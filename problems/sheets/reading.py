"""Reading tables of values with every trouble in them told, not only the first."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from datetime import date, time
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from ..quantities.errors import Wording, wording
from .model import PlanTrouble, Told, ValueRefused

T = TypeVar("T")
S = TypeVar("S", bound=StrEnum)

_MOST_SHOWN = 60
_MOST_TROUBLES = 100


def shown(value: object) -> str:
    """A value as it is told of: short, on one line, without control characters."""
    text = value if isinstance(value, str) else _spelled(value)
    text = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
    return text if len(text) <= _MOST_SHOWN else text[: _MOST_SHOWN - 1] + "…"


def _spelled(value: object) -> str:
    """A value that is no text, as TOML writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, date | time):
        return str(value)
    try:
        return repr(value)
    except ValueError:  # Python writes no decimal number of thousands of digits; 0x… reads one
        return "a number of thousands of digits"


def choice(value: object, names: Sequence[str]) -> str:
    """``value``, which has to be one of ``names``.

    Raises:
        ValueRefused: it is none of them.
    """
    if isinstance(value, str) and value in names:
        return value
    near = difflib.get_close_matches(value[:100], names, 3) if isinstance(value, str) else []
    there_are = wording("document.one-of", names=", ".join(names))
    remedy = wording("document.near", near=tuple(near)) if near else there_are
    raise ValueRefused("document.no-such", remedy, value=shown(value))


def one_of(kind: type[S]) -> Callable[[object], S]:
    """What reads a member of ``kind``, as :func:`choice` does."""
    return lambda value: kind(choice(value, [member.value for member in kind]))


def flag(value: object) -> bool:
    """``value``, which has to be true or false.

    Raises:
        ValueRefused: it is neither.
    """
    if not isinstance(value, bool):
        raise ValueRefused("plan.no-flag", wording("plan.without-quotes"))
    return value


def whole_of(allowed: Container[int], key: str, remedy: Wording) -> Callable[[object], int]:
    """What reads a whole number that is ``allowed``; of others ``key`` and ``remedy`` tell."""

    def read(value: object) -> int:
        if type(value) is not int or value not in allowed:
            raise ValueRefused(key, remedy)
        return value

    return read


def decimal_to(most: int, places: int, key: str, remedy: Wording) -> Callable[[object], Fraction]:
    """What reads the decimal number that was written, from 0 to ``most``, of so many ``places``.

    Of others ``key`` and ``remedy`` tell.
    """

    def read(value: object) -> Fraction:
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= most:
            found = Fraction(str(value))  # 1.1 too is what was written
            if (found * 10**places).denominator == 1:
                return found
        raise ValueRefused(key, remedy)

    return read


def read_of(name: str, read: Callable[[object], T], value: object) -> T:
    """The ``value`` that a table has for a ``name``, as a function makes it: ``read``.

    Raises:
        ValueRefused: ``read`` refused it; says of which name it is.
    """
    try:
        return read(value)
    except ValueRefused as error:
        raise ValueRefused(
            "plan.points-of", error.remedy, name=name, value=shown(value), what=error.wording
        ) from None


def _array(key: str) -> Wording:
    return wording("document.array", key=key)


class PlanFields:
    """One table: its values are read by key, and what is wrong is noted with its path.

    Args:
        data: The table.
        path: Where it is ("sections[2]"), "" at the top.
        keys: The keys that there are; others are noted at once.
        troubles: Where to note.
    """

    def __init__(
        self,
        data: Mapping[str, object],
        path: str,
        keys: Sequence[str],
        troubles: list[PlanTrouble],
    ) -> None:
        self._data, self._path, self._troubles = data, path, troubles
        self.spoilt: set[str] = set()
        """Keys that were there and could not be read."""
        for key in data:
            if key not in keys:
                near = difflib.get_close_matches(str(key)[:100], keys, 1)
                there_are = wording("document.keys", keys=", ".join(keys))
                remedy = wording("document.near", near=near[0]) if near else there_are
                self.trouble(shown(key), "", wording("document.no-key"), remedy)

    def has(self, key: str) -> bool:
        """Whether the key is there, whatever its value."""
        return key in self._data

    def trouble(self, key: str, value: object, what: Told, remedy: Told) -> None:
        """Note ``what`` is wrong with the ``value`` under ``key``, and the ``remedy``."""
        if len(self._troubles) < _MOST_TROUBLES:
            told = "" if value in ("", ()) else shown(value)
            told = f'"{told}"' if told and isinstance(value, str) else told
            self._troubles.append(PlanTrouble(self._at(key), told, what, remedy))

    def read(self, key: str, reader: Callable[[object], T], default: T) -> T:
        """The value under ``key``, which may be left out.

        It is ``default`` then, or where it can't be read: ``reader`` raises ``ValueRefused``.
        """
        if key not in self._data:
            return default
        value = self._data[key]
        try:
            return reader(value)
        except ValueRefused as error:
            self.spoilt.add(key)
            plain = not isinstance(value, Mapping | list)
            self.trouble(key, value if plain else "", error.wording, error.remedy)
            return default

    def need(self, key: str, reader: Callable[[object], T], default: T) -> T:
        """The value under ``key``, which must be there; ``reader`` and ``default`` as above."""
        if key not in self._data:
            self.trouble(key, "", wording("document.missing"), wording("document.add", key=key))
            return default
        return self.read(key, reader, default)

    def table(self, key: str, keys: Sequence[str]) -> PlanFields | None:
        """The table under ``key``, which may have these ``keys``; ``None`` where there is none."""
        found = self._data.get(key)
        if isinstance(found, Mapping):
            return PlanFields(found, self._at(key), keys, self._troubles)
        if key in self._data:
            self.spoilt.add(key)
            remedy = wording("document.table", key=key)
            self.trouble(key, found, wording("document.no-table"), remedy)
        return None

    def tables(self, key: str, keys: Sequence[str], most: int) -> Iterator[PlanFields]:
        """The tables of the array under ``key``, ``most`` at most; they may have these ``keys``."""
        found = self._data.get(key, [])
        if not isinstance(found, list):
            self.trouble(key, "", wording("document.no-array"), _array(key))
            return
        if key in self._data and not found:
            self.trouble(key, "", wording("document.empty"), _array(key))
        if len(found) > most:
            self.trouble(
                key, len(found), wording("document.too-many"), wording("document.most", most=most)
            )
            return
        for index, table in enumerate(found):
            place = f"{key}[{index}]"
            if isinstance(table, Mapping):
                yield PlanFields(table, self._at(place), keys, self._troubles)
            else:
                self.trouble(place, table, wording("document.no-table"), _array(key))

    def _at(self, key: str) -> str:
        return ".".join(filter(None, (self._path, key)))
