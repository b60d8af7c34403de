"""Printed circuits: the parts and the wiring are the circuit's, and nothing overlaps."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
import time
import warnings
import xml.etree.ElementTree as ET
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.gaps import BOX, boxed
from rungwise.problems.circuits.model import Kind, Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.sheets.model import Symbols
from rungwise.tutor.documents.drawings.schematic import schematic
from rungwise.tutor.documents.drawings.schematic_symbols import body
from rungwise.tutor.documents.drawings.svg import (
    CAP,
    DESCENT,
    SIZE,
    TEXT_WIDTH,
    Rect,
    Run,
    escape,
    name,
    number,
    upright,
    width,
)

from tests.support.samples import sample
from tests.support.strategies import ladders
from tests.tutor.figures.test_schematic import ladder_nets, random_ladder

from .svg_reading import NS, nets, on, parts_in, points, ports, read


@cache
def of_family(name: str, seed: int = 3) -> Ladder:
    return generate(seed, family=name).ladder


LC = read_circuit("source 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF; load 1 kΩ")


def expected_parts(ladder: Ladder) -> dict[str, tuple[str, str]]:
    return {
        e.name: (e.kind.value, "" if e.value is None else write_quantity(e.value, e.kind.unit))
        for e in ladder.elements()
    }


def assert_is(ladder: Ladder, svg: str) -> None:
    assert parts_in(svg) == expected_parts(ladder)
    assert nets(svg) == ladder_nets(ladder), svg


@pytest.mark.parametrize("symbols", Symbols)
def test_every_family_as_printed_is_the_circuit(symbols: Symbols) -> None:
    for family in FAMILIES:
        ladder = of_family(family.name)
        drawing = schematic(ladder, symbols)
        assert_is(ladder, drawing.svg)
        assert sorted(drawing.parts) == sorted(e.name for e in ladder.elements())
        assert drawing.width <= TEXT_WIDTH + 0.01


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ladders(valued=None, max_stages=8))
def test_any_ladder_as_printed_is_the_circuit(ladder: Ladder) -> None:
    assert_is(ladder, schematic(ladder).svg)


def test_large_ladders_fold_and_stay_the_circuit() -> None:
    folded = 0
    for seed in range(30):
        ladder = random_ladder(seed)
        drawing = schematic(ladder, Symbols.IEC if seed % 2 else Symbols.IEEE)
        assert_is(ladder, drawing.svg)
        assert drawing.width <= TEXT_WIDTH + 0.01
        assert drawing.height <= 660
        folded += 'data-role="ring"' in drawing.svg
    assert folded > 3


def test_a_drawing_keeps_to_the_room_it_is_given() -> None:
    for room in (TEXT_WIDTH, 230.0):
        for family in FAMILIES[::3]:
            drawing = schematic(of_family(family.name, 2), room=room)
            assert drawing.width <= room + 0.01
        for seed in range(100, sample(112, 150)):
            assert schematic(random_ladder(seed), room=room).width <= room + 0.01


def test_values_read_back_are_the_circuits() -> None:
    """The printed text, read by the reader of quantities, is the exact value."""
    for family in FAMILIES[::5]:
        ladder = generate(1, family=family.name).ladder
        shown = parts_in(schematic(ladder).svg)
        for element in ladder.elements():
            value = read_quantity(shown[element.name][1], element.kind.unit).value
            assert value == element.value


def test_the_reader_of_netlists_can_tell_circuits_apart() -> None:
    """A moved wire, a swapped name and a changed value are all seen."""
    svg = schematic(LC).svg
    other = read_circuit("source 600 Ω; series L1 = 10 mH; series C1 = 100 nF; load 1 kΩ")
    assert nets(svg) != ladder_nets(other)
    with pytest.raises(ValueError, match="printed as"):
        parts_in(svg.replace('data-part="L1"', 'data-part="L2"'))
    assert parts_in(svg.replace(">10 mH<", ">11 mH<")) != expected_parts(LC)
    with pytest.raises(ValueError, match="no drawing"):
        parts_in("<svg")
    with pytest.raises(ValueError, match="printed as"):
        parts_in(svg.replace("</svg>", '<g data-part="L1"><text>L1</text></g></svg>'))


# --- nothing overlaps ----------------------------------------------------------------------


def texts(svg: str) -> list[tuple[str, Rect]]:
    found = []
    for text in ET.fromstring(svg).iter(f"{NS}text"):
        size = float(text.get("font-size", SIZE))
        runs = [Run(text.text or "")]
        for span in text:
            sub = span.get("font-size") is not None
            runs.append(Run(span.text or "", span.get("font-style") == "italic", sub))
            runs.append(Run(span.tail or ""))
        wide = width(tuple(runs), size)
        x, y = float(text.get("x")), float(text.get("y"))
        x -= wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.get("text-anchor", "start")]
        low = DESCENT * size if any(r.sub for r in runs) else 0.0
        found.append(("".join(text.itertext()), Rect(x, y - CAP * size, x + wide, y + low)))
    return found


def bodies(svg: str) -> list[Rect]:
    found = []
    for group in ET.fromstring(svg).iter(f"{NS}g"):
        if group.get("data-part") and (path := group.find(f"{NS}path")) is not None:
            xs, ys = zip(*(p for line in points(path.get("d")) for p in line), strict=True)
            found.append(Rect(min(xs), min(ys), max(xs), max(ys)))
        elif group.get("data-role") in ("source", "terminal"):
            circle = group.find(f"{NS}circle")
            x, y, r = (float(circle.get(k)) for k in ("cx", "cy", "r"))
            found.append(Rect(x - r, y - r, x + r, y + r))
    return found


def assert_clear(svg: str) -> None:
    labels = [(t, r) for t, r in texts(svg) if t not in ("?", "1") and len(t) > 0]
    labels = [(t, r) for t, r in labels if not (len(t) == 1 and t in "abcdefghijkl")]
    for (a, one), (b, other) in itertools.combinations(labels, 2):
        assert not one.touches(other), f"{a} on {b}"
    for text, label in labels:
        for area in bodies(svg):
            assert not label.touches(area), f"{text} on a symbol"
        for (x, y), (x2, y2) in read(svg).wires:
            wire = Rect(min(x, x2), min(y, y2), max(x, x2), max(y, y2))
            assert not label.touches(wire, 0.3), f"{text} on a wire"


def test_labels_touch_nothing() -> None:
    for family in FAMILIES:
        assert_clear(schematic(of_family(family.name, 2)).svg)
    for seed in range(sample(25, 100)):
        assert_clear(schematic(random_ladder(seed, 18)).svg)


def test_between_the_terminals_stands_the_voltage_alone() -> None:
    """However tall the arm beside it: a Vout between L and C would be read as theirs."""
    tall = ("series R1; shunt L1 + C1", "shunt R1 + L1 + C1", "series L1; shunt (L2 + R1) || C1")
    ladders = [read_circuit(text) for text in tall]
    ladders += [of_family(family.name) for family in FAMILIES]
    for ladder in ladders:
        svg = schematic(ladder).svg
        labels = dict(texts(svg))
        middle = labels.pop("Vout")
        marks = [rect for text, rect in texts(svg) if text in "+−" and rect.left > middle.left]
        column = Rect.round([middle, *marks])
        assert len(marks) == 2
        for text, rect in labels.items():
            assert text in "+−" or not rect.touches(column, 3.9), (text, ladder)


def test_a_browser_fits_any_font_into_the_measured_place() -> None:
    """Each text says how wide it is; typst, which has the font, is not told."""
    for seed in range(5):
        drawing = schematic(random_ladder(seed, 12))
        for text in ET.fromstring(drawing.svg).iter(f"{NS}text"):
            assert text.get("lengthAdjust") == "spacingAndGlyphs"
        told = [float(t.get("textLength")) for t in ET.fromstring(drawing.svg).iter(f"{NS}text")]
        wide = [rect.right - rect.left for _, rect in texts(drawing.svg)]
        assert told == pytest.approx(wide, abs=0.006)
        own = ET.fromstring(drawing.own_font)
        for text in own.iter(f"{NS}text"):
            assert not {"textLength", "lengthAdjust"} & set(text.keys())
        assert texts(drawing.own_font) == texts(drawing.svg)


def test_bodies_keep_apart_and_stand_in_the_picture() -> None:
    for seed in range(40):
        drawing = schematic(random_ladder(seed, 20))
        found = bodies(drawing.svg)
        for one, other in itertools.combinations(found, 2):
            assert not one.touches(other, 0.5)
        x, y, wide, high = map(float, ET.fromstring(drawing.svg).get("viewBox").split())
        for _, rect in [*texts(drawing.svg), *(("", b) for b in found)]:
            assert x <= rect.left + 0.01 and rect.right <= x + wide + 0.01
            assert y <= rect.top + 0.01 and rect.bottom <= y + high + 0.01


def test_dots_mark_every_joint_and_nothing_else() -> None:
    """Where three wires or more meet there is a dot, and wires never cross without one."""
    for seed in range(30):
        svg = schematic(random_ladder(seed, 20)).svg
        printed = read(svg)
        ends = {end for wire in printed.wires for end in wire}
        for place in ends:
            arms = 0
            for wire in printed.wires:
                if on(place, wire, 0.005):
                    arms += 1 if place in wire else 2
            dotted = any(math.dist(place, dot) < 0.01 for dot in printed.dots)
            assert dotted == (arms >= 3), place
        level = [w for w in printed.wires if w[0][1] == w[1][1]]
        for (x, y), (_, y2) in (w for w in printed.wires if w[0][0] == w[1][0]):
            for (a, b), (c, _) in level:
                if a < x < c and min(y, y2) < b < max(y, y2):
                    assert any(math.dist((x, b), dot) < 0.01 for dot in printed.dots)


# --- what is asked for ---------------------------------------------------------------------


def test_an_arm_left_out_is_a_dashed_question_mark() -> None:
    for names in (("L1",), ("C1",)):
        drawing = schematic(boxed(LC, names))
        assert parts_in(drawing.svg)["?"] == ("?", "")
        assert BOX.name not in drawing.svg and BOX.name not in drawing.alt
        assert "stroke-dasharray" in drawing.svg
        wanted = [tuple(sorted("?" if n in names else n for n in net)) for net in ladder_nets(LC)]
        assert nets(drawing.svg) == sorted(wanted)
        assert "?" in drawing.alt


def test_a_value_asked_for_is_not_to_be_found_anywhere() -> None:
    drawing = schematic(LC, blank=("C1", "RL"))
    assert parts_in(drawing.svg)["C1"] == ("C", "?")
    for text in (drawing.svg, drawing.alt):
        assert "100 nF" not in text and "1 kΩ" not in text
    for box in ET.fromstring(drawing.svg).iter(f"{NS}rect"):
        x, y, wide, high = (float(box.get(k)) for k in ("x", "y", "width", "height"))
        room = Rect(x, y, x + wide, y + high)
        assert not any(room.touches(area, 1.0) for area in bodies(drawing.svg))
    letters = schematic(LC, values=False)
    assert all(value == "" for _, value in parts_in(letters.svg).values())
    assert "mH" not in letters.svg


# --- symbols, text, bytes ------------------------------------------------------------------


def test_symbols_have_the_shapes_of_the_standards_drawing_library() -> None:
    """The classes of schemdraw: six peaks or a box, four half circles, two plates."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of how it finds its own fonts
        elm = pytest.importorskip("schemdraw.elements")

    def corners(element: object) -> list[tuple[float, float]]:
        path = element.segments[-1].path
        return [tuple(p) for p in path if not any(map(math.isnan, p))]

    zigzag = list(body(Kind.R, Symbols.IEEE))
    theirs = corners(elm.ResistorIEEE())
    assert len(zigzag) == len(theirs)
    for op, (x, y) in zip(zigzag, theirs, strict=True):
        assert math.isclose(op.u / zigzag[-1].u, x, abs_tol=1e-9)
        assert (op.v > 0) - (op.v < 0) == (y > 0) - (y < 0)
    ours = {(op.u > 0, op.v > 0) for op in body(Kind.R, Symbols.IEC) if op.v}
    assert ours == {(x > 0, y > 0) for x, y in corners(elm.ResistorIEC()) if y}
    arcs = [s for s in elm.Inductor().segments if type(s).__name__ == "SegmentArc"]
    assert len(arcs) == sum(op.how == "A" for op in body(Kind.L, Symbols.IEC)) == 4
    plates = [op for op in body(Kind.C, Symbols.IEEE) if op.v]
    assert len({op.u for op in plates}) == len({x for x, y in corners(elm.Capacitor()) if y}) == 2


def test_the_two_standards_differ_where_they_should() -> None:
    ieee, iec = (ET.fromstring(schematic(LC, s).svg) for s in Symbols)

    def path(root: ET.Element, part: str) -> str:
        return root.find(f".//{NS}g[@data-part='{part}']/{NS}path").get("d")

    assert path(ieee, "L1") == path(iec, "L1") and path(ieee, "C1") == path(iec, "C1")
    assert path(ieee, "RL") != path(iec, "RL")
    assert len(points(path(iec, "RL"))[0]) == 6 and len(points(path(ieee, "RL"))[0]) == 8
    for root in (ieee, iec):
        group = root.find(f".//{NS}g[@data-part='RL']")
        (x, y), (x2, y2) = ports(group)
        assert x == x2 and y < y2


def test_widths_are_not_below_those_of_the_face_that_typst_sets() -> None:
    typst = pytest.importorskip("typst")
    import json

    labels = ["4.7 kΩ", "100 nF", "2.2 µF", "330 mH", "Vout", "1×10²⁰ Ω", "−3 dB", "680 pF", "+90°"]
    each = 't => measure(text(font: "Libertinus Serif", size: 9pt, t)).width.pt()'
    listed = ", ".join(f'"{t}"' for t in labels)
    text = f"#context [#metadata(({listed}).map({each}))<w>]"
    found = json.loads(typst.query(text.encode(), "<w>"))[0]["value"]
    for label, wide in zip(labels, found, strict=True):
        assert wide <= width(upright(label)) <= wide * 1.25 + 1, label


def test_names_have_their_index_and_underscores_stay() -> None:
    assert name("R1") == (Run("R", True), Run("1", sub=True))
    assert name("RL") == (Run("R", True), Run("L", sub=True))
    assert name("C") == (Run("C", True),)
    assert name("R_1") == (Run("R_1"),)
    odd = read_circuit("series R1 = 1 kΩ; shunt R_1 = 2 kΩ")
    assert_is(odd, schematic(odd).svg)


def test_text_is_escaped_and_coordinates_are_stable() -> None:
    assert escape("<&>\"'\x1b") == "&lt;&amp;&gt;&quot;&#39;"
    assert [number(v) for v in (1.005, -0.001, 2.0, 1 / 3, -1.5)] == [
        "1.01",
        "0",
        "2",
        "0.33",
        "-1.5",
    ]


def test_same_bytes_again_and_in_another_process() -> None:
    text = "series L1 = 1 mH || C1 = 1 nF; shunt R1 = 1 kΩ + C2 = 3.3 µF; load 50 Ω"
    code = (
        "from rungwise.tutor.documents.drawings.schematic import schematic; import hashlib\n"
        "from rungwise.problems.circuits.text import read_circuit\n"
        f"print(hashlib.sha256(schematic(read_circuit({text!r})).svg.encode()).hexdigest())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
            timeout=300,
        ).stdout
        for seed in ("0", "12345")
    }
    assert len(found) == 1
    ladder = read_circuit(text)
    assert schematic(ladder).svg == schematic(ladder).svg
    words = (" id=", "href", "url(", "<style", " style=", " on")
    assert not any(word in schematic(ladder).svg for word in words)


def test_drawings_are_quick() -> None:
    """3000 of them (a class of 300, ten problems each) within a minute, with room to spare."""
    some = [generate(77, family=f.name).ladder for f in FAMILIES[::7]]
    schematic(LC)
    start = time.perf_counter()
    for ladder in some:
        schematic(ladder)
    assert (time.perf_counter() - start) / len(some) < 0.02


def test_the_title_and_the_words_for_those_who_do_not_see_it() -> None:
    drawing = schematic(LC)
    root = ET.fromstring(drawing.svg)
    assert root.get("role") == "img" and root.get("aria-label") == drawing.alt
    assert root.find(f"{NS}desc").text == drawing.alt
    assert "series L1 = 10 mH" in drawing.alt and "load 1 kΩ" in drawing.alt
