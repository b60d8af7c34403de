"""Sketches as text, which ``read.py`` and ``read_map.py`` read back.

It is what a learner types and what a drawing is submitted as:

* gain: slopes in dB/decade and breaks by turns, from left to right, and the height at the
  first break: ``+20 to 340 Hz, 0 to 12 kHz, −20; level −6 dB``;
* phase: angles in degrees and the middles of the turns between them by turns,
  ``+90 to 340 Hz, 0 to 12 kHz, −90``; a jump says so: ``−90 to 1 kHz jump, +90``;
* map: ``poles: 2 real; zeros: 1 at the origin``, with pairs counted as pairs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from ..quantities.write import MINUS, write_quantity
from .model import GainSketch, LineSketch, PhaseSketch, Region, Sketch, same

_NOTHING = 1e-12
"""A level in dB nearer to 0 than this is written as 0."""


def signed(value: int) -> str:
    """A slope or an angle: +20, 0, −20."""
    return f"{value:+d}".replace("-", MINUS) if value else "0"


def degrees(angle: int) -> str:
    """An angle with its sign and unit: +90°, 0°."""
    return f"{signed(angle)}°"


def hertz(frequency: float) -> str:
    """A frequency of a sketch to four digits."""
    return write_quantity(frequency, "Hz")


def decibels(level: float) -> str:
    """A level of a sketch to a hundredth of a dB."""
    return write_quantity(round(level, 2) or 0.0, "dB", 6)


def write(sketch: Sketch) -> str:
    """The sketch as text; frequencies to four digits, the level to a hundredth of a dB."""
    match sketch:
        case GainSketch():
            line = _line(sketch.slopes, [hertz(f) for f in sketch.breaks])
            return f"{line}; level {decibels(sketch.level)}"
        case PhaseSketch():
            return _phase(sketch, hertz)
    return f"poles: {_roots(sketch.poles)}; zeros: {_roots(sketch.zeros)}"


def write_exactly(sketch: LineSketch) -> str:
    """The plot as text to the last digit, which a reader told ``as_drawn`` makes the same of."""
    if isinstance(sketch, PhaseSketch):
        return _phase(sketch, _exact)
    level = sketch.level if abs(sketch.level) >= _NOTHING else 0.0
    return f"{_line(sketch.slopes, map(_exact, sketch.breaks))}; level {level!r} dB"


def _exact(frequency: float) -> str:
    return f"{frequency!r} Hz"


def _line(values: Iterable[int], places: Iterable[str]) -> str:
    first, *rest = map(signed, values)
    return first + "".join(
        f" to {place}, {after}" for place, after in zip(places, rest, strict=True)
    )


def _phase(sketch: PhaseSketch, shown: Callable[[float], str]) -> str:
    """A jump within a turn stands in the middle of it: half the turn before, half after."""
    events: list[tuple[float, int, str]] = []
    jumps = list(sketch.jumps)
    for place, turn in sketch.turns:
        within = [jump for jump in jumps if same(jump[0], place)]
        before = turn // 2 if within else turn
        events.append((place, before, ""))
        for jump in within:
            jumps.remove(jump)
            events += [(place, jump[1], " jump"), (place, turn - before, "")]
    events += [(place, jump, " jump") for place, jump in jumps]
    events.sort(key=lambda event: event[0])
    angles = [sketch.start]
    for _, turn, _ in events:
        angles.append(angles[-1] + turn)
    return _line(angles, [shown(place) + word for place, _, word in events])


_SPOKEN = {
    Region.ORIGIN: "at the origin",
    Region.AXIS: "on the jω axis",
    Region.REAL: "real",
    Region.PAIR: "complex",
    Region.RIGHT: "in the right half-plane",
}


def _roots(roots: tuple[tuple[Region, int], ...]) -> str:
    return ", ".join(map(region_words, *zip(*roots, strict=True))) if roots else "none"


def region_words(region: Region, count: int) -> str:
    """So many (``count``) of a ``region``: '2 real', '1 complex pair', '1 pair on the jω axis'."""
    pairs = f"{count // 2} pair{'s' if count > 3 else ''}"
    match region:
        case Region.AXIS:
            return f"{pairs} {_SPOKEN[region]}"
        case Region.PAIR:
            return f"{count // 2} complex {pairs.partition(' ')[2]}"
    return f"{count} {_SPOKEN[region]}"
