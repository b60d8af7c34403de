"""Figures for slides: read back by their own axes, they are the circuit's; and can be read."""

from __future__ import annotations

import itertools
import math
import re
import struct
import xml.etree.ElementTree as ET
from collections.abc import Iterator

import numpy as np
import pytest
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.quantities.read import read_quantity
from rungwise.tutor.documents.drawings import slide, slide_curves, slide_plane
from rungwise.tutor.documents.drawings.slide import DARK, LIGHT, SlideCircuit, SlideTheme
from rungwise.tutor.documents.drawings.svg import CAP, VectorDrawing
from rungwise.tutor.documents.pdf_compiler import png
from scipy import signal
from scipy.optimize import brentq

from tests.support.hostile import FRAGMENTS
from tests.support.oracle import response

from .svg_reading import NS, nets, parts_in, points

Point = tuple[float, float]

RC = "series R1 = 1 kΩ; shunt C1 = 100 nF"
RLC = "series R1 = {}; series L1 = 10 mH; shunt C1 = 100 nF"
NOTCH = "series R1 = 150 Ω; shunt L1 = 10 mH + C1 = 100 nF"
CASCADE = "series C1 = 100 nF; shunt R1 = 1 kΩ; buffer; series R2 = 1 kΩ; shunt C2 = 10 nF"
THIRD = "source 50 Ω; shunt C1 = 10 nF; series L1 = 50 µH; shunt C2 = 10 nF; load 50 Ω"
LOSSLESS = "series L1 = 10 mH; shunt C1 = 100 nF"
DIVIDER = "series R1 = 1 kΩ; shunt R2 = 10 kΩ"
ALL = [RC, RLC.format("50 Ω"), NOTCH, CASCADE, THIRD]
QS = [read_circuit(RLC.format(r)) for r in ("50 Ω", "150 Ω", "447 Ω")]
CURVES = {
    "gain": slide_curves.gain, "phase": slide_curves.phase, "bode": slide_curves.bode,
    "step": slide_curves.step, "map": slide_plane.roots,
}  # fmt: skip


def circuits(*texts: str) -> list[SlideCircuit]:
    return [SlideCircuit(read_circuit(text)) for text in texts]


def group(root: ET.Element, role: str) -> ET.Element:
    (found,) = (g for g in root.iter(f"{NS}g") if g.get("data-role") == role)
    return found


class Slide:
    """One plot of a figure, read with a ruler: by its own tick labels and by nothing else."""

    def __init__(self, drawing: VectorDrawing, role: str) -> None:
        root = ET.fromstring(drawing.svg)
        self.plot = group(root, role)
        across, up = {}, {}
        for text in self.plot.iter(f"{NS}text"):
            words, x, y = "".join(text.itertext()), float(text.get("x")), float(text.get("y"))
            if x < 0 and text.get("text-anchor") == "end":
                up[float(words.replace("−", "-").replace("+", "").rstrip("°"))] = y
        # Only the lowest plot of a figure has words under its axis.
        for text in root.iter(f"{NS}text"):
            words = "".join(text.itertext())
            if text.get("text-anchor") == "middle" and re.fullmatch(r"[\d.]+ \S*(Hz|s)", words):
                unit = "Hz" if words.endswith("Hz") else "s"
                across[float(read_quantity(words, unit).value)] = float(text.get("x"))
        self.log = role != "step"
        (a, xa), (b, xb) = min(across.items()), max(across.items())
        a, b = (math.log10(a), math.log10(b)) if self.log else (a, b)
        self.per_x = (xb - xa) / (b - a)
        self.first = a - xa / self.per_x
        (v, yv), (w, yw) = min(up.items()), max(up.items())
        self.per_y = (yw - yv) / (w - v)
        self.zero = yv - v * self.per_y - CAP * 8 / 2

    def read(self, place: Point) -> Point:
        across = self.first + place[0] / self.per_x
        return 10**across if self.log else across, (place[1] - self.zero) / self.per_y

    def course(self, name: str) -> list[Point]:
        found: list[Point] = []
        for path in group(self.plot, name).iter(f"{NS}path"):
            for run in points(path.get("d")):
                found += map(self.read, run)
        return found

    def marks(self, what: str, n: int) -> Iterator[Point]:
        for one in self.plot.iter(f"{NS}g"):
            if one.get("data-role") != f"{what}-{n}":
                continue
            circle, path = one.find(f"{NS}circle"), one.find(f"{NS}path")
            if circle is not None:
                yield self.read((float(circle.get("cx")), float(circle.get("cy"))))
            else:
                x, y = map(float, re.match(r"M(\S+) ([^l]+)l", path.get("d")).groups())
                yield self.read((x, y + float(re.search(r"l(\S+) ", path.get("d"))[1])))


def written(drawing: VectorDrawing) -> str:
    """The letters on a figure, without its description."""
    root = ET.fromstring(drawing.svg)
    return "|".join("".join(text.itertext()) for text in root.iter(f"{NS}text"))


def decibels(ladder: Ladder, hertz: float) -> float:
    return 20 * math.log10(abs(response(ladder, [hertz])[0]))


@pytest.mark.parametrize("text", ALL)
def test_a_curve_of_gain_is_the_networks(text: str) -> None:
    (one,) = circuits(text)
    for kind in (slide_curves.gain, slide_curves.bode):
        plot = Slide(kind([one], LIGHT), "gain")
        course = plot.course("curve-1")
        assert len(course) > 100
        hertz = np.array([f for f, _ in course])
        true = 20 * np.log10(np.abs(response(one.ladder, hertz)) + 1e-300)
        drawn = np.array([v for _, v in course])
        slope = np.abs(np.gradient(true, np.log10(hertz) + 1e-12 * np.arange(len(hertz))))
        # A hundredth of a unit is what the figures in the file hold, along and upwards.
        near = 0.03 / abs(plot.per_y) + slope * 0.012 / plot.per_x
        seen = (true > -75) & (slope < 2000)
        assert seen.sum() > 100
        assert (np.abs(drawn - true)[seen] <= near[seen]).all()


@pytest.mark.parametrize("text", ALL)
def test_a_curve_of_phase_is_the_networks(text: str) -> None:
    (one,) = circuits(text)
    for kind in (slide_curves.phase, slide_curves.bode):
        course = Slide(kind([one], DARK), "phase").course("curve-1")
        for f, degrees in course[::7]:
            away = min(
                abs(f / f0 - 1) for f0 in [one.facts.notch_hz or 1e99, one.facts.corner_hz or 1e99]
            )
            if away > 0.02:
                off = degrees - math.degrees(np.angle(response(one.ladder, [f])[0]))
                assert abs((off + 180) % 360 - 180) < 1.5, (f, degrees)


def test_three_qs_lie_on_one_chart_each_with_its_own_pattern_name_and_marks() -> None:
    several = [SlideCircuit(ladder, f"no. {n}") for n, ladder in enumerate(QS, 1)]
    drawing = slide_curves.gain(several, LIGHT)
    plot = Slide(drawing, "gain")
    patterns, colours = set(), set()
    for n, one in enumerate(several, 1):
        for f, v in plot.course(f"curve-{n}")[::20]:
            assert v == pytest.approx(decibels(one.ladder, f), abs=0.4)
        path = group(plot.plot, f"curve-{n}").find(f"{NS}path")
        patterns.add(path.get("stroke-dasharray"))
        colours.add(path.get("stroke"))
        q = math.sqrt(10e-3 / 100e-9) / float(next(one.ladder.elements()).value)
        assert f"no. {n}, f₀ = 5.03 kHz, Q = {q:.3g}" in drawing.alt
        assert f"no. {n}, f₀ = 5.03 kHz, Q = {q:.3g}" in "".join(
            ET.fromstring(drawing.svg).itertext()
        )
        (corner,) = plot.marks("corner", n)
        assert corner[0] == pytest.approx(1 / (2 * math.pi * math.sqrt(1e-9)), rel=1e-3)
        assert corner[1] == pytest.approx(decibels(one.ladder, corner[0]), abs=0.3)
    assert len(patterns) == len(colours) == 3
    # Their straight lines are the same, and drawn once.
    roles = [g.get("data-role") for g in plot.plot.iter(f"{NS}g")]
    assert [r for r in roles if (r or "").startswith("lines")] == ["lines-1"]
    assert roles.count("guide") == 1


@pytest.mark.parametrize("text", ALL)
def test_minus_three_decibels_are_marked_where_the_power_is_halved(text: str) -> None:
    (one,) = circuits(text)
    drawing = slide_curves.gain([one], LIGHT)
    plot = Slide(drawing, "gain")
    span = np.logspace(1, 8, 4000)
    levels = np.abs(response(one.ladder, span)) ** 2
    top = levels[0] if text in (RC, RLC.format("50 Ω"), THIRD) else levels.max()
    true = [
        brentq(lambda f: abs(response(one.ladder, [f])[0]) ** 2 - top / 2, f1, f2)
        for (f1, a), (f2, b) in itertools.pairwise(zip(span, levels, strict=True))
        if (a - top / 2) * (b - top / 2) < 0
    ]
    marked = sorted(plot.marks("edge", 1))
    assert [f for f, _ in marked] == pytest.approx(true, rel=2e-3)
    assert [v for _, v in marked] == pytest.approx([10 * math.log10(top / 2)] * len(true), abs=0.2)
    for f in true:
        assert f"−3 dB at {f / 1000:.3g} kHz" in written(drawing)


@pytest.mark.parametrize("text", ALL)
def test_straight_lines_are_those_of_the_ends(text: str) -> None:
    (one,) = circuits(text)
    lines = Slide(slide_curves.gain([one], LIGHT), "gain").course("lines-1")
    for (f1, v1), (f2, v2) in (lines[:2], lines[-2:]):
        slope = (v2 - v1) / math.log10(f2 / f1)
        far = 1e-3 * f1 if (f1, v1) == lines[0] else 1e3 * f2
        true = decibels(one.ladder, far * 10) - decibels(one.ladder, far)
        assert slope == pytest.approx(true, abs=0.7)


@pytest.mark.parametrize("text", [*ALL, LOSSLESS])
def test_step_responses_are_those_of_scipy(text: str) -> None:
    (one,) = circuits(text)
    course = Slide(slide_curves.step([one], LIGHT), "step").course("curve-1")
    transfer = one.facts.transfer
    system = signal.TransferFunction(
        [float(c) for c in transfer.numerator], [float(c) for c in transfer.denominator]
    )
    times = np.linspace(0, course[-1][0], 20_001)
    _, true = signal.step(system, T=times)
    for t, v in course[3::9]:
        near = true[np.abs(times - t) < 2e-3 * times[-1]]
        assert near.min() - 0.02 <= v <= near.max() + 0.02, t


def test_poles_and_zeros_stand_on_the_map_where_they_are() -> None:
    drawing = slide_plane.roots(circuits(NOTCH), LIGHT)
    plane = group(ET.fromstring(drawing.svg), "plane")
    ticks = {}
    for text in plane.iter(f"{NS}text"):
        words = "".join(text.itertext()).replace("−", "-")
        if re.fullmatch(r"-?\d+", words) and text.get("text-anchor") == "middle":
            ticks[int(words)] = float(text.get("x"))
    (a, xa), (b, xb) = min(ticks.items()), max(ticks.items())
    per = (xb - xa) / (b - a)
    zero = xa - a * per
    crosses = [
        points(p.get("d")) for p in plane.iter(f"{NS}path") if p.get("stroke") in LIGHT.curves
    ]
    found = [((c[0][0][0] + c[0][1][0]) / 2, (c[0][0][1] + c[0][1][1]) / 2) for c in crosses]
    rings = [
        (float(c.get("cx")), float(c.get("cy")))
        for c in plane.iter(f"{NS}circle")
        if c.get("stroke") in LIGHT.curves
    ]
    middle = sum(y for _, y in rings) / 2

    def root(place: Point) -> complex:
        return complex(place[0] - zero, middle - place[1]) / per * 1e3

    # s² + s·R/L + 1/LC by hand.
    resistance, inductance, squared = 150.0, 10e-3, 1 / (10e-3 * 100e-9)
    damping = resistance / (2 * inductance)
    pole = complex(-damping, math.sqrt(squared - damping**2))
    near = 0.05e3 / per
    assert len(found) == len(rings) == 2
    for place in map(root, found):
        assert abs(complex(place.real, abs(place.imag)) - pole) < near
    for place in map(root, rings):
        assert abs(complex(place.real, abs(place.imag)) - 1j * math.sqrt(squared)) < near


def test_on_a_map_of_several_every_root_has_the_number_of_its_circuit() -> None:
    drawing = slide_plane.roots([SlideCircuit(ladder) for ladder in QS], DARK)
    plane = group(ET.fromstring(drawing.svg), "plane")
    for n, ink in enumerate(DARK.curves[:3], 1):
        crosses = [p for p in plane.iter(f"{NS}path") if p.get("stroke") == ink]
        names = [t for t in plane.iter(f"{NS}text") if t.text == str(n) and t.get("fill") == ink]
        assert len(crosses) == len(names) == 2
        for cross in crosses:
            (x, y), (x2, y2) = points(cross.get("d"))[0]
            away = [
                math.hypot(float(t.get("x")) - (x + x2) / 2, float(t.get("y")) - (y + y2) / 2)
                for t in names
            ]
            assert min(away) < 16


def test_a_circuit_keeps_its_nets_and_fills_the_slide() -> None:
    drawing, large = slide.circuit(read_circuit(CASCADE), LIGHT)
    assert large
    inner = ET.fromstring(drawing.svg).find(f"{NS}svg")
    box = [float(inner.get(k)) for k in ("x", "y", "width", "height")]
    assert box[0] >= 5 and box[1] >= 5
    assert box[0] + box[2] <= slide.WIDE - 5 and box[1] + box[3] <= slide.TALL - 5
    assert box[2] > 0.9 * slide.WIDE or box[3] > 0.9 * slide.TALL
    assert parts_in(drawing.svg)["R2"] == ("R", "1 kΩ")
    assert ("C1", "R1", "buffer 1 in") in nets(drawing.svg)


def test_a_circuit_of_many_parts_says_that_its_letters_are_small() -> None:
    many = "; ".join(f"series R{n} = 1 kΩ; shunt C{n} = 1 nF" for n in range(1, 20))
    assert not slide.circuit(read_circuit(many), LIGHT)[1]


# --- seen by everybody ---------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def every_figure(theme: SlideTheme) -> Iterator[VectorDrawing]:
    for these in ([SlideCircuit(ladder) for ladder in QS], circuits(*ALL[1:]), circuits(DIVIDER)):
        for kind in CURVES.values():
            yield kind(these, theme)
    yield slide.circuit(read_circuit(CASCADE), theme, "a name")[0]


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_all_that_is_drawn_stands_out_from_the_ground(theme: SlideTheme) -> None:
    for drawing in every_figure(theme):
        root = ET.fromstring(drawing.svg)
        ground = root.find(f"{NS}rect").get("fill")
        assert ground == theme.ground
        assert contrast(root.get("stroke"), ground) >= 3
        for one in root.iter():
            for what in ("fill", "stroke"):
                ink = one.get(what, "none")
                if ink in ("none", ground):
                    continue
                assert re.fullmatch("#[0-9A-F]{6}", ink), ET.tostring(one)
                assert contrast(ink, ground) >= (4.5 if one.tag == f"{NS}text" else 3)


def test_letters_can_be_read_from_the_back_of_a_room() -> None:
    for drawing in every_figure(LIGHT):
        root = ET.fromstring(drawing.svg)
        assert [root.get(k) for k in ("width", "height")] == ["960pt", "540pt"]
        inner = root.find(f"{NS}svg")
        scale = 1.0
        if inner is not None:
            scale = float(inner.get("width")) / float(inner.get("viewBox").split()[2])
        sizes = [float(t.get("font-size", 9)) for t in root.iter(f"{NS}text")]
        assert min(sizes) * scale >= slide.TALL / 25


def test_nothing_stands_outside_of_the_slide() -> None:
    for drawing in every_figure(DARK):
        root = ET.fromstring(drawing.svg)
        if root.find(f"{NS}svg") is not None:
            continue
        for holder in [root, *root.findall(f"{NS}g")]:
            move = re.match(r"translate\((\S+) (\S+)\)", holder.get("transform", ""))
            dx, dy = map(float, move.groups()) if move else (0.0, 0.0)
            texts = holder.iter(f"{NS}text") if move else holder.findall(f"{NS}text")
            for text in texts:
                x, y = float(text.get("x")) + dx, float(text.get("y")) + dy
                wide = float(text.get("textLength", 0))
                x -= {"end": wide, "middle": wide / 2}.get(text.get("text-anchor"), 0)
                assert x >= -0.01 and x + wide <= slide.WIDE + 0.01, text.text
                assert 5 < y < slide.TALL


def test_every_figure_says_what_it_shows() -> None:
    for drawing in every_figure(LIGHT):
        root = ET.fromstring(drawing.svg)
        assert root.get("role") == "img"
        assert root.find(f"{NS}title").text
        assert root.find(f"{NS}desc").text == root.get("aria-label") == drawing.alt
        assert len(list(root.iter(f"{NS}desc"))) == 1


HOSTILE = ["".join(FRAGMENTS), "<script>&\"'", '"#000"', "x" * 4000]


@pytest.mark.parametrize("label", HOSTILE, ids=["fragments", "markup", "ink", "long"])
def test_hostile_names_stay_text(label: str) -> None:
    one = SlideCircuit(read_circuit(RC), label)
    drawings = [kind([one, one], DARK) for kind in CURVES.values()]
    drawings.append(slide.circuit(one.ladder, DARK, label)[0])
    for drawing in drawings:
        root = ET.fromstring(drawing.svg.encode())
        tags = {element.tag.removeprefix(NS) for element in root.iter()}
        assert tags <= {"svg", "title", "desc", "rect", "path", "circle", "g", "text", "tspan"}
        assert not any(key.startswith("on") for element in root.iter() for key in element.attrib)
    page = slide.page(drawings, DARK)
    assert "<script" not in page and "http:" not in re.sub(
        'xmlns="[^"]*"', "", page.split("<body>")[0]
    )
    # A circuit lies in a figure as an SVG of its own size, which no style may stretch.
    assert re.findall(r"[^{}]*svg[^{}]*(?={)", page.split("</style>")[0]) == ["figure>svg"]
    # The figures stay in sight however long the name is.
    assert "f₀ = 1.59 kHz" in written(drawings[0])


LIMITS = [
    LOSSLESS,
    DIVIDER,
    "series C1 = 1 µF",
    "shunt C1 = 1 µF",
    "series R1 = 1e25 Ω; shunt C1 = 1e20 F",
    "series R1 = 1 Ω; shunt C1 = 1e-28 F; series R2 = 1 Ω; shunt C2 = 1e25 F",
]


@pytest.mark.parametrize("text", LIMITS)
def test_circuits_at_the_limits_are_drawn(text: str) -> None:
    for kind in CURVES.values():
        svg = kind(circuits(text), LIGHT).svg
        ET.fromstring(svg)
        assert "nan" not in svg and "inf" not in svg.split("<desc>")[0].replace("infinite", "")


def test_an_endless_peak_takes_no_more_than_its_share() -> None:
    plot = Slide(slide_curves.gain(circuits(LOSSLESS), LIGHT), "gain")
    levels = [v for _, v in plot.course("curve-1")]
    assert 40 <= max(levels) <= 80 and min(levels) <= -30


def test_a_png_is_as_large_as_a_screen_and_the_same_each_time() -> None:
    svg = slide_curves.bode(circuits(RC), DARK).svg.encode()
    made = png(svg, slide.DENSITY)
    assert made[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", made[16:24]) == (1920, 1080)
    assert png(svg, slide.DENSITY) == made
