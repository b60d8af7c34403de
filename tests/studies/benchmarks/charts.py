"""How long a chart takes to be drawn again, next to a frame of 1/60 s."""

from __future__ import annotations

import statistics

from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.circuits.text import read_circuit
from rungwise.tutor.figures.bode.chart import chart

from .timing import once

FRAME = 1 / 60
CIRCUITS = {
    "two poles, high Q": "series R1 = 1 Ω; series L1 = 10 mH; shunt C1 = 100 nF",
    "four poles": "source 50 Ω; series L1 = 1 mH + C1 = 1 nF; shunt L2 = 1 mH || C2 = 1 nF;"
    "load 50 Ω",
}


def redraw(runs: int = 40) -> None:
    """Median and worst of many redraws, in milliseconds and as a share of a frame."""
    print(f"\nA Bode chart drawn again  ({runs} runs; goal: below a frame, {FRAME * 1e3:.1f} ms)")
    for name, text in CIRCUITS.items():
        response = facts(read_circuit(text))
        for width, height in ((40, 10), (80, 24), (120, 40), (200, 50)):
            for phase in (False, True):

                def draw(
                    w: int = width, h: int = height, p: bool = phase, r: Facts = response
                ) -> None:
                    chart(r, w, h, phase=p)

                draw()
                times = [once(draw) for _ in range(runs)]
                median, worst = statistics.median(times), max(times)
                what = f"{name}, {'phase' if phase else 'gain'}, {width}x{height}"
                print(
                    f"  {what:<40} {median * 1e3:7.2f} ms, worst {worst * 1e3:7.2f} ms "
                    f"({median / FRAME:.2f} frames)"
                )
