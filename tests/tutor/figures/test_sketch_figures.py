"""Sketches as pictures: the lines are where they belong, and what is in hand is unmistakable."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.chance import Chance
from rungwise.problems.generate.analyse import generate
from rungwise.problems.sketches.model import (
    GainSketch,
    LineSketch,
    MapSketch,
    PhaseSketch,
    PlotBend,
    PlotKind,
    Region,
    map_sketch,
)
from rungwise.problems.sketches.paper import frame
from rungwise.problems.sketches.truth import true_gain, true_map, true_phase
from rungwise.tutor.drafting.line import EMPTY, Handle
from rungwise.tutor.drafting.map import PAIRED
from rungwise.tutor.figures.canvas.picture import Picture
from rungwise.tutor.figures.sketch import line as sketch_line
from rungwise.tutor.figures.sketch import map as sketch_map
from rungwise.tutor.figures.sketch.course import Frame, phase_at, points, value_at
from scipy import signal

PAPER = Frame(1.0, 1e6, -80.0, 40.0)
PHASES = Frame(1.0, 1e6, -270.0, 270.0)
SIZES = [(20, 6), (46, 8), (60, 9), (80, 13), (92, 20), (120, 26), (200, 40)]
LOW_PASS = GainSketch((0, -20, -40), (1000.0, 20000.0))
NOTCH = PhaseSketch(0, ((1000.0, -180),), ((1000.0, 180),))


def whole(picture: Picture, width: int, height: int) -> None:
    """Every line has the width asked for, and every span lies in it."""
    assert picture.height == height
    assert {len(line) for line in picture.lines} == {width}
    for span in picture.spans:
        assert 0 <= span.row < height
        assert span.col >= 0 and span.col + span.length <= width


def cells(picture: Picture, role: str) -> str:
    return "".join(
        picture.lines[s.row][s.col : s.col + s.length] for s in picture.spans if s.role == role
    )


def any_drawing(chance: Chance, plot: PlotKind) -> LineSketch:
    step = 20 if plot is PlotKind.GAIN else 90
    count = chance.below(5)
    places = sorted({10 ** (6 * chance.below(1000) / 1000) for _ in range(count)})
    bends = tuple(PlotBend(f, step * (chance.below(9) - 4) or step) for f in places)
    start, level = step * (chance.below(7) - 3), float(chance.below(80) - 40)
    drawn = EMPTY[plot].bent(start, bends)
    return replace(drawn, level=level) if isinstance(drawn, GainSketch) else drawn


# ------------------------------------------------------------------- against scipy


def oracle(
    level: int, seed: int
) -> tuple[signal.TransferFunction, GainSketch, PhaseSketch, list[float]]:
    known = facts(generate(seed, level=level).ladder)
    transfer = known.transfer
    system = signal.TransferFunction(
        [float(c) for c in transfer.numerator], [float(c) for c in transfer.denominator]
    )
    roots = sorted(abs(r) / math.tau for r in (*known.poles, *known.zeros) if r)
    return system, true_gain(known), true_phase(known), roots


@pytest.mark.parametrize("level", [1, 2, 3, 4, 5, 6])
@pytest.mark.parametrize("seed", range(4))
def test_lines_meet_the_exact_response_far_from_every_break(level: int, seed: int) -> None:
    """Three decades beyond the outermost break, as scipy computes gain and phase there."""
    system, gain, phase, roots = oracle(level, seed)
    if not roots:
        return
    ends = [roots[0] / 1e3, roots[-1] * 1e3]
    _, exact = signal.freqresp(system, [math.tau * f for f in ends])
    paper = Frame(ends[0] / 10, ends[1] * 10, -80, 40)
    for f, h in zip(ends, exact, strict=True):
        place = math.log10(f)
        if gain.bends:
            assert value_at(gain, place, paper) == pytest.approx(20 * math.log10(abs(h)), abs=0.01)
        apart = (phase_at(phase, place) - float(np.degrees(np.angle(h)))) % 360
        assert min(apart, 360 - apart) < 2


@pytest.mark.parametrize("level", [1, 2, 3, 4, 5, 6])
@pytest.mark.parametrize("seed", range(4))
def test_a_sheet_holds_the_right_line_and_its_breaks(level: int, seed: int) -> None:
    known = facts(generate(seed, level=level).ladder)
    paper = Frame(*frame(known))
    gain = true_gain(known)
    for bend, height in zip(gain.bends, gain.heights, strict=True):
        assert paper.low * 5 < bend.frequency < paper.high / 5
        assert paper.bottom < height < paper.top
    picture = sketch_line.draw(gain, paper, 80, 13, held=-1, right=gain)
    whole(picture, 80, 13)


# ----------------------------------------------------------------------------- lines


def test_the_course_of_a_gain() -> None:
    found = points(LOW_PASS, 1.0, 1e6)
    assert [x for x, _ in found] == pytest.approx([0, 3, math.log10(20000), 6])
    fall = 20 * math.log10(20)
    assert [y for _, y in found] == pytest.approx([0, 0, -fall, -fall - 40 * math.log10(50)])
    flat = GainSketch(level=-6.0)
    assert {y for _, y in points(flat, 1.0, 1e6)} == {-6.0}


def test_a_turn_takes_a_decade_on_either_side_and_a_jump_none() -> None:
    turn = PhaseSketch(90, ((1000.0, -90),))
    assert [phase_at(turn, x) for x in (1, 2, 2.5, 3, 3.5, 4, 5)] == pytest.approx(
        [90, 90, 67.5, 45, 22.5, 0, 0]
    )
    assert phase_at(NOTCH, 3) == pytest.approx(-90)
    assert phase_at(NOTCH, 3, after=True) == pytest.approx(90)
    assert [x for x, _ in points(NOTCH, 1.0, 1e6)].count(3.0) == 2


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("plot", PlotKind)
def test_lines_of_any_kind_at_any_size(size: tuple[int, int], plot: PlotKind) -> None:
    chance = Chance(1, "lines", plot, size[0])
    for _ in range(25):
        drawn, right = any_drawing(chance, plot), any_drawing(chance, plot)
        held = chance.below(len(drawn.bends) + 2) - 2
        if plot is PlotKind.PHASE and held == Handle.LEVEL:
            held = -1
        paper = PAPER if plot is PlotKind.GAIN else PHASES
        for ascii_only in (False, True):
            picture = sketch_line.draw(
                drawn, paper, *size, held=held, right=right, ascii=ascii_only
            )
            whole(picture, *size)
            assert not ascii_only or picture.text.isascii()
            assert cells(picture, sketch_line.HELD), picture.text


@pytest.mark.parametrize("size", SIZES[1:])
def test_the_selected_break_is_marked_to_the_cell(size: tuple[int, int]) -> None:
    picture = sketch_line.draw(LOW_PASS, PAPER, *size, held=1)
    left, top, _, rows = picture.plot
    assert picture.frequency is not None and picture.level is not None
    col = left + int(picture.frequency.cell(20000.0))
    row = top + picture.level.row(LOW_PASS.heights[1])
    assert picture.lines[row][col] == "◆"
    assert picture.lines[top + rows][col] == "▲"  # the pointer on the axis
    assert "20 kHz" in picture.lines[top + rows + 1]
    assert "↕ −40" in cells(picture, sketch_line.HELD)
    assert picture.text.count("◆") == 1 and picture.text.count("◇") == 1


def test_the_selected_piece_is_thick_in_any_colour() -> None:
    thin = sketch_line.draw(LOW_PASS, PAPER, 80, 13)
    for held in (-1, 0, 1):
        thick = sketch_line.draw(LOW_PASS, PAPER, 80, 13, held=held)

        def dots(picture: Picture) -> int:
            return sum(
                (ord(c) - 0x2800).bit_count() for c in picture.text if 0x2800 <= ord(c) < 0x2900
            )

        assert dots(thick) > dots(thin) + 10


def test_the_level_in_hand_is_shown_on_its_axis() -> None:
    drawn = GainSketch((20, 0), (1000.0,), -12.0)
    picture = sketch_line.draw(drawn, PAPER, 80, 13, held=int(Handle.LEVEL))
    assert picture.level is not None
    line = picture.lines[1 + picture.level.row(-12.0)]
    assert line.startswith(" −12 ▶"[1:]) or line.strip().startswith("−12")
    assert "▶" in line


def test_a_handle_beyond_the_paper_is_pointed_at() -> None:
    deep = GainSketch((0, -120, -40), (100.0, 1e5))
    picture = sketch_line.draw(deep, PAPER, 80, 13, held=1)
    assert "▼" in cells(picture, sketch_line.HELD)


def test_verdicts_stand_beside_their_pieces() -> None:
    marks = {"slope-0": True, "break-1": True, "slope-1": False, "break-2": False, "slope-2": True}
    picture = sketch_line.draw(LOW_PASS, PAPER, 120, 26, held=0, marks=marks)
    assert cells(picture, sketch_line.GOOD) == "✓✓✓" and cells(picture, sketch_line.BAD) == "✗✗"
    text = picture.text
    assert "0 ✓" in text and "−20  ✗" in text and "−40 ✓" in text


def test_the_right_line_is_dotted_and_says_so() -> None:
    right = GainSketch((0, -20), (3300.0,), -6.0)
    picture = sketch_line.draw(LOW_PASS, PAPER, 100, 20, right=right)
    assert "yours" in picture.lines[0] and "the right one" in picture.lines[0]
    assert "3.3kHz" in cells(picture, sketch_line.RIGHT)
    alone = sketch_line.draw(LOW_PASS, PAPER, 100, 20, right=right, drawn=False)
    assert "yours" not in alone.text and "◇" not in alone.text and "3.3 kHz" in alone.text
    without = sketch_line.draw(LOW_PASS, PAPER, 100, 20)
    assert not cells(without, sketch_line.RIGHT)


def test_a_phase_that_leaves_its_paper_makes_it_larger() -> None:
    far = PhaseSketch(0, tuple((10.0**k, -180) for k in (1, 2, 3)))
    picture = sketch_line.draw(far, PHASES, 80, 20)
    assert picture.level is not None
    assert 0 <= picture.level.row(-540.0) < 17


# ------------------------------------------------------------------------------ maps

TWO_ZEROS = map_sketch([(Region.PAIR, 2), (Region.REAL, 1)], [(Region.ORIGIN, 2)])


MAPS = [(40, 6), (56, 7), (60, 8), *SIZES[2:]]


@pytest.mark.parametrize("size", MAPS)
def test_every_root_is_seen_in_every_window(size: tuple[int, int]) -> None:
    for region in Region:
        for root, sign in (("poles", "×"), ("zeros", "○")):
            for number in (1, 2, 3, 4):
                roots = [(region, number * (2 if region in PAIRED else 1))]
                drawn = map_sketch(*((roots, []) if root == "poles" else ([], roots)))
                for held in (None, region):
                    picture = sketch_map.draw(drawn, *size, held=held)
                    found = "\n".join(picture.lines[1:])
                    pairs = 2 if region in PAIRED else 1
                    seen = found.count(f"{sign}{number}") * number or found.count(sign)
                    assert seen == number * pairs, (region, number, picture.text)


@pytest.mark.parametrize("size", MAPS)
def test_drawn_and_right_roots_are_both_seen(size: tuple[int, int]) -> None:
    both = [(region, 2) for region in Region]
    drawn, right = map_sketch(both, []), map_sketch([], both)
    found = "\n".join(sketch_map.draw(drawn, *size, right=right).lines[1:])
    # A pair, or two at one place, on each side of the σ axis; in the right half two or one.
    assert found.count("×") + found.count("○") >= 14
    assert 7 <= found.count("(○") <= 9
    nothing = sketch_map.draw(drawn, *size, right=map_sketch([], [])).text
    assert nothing.count("(–)") == 7


@pytest.mark.parametrize("size", MAPS)
@pytest.mark.parametrize("held", [None, *Region])
def test_maps_at_any_size(size: tuple[int, int], held: Region | None) -> None:
    chance = Chance(2, "maps", size[0])
    for _ in range(10):
        drawn, right = (
            map_sketch(
                [(r, 2 * chance.below(4)) for r in Region],
                [(r, 2 * chance.below(4)) for r in Region],
            )
            for _ in range(2)
        )
        for ascii_only in (False, True):
            picture = sketch_map.draw(drawn, *size, held=held, right=right, ascii=ascii_only)
            whole(picture, *size)
            assert not ascii_only or picture.text.isascii()
            assert bool(cells(picture, sketch_line.HELD)) is (held is not None)


def test_roots_lie_in_their_regions_and_pairs_are_mirrored() -> None:
    drawn = map_sketch([(Region.PAIR, 2), (Region.REAL, 2)], [(Region.AXIS, 2)])
    picture = sketch_map.draw(drawn, 80, 15)
    boxes = sketch_map.boxes(80, 15)
    found = {
        (sign, region)
        for row, line in enumerate(picture.lines[1:], 1)
        for col, sign in enumerate(line)
        if sign in "×○"
        for region, box in boxes.items()
        if box.holds(col, row)
    }
    assert found == {("×", Region.PAIR), ("×", Region.REAL), ("○", Region.AXIS)}
    assert picture.text.count("×") == 1 + 2 + 2  # the legend's, a pair, two real ones


@pytest.mark.parametrize("height", range(6, 30))
def test_regions_do_not_overlap(height: int) -> None:
    for width in (40, 60, 80, 120, 200):
        found = list(sketch_map.boxes(width, height).values())
        for i, one in enumerate(found):
            assert 0 <= one.left < one.right < width and 1 <= one.top <= one.bottom < height
            for other in found[i + 1 :]:
                apart = one.right < other.left or other.right < one.left
                assert apart or one.bottom < other.top or other.bottom < one.top


def test_the_right_map_is_in_brackets_where_it_differs() -> None:
    drawn = map_sketch([(Region.PAIR, 2)], [(Region.ORIGIN, 1)])
    picture = sketch_map.draw(drawn, 92, 17, right=TWO_ZEROS, marks={"pair": True, "origin": False})
    assert "(○2)" in picture.text and "(×)" in picture.lines[8]
    assert picture.text.count("(×)") == 2  # the legend's, the real one; the pair is right
    assert "origin ✗" in picture.text and "complex pair ✓" in picture.text


def test_an_empty_map_shows_its_regions_only() -> None:
    picture = sketch_map.draw(MapSketch(), 80, 13, held=Region.ORIGIN)
    assert "▸ origin" in cells(picture, sketch_line.HELD)
    assert picture.text.count("×") == 1  # the legend's


def test_true_maps_can_be_drawn() -> None:
    for level in range(1, 7):
        known = facts(generate(3, level=level).ladder)
        whole(sketch_map.draw(true_map(known), 80, 13), 80, 13)
