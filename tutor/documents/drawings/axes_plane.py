"""The s-plane on paper: blank axes, and maps of poles (×) and finite zeros (○).

Maps have the scales that they have on the screen; on a logarithmic one, circles mark the decades.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ....problems.quantities.write import write_quantity
from ...figures.plane_scale import PlaneScale
from ...language.texts import fill
from ...phrases.responses import roots_told
from .axes_grid import TICK, LabelPlacer, around, signed
from .svg import CAP, TEXT_WIDTH, Pen, Rect, VectorDrawing, number, polyline, symbol, upright

WIDE, TALL = 290.0, 200.0
LOW = 120.0
"""A plane that is no higher has its ticks nearer to each other."""
_UP, _UP_LOW = 24.0, 12.0
"""Points between two ticks upwards, at least."""
CROSS, RING = 3.6, 3.5
"""Half the width of a pole's sign, radius of a zero's."""
_ROOM = 1.15
"""How much further than the outermost root a linear scale reaches."""


def blank(room: float = TEXT_WIDTH) -> VectorDrawing:
    """Axes without a scale, on a faint grid."""
    wide = min(WIDE, room - 20.0)
    pen = Pen()
    step = 12.5
    across, up = math.floor(wide / step), round(TALL / step)
    zero, middle = round(across * 0.64) * step, up / 2 * step
    wide = across * step
    data = "".join(f"M{number(n * step)} 0V{number(up * step)}" for n in range(across + 1))
    data += "".join(f"M0 {number(n * step)}H{number(wide)}" for n in range(up + 1))
    pen.path(data, [Rect(0, 0, wide, up * step)], stroke="#b4b4b4", stroke_width=0.25)
    _axes(pen, wide, up * step, zero, middle)
    legend(pen, wide)
    return pen.drawing(fill("paper_figures", "plane.title"), fill("paper_figures", "plane.blank"))


def _axes(pen: Pen, wide: float, tall: float, zero: float, middle: float) -> None:
    """Both axes with arrows and names."""
    right, top = wide + 9.0, -9.0
    pen.line((0, middle), (right, middle), stroke_width=0.8)
    pen.line((zero, tall), (zero, top), stroke_width=0.8)
    heads = polyline([(right, middle), (right - 6, middle - 2.1), (right - 6, middle + 2.1)])
    heads += polyline([(zero, top), (zero - 2.1, top + 6), (zero + 2.1, top + 6)])
    pen.path(heads, fill="#000", stroke="none")
    pen.text(right + 3, middle + 2.5, symbol("σ"))
    pen.text(zero - 5, top + 4, symbol("jω"), anchor="end")


def legend(pen: Pen, wide: float, scale: str = "") -> None:
    """Say with a ``pen`` what the signs mean, above a plane so ``wide``, and its ``scale``."""
    x = wide
    for what, key in (("zero", "plane.zero"), ("pole", "plane.pole")):
        label = upright(fill("paper_figures", key))
        pen.text(x, -14.0, label, size=TICK, anchor="end")
        x = pen.ink[-1].left - 7.0
        sign(pen, what, x, -14.0 - CAP * TICK / 2)
        x -= 13.0
    if scale:
        pen.text(0, -14.0, upright(scale), size=TICK)


def sign(pen: Pen, what: str, x: float, y: float, ink: str = "#000") -> None:
    """Draw with a ``pen`` the sign of a root at (``x``, ``y``).

    Args:
        pen: what draws.
        what: "pole" or "zero".
        x: from the left.
        y: from the top.
        ink: its colour.
    """
    style: dict[str, str | float] = {} if ink == "#000" else {"stroke": ink}
    # Of several circuits a ring hides no other's pole.
    ground = "none" if style else "#fff"
    if what == "pole":
        a, b = number(x - CROSS), number(y - CROSS)
        c, d = number(x + CROSS), number(y + CROSS)
        pen.path(
            f"M{a} {b}L{c} {d}M{a} {d}L{c} {b}", [Rect.at(x, y, CROSS)], stroke_width=1.2, **style
        )
    else:
        pen.circle(x, y, RING, stroke_width=1.2, fill=ground, **style)


def _marks(scale: PlaneScale) -> list[float]:
    """Decades on a logarithmic scale, or finer where these would be too few to read by."""
    powers = range(scale.floor, math.floor(scale.ceiling + 1e-9) + 1)
    steps = (1, 3) if scale.unit >= 30.0 else (1,)
    marks = [m * 10.0**e for e in powers for m in steps]
    return [m for m in marks if scale.floor < math.log10(m) <= scale.ceiling]


def _tick_places(scale: PlaneScale, least: float, far: float) -> list[tuple[float, str]]:
    """(points from the origin, text) of ticks at least so far apart, up to a distance."""
    if not scale.log:
        steps = scale.steps(least, far)
        return [(value * scale.factor * scale.unit, signed(value, "")) for value in steps]
    found: list[tuple[float, str]] = []
    for value in _marks(scale):
        place = scale.radius(value)
        if place <= far and place - (found[-1][0] if found else 0.0) >= least:
            found.append((place, write_quantity(value, "rad/s")))
    return found


def given(
    poles: Sequence[complex], zeros: Sequence[complex], room: float = TEXT_WIDTH
) -> VectorDrawing:
    """A map of ``poles`` and finite ``zeros`` in rad/s, to scale, at most ``room`` points wide."""
    pen, wide = Pen(), min(WIDE, room - 20.0)
    scale = plane(pen, [RootMap(tuple(poles), tuple(zeros))], wide, TALL)
    legend(pen, wide, scale)
    values = [("poles", roots_told(poles, 4)), ("zeros", roots_told(zeros, 4))]
    return pen.drawing(
        fill("paper_figures", "plane.title"), fill("paper_figures", "plane.alt", values)
    )


@dataclass(frozen=True)
class RootMap:
    """Poles and finite zeros in rad/s, drawn in an ``ink``, with a ``name`` beside each."""

    poles: tuple[complex, ...]
    zeros: tuple[complex, ...]
    ink: str = "#000"
    name: str = ""


def plane(
    pen: Pen,
    maps: Sequence[RootMap],
    wide: float,
    tall: float,
    *,
    unit: str = "rad/s",
    circled: bool = True,
    among: Sequence[complex] = (),
) -> str:
    """Draw a plane, and maps on it, to one scale.

    Args:
        pen: what draws.
        maps: what lies on it.
        wide: from the left to the right edge.
        tall: from the upper to the lower edge.
        unit: of both axes; "" where roots are multiples of ω0.
        circled: whether a complex pair lies on the circle of its ω0; else on a grid to read by.
        among: roots of other maps that the scale has room for.

    Returns:
        What its scale is, in words.
    """
    roots = [*(root for one in maps for root in (*one.poles, *one.zeros)), *among]
    right = any(r.real > 0 for r in roots)
    zero = wide * (0.5 if right else 0.64)
    middle = tall / 2
    pairs = [one.poles[0] for one in maps if len(one.poles) == 2 and one.poles[0].imag]
    circle = max(map(abs, pairs), default=0.0)
    scale = PlaneScale(
        roots, zero - 8.0, middle - 6.0, _ROOM, circle if circled else 0.0, named=bool(unit)
    )
    area = Rect(-2, -4, wide + 2, tall + 2)
    marks = LabelPlacer(pen, area)
    if scale.log:
        beyond = max(wide - zero, zero)
        for radius, _ in _tick_places(scale, 14.0, beyond):
            _arc(pen, zero, middle, radius, wide)
    elif not circled:
        _fine(pen, scale, zero, middle, wide, tall)
    else:
        # A pair lies on the circle of its ω0.
        radii = [abs(complex(*scale.place(pair))) for pair in pairs]
        for radius in {number(radius): radius for radius in radii}.values():
            _arc(pen, zero, middle, radius, wide)
    _axes(pen, wide, tall, zero, middle)
    marks.avoid([(0, middle), (wide, middle)])
    marks.avoid([(zero, 0), (zero, tall)])
    found = [_places(one.poles, one.zeros, scale, zero, middle) for one in maps]
    for x, y in (place for places in found for place in places):
        marks.taken.append(Rect.at(x, y, 5.5))
    _ticks(pen, marks, scale, zero, middle, wide)
    for one, places in zip(maps, found, strict=True):
        _roots(pen, marks, one, places)
    key = "plane.log" if scale.log else "plane.unit"
    named = f"{scale.prefix}{unit}" or fill("figures", "plane.multiples")
    return fill("paper_figures", key, [("unit", named)])


def _fine(
    pen: Pen, scale: PlaneScale, zero: float, middle: float, wide: float, tall: float
) -> None:
    """Faint lines over a linear plane: fifths of the distance of the ticks, or quarters."""
    least = _UP if tall > LOW else _UP_LOW
    far, text = next(iter(_tick_places(scale, least, wide)))
    step = far / (4 if text[0] == "2" else 5)
    across = range(math.ceil(-zero / step), math.floor((wide - zero) / step) + 1)
    up = range(math.ceil(-middle / step), math.floor((tall - middle) / step) + 1)
    data = "".join(f"M{number(zero + n * step)} 0V{number(tall)}" for n in across)
    data += "".join(f"M0 {number(middle + n * step)}H{number(wide)}" for n in up)
    pen.path(data, stroke="#b4b4b4", stroke_width=0.25, stroke_linecap="butt")


def _roots(
    pen: Pen, marks: LabelPlacer, one: RootMap, found: dict[tuple[float, float], Counter[str]]
) -> None:
    for (x, y), counts in found.items():
        # A pole drawn over a zero is seen in its ring.
        for what in ("zero", "pole"):
            if counts[what]:
                sign(pen, what, x, y, one.ink)
        many = max(counts.values())
        words = [one.name] if one.name else []
        if many > 1:
            words.append(fill("paper_figures", "plane.many", [("count", many)]))
        at = [*(_beside(x, y) if one.name else ()), *around(x, y, 6.8)]
        if words and not marks.label(upright(" ".join(words)), at, fill=one.ink) and one.name:
            # Without its name nobody could tell whose it is, so it is written over others.
            left, line, anchor = at[0]
            pen.text(left, line, upright(one.name), size=TICK, anchor=anchor, fill=one.ink)


def _beside(x: float, y: float) -> list[tuple[float, float, str]]:
    """Places so near that nobody takes a name for that of a neighbour."""
    cap = CAP * TICK
    return [
        (x - 6.8, y + cap / 2, "end"),
        (x + 6.8, y + cap / 2, "start"),
        (x, y - 6.8, "middle"),
        (x, y + 6.8 + cap, "middle"),
    ]


def _places(
    poles: Iterable[complex],
    zeros: Iterable[complex],
    scale: PlaneScale,
    zero: float,
    middle: float,
) -> dict[tuple[float, float], Counter[str]]:
    found: dict[tuple[float, float], Counter[str]] = {}
    for what, roots in (("pole", poles), ("zero", zeros)):
        for root in roots:
            x, y = scale.place(root)
            # A root off an axis must not seem to lie on it: that would be another circuit.
            if root.real and abs(x) < CROSS + 1.5:
                x = math.copysign(CROSS + 1.5, root.real)
            if root.imag and abs(y) < CROSS + 1.5:
                y = math.copysign(CROSS + 1.5, root.imag)
            place = (float(number(zero + x)), float(number(middle - y)))
            found.setdefault(place, Counter())[what] += 1
    return found


def _arc(pen: Pen, zero: float, middle: float, radius: float, wide: float) -> None:
    """The part of a circle that lies in the plane, dotted."""
    style: dict[str, str | float] = {
        "stroke": "#777",
        "stroke_width": 0.5,
        "stroke_dasharray": "0.5 2.5",
    }
    edge = wide - zero
    if radius <= edge:
        pen.circle(zero, middle, radius, **style)
        return
    rise = math.sqrt(radius * radius - edge * edge)
    start, end = (number(middle - rise), number(middle + rise))
    r, x = number(radius), number(wide)
    box = Rect(zero - radius, middle - radius, wide, middle + radius)
    pen.path(f"M{x} {start}A{r} {r} 0 1 0 {x} {end}", [box], **style)


def _ticks(
    pen: Pen, marks: LabelPlacer, scale: PlaneScale, zero: float, middle: float, wide: float
) -> None:
    """Ticks on both axes, with labels where nothing is in the way."""
    cap = CAP * TICK
    low = 2 * middle <= LOW
    for far, text in [] if scale.log else _tick_places(scale, 18.0 if low else 30.0, zero - 6.0):
        for way in (-1, 1):
            x = zero + way * far
            if 6.0 < x < wide - 8.0:
                pen.line((x, middle - 2), (x, middle + 2), stroke_width=0.6)
                label = upright(("−" if way < 0 else "") + text)
                marks.label(label, [(x, middle + 5.0 + cap, "middle")])
    up = 14.0 if scale.log else _UP_LOW if low else _UP
    for far, text in _tick_places(scale, up, middle - 4.0):
        for way in (1, -1):
            y = middle - way * far
            pen.line((zero - 2, y), (zero + 2, y), stroke_width=0.6)
            minus = "−" if way < 0 and not scale.log else ""
            if way > 0 or not scale.log:
                sides = [(zero + 5.0, y + cap / 2, "start"), (zero - 5.0, y + cap / 2, "end")]
                marks.label(upright(minus + text), sides)
