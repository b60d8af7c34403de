"""Exhibits told in words: the few points that draw a curve again, and where roots lie."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems.quantities.write import write_quantity
from ...problems.questions.curve_reading import telling
from ...problems.questions.exhibit import Chart, Exhibit, Plot
from ..figures.step import volts
from ..language.texts import fill, speaker
from .responses import decibels_told, roots_told

LETTERS = "abcdefghij"
_NOTHING = -150.0
"""Decibels below which nothing gets through."""

_say = speaker("exhibits", "say.")


def told(shown: Exhibit) -> list[str]:
    """What can be seen in an exhibit, in lines: those of each curve or map after a head."""
    many = "s" if len(shown.plots) > 1 else ""
    lines = [fill("exhibits", "head.measured")] if shown.measured else []
    lines.append(fill("exhibits", f"head.{shown.chart}{many}"))
    for letter, plot in zip(LETTERS, shown.plots, strict=False):
        said = " ".join(_told(shown, plot))
        lines.append(_say("each", letter=letter, said=said) if many else said)
    if shown.chart is not Chart.MAP:
        lines.append(_say("between-step" if shown.chart is Chart.STEP else "between"))
    return lines


def _told(shown: Exhibit, plot: Plot) -> Iterator[str]:
    if shown.chart is Chart.MAP:
        yield _say("poles", roots=roots_told(plot.poles, unit=shown.unit))
        if plot.zeros:
            yield _say("zeros", roots=roots_told(plot.zeros, unit=shown.unit))
        return
    found = [
        _say("at", value=level(value, shown.chart), place=_place(place, shown))
        for place, value in telling(plot.points, shown.chart)
    ]
    yield _say("points", points="; ".join(found))


def level(value: float, chart: Chart) -> str:
    """What stands at a point (``value``) of a curve of a ``chart``: "−3.1 dB", "−45°", "1.44 V"."""
    if chart is Chart.STEP:
        return volts(value) if abs(value) >= 5e-4 else "0 V"
    if chart is Chart.PHASE:
        return write_quantity(round(value, 1) + 0.0, "°")
    return decibels_told(value, _NOTHING)


def _place(place: float, shown: Exhibit) -> str:
    if shown.unit:
        low = shown.unit == "Hz" and 0 < place < 1  # nobody says millihertz
        return f"{write_quantity(place, '', 4)} Hz" if low else write_quantity(place, shown.unit, 4)
    number = write_quantity(place, "", 4)
    return _say("radians" if shown.chart is Chart.STEP else "multiple", number=number)
