"""Typed text → map of poles and zeros.

Items such as ``2 real``, ``1 complex pair``, ``a pair on the jω axis`` or ``1 in the right
half-plane``, apart by commas or "and"; "poles" and "zeros" stand before their items, or with each
of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from ..quantities.spelling import nearest, shown, uniform
from .model import MapSketch, Region, SketchError, map_sketch
from .read import checked

_MOST = 20
"""More roots than this in one place are refused: no ladder that is asked has as many."""

_COUNTS = {
    "none": 0, "no": 0, "nil": 0, "nothing": 0, "a": 1, "an": 1, "one": 1, "single": 1, "two": 2,
    "double": 2, "both": 2, "three": 3, "triple": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10,
}  # fmt: skip
_POLE = frozenset(("pole", "poles"))
_ZERO = frozenset(("zero", "zeros", "zeroes"))
_PAIR = frozenset(("pair", "pairs"))
_REGIONS = {
    "origin": Region.ORIGIN,
    "axis": Region.AXIS,
    "jω": Region.AXIS,
    "jw": Region.AXIS,
    "jomega": Region.AXIS,
    "imaginary": Region.AXIS,
    "real": Region.REAL,
    "complex": Region.PAIR,
    "conjugate": Region.PAIR,
    "conjugates": Region.PAIR,
    "right": Region.RIGHT,
    "rhp": Region.RIGHT,
    "positive": Region.RIGHT,
}
_FILLING = frozenset((
    "also", "at", "away", "but", "by", "different", "distinct", "each", "equal", "exactly",
    "finite", "from", "half", "in", "inside", "is", "it", "left", "lhp", "lie", "lies",
    "negative", "of", "on", "only", "other", "plane", "plus", "s", "side", "the", "them",
    "there", "to", "with", "x"
))  # fmt: skip
_KNOWN = frozenset((*_COUNTS, *_POLE, *_ZERO, *_PAIR, *_REGIONS, *_FILLING))

_BREAK = re.compile(r"[,;|+&\n]|\band\b|\.(?!\d)", re.IGNORECASE)
_TOKEN = re.compile(r"(?P<count>\d{1,6})|(?P<word>[^\W\d_]+)|(?P<odd>[^\s\w:=()/*-])")


@dataclass
class _Item:
    """Roots of one region, as far as they were read.

    ``kind`` is "poles", "zeros" or "" where the item does not say.
    """

    at: int
    kind: str = ""
    count: int | None = None
    pairs: bool = False
    regions: set[Region] = field(default_factory=set)

    @property
    def empty(self) -> bool:
        """Whether only its kind, or nothing, is said."""
        return self.count is None and not self.pairs and not self.regions

    def roots(self) -> tuple[Region, int]:
        """Where they lie, and how many they are.

        Raises:
            SketchError: it does not say.
        """
        region = self._region()
        count = 1 if self.count is None else self.count
        if self.pairs:
            count *= 2
        elif region in (Region.AXIS, Region.PAIR) and count % 2:
            axis = region is Region.AXIS
            raise SketchError("map.pairs-on-axis" if axis else "map.pairs-complex", self.at)
        if count > _MOST:
            raise SketchError("map.roots", self.at, count=count)
        return region, count

    def _region(self) -> Region:
        found = self.regions
        if Region.REAL in found:  # "on the negative real axis"
            found = found - {Region.AXIS}
        if Region.RIGHT in found and Region.AXIS not in found:  # real or complex, it is all one
            found = found - {Region.REAL, Region.PAIR}
        if Region.AXIS in found or (self.pairs and not found & {Region.ORIGIN, Region.RIGHT}):
            # "a conjugate pair on the jω axis", "a pair of zeros"; "on the positive jω axis"
            found = (found - {Region.PAIR, Region.RIGHT}) or {Region.PAIR}
        if len(found) == 1:
            return next(iter(found))
        if not found and self.count == 0:
            return Region.ORIGIN  # none, wherever it is
        raise SketchError("map.two-places" if found else "map.no-place", self.at)


_PLACES_MISSING = {"poles": "map.poles-where", "zeros": "map.zeros-where"}


def read_map(text: str) -> MapSketch:
    """Read a map: ``poles: 1 real, 1 complex pair; zeros: 2 at the origin``.

    Raises:
        SketchError: it is no such sketch.
    """
    checked(text)
    roots: dict[str, list[tuple[Region, int]]] = {}
    items = [item for item in _items(text) if item.kind or not item.empty]
    later = next((item.kind for item in items if item.kind), "")
    kind = ""
    for number, item in enumerate(items):
        kind = item.kind or kind or later
        if not kind:
            raise SketchError("map.of-what", item.at)
        found = roots.setdefault(kind, [])
        if not item.empty:
            found.append(item.roots())
        elif number + 1 == len(items) or items[number + 1].kind:
            raise SketchError(_PLACES_MISSING[kind], item.at)
    for kind, missing in (("poles", "map.no-poles"), ("zeros", "map.no-zeros")):
        if kind not in roots:
            raise SketchError(missing, len(text))
    drawn = map_sketch(roots["poles"], roots["zeros"])
    for many, regions in (("map.poles", drawn.poles), ("map.zeros", drawn.zeros)):
        for _, count in regions:
            if count > _MOST:
                raise SketchError(many, count=count)
    return drawn


def _items(text: str) -> Iterator[_Item]:
    folded = uniform(text.replace("\n", ";"))
    start = 0
    for stop in (*_BREAK.finditer(folded.text), None):
        end = stop.start() if stop else len(folded.text)
        tokens = [
            (folded.column(match.start()), match[0])
            for match in _TOKEN.finditer(folded.text, start, end)
        ]
        yield from _read_items([(at, _known(at, token)) for at, token in tokens])
        start = stop.end() if stop else end


def _known(at: int, token: str) -> str:
    """The token, a misspelt word as the one it stands for.

    Raises:
        SketchError: it is no word known here.
    """
    word = token.lower()
    if token.isdecimal() or word in _KNOWN:
        return word
    guess = nearest(word, _KNOWN) if len(word) > 2 else None
    if guess is None:
        raise SketchError("sketch.word", at, found=shown(token))
    return guess


def _read_items(tokens: list[tuple[int, str]]) -> Iterator[_Item]:
    words = ["", *(word for _, word in tokens), ""]
    item = _Item(tokens[0][0]) if tokens else _Item(0)
    for place, (at, word) in enumerate(tokens):
        before, after = words[place], words[place + 2]
        if word == "zero" and {before, after} & (_POLE | _ZERO):
            word = "no"  # "zero poles", "zeros: zero"
        if word == "0" and before in ("at", "s"):
            item.regions.add(Region.ORIGIN)
        elif word == "one" and item.regions and after not in _PAIR and after not in _REGIONS:
            continue  # "a real one"
        elif word in ("a", "an") and after in _COUNTS:
            continue  # "a single"
        elif word.isdecimal() or word in _COUNTS:
            if item.regions or item.count is not None:
                yield item
                item = _Item(at)
            item.count = int(word) if word.isdecimal() else _COUNTS[word]
        elif word in _POLE or word in _ZERO:
            kind = "poles" if word in _POLE else "zeros"
            if item.kind and item.kind != kind:
                yield item
                item = _Item(at)
            item.kind = kind
        elif word in _PAIR:
            item.pairs = True
        elif word in _REGIONS:
            item.regions.add(_REGIONS[word])
    yield item
