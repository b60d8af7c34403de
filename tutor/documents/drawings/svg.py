"""SVG text for paper: a small pen with a real alphabet and known widths.

Lengths are points (1/72 inch), y downwards.  Text stays text, so that it can be selected,
searched and read aloud; typst sets it in Libertinus Serif, which it carries, and a browser
in a face of Times' measure if it has one.  Widths are those of the wider of the two, so that what
does not touch in the one does not touch in the other; every text says how wide it is, so that a
browser fits any other face into the same place.  No identifiers are written: drawings can stand
side by side in one HTML page.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from ...language.apostrophes import curled
from ...language.texts import UNPRINTABLE

TEXT_WIDTH = 170 / 25.4 * 72
"""A page's text width of 170 mm, in points."""
FONTS = (
    "'Libertinus Serif', 'Times New Roman', Times, 'Liberation Serif', Tinos, 'Nimbus Roman', serif"
)
SIZE = 9.0
"""Points of the letters."""
SMALL = 0.72
"""A subscript's size, as a share of the letters'."""
DROP = 0.17
"""How far a subscript stands below the line, as a share of the letters' size."""
CAP, DESCENT = 0.66, 0.22
"""Height of a capital or a digit above the line and depth of a p below it, as shares."""
MARGIN = 1.5
"""Points kept free around a drawing."""
MINUS = "−"

_NO_XML = re.compile("[\ud800-\udfff\ufffe\uffff]")
"""What XML 1.0 (section 2.2) leaves out, beside control characters."""

# Widths in thousandths of the size: the larger of Libertinus Serif's (measured with typst
# 0.15) and Liberation Serif's, which are Times'.  Upright, then italic.
_UPRIGHT = {
    " ": 250, "%": 833, "'": 190, "(": 333, ")": 333, "+": 564, ",": 250, "-": 338, ".": 250,
    "/": 323, "=": 564, "?": 444, "A": 722, "B": 667, "C": 667, "D": 722, "E": 611, "F": 556,
    "G": 722, "H": 730, "I": 333, "J": 389, "K": 722, "L": 611, "M": 889, "N": 722, "O": 722,
    "P": 556, "Q": 722, "R": 667, "S": 556, "T": 611, "U": 722, "V": 722, "W": 951, "X": 722,
    "Y": 722, "Z": 611, "a": 457, "c": 444, "d": 506, "e": 447, "f": 333, "h": 538, "i": 278,
    "j": 278, "k": 512, "l": 278, "m": 790, "n": 542, "o": 504, "p": 519, "q": 503, "r": 372,
    "s": 390, "t": 316, "u": 531, "w": 747, "y": 515, "z": 444, "|": 205, "°": 400, "±": 550,
    "²": 307, "³": 307, "¹": 307, "⁰": 365, "⁴": 365, "⁵": 365, "⁶": 365, "⁷": 365, "⁸": 365,
    "⁹": 365, "⁻": 365, "µ": 576, "·": 250, "×": 564, "Ω": 743, "σ": 570, "ω": 658, "−": 564,
    "∞": 785, "_": 500, "’": 333, "‘": 333,
}  # fmt: skip
_ITALIC = {
    "C": 667, "D": 722, "E": 611, "F": 611, "H": 722, "L": 556, "Q": 722, "R": 611, "V": 611,
    "f": 314, "j": 278, "p": 500, "s": 389, "z": 436, "σ": 521, "ω": 706,
}  # fmt: skip
_OTHER = 520

_MEASURE = re.compile(r' textLength="[\d.]+" lengthAdjust="spacingAndGlyphs"')


class Run(NamedTuple):
    """A piece of a label in one style."""

    text: str
    italic: bool = False
    sub: bool = False


Label = tuple[Run, ...]


def upright(text: str) -> Label:
    """A label in upright letters, as values and units are set."""
    return (Run(curled(text)),)


def symbol(letter: str, index: str = "") -> Label:
    """A quantity: an italic ``letter`` and an upright ``index`` (ISO 80000-1:2009, 7.1)."""
    head = Run(letter, italic=True)
    return (head, Run(index, sub=True)) if index else (head,)


def name(text: str) -> Label:
    """An element's name: R1 with 1 as its index.

    A name with an underscore stays as it is typed, since R_1 and R1 may be two elements.
    """
    return upright(text) if "_" in text else symbol(text[0], text[1:])


def plain(label: Label) -> str:
    """A label's letters."""
    return "".join(run.text for run in label)


@lru_cache(maxsize=4096)
def width(label: Label, size: float = SIZE) -> float:
    """How wide a ``label`` is in letters of a ``size``, in points; rather more than less."""
    total = 0.0
    for run in label:
        of = _ITALIC if run.italic else _UPRIGHT
        letters = sum(of.get(char, _OTHER) for char in run.text)
        total += letters * (SMALL if run.sub else 1.0)
    return total * size / 1000


def fitted(text: str, room: float, size: float = SIZE) -> str:
    """``text``, cut with an ellipsis where it would be wider than ``room`` points in a ``size``."""
    if width(upright(text), size) <= room:
        return text
    text = text[: int(room)]  # no letter is narrower than one
    while text and width(upright(text + "…"), size) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def number(value: float) -> str:
    """A coordinate to a hundredth of a point, the same on every machine.

    A value that lies between two hundredths but for the last bit of a logarithm falls on
    the same side everywhere.
    """
    text = f"{math.floor(value * 100 + 0.5 + 1e-6) / 100:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def escape(text: str) -> str:
    """Text as XML: no control characters, no markup, and nothing that no file may hold."""
    text = _NO_XML.sub("\ufffd", UNPRINTABLE.sub("", text))
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text.replace('"', "&quot;").replace("'", "&#39;")


def in_own_font(svg: str) -> str:
    """An ``svg`` of ours for whoever has its font: letters are as wide as they are there."""
    return _MEASURE.sub("", svg)


@dataclass(frozen=True, slots=True)
class VectorDrawing:
    """A picture for paper.

    ``svg`` holds in any font; ``width`` and ``height`` are points; ``parts`` are the names that
    stand in it; ``alt`` says in words what is seen.
    """

    svg: str
    width: float
    height: float
    parts: tuple[str, ...]
    alt: str

    @property
    def own_font(self) -> str:
        """The SVG for typst, which has the font."""
        return in_own_font(self.svg)


class Rect(NamedTuple):
    """A rectangle of ink: left, top, right, bottom."""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def round(cls, ink: Collection[Rect]) -> Rect:
        """The rectangle round all ``ink``."""
        return cls(
            min(r.left for r in ink),
            min(r.top for r in ink),
            max(r.right for r in ink),
            max(r.bottom for r in ink),
        )

    @classmethod
    def at(cls, x: float, y: float, across: float, up: float | None = None) -> Rect:
        """The rectangle that reaches ``across`` and ``up``, or as far, from (``x``, ``y``)."""
        up = across if up is None else up
        return cls(x - across, y - up, x + across, y + up)

    def grown(self, by: float) -> Rect:
        """The rectangle ``by`` so much larger on each side."""
        return Rect(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def moved(self, dx: float, dy: float) -> Rect:
        """The same rectangle ``dx`` to the right and ``dy`` down."""
        return Rect(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    def touches(self, other: Rect, gap: float = 0.0) -> bool:
        """Whether it overlaps an ``other``, or lies nearer than a ``gap``."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )


def text_rect(x: float, y: float, label: Label, size: float, anchor: str) -> Rect:
    """The ink of a ``label`` in letters of a ``size`` whose ``anchor`` is in (``x``, ``y``).

    There its line starts, has its middle or ends.
    """
    wide = width(label, size)
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    low = DESCENT if any(set(run.text) & set("pqgyjµ,()|") or run.sub for run in label) else 0.02
    return Rect(left, y - CAP * size, left + wide, y + low * size)


class Pen:
    """Writes the inside of an SVG and keeps count of the ink."""

    def __init__(self) -> None:
        self.items: list[str] = []
        self.ink: list[Rect] = []

    def path(self, data: str, ink: Iterable[Rect] = (), **style: str | float) -> None:
        """Draw path ``data`` in a ``style``; the ``ink`` it covers is told."""
        self.items.append(f'<path d="{data}"{_style(style)}/>')
        self.ink.extend(ink)

    def line(self, *points: tuple[float, float], **style: str | float) -> None:
        """Draw straight pieces from point to point of ``points`` in a ``style``."""
        self.items.append(f'<path d="{polyline(points)}"{_style(style)}/>')
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        self.ink.append(Rect(min(xs), min(ys), max(xs), max(ys)))

    def circle(self, x: float, y: float, radius: float, **style: str | float) -> None:
        """Draw a circle of a ``radius`` round (``x``, ``y``) in a ``style``."""
        place = f'cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"'
        self.items.append(f"<circle {place}{_style(style)}/>")
        self.ink.append(Rect.at(x, y, radius))

    def rect(self, area: Rect, **style: str | float) -> None:
        """Draw the edge of an ``area`` in a ``style``."""
        wide, high = area.right - area.left, area.bottom - area.top
        place = f'x="{number(area.left)}" y="{number(area.top)}"'
        size = f'width="{number(wide)}" height="{number(high)}"'
        self.items.append(f"<rect {place} {size}{_style(style)}/>")
        self.ink.append(area)

    def text(
        self,
        x: float,
        y: float,
        label: Label,
        *,
        size: float = SIZE,
        anchor: str = "start",
        ground: bool = False,
        **style: str | float,
    ) -> None:
        """Write a ``label`` on the line through (``x``, ``y``).

        Its letters have a ``size``, its ``anchor`` is as for :func:`text_rect`, and ``style`` is
        what else it has; with ``ground``, it stands on a white patch of its own.
        """
        found = text_rect(x, y, label, size, anchor)
        if ground:
            self.rect(found.grown(1), fill="#fff", stroke="none")
        style = {"fill": "#000", "stroke": "none", **style}
        if anchor != "start":
            style["text_anchor"] = anchor
        if size != SIZE:
            style["font_size"] = size
        inner, lowered = "", False
        for run in label:
            marks = ' font-style="italic"' if run.italic else ""
            if run.sub:
                marks += f' font-size="{number(size * SMALL)}"'
            if run.sub != lowered:
                marks += f' dy="{number(DROP * size * (1 if run.sub else -1))}"'
                lowered = run.sub
            inner += f"<tspan{marks}>{escape(run.text)}</tspan>" if marks else escape(run.text)
        place = f'x="{number(x)}" y="{number(y)}"'
        if wide := found.right - found.left:
            place += f' textLength="{number(wide)}" lengthAdjust="spacingAndGlyphs"'
        self.items.append(f"<text {place}{_style(style)}>{inner}</text>")
        self.ink.append(found)

    def told(self, text: str) -> None:
        """What a pointer that rests on the group is told."""
        self.items.append(f"<title>{escape(text)}</title>")

    @contextmanager
    def group(self, **style: str | float) -> Iterator[None]:
        """What is drawn inside stands in a group of these attributes."""
        self.items.append(f"<g{_style(style)}>")
        yield
        self.items.append("</g>")

    def drawing(
        self,
        title: str,
        alt: str,
        parts: Iterable[str] = (),
        *,
        margin: float = MARGIN,
        scale: float = 1.0,
        area: Rect | None = None,
    ) -> VectorDrawing:
        """The finished drawing.

        Args:
            title: what it is, in a few words.
            alt: what is seen, in words.
            parts: the names that stand in it.
            margin: points kept free around the ink.
            scale: how much smaller than drawn it is shown.
            area: what is shown, if it is not the ink.
        """
        box = (area or Rect.round(self.ink)).grown(margin)
        wide, high = box.right - box.left, box.bottom - box.top
        view = " ".join(map(number, (box.left, box.top, wide, high)))
        shown = round(wide * scale, 2), round(high * scale, 2)
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(shown[0])}pt" '
            f'height="{number(shown[1])}pt" viewBox="{view}" role="img" '
            f'aria-label="{escape(alt)}" font-family="{FONTS}" font-size="{number(SIZE)}" '
            'fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round">'
            f"<title>{escape(title)}</title><desc>{escape(alt)}</desc>"
            f"{''.join(self.items)}</svg>"
        )
        return VectorDrawing(svg, *shown, tuple(parts), alt)


def polyline(points: Iterable[tuple[float, float]]) -> str:
    """Path data through points; a point that repeats the one before is left out."""
    found: list[str] = []
    last = ""
    for x, y in points:
        place = f"{number(x)} {number(y)}"
        if place != last:
            found.append(place)
            last = place
    return "M" + "L".join(found)


def _style(style: dict[str, str | float]) -> str:
    """Attributes; ``class_`` is ``class``, which Python keeps for itself."""
    values = {
        key.rstrip("_").replace("_", "-"): number(v) if isinstance(v, float | int) else escape(v)
        for key, v in style.items()
    }
    return "".join(f' {key}="{value}"' for key, value in values.items())
