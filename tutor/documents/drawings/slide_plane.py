"""The map of poles and zeros for slides: up to four circuits on one plane."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from ...language.texts import fill
from ...phrases.responses import roots_told
from .axes_grid import TICK
from .axes_plane import RootMap, plane, sign
from .slide import (
    EDGE,
    TALL,
    WIDE,
    SlideCircuit,
    SlideTheme,
    finished,
    keys,
    legend,
    sheet,
)
from .svg import CAP, VectorDrawing, number, upright


def roots(circuits: Sequence[SlideCircuit], theme: SlideTheme) -> VectorDrawing:
    """The poles and zeros of up to four ``circuits`` in a ``theme``, to one scale.

    Of several circuits each has its number beside its roots.
    """
    several = len(circuits) > 1
    maps = [
        RootMap(one.facts.poles, one.facts.zeros, theme.curves[n], str(n + 1) if several else "")
        for n, one in enumerate(circuits)
    ]
    title = fill("paper_figures", "plane.title")
    pen = sheet(title)
    keys(
        pen,
        [(fill("paper_figures", f"plane.{w}"), partial(sign, pen, w)) for w in ("pole", "zero")],
    )

    def sample(n: int, x: float, y: float) -> None:
        if several:
            pen.text(
                x + 2.0, y + CAP * TICK / 2, upright(str(n + 1)), size=TICK, fill=theme.curves[n]
            )
        if circuits[n].facts.poles or several:
            sign(pen, "pole", x + 15.0, y, theme.curves[n])

    top = legend(pen, [one.told for one in circuits], sample) + 14.0
    with pen.group(transform=f"translate({number(EDGE)} {number(top)})", data_role="plane"):
        scale = plane(pen, maps, WIDE - 2 * EDGE - 22.0, TALL - top - EDGE)
    pen.text(WIDE - EDGE, TALL - EDGE, upright(scale), size=TICK, anchor="end")
    said = "; ".join(
        fill(
            "draw",
            "map.one",
            [
                ("told", one.told),
                ("poles", roots_told(one.facts.poles, 4)),
                ("zeros", roots_told(one.facts.zeros, 4)),
            ],
        )
        for one in circuits
    )
    return finished(pen, title, fill("draw", "map.alt", [("maps", said)]), theme)
