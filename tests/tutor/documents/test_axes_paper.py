"""Bode paper and s-planes: read off the paper, lines and curves are the circuit's."""

from __future__ import annotations

import itertools
import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator

import numpy as np
import pytest
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import CircuitError, Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets.variant import curve
from rungwise.problems.sketches.paper import frame
from rungwise.problems.sketches.truth import true_gain, true_map, true_phase
from rungwise.tutor.documents.drawings.axes_grid import clipped, inside
from rungwise.tutor.documents.drawings.svg import CAP, TEXT_WIDTH, Rect, Run, VectorDrawing, width

from tests.support.oracle import response
from tests.tutor.figures.test_schematic import random_ladder

from . import axes_drawn as axes
from .svg_reading import NS, points

Point = tuple[float, float]
FRAME = (10.0, 1e6, -80.0, 40.0)
SOME = [f.name for f in FAMILIES][::4]


def family(name: str) -> tuple[Ladder, Facts]:
    ladder = generate(2, family=name).ladder
    return ladder, facts(ladder)


class Sheet:
    """A chart that is read with a ruler: by its own tick labels."""

    def __init__(self, drawing: VectorDrawing) -> None:
        self.root = ET.fromstring(drawing.svg)
        self.texts = [
            ("".join(t.itertext()), float(t.get("x")), float(t.get("y")), t)
            for t in self.root.iter(f"{NS}text")
        ]
        area = max(
            (r for r in self.root.iter(f"{NS}rect") if r.get("fill") != "#fff"),
            key=lambda r: float(r.get("width")),
        )
        self.wide, self.tall = float(area.get("width")), float(area.get("height"))
        hertz = {
            float(read_quantity(t, "Hz").value): x
            for t, x, y, _ in self.texts
            if t.endswith("Hz") and " " in t and y > self.tall and "," not in t
        }
        (f1, x1), (f2, x2) = min(hertz.items()), max(hertz.items())
        self.decade = (x2 - x1) / math.log10(f2 / f1)
        self.first = math.log10(f1) - x1 / self.decade
        self.hertz = hertz
        ticks = {
            float(t.replace("−", "-").rstrip("°")): y
            for t, x, y, e in self.texts
            if x < 0 and e.get("text-anchor") == "end"
        }
        (v1, y1), (v2, y2) = min(ticks.items()), max(ticks.items())
        self.ticks, self.per = ticks, (y2 - y1) / (v2 - v1)
        # A tick's label stands half a capital lower than its line.
        self.zero = y1 - v1 * self.per - CAP * 8 / 2

    def read(self, place: Point) -> Point:
        return 10 ** (self.first + place[0] / self.decade), (place[1] - self.zero) / self.per

    def lines(self, dashed: bool) -> Iterator[list[Point]]:
        """The lines drawn heavier than the grid, as (Hz, value)."""
        for path in self.root.iter(f"{NS}path"):
            heavy = float(path.get("stroke-width", "0")) in (1.5, 1.3)
            if (path.get("stroke-dasharray") is not None) if dashed else heavy:
                line = points(path.get("d"))[0]
                if min(y for _, y in line) >= 0:  # the legend lies above
                    yield [self.read(p) for p in line]

    def edge(self, place: Point) -> bool:
        low, high = self.read((0, self.tall))[1], self.read((0, 0))[1]
        return not low + 0.05 < place[1] < high - 0.05


# --- paper ---------------------------------------------------------------------------------


@pytest.mark.parametrize("rung", [Rung.GAIN_SKETCH, Rung.PHASE_SKETCH])
def test_grid_lines_stand_where_a_logarithm_puts_them(rung: Rung) -> None:
    drawing = axes.paper(rung, FRAME)
    sheet = Sheet(drawing)
    assert sorted(sheet.hertz) == pytest.approx([10.0**e for e in range(1, 7)])
    fine, coarse = (
        points(p.get("d"))
        for p in sheet.root.iter(f"{NS}path")
        if p.get("stroke") in ("#b4b4b4", "#777")
    )
    upright = sorted(line[0][0] for line in fine if line[0][0] == line[1][0])
    wanted = [k * 10.0**e for e in range(1, 6) for k in range(2, 10)]
    assert [sheet.read((x, 0))[0] for x in upright] == pytest.approx(wanted, rel=2e-3)
    levels = sorted(sheet.read((0, line[0][1]))[1] for line in coarse if line[0][1] == line[1][1])
    step = 20 if rung is Rung.GAIN_SKETCH else 90
    low, high = (-80, 40) if rung is Rung.GAIN_SKETCH else (-360, 360)
    assert levels == pytest.approx(list(range(low, high + 1, step)), abs=0.1)
    assert sorted(sheet.ticks) == list(range(low, high + 1, step))
    assert drawing.width <= TEXT_WIDTH and not list(sheet.lines(False))


def test_paper_of_one_frame_is_the_same_whatever_the_circuit() -> None:
    """What is handed to students depends on nothing but the frame."""
    for rung in (Rung.GAIN_SKETCH, Rung.PHASE_SKETCH, Rung.MAP_SKETCH):
        assert axes.paper(rung, FRAME) == axes.paper(rung, FRAME)
    assert axes.paper(Rung.MAP_SKETCH, FRAME) == axes.s_plane_axes()
    assert axes.paper(Rung.GAIN_SKETCH, FRAME) == axes.bode_paper(FRAME)
    assert axes.bode_paper(room=300.0).width <= 300.0


def test_two_breaks_a_fifth_of_a_decade_apart_can_be_told_apart_by_hand() -> None:
    """The tolerance of a sketch is 1/5 decade and 2.5 dB: two millimetres and one at least."""
    sheet = Sheet(axes.bode_paper((0.1, 1e9, -80.0, 40.0)))
    millimetre = 72 / 25.4
    assert sheet.decade / 5 > 2 * millimetre
    assert abs(sheet.per) * 2.5 > millimetre


# --- keys ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SOME)
def test_exact_curves_are_the_networks(name: str) -> None:
    """Every point of the dashed curves, against a nodal analysis of the circuit."""
    ladder, known = family(name)
    box = frame(known)
    gain = Sheet(axes.drawn(true_gain(known), ladder, box))
    phase = Sheet(axes.drawn(true_phase(known), ladder, box))
    seen = 0
    for line in gain.lines(True):
        inner = [p for p in line if not gain.edge(p)]
        h = 20 * np.log10(np.abs(response(ladder, [f for f, _ in inner])))
        for (f, v), true in zip(inner, h, strict=True):
            # A hundredth of a point across a steep notch is many decibels.
            sharp = known.notch_hz and abs(math.log10(f / known.notch_hz)) < 0.05
            assert abs(v - true) < (0.15 if not sharp else 12), (name, f)
            seen += 1
    for line in phase.lines(True):
        angles = np.degrees(np.angle(response(ladder, [f for f, _ in line])))
        for (f, v), true in zip(line, angles, strict=True):
            if known.notch_hz and abs(math.log10(f / known.notch_hz)) < 0.02:
                continue
            assert abs((v - true + 180) % 360 - 180) < 1.5, (name, f)
    assert seen > 20


@pytest.mark.parametrize("name", SOME)
def test_straight_lines_lie_along_the_response_far_from_its_poles(name: str) -> None:
    ladder, known = family(name)
    low, high, bottom, top = frame(known)
    wide = low / 100, high * 100, bottom - 200, top
    gain = Sheet(axes.drawn(true_gain(known), ladder, wide))
    (line,) = gain.lines(False)
    ends = response(ladder, [line[0][0], line[-1][0]])
    for (_, v), h in zip((line[0], line[-1]), ends, strict=True):
        if not gain.edge((0, v)):
            assert abs(v - 20 * math.log10(abs(h))) < 0.3
    sizes = {round(math.log10(abs(r) / math.tau), 2) for r in (*known.poles, *known.zeros) if r}
    for f, _ in line[1:-1]:
        assert any(abs(math.log10(f) - size) < 0.02 for size in sizes) or gain.edge((f, _))
    phase = Sheet(axes.drawn(true_phase(known), ladder, wide))
    (line,) = phase.lines(False)
    assert (line[0][1], line[-1][1]) == pytest.approx((known.phase_low, known.phase_high), abs=0.5)


def test_marks_say_where_the_breaks_lie() -> None:
    """R = 1 kΩ, C = 100 nF: 1/2πRC = 1.592 kHz, −20 dB/decade beyond."""
    ladder = read_circuit("series R1 = 1 kΩ; shunt C1 = 100 nF")
    known = facts(ladder)
    drawing = axes.drawn(true_gain(known), ladder, FRAME)
    texts = [t for t, *_ in Sheet(drawing).texts]
    assert "1.592 kHz, 0 dB" in texts and "−20 dB/decade" in texts
    dots = [c for c in ET.fromstring(drawing.svg).iter(f"{NS}circle") if c.get("fill") == "#000"]
    (dot,) = dots
    f, v = Sheet(drawing).read((float(dot.get("cx")), float(dot.get("cy"))))
    assert f == pytest.approx(1591.5, rel=1e-3) and v == pytest.approx(0, abs=0.05)
    assert "0 to 1.592 kHz, −20" in drawing.alt
    phase = axes.drawn(true_phase(known), ladder, FRAME)
    assert "1.592 kHz" in [t for t, *_ in Sheet(phase).texts]


def test_labels_in_a_plot_lie_on_no_line_and_not_on_each_other() -> None:
    for name in [f.name for f in FAMILIES]:
        ladder, known = family(name)
        box = frame(known)
        for rung, sketch in (
            (Rung.GAIN_SKETCH, true_gain(known)),
            (Rung.PHASE_SKETCH, true_phase(known)),
        ):
            drawing = axes.drawn(sketch, ladder, box)
            root = ET.fromstring(drawing.svg)
            labels = []
            for text in root.iter(f"{NS}text"):
                size = float(text.get("font-size", 9))
                x, y = float(text.get("x")), float(text.get("y"))
                wide = width((Run("".join(text.itertext())),), size)
                x -= wide * {"middle": 0.5, "end": 1.0}.get(text.get("text-anchor", ""), 0.0)
                labels.append(Rect(x, y - CAP * size, x + wide, y))
            for one, other in itertools.combinations(labels, 2):
                assert not one.touches(other), (name, rung)
            heavy = [p for p in root.iter(f"{NS}path") if p.get("stroke-width") in ("1.5", "0.8")]
            for path in heavy:
                line = points(path.get("d"))[0]
                if line[0][1] == line[-1][1] and path.get("stroke-dasharray") is None:
                    continue  # the 0 dB line, or a flat one that only touches by its level
                for (x, y), (x2, y2) in itertools.pairwise(line):
                    for n in range(5):
                        a, b = x + (x2 - x) * n / 4, y + (y2 - y) * n / 4
                        spot = Rect(a, b, a, b)
                        assert not any(r.touches(spot) for r in labels), (name, rung)


def test_charts_cut_to_measure() -> None:
    ladder = read_circuit("source 50; series L1 = 1 mH; shunt C1 = 10 nF; load 600")
    whole = Sheet(axes.response(ladder))
    assert list(whole.lines(True)) and list(whole.lines(False))
    phase = Sheet(axes.response(ladder, phase=True))
    assert min(phase.ticks) <= -180 and max(phase.ticks) <= 90


# --- what is given -------------------------------------------------------------------------


@pytest.mark.parametrize("name", SOME)
def test_a_given_gain_is_the_networks_and_tells_nothing_else(name: str) -> None:
    ladder, known = family(name)
    drawing = axes.given_gain(curve(known))
    sheet = Sheet(drawing)
    for line in sheet.lines(False):
        inner = [p for p in line if not sheet.edge(p)]
        h = 20 * np.log10(np.abs(response(ladder, [f for f, _ in inner])))
        for (f, v), true in zip(inner, h, strict=True):
            sharp = known.notch_hz and abs(math.log10(f / known.notch_hz)) < 0.1
            assert sharp or abs(v - true) < 0.15
    words = [t for t, _, y, _ in sheet.texts if 0 < y < sheet.tall and len(t) > 4]
    assert not words
    assert not list(sheet.lines(True))
    assert re.search(r"dB at 1 k?M?Hz|dB at 10+ ", drawing.alt)


def test_a_curve_needs_points() -> None:
    with pytest.raises(ValueError, match="two points"):
        axes.given_gain([(1.0, 0.0)])


def test_lines_are_cut_at_the_edges() -> None:
    assert clipped([(0, -10), (10, 10)], 5) == [(0, 0), (5, 0), (7.5, 5), (10, 5)]
    assert inside(clipped([(0, -10), (10, 10)], 5), 5) == [[(5, 0), (7.5, 5)]]
    assert clipped([(0, 1), (4, 2)], 5) == [(0, 1), (4, 2)]


# --- the s-plane ---------------------------------------------------------------------------


class Plane:
    """A map that is read by the labels at its ticks."""

    def __init__(self, drawing: VectorDrawing) -> None:
        root = ET.fromstring(drawing.svg)
        texts = [
            ("".join(t.itertext()), float(t.get("x")), float(t.get("y")))
            for t in root.iter(f"{NS}text")
        ]
        self.texts = texts
        lines = [points(p.get("d"))[0] for p in root.iter(f"{NS}path")]
        long = [line for line in lines if len(line) == 2 and math.dist(*line) > 120]
        (level,) = (line for line in long if line[0][1] == line[1][1])
        (tall,) = (line for line in long if line[0][0] == line[1][0])
        self.zero = (tall[0][0], level[0][1])
        self.log = any("logarithmic" in t for t, *_ in texts)
        poles = [p for p in root.iter(f"{NS}path") if p.get("stroke-width") == "1.2"]
        found = [points(p.get("d")) for p in poles]
        crosses = [((a[0][0] + a[1][0]) / 2, (a[0][1] + a[1][1]) / 2) for a, _ in found]
        rings = [
            (float(c.get("cx")), float(c.get("cy")))
            for c in root.iter(f"{NS}circle")
            if c.get("fill") == "#fff"
        ]
        self.poles = [self.off(p) for p in crosses if p[1] > 0]
        self.zeros = [self.off(p) for p in rings if p[1] > 0]
        number = re.compile(r"[−-]?[\d.]+( [kMG]?rad/s)?\Z")
        self.ticks = {t: self.off((x, y - CAP * 8 / 2)) for t, x, y in texts if number.match(t)}

    def off(self, place: Point) -> complex:
        return complex(place[0] - self.zero[0], self.zero[1] - place[1])


def ruler(plane: Plane) -> dict[float, float]:
    """Points from the origin of each value in rad/s that has a tick on the upper jω axis."""
    unit = next((t[3:] for t, *_ in plane.texts if t.startswith("in ")), "rad/s")
    found = {}
    for text, place in plane.ticks.items():
        if abs(place.real) == 5.0 and place.imag > 0:
            read = text if text.endswith("rad/s") else f"{text} {unit}"
            found[float(read_quantity(read, "rad/s").value)] = place.imag
    return found


def place_of(root: complex, plane: Plane) -> complex:
    """Where a root should stand, by the ruler."""
    (v1, y1), (v2, y2) = (f(ruler(plane).items()) for f in (min, max))
    if not plane.log:
        return root * y2 / v2
    if not root:
        return 0j
    per = (y2 - y1) / math.log10(v2 / v1)
    return root / abs(root) * (y1 + math.log10(abs(root) / v1) * per)


@pytest.mark.parametrize("name", [f.name for f in FAMILIES if f.order][::3])
def test_roots_stand_where_they_are(name: str) -> None:
    """Every sign by the ticks' own labels; one near an axis is moved off it, by 5 points."""
    _, known = family(name)
    plane = Plane(axes.given_map(known.poles, known.zeros))
    for roots, signs in ((known.poles, plane.poles), (known.zeros, plane.zeros)):
        left = list(signs)
        for root in set(roots):
            wanted = place_of(root, plane)
            if root.real and abs(wanted.real) < 5.1:
                wanted = complex(math.copysign(5.1, root.real), wanted.imag)
            if root.imag and abs(wanted.imag) < 5.1:
                wanted = complex(wanted.real, math.copysign(5.1, root.imag))
            sign = min(signs, key=lambda place: abs(place - wanted))
            assert abs(sign - wanted) < 0.7, (name, root)
            if sign in left:
                left.remove(sign)
        assert not left


def test_a_map_of_far_roots_has_true_angles_and_a_logarithmic_radius() -> None:
    drawing = axes.given_map((-1e3 + 0j, complex(-3e6, 4e6), complex(-3e6, -4e6)), (0j, 0j))
    plane = Plane(drawing)
    assert plane.log and "2 times" in [t for t, *_ in plane.texts]
    pair = next(p for p in plane.poles if p.imag > 1)
    assert math.degrees(math.atan2(pair.imag, pair.real)) == pytest.approx(126.87, abs=0.2)
    marks = sorted((math.log10(v), y) for v, y in ruler(plane).items())
    assert len(marks) >= 3
    steps = {round((y2 - y) / (e2 - e), 1) for (e, y), (e2, y2) in itertools.pairwise(marks)}
    assert len(steps) == 1
    assert abs(pair - place_of(complex(-3e6, 4e6), plane)) < 0.3


def test_a_root_near_an_axis_is_not_drawn_on_it() -> None:
    plane = Plane(axes.given_map((complex(-1, 1000), complex(-1, -1000)), (1000j, -1000j)))
    assert all(p.real < -3 for p in plane.poles)
    assert all(abs(z.real) < 0.02 for z in plane.zeros)


def test_maps_say_their_roots() -> None:
    drawing = axes.given_map((-5e3 + 0j, -5e3 + 0j), ())
    assert "−5 krad/s (2 of them)" in drawing.alt and "none" in drawing.alt
    assert axes.given_map((), ()).svg
    ladder, known = family("series-fed-notch")
    assert axes.drawn(true_map(known), ladder).svg == axes.given_map(known.poles, known.zeros).svg


def test_everything_is_well_formed_and_fits() -> None:
    for name in SOME:
        ladder, known = family(name)
        for drawing in (
            axes.given_map(known.poles, known.zeros),
            axes.response(ladder),
            axes.response(ladder, phase=True),
            axes.given_gain(curve(known)),
        ):
            root = ET.fromstring(drawing.svg)
            x, y, wide, high = map(float, root.get("viewBox").split())
            assert drawing.width <= TEXT_WIDTH + 1 and drawing.height <= 330
            assert root.get("width") == f"{drawing.width:g}pt"
            assert not re.search(r"nan|inf|e[+-]\d", drawing.svg.split("<desc>")[0])
            numbers = [float(n) for n in re.findall(r'(?:x|cx)="(-?[\d.]+)"', drawing.svg)]
            assert all(x <= n <= x + wide for n in numbers) and high > 0 and y < 0


def test_charts_of_any_circuit_fit_their_page() -> None:
    """Odd values, many decades, undamped poles: nothing is drawn outside the paper."""
    seen = 0
    for ladder in [
        read_circuit("series L1 = 1 mH; shunt C1 = 1 nF"),
        *(random_ladder(seed, 8) for seed in range(40)),
    ]:
        try:
            known = facts(ladder)
            box = frame(known)
        except (CircuitError, ValueError, OverflowError):
            continue
        for drawing in (
            axes.response(ladder),
            axes.response(ladder, phase=True),
            axes.drawn(true_gain(known), ladder, box),
            axes.drawn(true_phase(known), ladder, box),
            axes.given_map(known.poles, known.zeros),
        ):
            assert drawing.width <= TEXT_WIDTH + 1 and drawing.height <= 330
            assert not re.search(r"[\" L]-?(nan|inf)[\" L]", drawing.svg)
        seen += 1
    assert seen > 20
