"""Bode charts and s-plane maps: numbers against scipy, pictures read back as numbers."""

from __future__ import annotations

import itertools
import math
import os
import random
import re
import unicodedata
from fractions import Fraction
from functools import cache
from itertools import product
from pathlib import Path

import mpmath
import numpy as np
import pytest
from rungwise.problems.algebra import log10_fraction
from rungwise.problems.analysis.asymptotes import Sweep, phase_stick, stick
from rungwise.problems.analysis.response import Response, facts
from rungwise.problems.analysis.transfer import TransferFunction
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.tutor.figures import splane
from rungwise.tutor.figures.bode.chart import chart
from rungwise.tutor.figures.canvas.axes import FrequencyAxis, decade_label
from rungwise.tutor.figures.canvas.paper import PlottedPicture
from scipy import signal

from .test_schematic import random_ladder

GOLDEN = Path(__file__).parents[2] / "golden" / "figures"


def of(text: str) -> Response:
    return facts(read_circuit(text))


@cache
def family_response(name: str) -> Response:
    return facts(generate(5, family=name).ladder)


in_every_family = pytest.mark.parametrize("name", [f.name for f in FAMILIES])


def scipy_system(response: Response) -> tuple[list[float], list[float]]:
    t = response.transfer
    return [float(c) for c in t.numerator], [float(c) for c in t.denominator]


CASES = {
    "low-pass-2": "source 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF; load 600 Ω",
    "high-q": "series R1 = 1 Ω; series L1 = 10 mH; shunt C1 = 100 nF",
    "notch": "source 50 Ω; series L1 = 10 mH || C1 = 100 nF; load 1 kΩ",
    "band-pass": "source 1 kΩ; shunt L1 = 10 mH || C1 = 100 nF; load 10 kΩ",
    "two-real": "series C1 = 100 nF; shunt R1 = 4.7 kΩ; buffer; series R2 = 10 kΩ; shunt C2 = 1 nF",
    "shelf": "series R1 = 10 kΩ; shunt R2 = 1 kΩ + C1 = 10 nF",
    "flat": "series R1 = 1 kΩ; shunt R2 = 2 kΩ",
    "stiff": "source 1 mΩ; series L1 = 1 kH; shunt C1 = 1 pF; buffer; series R1 = 1 GΩ;"
    "shunt C2 = 1 F; load 1 kΩ",
}


# --- the numbers ---------------------------------------------------------------------------


@in_every_family
def test_sweep_agrees_with_scipy(name: str) -> None:
    response = family_response(name)
    top, bottom = scipy_system(response)
    roots = [abs(r) / math.tau for r in (*response.poles, *response.zeros) if r != 0] or [1e3]
    frequencies = np.geomspace(min(roots) / 300, max(roots) * 300, 181)
    _, h = signal.freqs(top, bottom, 2 * np.pi * frequencies)
    sweep = Sweep(response)
    gains = np.array(sweep.gains_db(frequencies.tolist()))
    phases = np.array(sweep.phases_deg(frequencies.tolist()))
    heard = gains > -270  # on an undamped zero only rounding is left
    assert heard.sum() >= 160
    assert gains[heard] == pytest.approx(20 * np.log10(np.abs(h[heard])), abs=1e-6)
    # scipy's angle is wrapped: compare on the circle, and see that ours is unwrapped.
    on_circle = np.exp(1j * np.radians(phases)) - h / np.abs(h)
    assert np.abs(on_circle[heard]).max() < 1e-7
    assert phases[0] == pytest.approx(response.phase_low, abs=2.0)
    assert phases[-1] == pytest.approx(response.phase_high, abs=2.0)


def test_phase_is_continuous_but_for_the_jump_of_a_notch() -> None:
    for name in ("low-pass-2", "high-q", "band-pass", "two-real"):
        response = of(CASES[name])
        phases = Sweep(response).phases_deg(np.geomspace(1, 1e8, 200_001).tolist())
        assert max(abs(b - a) for a, b in itertools.pairwise(phases)) < 5
    notch = of(CASES["notch"])
    centre = notch.notch_hz
    assert centre is not None
    below, above = Sweep(notch).phases_deg([centre * (1 - 1e-9), centre * (1 + 1e-9)])
    assert above - below == pytest.approx(180, abs=1e-3)


def test_sweep_of_forty_elements_and_stiff_values_does_not_overflow() -> None:
    """Against mpmath at 60 digits, from the exact coefficients."""
    sections = "".join(
        f"series R{n} = {10 ** (n % 6)} Ω; shunt C{n} = {10 ** (n % 5)} pF; buffer;"
        for n in range(1, 20)
    )
    response = of(f"{sections} series L1 = 1 kH; shunt C90 = 1 pF")
    sweep = Sweep(response)
    t = response.transfer
    with mpmath.workdps(60):
        for exponent in range(-3, 14, 2):
            s = mpmath.mpc(0, 2 * mpmath.pi * mpmath.mpf(10) ** exponent)

            def poly(cs: tuple[Fraction, ...], s: mpmath.mpc = s) -> mpmath.mpc:
                return mpmath.polyval([mpmath.mpf(c.numerator) / c.denominator for c in cs], s)

            h = poly(t.numerator) / poly(t.denominator)
            expected = float(20 * mpmath.log10(abs(h)))
            assert sweep.gain_db(10.0**exponent) == pytest.approx(expected, rel=1e-9, abs=1e-8)


def test_log10_of_huge_and_tiny_rationals() -> None:
    assert log10_fraction(Fraction(10) ** 900) == pytest.approx(900)
    assert log10_fraction(Fraction(1, 10**900)) == pytest.approx(-900)


# --- straight lines ------------------------------------------------------------------------


@in_every_family
def test_sticks_meet_the_exact_curve_far_out(name: str) -> None:
    response = family_response(name)
    lines = stick(response)
    assert lines.slopes[0] == response.slope_low
    assert lines.slopes[-1] == response.slope_high
    top, bottom = scipy_system(response)
    breaks = [f for f, _ in lines.breaks] or [1e3]
    for frequency in (breaks[0] / 3e3, breaks[-1] * 3e3):
        _, h = signal.freqs(top, bottom, [2 * np.pi * frequency])
        assert lines.at(frequency) == pytest.approx(20 * math.log10(abs(h[0])), abs=0.01)


@pytest.mark.parametrize("seed", range(60))
def test_sticks_of_random_roots(seed: int) -> None:
    """Breaks and slopes from scipy's zeros and poles; 3.01 dB off at a lonely real break."""
    chance = random.Random(seed)
    places = sorted(chance.sample(range(0, 40, 4), chance.randint(1, 5)))
    top, bottom = [1.0], [1.0]
    turns = []
    for place in places:
        w = 10.0**place
        kind = chance.choice(["pole", "zero", "pair"])
        if kind == "pole":
            bottom = np.convolve(bottom, [1 / w, 1]).tolist()
            turns.append((w, -20))
        elif kind == "zero":
            top = np.convolve(top, [1 / w, 1]).tolist()
            turns.append((w, 20))
        else:
            bottom = np.convolve(bottom, [1 / w**2, 1.2 / w, 1]).tolist()
            turns.append((w, -40))
    lead = Fraction(bottom[0])
    response = Response(
        TransferFunction(
            tuple(Fraction(c) / lead for c in top), tuple(Fraction(c) / lead for c in bottom)
        )
    )
    lines = stick(response)
    assert [f for f, _ in lines.breaks] == pytest.approx([w / math.tau for w, _ in turns], rel=1e-3)
    assert lines.slopes == tuple(itertools.accumulate([0, *(turn for _, turn in turns)]))
    for (frequency, level), (_, turn) in zip(lines.breaks, turns, strict=True):
        exact = Sweep(response).gain_db(frequency)
        expected = {-20: -3.0103, 20: 3.0103, -40: -20 * math.log10(1.2)}[turn]
        assert exact - level == pytest.approx(expected, abs=0.01)


def test_known_sticks() -> None:
    low = stick(of(CASES["high-q"]))
    f0 = 1 / (math.tau * math.sqrt(10e-3 * 100e-9))
    assert low.breaks == (pytest.approx((f0, 0.0), abs=1e-6),)
    assert low.slopes == (0, -40)
    assert low.at(10 * f0) == pytest.approx(-40)
    band = stick(of(CASES["band-pass"]))
    assert band.slopes == (20, -20)
    flat = stick(of(CASES["flat"]))
    assert flat.breaks == ()
    assert flat.at(1.0) == flat.at(1e9) == pytest.approx(20 * math.log10(2 / 3))
    notch = stick(of(CASES["notch"]))  # poles and zeros at one ω0: nothing turns
    assert notch.slopes == (0,)


@in_every_family
def test_phase_sticks_end_where_the_phase_ends(name: str) -> None:
    response = family_response(name)
    lines = phase_stick(response)
    assert lines.at(1e-9) == response.phase_low
    assert lines.at(1e15) == pytest.approx(response.phase_high)
    # Never further from the exact phase than a damped pair's line can be.
    sweep = Sweep(response)
    for frequency in np.geomspace(1, 1e8, 60).tolist():
        assert abs(lines.at(frequency) - sweep.phase_deg(frequency)) < 181


def test_phase_stick_of_one_pole() -> None:
    """A textbook fact: −45° at the corner, the line leaving 0° a decade below it."""
    response = of("series R1 = 1 kΩ; shunt C1 = 100 nF")
    corner = response.corner_hz
    assert corner is not None
    lines = phase_stick(response)
    assert lines.points == (
        pytest.approx((corner / 10, 0.0)),
        pytest.approx((corner * 10, -90.0)),
    )
    assert lines.at(corner) == pytest.approx(-45)
    assert lines.at(corner * math.sqrt(10)) == pytest.approx(-67.5)


# --- the picture, read as a person reads it --------------------------------------------------

# Dots 1 to 8 of a braille cell as (column, row), in the order of the bits (Unicode, ch. 21).
DOTS = [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3)]
# Where strokes lie in a cell: one-eighth blocks at the edges (Unicode, U+2594, U+2581), a line.
HEIGHTS = {"▔": 1 / 16, "─": 1 / 2, "▁": 15 / 16, "│": 1 / 2}
SCALES = {"": 1.0, "m": 1e-3, "µ": 1e-6, "k": 1e3, "M": 1e6, "G": 1e9, "T": 1e12, "p": 1e-12}


class Reading:
    """A chart's axes, from its tick labels only."""

    def __init__(self, picture: PlottedPicture) -> None:
        self.lines = picture.lines
        body = next(n for n, line in enumerate(self.lines) if "└" in line)
        self.left = self.lines[body].index("└") + 1
        first = next(n for n, line in enumerate(self.lines) if line[self.left - 1] in "│┤")
        self.rows = range(first, body)
        levels = []
        for row in self.rows:
            found = re.match(r"\s*(−?\d+)┤", self.lines[row])
            if found:
                levels.append((row + 0.5, float(found[1].replace("−", "-"))))
        (y1, v1), (y2, v2) = levels[0], levels[-1]
        for y, v in levels:  # evenly spaced
            assert v == pytest.approx(v1 + (v2 - v1) * (y - y1) / (y2 - y1))
        self.level = lambda y: v1 + (v2 - v1) * (y - y1) / (y2 - y1)
        self.per_row = abs(v2 - v1) / (y2 - y1)
        ticks = [n for n, char in enumerate(self.lines[body]) if char in "┴▲"]
        marks = []
        for found in re.finditer(r"(\d+)([mµkMGT]?)(?!\w)", self.lines[body + 1]):
            middle = (found.start() + found.end() - 1) / 2
            col = min(ticks, key=lambda n: abs(n - middle))
            assert abs(col - middle) <= 1.0
            marks.append((col + 0.5, math.log10(float(found[1]) * SCALES[found[2]])))
        (x1, u1), (x2, u2) = marks[0], marks[-1]
        self.frequency = lambda x: 10 ** (u1 + (u2 - u1) * (x - x1) / (x2 - x1))
        self.column = lambda f: x1 + (math.log10(f) - u1) * (x2 - x1) / (u2 - u1)
        self.per_column = (u2 - u1) / (x2 - x1)

    def dots(self, roles: dict[tuple[int, int], str], role: str) -> list[tuple[float, float]]:
        """(x, y) in cells of every dot in cells of a role."""
        found = []
        for row in self.rows:
            for col, char in enumerate(self.lines[row]):
                if roles.get((row, col)) == role and 0x2800 <= ord(char) <= 0x28FF:
                    bits = ord(char) - 0x2800
                    found += [
                        (col + (dx + 0.5) / 2, row + (dy + 0.5) / 4)
                        for n, (dx, dy) in enumerate(DOTS)
                        if bits >> n & 1
                    ]
        return found

    def strokes(self, roles: dict[tuple[int, int], str]) -> list[tuple[float, float]]:
        """(x, y) in cells of every stroke of the straight lines, by its height."""
        return [
            (col + 0.5, row + HEIGHTS[char])
            for row in self.rows
            for col, char in enumerate(self.lines[row])
            if roles.get((row, col)) == "asymptote"
        ]


def roles_of(picture: PlottedPicture) -> dict[tuple[int, int], str]:
    return {
        (span.row, span.col + n): span.role for span in picture.spans for n in range(span.length)
    }


@pytest.mark.parametrize("phase", [False, True], ids=["gain", "phase"])
@pytest.mark.parametrize("size", [(40, 10), (80, 20), (120, 40), (200, 50)])
@pytest.mark.parametrize(("name", "response"), [(n, of(t)) for n, t in CASES.items()])
def test_the_curve_lies_where_scipy_says(
    name: str, response: Response, size: tuple[int, int], phase: bool
) -> None:
    """Every column's true value is marked by a dot, to the resolution of the dots."""
    picture = chart(response, *size, phase=phase)
    reading = Reading(picture)
    dots = reading.dots(roles_of(picture), "curve")
    top, bottom = scipy_system(response)
    columns: dict[float, list[float]] = {}
    for x, y in dots:
        columns.setdefault(x, []).append(y)
    marked = {int(x) for line in picture.lines[1:] for x, c in enumerate(line) if c in "◇◆"}
    seen = 0
    floor, ceiling = reading.level(reading.rows[-1] + 1), reading.level(reading.rows[0])
    for x, ys in columns.items():
        frequency = reading.frequency(x)
        if name == "stiff":
            value = (Sweep(response).phase_deg if phase else Sweep(response).gain_db)(frequency)
        else:
            _, h = signal.freqs(top, bottom, [2 * np.pi * frequency])
            value = 20 * math.log10(abs(h[0])) if not phase else math.degrees(np.angle(h[0]))
            if phase:  # the same angle, unwrapped as the axis shows it
                near = Sweep(response).phase_deg(frequency)
                value += 360 * round((near - value) / 360)
        if not floor < value < ceiling or int(x) in marked:
            continue
        distance = min(abs(reading.level(y) - value) for y in ys)
        assert distance <= reading.per_row * 0.26 + 1e-9, (x, value, [reading.level(y) for y in ys])
        seen += 1
    assert seen >= size[0] * 0.7 or name in ("high-q", "stiff")


@pytest.mark.parametrize("size", [(40, 10), (80, 24), (200, 50)])
@pytest.mark.parametrize("name", ["low-pass-2", "band-pass", "two-real", "notch"])
def test_corner_and_edges_are_marked_where_they_are(name: str, size: tuple[int, int]) -> None:
    response = of(CASES[name])
    picture = chart(response, *size)
    reading = Reading(picture)
    roles = roles_of(picture)
    base = next(n for n, line in enumerate(picture.lines) if "└" in line)
    corner = response.corner_hz
    assert corner is not None
    pointers = [n for n, char in enumerate(picture.lines[base]) if char == "▲"]
    assert [int(reading.column(corner))] == pointers
    edges = {int(reading.column(e)) for e in response.edges_hz if e is not None}
    drawn = {
        col
        for row in reading.rows
        for col, char in enumerate(picture.lines[row])
        if char == "◇" and roles[row, col] == "edge"
    }
    assert drawn == edges
    assert "▲ f0" in picture.lines[0]


SCIPY_PEAKS = ["high-q", "band-pass", "two-real"]


@pytest.mark.parametrize("size", [(40, 10), (80, 24), (200, 50)])
@pytest.mark.parametrize("name", SCIPY_PEAKS)
def test_the_peak_is_marked_and_labelled_as_scipy_finds_it(
    name: str, size: tuple[int, int]
) -> None:
    response = of(CASES[name])
    top, bottom = scipy_system(response)
    near = response.corner_hz
    assert near is not None
    frequencies = np.geomspace(near / 30, near * 30, 400_001)
    _, h = signal.freqs(top, bottom, 2 * np.pi * frequencies)
    at = int(np.argmax(np.abs(h)))
    true_hz, true_db = frequencies[at], 20 * math.log10(abs(h[at]))
    picture = chart(response, *size)
    reading, roles = Reading(picture), roles_of(picture)
    drawn = [
        (col, row)
        for row in reading.rows
        for col, char in enumerate(picture.lines[row])
        if char == "◆" and roles[row, col] == "peak"
    ]
    if not drawn:  # its cell is one of the edges' too: only where a column is a wide band
        assert (name, size) == ("band-pass", (40, 10))
        return
    ((col, row),) = drawn
    # In a flat top no float tells the frequency better than to a few parts in a thousand.
    assert col <= reading.column(true_hz) + 0.05 and col + 1 >= reading.column(true_hz) - 0.05
    assert reading.level(row) >= true_db >= reading.level(row + 1) - 1e-6
    told = re.findall(r"(−?[\d.]+) dB at ([\d.]+) (k?)Hz", picture.text)
    for level, hz, kilo in told:
        assert float(level.replace("−", "-")) == pytest.approx(true_db, abs=0.05)
        assert float(hz) * (1e3 if kilo else 1) == pytest.approx(true_hz, rel=2e-3)
    assert told or size == (40, 10)


def test_no_peak_is_marked_where_none_stands_out() -> None:
    maximally_flat = "series R1 = 1.414213562 kΩ; series L1 = 1 mH; shunt C1 = 1 nF"
    for text in (
        CASES["low-pass-2"],
        CASES["notch"],
        CASES["shelf"],
        CASES["flat"],
        maximally_flat,
    ):
        picture = chart(of(text), 120, 40)
        assert "◆" not in picture.text
        assert not any(span.role == "peak" for span in picture.spans)
    assert "◆" not in chart(of(CASES["high-q"]), 120, 40, phase=True).text


@pytest.mark.parametrize("size", [(40, 10), (80, 24), (120, 40), (200, 50)])
@pytest.mark.parametrize(
    ("name", "width"),
    [
        # ω0/Q of the two-pole forms: (1/RC of the whole resistance)/2π, by hand.
        ("band-pass", (1 / 1e3 + 1 / 10e3) / 100e-9 / math.tau),
        ("notch", 1 / ((50 + 1e3) * 100e-9) / math.tau),
        # Nilsson & Riedel, Electric Circuits, ch. 14 (value from memory): 1 kHz to 10 kHz.
        ("nilsson", 9e3),
    ],
)
def test_arrows_measure_the_width(name: str, width: float, size: tuple[int, int]) -> None:
    nilsson = "series L1 = 2.533 mH + C1 = 1 µF; load 143.24 Ω"
    response = of(CASES.get(name, nilsson))
    picture = chart(response, *size)
    roles = roles_of(picture)
    arrows = [
        (row, col, char)
        for row in Reading(picture).rows
        for col, char in enumerate(picture.lines[row])
        if char in "◂▸" and roles[row, col] == "edge"
    ]
    told = re.findall(r" B ([\d.]+) (k?)Hz", picture.text)
    for value, kilo in told:
        assert float(value) * (1e3 if kilo else 1) == pytest.approx(width, rel=2e-3)
    if arrows:
        # Both arrows on one row, each at an edge but for what the curve takes.
        assert len(arrows) == 2 and arrows[0][0] == arrows[1][0]
        for row, col, _ in arrows:
            assert "◇" in picture.lines[row][col - 4 : col + 5]
    assert (arrows and told) or name != "band-pass"
    assert told or size[0] < 80


def test_ticks_are_those_of_the_trade() -> None:
    """20 dB, or 10, 6 and 3 as less of the range is in sight; 45° or multiples of it."""
    apart: set[float] = set()
    for text in CASES.values():
        for size in ((40, 10), (80, 24), (200, 50)):
            for decades in (None, (3.0, 4.0), (3.5, 4.0), (3.9, 4.0)):
                level = chart(of(text), *size, decades=decades).level
                phase = chart(of(text), *size, decades=decades, phase=True).level
                assert level is not None and phase is not None
                apart.add(level.step)
                assert phase.step in (45, 90, 180, 360, 720)
                assert all(value % phase.step == 0 for _, value in phase.ticks())
                assert all(value % level.step == 0 for _, value in level.ticks())
    assert {3.0, 6.0, 10.0, 20.0} <= apart <= {3.0, 6.0, 10.0, 20.0, 40.0, 60.0}


@pytest.mark.parametrize("name", ["low-pass-2", "two-real", "shelf", "notch", "flat"])
def test_straight_lines_grow_break_by_break(name: str) -> None:
    response = of(CASES[name])
    whole = stick(response)
    for count in range(len(whole.breaks) + 1):
        picture = chart(response, 120, 40, breaks=count)
        reading, roles = Reading(picture), roles_of(picture)
        assert "curve" not in roles.values()
        joints = {
            col for row in reading.rows for col, c in enumerate(picture.lines[row]) if c == "●"
        }
        assert joints == {int(reading.column(f)) for f, _ in whole.breaks[:count]}
        slope = whole.slopes[count]
        sign = "+" if slope > 0 else "−" if slope < 0 else ""
        assert f" {sign}{abs(slope)} dB/decade " in picture.text

        def level(f: float, count: int = count) -> float:
            """By hand: from break to break, and on along the last slope."""
            base, at = 1.0, whole.level
            for n in range(count):
                place, _ = whole.breaks[n]
                if f < place:
                    return at + whole.slopes[n] * math.log10(f / base)
                at += whole.slopes[n] * math.log10(place / base)
                base = place
            return at + whole.slopes[count] * math.log10(f / base)

        strokes = reading.strokes(roles)
        assert strokes
        slack = reading.per_row * 0.25 + 40 * reading.per_column * 0.5
        for x, y in strokes:
            assert reading.level(y) == pytest.approx(level(reading.frequency(x)), abs=slack)
        # Nothing moves when the next break, or the curve, is drawn.
        after = chart(response, 120, 40)
        assert (picture.plot, picture.level) == (after.plot, after.level)


@pytest.mark.parametrize("name", ["low-pass-2", "two-real", "shelf"])
def test_asymptotes_lie_where_they_should(name: str) -> None:
    """Strokes lie on the straight lines, to a dot or so."""
    response = of(CASES[name])
    picture = chart(response, 160, 48)
    reading = Reading(picture)
    lines = stick(response)
    strokes = reading.strokes(roles_of(picture))
    assert strokes
    for x, y in strokes:
        value = lines.at(reading.frequency(x))
        # Half a dot in height, and half a dot in width along a slope.
        slack = reading.per_row * 0.25 + 40 * reading.per_column * 0.5
        assert reading.level(y) == pytest.approx(value, abs=slack)


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("phase", [False, True])
@pytest.mark.parametrize("breaks", [None, 0, 1, 9])
def test_any_size_is_filled_exactly(ascii_only: bool, phase: bool, breaks: int | None) -> None:
    for text in CASES.values():
        response = of(text)
        for width, height in itertools.product((0, 1, 19, 20, 33, 61, 200), (0, 5, 6, 7, 13, 50)):
            picture = chart(response, width, height, phase=phase, ascii=ascii_only, breaks=breaks)
            assert len(picture.lines) == height
            assert all(len(line) == width for line in picture.lines)
            assert all(
                s.length > 0 and s.col >= 0 and s.col + s.length <= width and s.row < height
                for s in picture.spans
            )
            assert picture.text.isascii() or not ascii_only


@pytest.mark.parametrize("phase", [False, True], ids=["gain", "phase"])
@pytest.mark.parametrize("name", CASES)
def test_curve_and_asymptote_differ_without_colour(name: str, phase: bool) -> None:
    """The curve is dots, the straight lines are thin strokes: no sign is shared, in ASCII either.

    Within a cell there are dots of the curve alone: they are those of the bare curve.
    """
    response, seen = of(CASES[name]), 0
    for size in ((47, 10), (72, 12), (80, 20), (120, 40), (160, 40)):
        picture = chart(response, *size, phase=phase)
        reading, roles = Reading(picture), roles_of(picture)
        seen += len(reading.strokes(roles))
        alone = {
            (row, col)
            for row in reading.rows
            for col, char in enumerate(picture.lines[row])
            if 0x2800 <= ord(char) <= 0x28FF
        }
        assert all(roles[place] == "curve" for place in alone)
        curve = {x for x, _ in reading.dots(roles, "curve")}
        if size == (120, 40):
            assert len(curve) > 200 or name in ("stiff", "high-q", "notch")
        plain = chart(response, *size, phase=phase, ascii=True)
        by_role: dict[str, set[str]] = {}
        for (row, col), role in roles_of(plain).items():
            if row in reading.rows:
                by_role.setdefault(role, set()).add(plain.lines[row][col])
        straight = by_role.pop("asymptote", {"="})
        assert straight == {"="}
        # Words, such as Q = 3, may hold any sign; what is drawn may not.
        assert all("=" not in by_role.get(role, "") for role in ("curve", "grid", "edge", "corner"))
    assert seen or name in ("flat", "stiff")


def places(picture: PlottedPicture, sign: str, role: str) -> list[tuple[int, int]]:
    """(row, column) inside the axes of a sign of a role."""
    left, top, columns, rows = picture.plot
    roles = roles_of(picture)
    return [
        (row, col)
        for row in range(top, top + rows)
        for col in range(left, left + columns)
        if picture.lines[row][col] == sign and roles.get((row, col)) == role
    ]


@in_every_family
def test_the_mark_of_3_db_lies_3_db_below_the_pass_band(name: str) -> None:
    """The row is computed from the axis, the level of the pass band from the transfer function.

    Where the chart has rows enough it is another row than the pass band's own.
    """
    drops = []
    for seed in (1, 2, 3):
        response = facts(generate(seed, family=name).ladder)
        edges = [edge for edge in response.edges_hz if edge is not None]
        if not edges:
            continue
        top, bottom = scipy_system(response)
        near = [abs(r) / math.tau for r in (*response.poles, *response.zeros) if r != 0]
        far = np.geomspace(min(near) / 1e4, max(near) * 1e4, 50_001)
        _, h = signal.freqs(top, bottom, 2 * np.pi * far)
        kind = response.type.value
        gain = {
            "low-pass": abs(h[0]),
            "high-pass": abs(h[-1]),
            "band-pass": np.abs(h).max(),
            "notch": max(abs(h[0]), abs(h[-1])),
        }[kind]
        level = 20 * math.log10(gain)
        sizes = ((46, 10), (74, 11), (46, 12), (72, 12), (78, 20), (115, 21), (160, 40))
        # Each size with the signs of a terminal; by turns, from seed to seed, in ASCII too.
        turns = [*product(sizes, (False,)), *((size, True) for size in sizes[seed % 3 :: 3])]
        for size, plain in turns:
            picture = chart(response, *size, ascii=plain)
            axis = picture.level
            assert axis is not None
            _, first, _, rows = picture.plot
            marks = places(picture, "o" if plain else "◇", "edge")
            per_row = axis.step / axis.per_step
            wanted = (axis.top - (level - 20 * math.log10(math.sqrt(2)))) / per_row
            wanted += axis.first + 0.5  # the middle of a row is its tick's value
            if 0.01 < wanted < rows - 0.01:
                assert marks, (seed, size)
            for row, _ in marks:
                assert row - first <= wanted + 0.01 and wanted - 0.01 <= row - first + 1
                own = axis.row(level)
                drops.append(((row - first) - own, per_row, rows))
    assert all(0 <= drop <= math.ceil(3.02 / per_row) for drop, per_row, _ in drops)
    assert all(per_row <= (5.0 if rows >= 8 else 6.0) for _, per_row, rows in drops if rows >= 7)
    assert not drops or any(drop >= 1 for drop, _, _ in drops)


def test_decade_labels() -> None:
    assert [decade_label(e) for e in (-4, -3, 0, 1, 2, 3, 5, 6, 9, 12, 15)] == [
        "100µ", "1m", "1", "10", "100", "1k", "100k", "1M", "1G", "1T", "1e15",
    ]  # fmt: skip


@pytest.mark.parametrize("decades", range(1, 25))
@pytest.mark.parametrize("width", [20, 35, 60, 195])
def test_frequency_labels_never_touch(decades: int, width: int) -> None:
    labels = FrequencyAxis.over(-3, -3 + decades, width).labels()
    assert labels
    for (start, text), (after, _) in itertools.pairwise(labels):
        assert start + len(text) < after
    assert labels[-1][0] + len(labels[-1][1]) <= width


# --- the s-plane -----------------------------------------------------------------------------


def marks(picture: PlottedPicture, role: str) -> list[tuple[int, int, int]]:
    """(column, row, count) of every sign of a role."""
    found = []
    for span in picture.spans:
        if span.role == role and span.row:
            text = picture.lines[span.row][span.col : span.col + span.length]
            for piece in re.finditer(r"[×○⊗](\d*)", text):
                found.append((span.col + piece.start(), span.row, int(piece[1] or 1)))
    return found


@pytest.mark.parametrize("size", [(40, 14), (60, 22), (100, 40), (180, 50)])
@pytest.mark.parametrize("name", ["low-pass-2", "high-q", "band-pass", "two-real", "notch"])
def test_map_shows_every_root_at_its_angle(name: str, size: tuple[int, int]) -> None:
    response = of(CASES[name])
    picture = splane.map(response, *size)
    cross = next(n for n, line in enumerate(picture.lines) if n and "──" in line)
    column = next(
        n
        for n, char in enumerate(picture.lines[cross - 1])
        if char in "│├" and picture.lines[cross + 1][n] in "│├"
    )
    poles, zeros = marks(picture, "pole"), marks(picture, "zero")
    assert sum(n for _, _, n in poles) == len(response.poles)
    assert sum(n for _, _, n in zeros) == len(response.zeros)
    for drawn, roots in ((poles, response.poles), (zeros, response.zeros)):
        # Mirror image about the real axis.
        assert {(x, 2 * cross - y) for x, y, _ in drawn} == {(x, y) for x, y, _ in drawn}
        for root in roots:
            place = min(
                drawn,
                key=lambda p: abs(
                    math.atan2(cross - p[1], (p[0] - column) / 2) - math.atan2(root.imag, root.real)
                    if root
                    else math.hypot(cross - p[1], p[0] - column)
                ),
            )
            x, y = (place[0] - column) / 2, cross - place[1]
            if root == 0:
                assert (x, y) == (0, 0)
                continue
            # The true angle, to within a cell (or the cell that keeps it off an axis).
            size_drawn = math.hypot(x, y)
            true = complex(root.real, root.imag) / abs(root) * size_drawn
            assert abs(true - complex(x, y)) <= 1.2
            assert (x == 0) == (root.real == 0)
            assert (y == 0) == (root.imag == 0)


def test_distances_are_linear_or_announced_as_logarithmic() -> None:
    linear = splane.map(of(CASES["low-pass-2"]), 80, 30)
    assert "krad/s" in linear.lines[0]
    assert "log" not in linear.lines[0]
    spread = splane.map(of(CASES["stiff"]), 80, 30)
    assert "log" in spread.lines[0]


def test_double_roots_are_counted() -> None:
    pair = "series R1 = 1 kΩ; shunt C1 = 100 nF; buffer; series R2 = 1 kΩ; shunt C2 = 100 nF"
    text = splane.map(of(pair), 60, 20).text
    assert "×2" in text
    # Printed value: 1/RC = 10 krad/s.
    assert "−10" in text


@pytest.mark.parametrize("ascii_only", [False, True])
def test_any_map_size_is_filled_exactly(ascii_only: bool) -> None:
    for text in CASES.values():
        response = of(text)
        for width, height in itertools.product((0, 23, 24, 37, 80, 200), (0, 7, 8, 9, 24, 60)):
            picture = splane.map(response, width, height, ascii=ascii_only)
            assert len(picture.lines) == height
            assert all(len(line) == width for line in picture.lines)
            assert picture.text.isascii() or not ascii_only


# --- pictures to look at -----------------------------------------------------------------------


@pytest.mark.parametrize("size", [(40, 10), (80, 20), (120, 36)])
@pytest.mark.parametrize("name", CASES)
def test_pictures_are_as_they_were_approved(name: str, size: tuple[int, int]) -> None:
    """Reviewed by eye; run with UPDATE_FIGURES=1 to write them again."""
    response = of(CASES[name])
    text = "\n\n".join(
        [
            chart(response, *size).text,
            chart(response, *size, phase=True).text,
            splane.map(response, *size).text,
            chart(response, *size, ascii=True).text,
        ]
    )
    path = GOLDEN / f"chart-{name}-{size[0]}x{size[1]}.txt"
    if os.environ.get("UPDATE_FIGURES"):
        path.parent.mkdir(exist_ok=True)
        path.write_text(text + "\n", encoding="utf-8")
    assert path.read_text(encoding="utf-8") == text + "\n"


@pytest.mark.parametrize("seed", range(120))
def test_any_circuit_can_be_charted(seed: int) -> None:
    """Undamped resonances, bare resistors, values from 1e-12 to 1e6 in one circuit."""
    ladders = (random_ladder(100 * seed + again, 9) for again in range(100))
    response = facts(next(ladder for ladder in ladders if ladder.valued))
    for phase in (False, True):
        picture = chart(response, 70, 18, phase=phase)
        assert all(len(line) == 70 for line in picture.lines)
        assert any(span.role == "curve" and span.row for span in picture.spans)
    picture = splane.map(response, 70, 24)
    assert all(len(line) == 70 for line in picture.lines)
    if response.transfer.order:
        assert any(span.role == "pole" and span.row for span in picture.spans)


def test_every_character_is_one_cell_wide() -> None:
    """No wide, combining or invisible character: pictures stay straight everywhere."""
    used = {char for path in GOLDEN.glob("*.txt") for char in path.read_text(encoding="utf-8")} - {
        "\n"
    }
    assert len(used) > 100
    for char in used:
        assert unicodedata.east_asian_width(char) not in "WF", char
        assert unicodedata.category(char)[0] not in "CM", char
