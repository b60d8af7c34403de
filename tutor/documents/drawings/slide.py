"""Figures for slides: a share of 16:9, letters for the back of the room, two themes.

Figures are drawn in the inks of paper and painted at the end.  Up to four curves lie on one chart;
each has a pattern of its own besides its colour.  Of both themes, letters have a contrast of 4.5:1
to the ground and all lines 3:1 (WCAG 2.2, 1.4.3 and 1.4.11).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from ....problems.analysis.response import Facts, facts
from ....problems.circuits.model import Ladder
from ....problems.quantities.write import write_quantity
from ...language.texts import fill
from .axes_grid import TICK
from .schematic import schematic
from .svg import CAP, FONTS, SIZE, Pen, Rect, VectorDrawing, escape, fitted, number, upright, width

WIDE, TALL = 336.0, 189.0
"""What is drawn on, in units of the letters' sizes: the smallest are 1/24 of the height."""
SHOWN = 960.0
"""Points that a figure is wide: a slide of 16:9."""
DENSITY = 144.0
"""Pixels of a PNG to an inch: 1920 of them across."""
EDGE = 6.0
ROW = 11.0
"""From one line of the legend to the next."""
SAMPLE = 22.0
NAME = 150.0
"""A circuit's name is cut where it would be wider, so that its figures stay in sight."""
MOST = 4
"""Circuits on one chart."""
LEAST = 25
"""Letters are at least the height over this."""
CURVE, GUIDE = 1.5, 0.7
PATTERNS = ("", "5 3.4", "7 3.2 0.1 3.2", "0.1 3")
Style = Mapping[str, str | float]


@dataclass(frozen=True)
class SlideTheme:
    """The colours of a figure; ``line`` is that of grids and axes."""

    ground: str
    text: str
    line: str
    curves: tuple[str, str, str, str]


LIGHT = SlideTheme("#FFFFFF", "#24282B", "#857B6B", ("#8F4A12", "#17614F", "#2B4C8C", "#A02C1B"))
DARK = SlideTheme("#15181B", "#E8E3D9", "#7F8994", ("#E59A5C", "#6FC3B0", "#9DB8F2", "#F08A78"))
_INK = re.compile('"#(?:000|fff|777|b4b4b4)"')


@dataclass(frozen=True)
class SlideCircuit:
    """A circuit on a figure, and what it is called there; "" where it needs no name."""

    ladder: Ladder
    label: str = ""

    @cached_property
    def facts(self) -> Facts:
        """What is true of it.

        Raises:
            CircuitError: an element has no value, or nothing gets through.
        """
        return facts(self.ladder)

    @cached_property
    def told(self) -> str:
        """Its name, or its type, with f0 and Q: what a legend says."""
        known = self.facts
        said = [fitted(self.label, NAME, TICK) or fill("bench", f"said.type.{known.called}")]
        if known.corner_hz is not None:
            said.append(
                fill("draw", "legend.f0", [("f", write_quantity(known.corner_hz, "Hz", 3))])
            )
            if known.q is not None:
                said.append(fill("draw", "legend.q", [("q", write_quantity(known.q, "", 3))]))
        else:
            order = known.transfer.order
            said.append(
                fill("bench", "said.poles" if order else "said.poles-0", [("count", order)])
            )
        return ", ".join(said)

    @property
    def edges(self) -> list[float]:
        """Its −3 dB frequencies in Hz."""
        return [edge for edge in self.facts.edges_hz if edge is not None]


def line_style(n: int, theme: SlideTheme) -> dict[str, str | float]:
    """How the curve of circuit ``n``, from 0, is drawn in a ``theme``."""
    style: dict[str, str | float] = {"stroke": theme.curves[n], "stroke_width": CURVE}
    return {**style, "stroke_dasharray": PATTERNS[n]} if PATTERNS[n] else style


def sheet(title: str) -> Pen:
    """A pen on an empty figure that has a ``title``."""
    pen = Pen()
    pen.rect(Rect(0, 0, WIDE, TALL), fill="#fff", stroke="none")
    pen.text(EDGE, 11.0, upright(title))
    return pen


def keys(pen: Pen, entries: Sequence[tuple[str, Callable[[float, float], None]]]) -> None:
    """Say with a ``pen`` what signs mean, at the right of the title.

    ``entries`` are words, and what draws the sign, 8 wide, about a point.
    """
    x = WIDE - EDGE
    for words, sign in reversed(entries):
        label = upright(words)
        x -= width(label, TICK)
        pen.text(x, 11.0, label, size=TICK)
        sign(x - 8.0, 11.0 - CAP * TICK / 2)
        x -= 22.0


def legend(pen: Pen, entries: Sequence[str], sample: Callable[[int, float, float], None]) -> float:
    """Say with a ``pen`` which circuit is which, in one column or two; how far down it reaches.

    Args:
        pen: what draws.
        entries: a line for each circuit.
        sample: draws the sign of a circuit, counted from 0, `SAMPLE` wide from a point.
    """
    room = (WIDE - 2 * EDGE) / 2 - SAMPLE - 12.0
    columns = 2 if len(entries) > 1 else 1
    if any(width(upright(text), TICK) > room for text in entries):
        columns, room = 1, WIDE - 2 * EDGE - SAMPLE - 4.0
    rows = -(-len(entries) // columns)
    for n, text in enumerate(entries):
        x = EDGE + (n // rows) * (WIDE - 2 * EDGE) / 2
        y = 11.0 + ROW * (n % rows + 1)
        sample(n, x, y - CAP * TICK / 2)
        pen.text(x + SAMPLE + 4.0, y, upright(fitted(text, room, TICK)), size=TICK)
    return 11.0 + ROW * rows


def finished(pen: Pen, title: str, alt: str, theme: SlideTheme) -> VectorDrawing:
    """What a ``pen`` drew, painted in a ``theme``; ``title`` and ``alt`` are for who can't see."""
    area = Rect(0, 0, WIDE, TALL)
    drawing = pen.drawing(title, alt, margin=0, area=area, scale=SHOWN / WIDE)
    inks = {"#000": theme.text, "#fff": theme.ground, "#777": theme.line, "#b4b4b4": theme.line}
    # Quotes of a text are escaped, so that none of its letters is taken for an ink.
    svg = _INK.sub(lambda found: f'"{inks[found[0][1:-1]]}"', drawing.svg)
    return replace(drawing, svg=svg)


def circuit(ladder: Ladder, theme: SlideTheme, label: str = "") -> tuple[VectorDrawing, bool]:
    """A circuit as large as a slide holds it, and whether its letters are large enough there.

    The ``ladder`` is drawn in a ``theme`` under its ``label``, "" for none.
    """
    top = 11.0 + 4.0 if label else 0.0
    wide, tall = WIDE - 2 * EDGE, TALL - top - 2 * EDGE
    found = [schematic(ladder, room=room) for room in (480.0, 380.0, 320.0, 270.0, 230.0)]
    drawn = max(found, key=lambda one: min(wide / one.width, tall / one.height))
    scale = min(wide / drawn.width, tall / drawn.height)
    pen = sheet(fitted(label, wide, TICK) if label else "")
    shown = drawn.width * scale, drawn.height * scale
    x, y = (WIDE - shown[0]) / 2, top + EDGE + (tall - shown[1]) / 2
    place = f'x="{number(x)}" y="{number(y)}" width="{number(shown[0])}"'
    inner = re.sub(
        r'^<svg xmlns="[^"]*" width="[^"]*" height="[^"]*"( viewBox="[^"]*").*?>',
        f'<svg {place} height="{number(shown[1])}"\\1>',
        drawn.svg,
    )
    pen.items.append(re.sub(r"<title>.*?</title><desc>.*?</desc>", "", inner, count=1))
    inside = float(re.findall(r'viewBox="\S+ \S+ (\S+) ', drawn.svg)[0])
    letters = SIZE * shown[0] / inside
    made = finished(pen, fill("paper_figures", "schematic.title"), drawn.alt, theme)
    return replace(made, parts=drawn.parts), letters * LEAST >= TALL


def page(drawings: Sequence[VectorDrawing], theme: SlideTheme) -> str:
    """Figures below each other as one HTML file in a ``theme`` that asks for nothing else.

    What is seen of each of the ``drawings`` stands below it in words.
    """
    figures = "".join(
        f"<figure>{one.svg}<figcaption>{escape(one.alt)}</figcaption></figure>\n"
        for one in drawings
    )
    title = escape(fill("draw", "page.title"))
    style = (
        f"body{{background:{theme.ground};color:{theme.text};max-width:60em;margin:2em auto;"
        f"padding:0 1em;font-family:{FONTS}}}figure{{margin:0 0 2.5em}}"
        # Of the outer ones alone: a circuit lies in a figure as an SVG of its own size.
        f"figure>svg{{width:100%;height:auto;border:1px solid {theme.line}}}"
    )
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">"
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{style}</style></head>\n"
        f"<body><h1>{title}</h1>\n{figures}</body></html>\n"
    )
