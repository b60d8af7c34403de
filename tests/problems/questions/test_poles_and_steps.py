"""Places of poles and step responses: truths, slips, wrong answers, and published examples.

``tests.studies.predicted`` takes two hundred problems of each kind; here a few are tried.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.predict import WAYS
from rungwise.problems.grading.grade import grade
from rungwise.problems.hints.explanation import Strength
from rungwise.problems.hints.why_wrong import explanations
from rungwise.problems.questions.asking import Asking
from rungwise.problems.questions.exhibit import Chart, Points
from rungwise.problems.questions.kinds import KINDS, MAKERS
from rungwise.problems.questions.model import Face, Form, Problem, Question, Rung, Task, Verdict
from rungwise.problems.questions.poles import PLACES, map_of, q_of_map
from rungwise.problems.questions.steps import seen, shape_of
from rungwise.problems.questions.values import texts
from rungwise.problems.questions.written import read_values
from rungwise.problems.solutions.solution import worked_solution
from rungwise.tutor.figures.exhibit import exhibit
from rungwise.tutor.language.texts import Words

from tests.problems.questions.test_predicted import held
from tests.support import step_witness
from tests.support.predicted import Asked, Tally, problems, study

FEW = 3
SEEDS = 12
MINE = frozenset({"map", "poles", "step", "step-curve"})
RC = "series R = 1 kΩ; shunt C = 100 nF"
LOW_Q_3 = "series R = 100 Ω; series L = 10 mH; shunt C = 100 nF"


@cache
def asked(circuit: str, streams: int = 8) -> tuple[Facts, dict[tuple[Rung, str], Question]]:
    """All that is asked of a circuit here, by kind and by which of its figures."""
    known = facts(read_circuit(circuit))
    found = {}
    for row in KINDS:
        maker = MAKERS.get(row.rung) if row.ways & MINE else None
        for number in range(streams) if maker is not None else ():
            stream = (number, "tried")
            assert maker is not None
            question = maker(Asking(known, Chance(*stream, row.rung.value), stream))
            if question is not None:
                found[row.rung, str(dict(question.values).get("asked", ""))] = question
    return known, found


def problem_of(circuit: str, question: Question) -> Problem:
    (way,) = next(row.ways for row in KINDS if row.rung is question.rung)
    ladder = read_circuit(circuit)
    return Problem(4, "", 1, 0, ladder, (question,), Task.PREDICT, WAYS[way])


def verdict(circuit: str, key: tuple[Rung, str], text: str) -> tuple[Verdict, list[str]]:
    known, found = asked(circuit)
    mark = grade(problem_of(circuit, found[key]), found[key], text, known)
    return mark.verdict, [hit.slip for hit in mark.slips]


# ------------------------------------------------------------------------- truths, slips, reasons


@pytest.mark.parametrize(
    ("way", "witnesses"),
    [
        ("map", step_witness.MAP),
        ("poles", step_witness.POLES),
        ("step", step_witness.STEP),
        ("step-curve", step_witness.CURVE),
    ],
)
def test_every_kind_is_confirmed_and_its_wrong_answers_are_explained(
    way: str, witnesses: Mapping[Rung, step_witness.Witness]
) -> None:
    found: dict[Rung, Tally] = study(way, witnesses, FEW, SEEDS)
    held(found)


def test_a_careful_reader_meets_the_tolerances() -> None:
    right = [
        step_witness.read_right(Asked(problem, known, question), number)
        for number, (problem, known) in enumerate(problems("step-curve", range(2)))
        for question in problem.questions
    ]
    assert len(right) > 40 and sum(right) >= 0.95 * len(right)


# ------------------------------------------------------------------------- what is shown


def test_where_poles_are_read_and_what_is_shown() -> None:
    """The map shows no circuit and tells coordinates in words; maps to choose from tell none."""
    for problem, known in problems("map", range(1)):
        assert problem.face is Face.NONE
        for question in problem.questions:
            assert question.exhibit is not None
            told = " ".join(str(value) for _, value in question.values)
            assert "rad/s" in told
            if question.rung is not Rung.MAP_STEP:
                (plot,) = question.exhibit.plots
                assert question.exhibit.chart is Chart.MAP and question.exhibit.unit == "rad/s"
                assert np.allclose(
                    np.sort_complex(np.array(plot.poles)),
                    np.sort_complex(np.array(known.poles)),
                    rtol=1e-3,
                )
    for problem, _ in problems("poles", range(1)):
        for question in problem.questions:
            assert read_values(texts(question.values)) == question.values


def _choices(ways: Collection[str], seeds: int) -> Iterator[tuple[Facts, Question]]:
    for way in ways:
        for problem, known in problems(way, range(seeds)):
            for question in problem.questions:
                if question.form is Form.CHOICE:
                    yield known, question


def test_no_picture_stands_out() -> None:
    """Each place is right about as often; of steps two share a start, an end, and a pace each."""
    places: dict[Rung, Counter[object]] = {}
    middles: Counter[int] = Counter()
    for _, question in _choices(("map", "poles", "step"), 1):
        if question.exhibit is None:
            continue
        places.setdefault(question.rung, Counter())[question.truth] += 1
        assert [choice.id for choice in question.choices] == list(PLACES)
        plots = question.exhibit.plots
        if question.rung is Rung.WHICH_MAP:
            ranks = sorted(q_of_map(plot) for plot in plots)
            for one, two in pairwise(ranks):
                assert two / one == pytest.approx(2, rel=5e-3)
            middles[ranks.index(q_of_map(plots[PLACES.index(str(question.truth))]))] += 1
        else:
            ends = Counter(_levels(plot.points) for plot in plots)
            assert set(ends.values()) == {2}
    for rung, found in places.items():
        assert len(found) == 4 and max(found.values()) < 0.5 * found.total(), (rung, found)
    assert len(middles) == 4 and max(middles.values()) < 0.6 * middles.total()


def _levels(points: Points) -> tuple[bool, bool]:
    """Whether a curve starts away from zero, and whether it ends there."""
    found = seen(points)
    return abs(found.start) > 0.05 * found.size, abs(found.end) > 0.05 * found.size


def test_what_is_said_of_a_chosen_curve_is_true_of_it() -> None:
    """How often it swings is told by its Q, which scipy finds by trying."""
    told = Counter[str]()
    for problem, known in problems("step", range(1)):
        for question in problem.questions:
            if question.rung is not Rung.WHICH_STEP or known.transfer.order != 2:
                continue
            assert question.exhibit is not None
            for place, plot in zip(PLACES, question.exhibit.plots, strict=True):
                q = _q_of(known, plot.points)
                if place == question.truth or q is None:
                    continue
                mark = grade(problem, question, place, known)
                (sentence,) = next(
                    e.says for e in explanations(problem, question, mark)
                    if e.strength is Strength.FACT
                )  # fmt: skip
                told[sentence.key] += 1
                assert known.q is not None and not math.isclose(q, known.q)
                match sentence.key:
                    case "step-curve.calm":
                        assert q < min(1.5, known.q)
                    case "step-curve.pace":
                        assert max(q, known.q) < 1.5
                    case "step-curve.swings-one":
                        assert 0.7 < q < 1.9
                    case "step-curve.swings-many":
                        count = int(str(dict(sentence.values)["count"]))
                        assert count >= 2 and abs(count - q) < 1.1, (count, q)
                    case other:
                        raise AssertionError(other)
    assert told.total() > 10 and len(told) >= 3


def _q_of(known: Facts, points: Points) -> float | None:
    """Q of a curve of this circuit's shape and ω0, of those that may be offered; else ``None``."""
    assert known.q is not None and known.corner_hz is not None
    times, volts = (np.array(x) for x in zip(*points, strict=True))
    even = np.linspace(0, times[-1], len(times)) * math.tau * known.corner_hz
    shape = shape_of(known)
    for q in (known.q, known.q * 4, known.q / 4):
        tops = {
            "low-pass": [1],
            "high-pass": [1, 0, 0],
            "band-pass": [1 / q, 0],
            "notch": [1, 0, 1],
        }
        assert shape is not None
        gain = max(float(known.gain_low), float(known.gain_high)) or known.peak_gain
        out = step_witness.signal.step((np.array(tops[shape.value]) * gain, [1, 1 / q, 1]), T=even)
        if np.max(np.abs(out[1] - volts)) < 5e-3 * np.max(np.abs(volts)):
            return float(q)
    return None


def test_a_step_is_asked_for_only_where_the_figure_is_exact() -> None:
    """Overshoot of low-passes without zeros; times of one pole; ringing of complex pairs."""
    for circuit, has in (
        (LOW_Q_3, {Rung.OVERSHOOT, Rung.STEP_RINGING, Rung.SWINGS, Rung.READ_STEP_Q}),
        ("series R = 100 Ω; series C = 100 nF; shunt L = 10 mH", {Rung.STEP_RINGING, Rung.SWINGS}),
        ("series L = 10 mH || C1 = 1 nF; shunt C2 = 100 nF; load 600 Ω", {Rung.STEP_RINGING}),
        (RC, {Rung.TIME_CONSTANT, Rung.RISE_TIME, Rung.READ_TAU}),
        ("series C = 100 nF; shunt R = 1 kΩ", {Rung.TIME_CONSTANT, Rung.READ_TAU}),
        ("series R1 = 10 kΩ; shunt R2 = 1 kΩ + C = 100 nF", {Rung.TIME_CONSTANT}),
    ):
        figures = {
            rung for rung, _ in asked(circuit)[1]
            if next(row for row in KINDS if row.rung is rung).ways & {"step", "step-curve"}
        } - {Rung.STEP_FIRST, Rung.STEP_LAST, Rung.WHICH_STEP, Rung.READ_OVERSHOOT,
             Rung.READ_RINGING}  # fmt: skip
        assert has <= figures and (has == figures or Rung.SWINGS in figures), (circuit, figures)


# ------------------------------------------------------------------------- published examples


def test_a_pole_plot_of_nise() -> None:
    """Control Systems Engineering, ch. 4: poles −3 ± j7 have ζ 0.394, ωn 7.616, Tp 0.449 s, 26 %.

    Values from memory.
    """
    _, found = asked("series R = 6; series L = 1 H; shunt C = 17.2413793 mF")
    published = {
        (Rung.POLE_RADIUS, "omega"): 7.616,
        (Rung.POLE_Q, ""): 1 / (2 * 0.394),
        (Rung.POLE_ANGLE, ""): math.degrees(math.acos(0.394)),
        (Rung.POLE_DECAY, ""): 1 / 3,
        (Rung.POLE_RINGING, ""): 1 / (2 * 0.449),
        (Rung.OVERSHOOT, ""): 0.26,
        (Rung.POLE_PLACE, "left"): 3,
        (Rung.POLE_PLACE, "up"): 7,
    }
    for key, figure in published.items():
        assert found[key].figure == pytest.approx(figure, rel=2e-3), key


def test_the_second_order_system_of_ogata() -> None:
    """Modern Control Engineering, ch. 5: ζ 0.6, ωn 5: ωd 4, σ 3, 9.5 % (values from memory)."""
    _, found = asked("series R = 6; series L = 1 H; shunt C = 40 mF")
    assert found[Rung.STEP_RINGING, ""].figure == pytest.approx(4 / math.tau, rel=1e-6)
    assert found[Rung.POLE_PLACE, "left"].figure == pytest.approx(3, rel=1e-6)
    assert found[Rung.OVERSHOOT, ""].figure == pytest.approx(0.095, abs=5e-4)


def test_lecture_notes_on_the_time_response() -> None:
    """ecexplain.in, time response notes: ζ 0.5, ωn 10: 16.3 %, peak after 0.36 s; 2.2 τ to rise."""
    _, found = asked("series R = 10; series L = 1 H; shunt C = 10 mF")
    assert found[Rung.OVERSHOOT, ""].figure == pytest.approx(0.163, abs=5e-4)
    assert 0.5 / found[Rung.STEP_RINGING, ""].figure == pytest.approx(0.36, abs=5e-3)
    _, one = asked("series R = 1 kΩ; shunt C = 1 uF")
    assert one[Rung.RISE_TIME, ""].figure == pytest.approx(2.2e-3, rel=2e-3)
    assert one[Rung.TIME_CONSTANT, ""].figure == pytest.approx(1e-3)


def test_a_damping_ratio_found_from_a_step() -> None:
    """Lecture "Time response" of ME 279 (course hero): 70 % and a peak at 1.25 s: ζ 0.1128.

    ωn is 2.529 rad/s there.
    """
    c = 1 / 2.529**2
    _, found = asked(f"series R = {2 * 0.1128 * 2.529:.6f}; series L = 1 H; shunt C = {c:.6f} F")
    assert found[Rung.OVERSHOOT, ""].figure == pytest.approx(0.70, abs=2e-3)
    assert 0.5 / found[Rung.STEP_RINGING, ""].figure == pytest.approx(1.25, rel=1e-3)
    assert found[Rung.POLE_Q, ""].figure == pytest.approx(1 / (2 * 0.1128), rel=1e-3)


def test_oscillations_within_the_settling_time() -> None:
    """Bolton: ωn 2.0 and ωd 1.8 rad/s: ζ 0.44, 1.3 oscillations until 2 % (from memory).

    Until 2 % are 4 time constants, to e^(−π) there are π.
    """
    sigma = math.sqrt(2.0**2 - 1.8**2)
    _, found = asked(f"series R = {2 * sigma:.8f}; series L = 1 H; shunt C = 250 mF")
    count = found[Rung.SWINGS, ""].figure
    assert count * 4 / math.pi == pytest.approx(1.3, abs=0.05)
    assert count == pytest.approx(math.sqrt(found[Rung.POLE_Q, ""].figure ** 2 - 0.25))


# ------------------------------------------------------------------------- what is typed


@pytest.mark.parametrize(
    ("circuit", "rung", "which", "text"),
    [
        (RC, Rung.TIME_CONSTANT, "", "τ = RC = 100 µs"),
        (RC, Rung.TIME_CONSTANT, "", "R*C"),
        (RC, Rung.RISE_TIME, "", "t_r = 220 µs"),
        (RC, Rung.READ_TAU, "", "0.1 ms"),
        (RC, Rung.POLE_CORNER, "one", "fc = 1.592 kHz"),
        (LOW_Q_3, Rung.OVERSHOOT, "", "60.5 %"),
        (LOW_Q_3, Rung.OVERSHOOT, "", "overshoot = 0.605"),
        (LOW_Q_3, Rung.OVERSHOOT, "", "60.5 per cent"),
        (LOW_Q_3, Rung.OVERSHOOT, "", "about 60.5 percent"),
        (LOW_Q_3, Rung.SWINGS, "", "n = 3.12"),
        (LOW_Q_3, Rung.SWINGS, "", "3.12 periods"),
        (LOW_Q_3, Rung.POLE_ANGLE, "", "θ = 80.9°"),
        (LOW_Q_3, Rung.POLE_ANGLE, "", "1.412 rad"),
        (LOW_Q_3, Rung.POLE_RADIUS, "omega", "ω0 = 31.6 krad/s"),
        (LOW_Q_3, Rung.POLE_RADIUS, "hertz", "5.03 kHz"),
        (LOW_Q_3, Rung.POLE_DECAY, "", "τ = 200 us"),
        (LOW_Q_3, Rung.POLE_PLACE, "left", "σ = 5 krad/s"),
        (LOW_Q_3, Rung.POLE_PLACE, "left", "−5 krad/s"),  # the real part: so far to the left
        (LOW_Q_3, Rung.POLE_PLACE, "up", "ωd = 31.2 krad/s"),
        (LOW_Q_3, Rung.STEP_RINGING, "", "f_d = 4.97 kHz"),
    ],
)
def test_answers_as_people_write_them(circuit: str, rung: Rung, which: str, text: str) -> None:
    found, slips = verdict(circuit, (rung, which), text)
    assert found in (Verdict.RIGHT, Verdict.ROUGH) and not slips, (rung, text, found)


def test_how_far_up_has_no_other_sign() -> None:
    assert verdict(LOW_Q_3, (Rung.POLE_PLACE, "up"), "−31.2 krad/s")[0] is Verdict.WRONG
    assert verdict(LOW_Q_3, (Rung.POLE_RADIUS, "omega"), "−31.6 krad/s")[0] is Verdict.WRONG


def test_of_one_resistance_nothing_is_to_be_chosen() -> None:
    for circuit, alone in ((RC, True), ("source 50; series L = 1 mH; load 50", False)):
        question = asked(circuit)[1][Rung.TIME_CONSTANT, ""]
        look = Words.load().hint(problem_of(circuit, question), question, 2)
        assert ("which of" in look.casefold()) is not alone, look


@pytest.mark.parametrize(
    ("rung", "which", "text", "slip"),
    [
        (Rung.POLE_RADIUS, "hertz", "31.6 kHz", "radians-as-hertz"),
        (Rung.POLE_RADIUS, "omega", "5.03 krad/s", "hertz-as-radians"),
        (Rung.POLE_Q, "", "0.158", "damping-ratio"),
        (Rung.POLE_ANGLE, "", "161.8°", "angle-of-both"),
        (Rung.POLE_DECAY, "", "31.6 us", "radius-for-decay"),
        (Rung.POLE_PLACE, "left", "10 krad/s", "half-forgotten"),
        (Rung.OVERSHOOT, "", "60.5", "percent-left-out"),
        (Rung.OVERSHOOT, "", "1.605", "whole-peak"),
        (Rung.SWINGS, "", "6.24", "half-swings-counted"),
        (Rung.SWINGS, "", "0.494", "radius-for-decay"),
    ],
)
def test_usual_mistakes_are_named(rung: Rung, which: str, text: str, slip: str) -> None:
    found, slips = verdict(LOW_Q_3, (rung, which), text)
    assert found is Verdict.WRONG and slips[0] == slip, slips


# ------------------------------------------------------------------------- the worked solution


def test_the_solution_has_a_step_for_what_was_asked_and_for_nothing_else() -> None:
    ladder = read_circuit(LOW_Q_3)
    plain = {step.id for step in worked_solution(ladder)}
    told = {
        Rung.POLE_PLACE: "pole-place",
        Rung.STEP_FIRST: "step-ends",
        Rung.STEP_RINGING: "ringing",
        Rung.OVERSHOOT: "overshoot",
        Rung.SWINGS: "swings",
    }
    for rung, name in told.items():
        steps = worked_solution(ladder, asked=(rung,))
        assert {step.id for step in steps} - plain == {name}
        (step,) = (step for step in steps if step.id == name)
        assert "{" not in " ".join(Words.load().step(step))
    one = {step.id for step in worked_solution(read_circuit(RC), asked=(Rung.RISE_TIME,))}
    assert {"time-constant", "rise-time"} <= one


def test_maps_of_q() -> None:
    for q in (0.2, 0.5, 0.7071, 3.0):
        roots = np.sort_complex(np.roots([1, 1 / q, 1]))
        shown = np.sort_complex(np.array(map_of(q).poles, complex))
        assert np.allclose(roots, shown, atol=2e-3)
        assert q_of_map(map_of(q)) == pytest.approx(q, rel=1e-3)


def test_four_small_pictures_use_their_height() -> None:
    """At 78 columns and 16 rows a curve that swings below zero still fills half of its picture."""
    _, found = asked("series R = 30 Ω; series C = 100 nF; shunt L = 1 mH")
    shown = found[Rung.WHICH_STEP, ""].exhibit
    assert shown is not None
    dots = [
        {row for row, line in enumerate(exhibit(shown, 78, 16).lines[:7]) if _drawn(line[:39])},
        {row for row, line in enumerate(exhibit(shown, 78, 16).lines[:7]) if _drawn(line[39:])},
    ]
    assert all(len(rows) >= 3 for rows in dots), dots


def _drawn(text: str) -> bool:
    """Whether a row of a picture has a piece of a curve in it."""
    return any("\u2801" <= sign <= "\u28ff" for sign in text)
