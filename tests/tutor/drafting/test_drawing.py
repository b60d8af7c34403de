"""Drawing on the desk and placing on the board: what each move does, and drawings as text."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.preferred import E24
from rungwise.problems.questions.model import Rung
from rungwise.problems.questions.written import READ
from rungwise.problems.sketches.compare import compare
from rungwise.problems.sketches.model import (
    GainSketch,
    LineSketch,
    MapSketch,
    PhaseSketch,
    PlotBend,
    PlotKind,
    Region,
    SketchPart,
)
from rungwise.problems.sketches.read import read_gain, read_phase
from rungwise.problems.sketches.read_map import read_map
from rungwise.problems.sketches.write import write
from rungwise.tutor.drafting import line_text as drawing_text
from rungwise.tutor.drafting.line import (
    COARSE,
    FINE,
    MOST_BENDS,
    Handle,
    LineDraft,
    between,
    read_typed,
    stops,
)
from rungwise.tutor.drafting.map import MOST, MapDraft, PlacedRoot, counts
from rungwise.tutor.drafting.marks import line_marks, map_marks

LOW, HIGH = 1.0, 1e6


def desk(plot: PlotKind = PlotKind.GAIN) -> LineDraft:
    return LineDraft(plot, LOW, HIGH)


def type_in(work: LineDraft, text: str) -> bool:
    work.type(text)
    return work.enter()


# ---------------------------------------------------------------------------- the grid


def test_moves_stop_at_one_two_five_or_at_preferred_values() -> None:
    assert [stops(1000.0, COARSE, 1), stops(2000.0, COARSE, 1), stops(5000.0, COARSE, 1)] == [
        2000.0,
        5000.0,
        10000.0,
    ]
    assert stops(1000.0, COARSE, -1) == 500.0
    assert stops(1234.0, COARSE, -1) == 1000.0
    place, walked = 1000.0, []
    for _ in E24:
        walked.append(place)
        place = stops(place, FINE, 1)
    assert place == 10000.0
    # IEC 60063:2015, series E24
    assert [round(f / 100) for f in walked] == [
        *(10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30),
        *(33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91),
    ]


@given(st.floats(1e-5, 1e14), st.sampled_from((COARSE, FINE)))
def test_there_is_always_a_stop_and_the_way_back(frequency: float, marks: tuple[int, ...]) -> None:
    up = stops(frequency, marks, 1)
    down = stops(frequency, marks, -1)
    assert down < frequency < up
    assert up / frequency < 2.6 and frequency / down < 2.6
    assert stops(up, marks, -1) <= frequency * (1 + 1e-8)


@given(st.floats(0, 5.99), st.floats(0.2, 5))
def test_a_coarse_stop_always_lies_within_the_tolerance(low: float, width: float) -> None:
    """The grid alone suffices: nothing lies farther from it than a fifth of a decade."""
    frequency = 10 ** min(low + width, 6.0)
    near = [stops(frequency, COARSE, -1), stops(frequency * (1 - 1e-8), COARSE, 1)]
    assert min(abs(math.log10(stop / frequency)) for stop in near) <= 0.2


def test_a_new_break_comes_between_its_neighbours() -> None:
    assert between(1.0, 1e6) == 1000.0
    assert between(1000.0, 1200.0) == 1100.0  # only a fine stop fits
    assert between(1000.0, 1100.0) is None


# ------------------------------------------------------------------------------- gain


def test_a_two_pole_low_pass_in_few_keys() -> None:
    work = desk()
    type_in(work, "4.7k")
    work.turn(-1)
    assert drawing_text.submitted(work) == "0 to 4.7 kHz, −40; level 0 dB"


def test_arrows_move_the_break_and_turn_the_piece_after_it() -> None:
    work = desk()
    assert work.held == Handle.START
    assert work.turn(1) and work.turn(1)
    assert work.drawing.start == 40
    assert work.add()
    assert work.drawing.bends == (PlotBend(1000.0, 20),)
    assert work.move(1) and work.bend == PlotBend(2000.0, 20)
    assert work.move(1, fine=True) and work.bend == PlotBend(2200.0, 20)
    assert work.move(-1) and work.bend == PlotBend(2000.0, 20)
    assert work.turn(-1)
    assert drawing_text.submitted(work) == "+40 to 2 kHz, 0; level 0 dB"


def test_the_level_goes_in_steps_and_comes_back_to_them() -> None:
    work = desk()
    work.hold(Handle.LEVEL)
    assert work.turn(-1) and work.turn(-1)
    assert work.drawing.level == -6.0
    assert type_in(work, "−3.52 dB")
    assert work.drawing.level == -3.52
    assert work.turn(1) and work.drawing.level == -3.0
    assert work.turn(-1, fine=True) and work.drawing.level == -3.5


def test_a_moved_break_passes_its_neighbour_and_stays_selected() -> None:
    work = desk()
    type_in(work, "1k")
    type_in(work, "1k")  # the same again changes nothing
    work.add(2000.0)
    work.hold(0)
    assert work.move(1)  # 2 kHz is taken: on to 5 kHz
    assert work.bend is not None and work.bend.frequency == 5000.0 and work.held == 1
    assert [bend.frequency for bend in work.drawing.bends] == [2000.0, 5000.0]


def test_a_break_stays_on_the_paper() -> None:
    work = desk()
    work.add(500000.0)
    assert work.move(1) and not work.move(1)
    assert work.bend is not None and work.bend.frequency == HIGH
    work.type("2M")
    assert work.read() is None and not work.enter() and work.typed == "2M"


def test_adding_and_removing() -> None:
    work = desk()
    while work.add():
        pass
    assert 1 <= len(work.drawing.bends) <= MOST_BENDS
    work.hold(0)
    assert work.remove() and work.held == 0
    while work.bend is not None:
        assert work.remove()
    assert work.held == Handle.START and not work.remove()


def test_tab_goes_round() -> None:
    work = desk()
    work.add()
    work.add()
    seen = [work.held]
    for _ in range(4):
        work.next()
        seen.append(work.held)
    assert seen == [1, Handle.LEVEL, Handle.START, 0, 1]
    work.next(-1)
    assert work.held == 0


def test_undo_and_redo() -> None:
    work = desk()
    assert not work.undo() and not work.redo()
    work.add()
    work.turn(-1)
    work.clear()
    assert work.drawing == GainSketch()
    assert work.undo() and work.bend == PlotBend(1000.0, -40)
    assert work.undo() and work.bend == PlotBend(1000.0, -20)
    assert work.redo() and work.bend == PlotBend(1000.0, -40)
    work.turn(-1)
    assert not work.redo()  # what was taken back and drawn over is gone


@pytest.mark.parametrize(
    ("text", "hertz"),
    [("4k7", 4700.0), ("1.59 kHz", 1590.0), ("2meg", 2e6), ("330", 330.0), ("1,5k", 1500.0)],
)
def test_frequencies_are_read_as_everywhere(text: str, hertz: float) -> None:
    assert read_typed(text, "Hz") == pytest.approx(hertz)


@pytest.mark.parametrize("text", ["", "k", "-5", "0", "10 rad/s", "3 V", "9" * 400, "1e999"])
def test_what_is_no_frequency(text: str) -> None:
    assert read_typed(text, "Hz") is None


@pytest.mark.parametrize(
    ("text", "level"), [("-6", -6.0), ("−6.02 dB", -6.02), ("+3", 3.0), (".5", 0.5), ("x", None)]
)
def test_levels(text: str, level: float | None) -> None:
    assert read_typed(text, "dB") == level


# ------------------------------------------------------------------------------ phase


def test_turns_and_jumps() -> None:
    work = desk(PlotKind.PHASE)
    type_in(work, "1k")
    assert work.turn(-1) and work.bend == PlotBend(1000.0, -180)
    assert type_in(work, "1k")  # where it is
    work.hold(Handle.START)
    assert not type_in(work, "1k")  # and no second one there
    work.typed = ""
    work.add(20.0)
    assert work.leap() and work.bend == PlotBend(20.0, -90, True)
    assert work.turn(1) and work.turn(1) and work.bend == PlotBend(20.0, 180, True)  # 0° is none
    work.type("1k")
    assert work.enter()  # a jump may stand within a turn
    assert drawing_text.submitted(work) == "0 to 1 kHz, −90 to 1 kHz jump, +90 to 1 kHz, 0"
    assert not work.leap()  # there is a turn already


# ------------------------------------------------------------------------------- text

GAINS = st.builds(
    lambda start, bends, level: GainSketch(
        (20 * start, *(20 * bends[f] for f in sorted(bends))), tuple(sorted(bends)), level
    ),
    st.integers(-4, 4),
    st.dictionaries(st.floats(LOW, HIGH), st.integers(-6, 6), max_size=MOST_BENDS).filter(
        lambda d: all(b / a > 1.01 for a, b in zip(sorted(d), sorted(d)[1:], strict=False))
    ),
    st.floats(-120, 120).map(lambda level: level if abs(level) > 1e-9 else 0.0),
)


@given(GAINS, st.data())
def test_what_is_kept_is_exact(drawn: GainSketch, data: st.DataObject) -> None:
    one, other = desk(), desk()
    one.restore(drawn, data.draw(st.integers(-2, len(drawn.bends) - 1)))
    assert drawing_text.take_up(other, drawing_text.kept(one))
    assert (other.drawing, other.held) == (one.drawing, one.held)
    assert not other.undo()


@given(GAINS)
def test_what_is_submitted_reads_as_what_is_drawn(drawn: GainSketch) -> None:
    work = desk()
    work.restore(drawn, -1)
    sketch = drawn.tidied()
    if not sketch.breaks and sketch.slopes[0]:
        return  # the pad does not submit a slope without a break
    read = read_gain(drawing_text.submitted(work))
    assert read.slopes == sketch.slopes
    assert read.breaks == pytest.approx(sketch.breaks, rel=1e-3)
    assert read.level == pytest.approx(sketch.level, abs=0.0051)


def test_a_break_that_turns_nothing_leaves_the_level_to_the_next() -> None:
    drawn = GainSketch((20, 20, 0), (100.0, 1000.0), -26.0)
    assert write(drawn.tidied()) == "+20 to 1 kHz, 0; level −6 dB"


@pytest.mark.parametrize(
    "text",
    [
        *("", "gain", "gain; at 0; level 0; start 0", "map; at real; poles: none; zeros: none"),
        "gain; at 0; level nan; start 0; 100.0 -20",
        "gain; at 0; level 1e99; start 0; 100.0 -20; 100.0 -40",
        "gain; at 5; level 0.0; start 0; 100.0 -20",
        "gain; at 0; level 0.0; start 0; 1e9 -20",
        "gain; at 0; level 0.0; start 0; 100.0 -20; what",
        "gain; at 0; 0 to 100.0 Hz, −20; level nan dB",
        "gain; at 0; 0 to 100.0 Hz, −20 to 100.0 Hz, −40; level 0.0 dB",
        "gain; at 5; 0 to 100.0 Hz, −20; level 0.0 dB",
        "gain; at 0; 0 to 1e9 Hz, −20; level 0.0 dB",
        "phase; at -1; level 0.0; start 0",
        "\x1b[2J" * 5000,
    ],
)
def test_a_damaged_draft_changes_nothing(text: str) -> None:
    work = desk()
    work.add()
    before = work.drawing
    assert not drawing_text.take_up(work, text)
    assert work.drawing == before


@pytest.mark.parametrize(
    ("text", "drawn", "held", "typed"),
    [
        (
            "gain; at 1; level -6.5; start 20; 123.456789 20; 4700.0 -40; typed 3k",
            *(GainSketch((20, 20, -40), (123.456789, 4700.0), -6.5), 1, "3k"),
        ),
        ("gain; at -2; level 0.0; start -40", GainSketch((-40,)), Handle.LEVEL, ""),
        (
            "phase; at 2; level 0.0; start 90; 20.0 -90; 1000.0 -180; 1000.0 180 jump",
            *(PhaseSketch(90, ((20.0, -90), (1000.0, -180)), ((1000.0, 180),)), 2, ""),
        ),
    ],
)
def test_what_older_versions_kept_is_taken_up(
    text: str, drawn: LineSketch, held: int, typed: str
) -> None:
    one, other = desk(drawn.plot), desk(drawn.plot)
    assert drawing_text.take_up(one, text)
    assert (one.drawing, one.held, one.typed) == (drawn, held, typed)
    assert drawing_text.take_up(other, drawing_text.kept(one))
    assert (other.drawing, other.held, other.typed) == (drawn, held, typed)


def test_a_value_half_typed_is_kept() -> None:
    one, other = desk(), desk()
    one.add()
    one.type("4k")
    assert drawing_text.take_up(other, drawing_text.kept(one))
    assert other.typed == "4k" and other.enter() and other.bend == PlotBend(4000.0, -20)
    assert not drawing_text.take_up(desk(), "gain; at 0; typed 4k")


def test_a_sketch_in_words_is_taken_up_and_can_be_taken_back() -> None:
    work = desk()
    work.add()
    before = work.drawing
    assert drawing_text.take_up(work, "+20 to 340 Hz, 0; level −6 dB", undoable=True)
    assert work.drawing == GainSketch((20, 0), (340.0,), -6.0)
    assert work.undo() and work.drawing == before


# -------------------------------------------------------------------------- the board


def test_arrows_lead_where_they_point() -> None:
    board = MapDraft()
    assert board.held is Region.REAL
    assert board.go(1, 0) and board.held is Region.ORIGIN
    assert board.go(0, -1) and board.held is Region.AXIS
    assert board.go(-1, 0) and board.held is Region.PAIR
    assert not board.go(-1, 0) and not board.go(0, -1)
    assert board.go(0, 1) and board.held is Region.REAL
    assert board.go(1, 0) and board.go(0, -1) and board.held is Region.AXIS
    assert board.go(1, 0) and board.held is Region.RIGHT
    assert not board.go(1, 0) and not board.go(0, 1)
    assert board.go(-1, 0) and board.held is Region.ORIGIN


def test_pairs_come_in_twos() -> None:
    board = MapDraft()
    board.put(PlacedRoot.POLE)
    board.hold(Region.PAIR)
    board.put(PlacedRoot.POLE)
    board.hold(Region.ORIGIN)
    board.put(PlacedRoot.ZERO)
    board.put(PlacedRoot.ZERO)
    assert drawing_text.submitted(board) == "poles: 1 real, 1 complex pair; zeros: 2 at the origin"
    assert board.remove() and board.count(Region.ORIGIN, PlacedRoot.ZERO) == 1
    assert board.undo() and board.undo() and board.count(Region.ORIGIN, PlacedRoot.ZERO) == 1
    assert board.redo()
    assert board.clear() and board.map == MapSketch() and board.undo()
    assert not board.put(PlacedRoot.POLE, -1)


def test_regions_are_not_endless() -> None:
    board = MapDraft()
    while board.put(PlacedRoot.ZERO):
        pass
    assert board.count(Region.REAL, PlacedRoot.ZERO) == MOST


@settings(max_examples=50)
@given(
    st.lists(
        st.tuples(st.sampled_from(list(Region)), st.sampled_from(list(PlacedRoot))), max_size=12
    )
)
def test_maps_are_kept_and_submitted(moves: list[tuple[Region, PlacedRoot]]) -> None:
    one, other = MapDraft(), MapDraft()
    for region, root in moves:
        one.hold(region)
        one.put(root)
    assert drawing_text.take_up(other, drawing_text.kept(one))
    assert (other.map, other.held) == (one.map, one.held)
    assert counts(read_map(drawing_text.submitted(one))) == counts(one.map)


def moves_of(work: LineDraft) -> list[Callable[[], bool]]:
    return [
        *(lambda: work.move(1), lambda: work.move(-1, True), lambda: work.turn(1)),
        *(lambda: work.turn(-1, True), work.add, work.remove, work.next, work.undo),
        *(work.redo, work.clear, work.leap, lambda: work.type("1")),
        *(lambda: work.type("k"), work.enter, work.erase, lambda: work.next(-1)),
    ]


@pytest.mark.parametrize("plot", PlotKind)
@pytest.mark.parametrize("seed", range(5))
def test_any_moves_leave_a_drawing_that_can_be_read(plot: PlotKind, seed: int) -> None:
    chance = Chance(seed, "desk")
    work = desk(plot)
    moves = moves_of(work)
    for _ in range(600):
        chance.pick(moves)()
        places = [(bend.frequency, bend.jump) for bend in work.drawing.bends]
        assert places == sorted(set(places))
        assert all(LOW <= place <= HIGH for place, _ in places)
        assert work.first <= work.held < len(places)
    again = desk(plot)
    assert drawing_text.take_up(again, drawing_text.kept(work))
    assert again.drawing == work.drawing


# ------------------------------------------------------------------------------- marks


def marked(rung: Rung, truth: str, drawn: str) -> dict[str, bool]:
    sketch = READ[rung](drawn)
    parts = compare(READ[rung](truth), sketch)
    if rung is Rung.MAP_SKETCH:
        return map_marks(parts)
    assert not isinstance(sketch, MapSketch)
    return line_marks(parts, sketch)


def test_verdicts_of_a_gain_are_laid_on_its_pieces() -> None:
    truth = "0 to 1 kHz, −20 to 10 kHz, −40; level −6 dB"
    marks = marked(Rung.GAIN_SKETCH, truth, "0 to 1.1 kHz, −20 to 50 kHz, −60; level 0 dB")
    assert marks == {
        "slope-0": True,
        "break-1": True,
        "slope-1": True,
        "break-2": False,
        "slope-2": False,
        "breaks": True,
        "level": False,
    }


def test_verdicts_of_a_phase_are_laid_on_its_turns_and_jumps() -> None:
    truth = "0 to 1 kHz, −90 to 1 kHz jump, +90 to 1 kHz, 0"
    marks = marked(Rung.PHASE_SKETCH, truth, "0 to 1 kHz, −180 to 5 kHz jump, 0")
    # The end is right, but the turn before it is not: no verdict of its own.
    assert marks == {"start": True, "turn-1": True, "turn-2": False, "turns": True}


def test_what_is_right_by_itself_alone_has_no_verdict() -> None:
    truth = "0 to 1 kHz, −20; level −6 dB"
    assert marked(Rung.GAIN_SKETCH, truth, "0; level −6 dB") == {"slope-0": False, "breaks": False}
    marks = marked(Rung.GAIN_SKETCH, truth, "+20 to 1 kHz, 0; level −6 dB")
    assert marks == {"slope-0": False, "slope-1": False, "breaks": True}
    marks = marked(Rung.GAIN_SKETCH, truth, "0 to 9 kHz, −20; level −6 dB")
    assert marks == {"break-1": False, "breaks": True}
    assert not any(marked(Rung.PHASE_SKETCH, "0 to 1 kHz, −90", "0").values())


def test_verdicts_of_a_map_are_laid_on_its_regions() -> None:
    marks = marked(
        Rung.MAP_SKETCH,
        "poles: 1 complex pair; zeros: 2 at the origin",
        "poles: 2 real; zeros: 2 at the origin",
    )
    assert marks == {"real": False, "origin": True, "poles": True, "zeros": True}


def test_a_part_of_a_piece_that_is_not_drawn_is_no_ones() -> None:
    assert line_marks([SketchPart("break", True, (), 7)], GainSketch()) == {}


def test_phases_are_read_back() -> None:
    text = "+90 to 340 Hz, 0 to 12 kHz, −90"
    assert write(read_phase(text)) == text
    assert read_phase(text).bends == (
        PlotBend(340.0, -90),
        PlotBend(12000.0, -90),
    )
