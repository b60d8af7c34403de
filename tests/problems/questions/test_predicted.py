"""Kinds that are read and predicted: truths, slips, wrong answers, and published examples.

``tests.studies.predicted`` takes two hundred problems of each kind; here a few are tried.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from rungwise.problems.analysis.response import FilterType, facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate import predict
from rungwise.problems.grading.grade import grade
from rungwise.problems.hints.explanation import Strength
from rungwise.problems.hints.why_wrong import explanations
from rungwise.problems.questions import off_curve, q_curves
from rungwise.problems.questions.asking import Asking, Stream
from rungwise.problems.questions.curve_reading import telling
from rungwise.problems.questions.exhibit import Chart
from rungwise.problems.questions.kinds import KINDS, MAKERS
from rungwise.problems.questions.model import FORMAT, Face, Problem, Question, Rung, Task
from rungwise.tutor.phrases.explaining import sentences

from tests.studies.predicted import CAREFUL, LEAST, careful
from tests.support import curve_witness
from tests.support.predicted import Asked, Tally, problems, study, wrong_answers

FEW = 6
SEEDS = 12


def held(found: Mapping[Rung, Tally]) -> None:
    """Every truth is confirmed, slips are named first, every wrong answer is explained."""
    for rung, tally in found.items():
        assert tally.asked, rung
        assert tally.true == tally.asked, (rung, tally.troubles[:3])
        assert tally.share >= LEAST, (rung, tally.troubles[:3])
        assert tally.explained == tally.wrong > 0, (rung, tally.troubles[:3])
        assert tally.slips, rung


def test_what_is_read_off_a_curve() -> None:
    held(study("curve", curve_witness.READ, FEW, SEEDS))


def test_what_q_does_to_a_curve() -> None:
    held(study("which-curve", curve_witness.OF_Q, FEW, SEEDS))


def test_a_careful_reader_meets_the_tolerances() -> None:
    found = careful(20, SEEDS)
    assert sum(right for right, _ in found.values()) >= CAREFUL * sum(n for _, n in found.values())


def told(asked_: Asked, answer: str) -> str:
    """The fact that a wrong answer meets."""
    mark = grade(asked_.problem, asked_.question, answer, asked_.known)
    found = explanations(asked_.problem, asked_.question, mark)
    (fact,) = (each for each in found if each.strength is Strength.FACT)
    return " ".join(sentences(fact))


@pytest.mark.parametrize("way", [way for way, face in predict.WAYS.items() if face is Face.NONE])
def test_nothing_said_of_a_wrong_answer_names_a_part_that_is_not_shown(way: str) -> None:
    tried = 0
    for problem, known in problems(way, range(1)):
        names = {element.name for element in problem.ladder.elements()}
        for question in problem.questions:
            for text in [*wrong_answers(question)][:2]:
                mark = grade(problem, question, text, known)
                found = explanations(problem, question, mark)
                said = " ".join(one for each in found for one in sentences(each))
                assert said and not names & set(re.findall(r"\b[RLC]\w*", said)), said
                tried += 1
    assert tried > 20


def test_what_is_said_of_the_curve_chosen_is_so() -> None:
    """The Q that is named is that of the curve, and so are the level and the frequencies."""
    tried = 0
    for problem, known in problems("which-curve", range(1)):
        for question in problem.questions:
            if question.rung not in q_curves.WHICH:
                continue
            assert question.exhibit is not None
            for choice, plot in zip(question.choices, question.exhibit.plots, strict=True):
                if choice.id == question.truth:
                    continue
                text = told(Asked(problem, known, question), choice.id)
                q = curve_witness.QS[text.removesuffix(".").rpartition("Q = ")[2]]
                shown = dict(plot.points)
                if "20·log" in text:
                    level = float(re.findall(r"at (\S+) dB", text)[0].replace("−", "-"))
                    assert level == pytest.approx(20 * math.log10(q), abs=0.006)
                    assert level == pytest.approx(shown[1.0], abs=0.006)
                else:
                    low, high = (float(f) for f in re.findall(r"([\d.]+) Hz(?! over)", text)[:2])
                    assert 1 / (high - low) == pytest.approx(q, rel=0.02)
                    h = curve_witness.two_poles(known.type.value, q, [low, 1, high])
                    turned = np.degrees(np.angle(h / h[1]))
                    assert abs(turned) == pytest.approx([45, 0, 45], abs=1)
                    f, v = zip(*plot.points, strict=True)
                    fallen = np.interp(np.log([low, 1, high]), np.log(f), v)
                    here = 3.01 if question.rung is Rung.WHICH_GAIN_CURVE else 45
                    assert np.abs(fallen[[0, 2]] - fallen[1]) == pytest.approx(here, rel=0.05)
                tried += 1
    assert tried > 60


def test_the_q_that_refutes_a_limit_does() -> None:
    tried = set()
    for problem, known in problems("which-curve", range(4)):
        for question in problem.questions:
            if question.rung is not Rung.Q_LIMIT:
                continue
            what = str(dict(question.values)["asked"])
            for choice in question.choices:
                if choice.id == question.truth:
                    continue
                text = told(Asked(problem, known, question), choice.id)
                q = float(re.findall(r"Q = ([\d.]+\d)", text)[0])
                so = curve_witness.so(what, known.type.value, q)
                claimed = {"any": 0, "half": 0.5, "root-half": math.sqrt(0.5), "one": 1}[choice.id]
                assert so is not (q > claimed), text
                tried.add((what, choice.id))
    assert len(tried) == 12


def test_so_does_who_is_told_a_few_points_in_plain_lines() -> None:
    right = asked_ = 0
    for problem, known in problems("curve", range(3)):
        for question in problem.questions:
            shown = question.exhibit
            assert shown is not None
            plots = tuple(replace(p, points=telling(p.points, shown.chart)) for p in shown.plots)
            told_ = replace(question, exhibit=replace(shown, plots=plots))
            right += curve_witness.read_right(Asked(problem, known, told_), None)
            asked_ += 1
    assert right >= 0.99 * asked_ > 200


# ------------------------------------------------------------------------- what is shown


def test_all_that_is_read_off_one_problem_is_read_off_one_curve() -> None:
    several = 0
    for problem, _ in problems("curve", range(2)):
        assert problem.face is Face.NONE
        shown = {q.exhibit for q in problem.questions if q.rung is not Rung.READ_TURN}
        assert len(shown) <= 1
        several += len(problem.questions) > 2
    assert several > 20


def test_which_curve_can_not_be_guessed() -> None:
    """Any of the four places, any of the four Qs; and what a Q begins with is no one choice."""
    truths: dict[Rung, list[object]] = {}
    for problem, _ in problems("which-curve", range(6)):
        for question in problem.questions:
            truths.setdefault(question.rung, []).append(question.truth)
    for rung in (Rung.WHICH_GAIN_CURVE, Rung.WHICH_PHASE_CURVE, Rung.Q_LIMIT):
        found = truths[rung]
        shares = [found.count(truth) / len(found) for truth in set(found)]
        assert len(shares) == 4 and max(shares) < 0.42, (rung, shares)


def test_no_exhibit_says_which_curve_it_is() -> None:
    """Curves alone: the order of the Qs is drawn anew, and no value names a place."""
    orders = set()
    for problem, known in problems("which-curve", range(3)):
        for question in problem.questions:
            if question.rung in q_curves.WHICH:
                assert {name for name, _ in question.values} == {"asked", "wanted"}
                ids = [choice.id for choice in question.choices]
                orders.add(tuple(q_curves.drawn_q(known, question, each) for each in ids))
    assert len(orders) > 15


# ------------------------------------------------------------------------- published examples


def asked(circuit: str, stream: Stream = (1,)) -> dict[Rung, Question]:
    """Everything that is asked of a circuit in the ways of this file."""
    known = facts(read_circuit(circuit))
    found = {}
    for row in KINDS:
        maker = MAKERS.get(row.rung) if row.ways & {"curve", "which-curve"} else None
        if maker is not None:
            question = maker(Asking(known, Chance(*stream, row.rung.value), stream))
            if question is not None:
                found[row.rung] = question
    return found


def test_the_notch_of_nilsson_and_riedel() -> None:
    """Electric Circuits, ch. 14: 750 Hz, bandwidth 250 Hz, Q 3 (values from memory)."""
    found = asked("series R = 707 Ω; shunt L = 450 mH + C = 100 nF")
    published = {
        Rung.READ_CORNER: 750,
        Rung.READ_BANDWIDTH: 250,
        Rung.READ_Q: 3,
        Rung.READ_LOWER_EDGE: 635.3,
        Rung.READ_UPPER_EDGE: 885.3,
    }
    for rung, figure in published.items():
        assert found[rung].figure == pytest.approx(figure, rel=1e-3), rung
    assert Rung.READ_SLOPE not in found and Rung.READ_POLES not in found


def test_the_resonance_of_openstax() -> None:
    """University Physics 2, ch. 15: 100 Ω, 2 H, 5 µF: 50 Hz, Q 6.32, bandwidth 50 rad/s."""
    found = asked("series L = 2 H + C = 5 uF; shunt R = 100")
    assert found[Rung.READ_CORNER].figure == pytest.approx(50, rel=0.01)
    assert found[Rung.READ_Q].figure == pytest.approx(6.32, abs=0.005)
    assert found[Rung.READ_BANDWIDTH].figure * math.tau == pytest.approx(50.0, rel=1e-6)


def test_the_low_pass_of_lessons_in_electric_circuits() -> None:
    """Kuphaldt, vol. II, ch. 8: 500 Ω and 7 µF have their corner at 45.473 Hz."""
    found = asked("series R 500; shunt C 7 uF")
    assert found[Rung.READ_CORNER].figure == pytest.approx(45.473, rel=1e-4)
    assert found[Rung.READ_SLOPE].truth == -20 and found[Rung.READ_POLES].truth == 1


def test_a_butterworth_of_three_poles() -> None:
    """1.5, 1.3333, 0.5 for Ω = 1, ω = 1, as filter handbooks have it: −60 dB/decade."""
    found = asked("series L1 = 1.5 H; shunt C = 1.3333 F; series L2 = 0.5 H; load 1")
    assert found[Rung.READ_SLOPE].truth == -60
    assert found[Rung.READ_POLES].truth == found[Rung.READ_TURN].truth == 3


@pytest.mark.parametrize(("ripple", "q"), [(0.5, "0.8637"), (1.0, "0.9565")])
def test_the_peak_of_a_chebyshev_pair_is_its_ripple(ripple: float, q: str) -> None:
    """Q of Chebyshev pairs of two poles, as filter handbooks have it."""
    exact = Fraction(q)
    assert q_curves.peak_db(exact) == pytest.approx(ripple, abs=1e-3)
    # The ripple's top is at 1/√2 of the ripple band, whose edge is at 2^(1/2) times that.
    place = q_curves.peak_place(FilterType.LOW_PASS, exact)
    other = q_curves.peak_place(FilterType.HIGH_PASS, exact)
    assert place * other == pytest.approx(1)
    gain = abs(curve_witness.two_poles("low-pass", float(q), [math.sqrt(2) * place])[0])
    assert gain == pytest.approx(1, abs=2e-4)


def test_a_butterworth_pair_is_three_decibels_down_at_its_corner_and_has_no_peak() -> None:
    """Q 0.7071 of two poles, as filter handbooks have it."""
    assert q_curves.level_at_f0(q_curves.FOUR["1/√2"]) == pytest.approx(-3.0103, abs=1e-4)
    assert q_curves.peak_db(q_curves.FOUR["1/√2"]) == pytest.approx(0, abs=1e-7)
    flat = q_curves.curve_of(FilterType.LOW_PASS, "1/√2", Chart.GAIN)
    assert dict(flat.points)[1.0] == -3.01 and max(level for _, level in flat.points) == 0


@pytest.mark.parametrize(
    ("rung", "typed", "verdict"),
    [
        (Rung.READ_BANDWIDTH, "B = 250 Hz", "right"),
        (Rung.READ_BANDWIDTH, "f2 - f1 = 245 Hz", "right"),
        (Rung.READ_BANDWIDTH, "f0 = 250 Hz", "unclear"),
        (Rung.READ_LOWER_EDGE, "f1 = 635 Hz", "right"),
        (Rung.READ_LOWER_EDGE, "f2 = 635 Hz", "unclear"),
        (Rung.READ_UPPER_EDGE, "the upper edge is about 885 Hz", "right"),
        (Rung.READ_CORNER, "f0 = 750 Hz", "right"),
        (Rung.READ_CORNER, "4.71 krad/s", "right"),
        (Rung.READ_Q, "Q ≈ 3.2", "right"),
        (Rung.READ_Q, "9.5 dB", "unclear"),
    ],
)
def test_how_readings_are_typed(rung: Rung, typed: str, verdict: str) -> None:
    ladder = read_circuit("series R = 707 Ω; shunt L = 450 mH + C = 100 nF")
    question = asked("series R = 707 Ω; shunt L = 450 mH + C = 100 nF")[rung]
    problem = Problem(FORMAT, "", 0, 0, ladder, (question,), Task.PREDICT, Face.NONE)
    assert grade(problem, question, typed).verdict.value == verdict


# ------------------------------------------------------------------------- what is not asked


def test_what_no_curve_shows_is_not_read_off_it() -> None:
    """Zeros that are not at the origin, an undamped pair, a band of Q 50, no pole at all."""
    for circuit in (
        "series R 10 kΩ; shunt R2 = 1 kΩ + C 100 nF",
        "series L 10 mH; shunt C 100 nF",
        "series R 1 kΩ; shunt R2 = 1 kΩ",
    ):
        assert not {r for r in asked(circuit) if r.value.startswith("read-")}, circuit
    sharp = asked("series L 10 mH + C 10 nF; shunt R 20")
    assert facts(read_circuit("series L 10 mH + C 10 nF; shunt R 20")).q == pytest.approx(50)
    assert not {Rung.READ_Q, Rung.READ_BANDWIDTH, Rung.READ_CORNER} & set(sharp)


def test_a_pass_band_at_0_db_is_not_asked_for() -> None:
    assert Rung.READ_PASS_BAND not in asked("series R 1 kΩ; shunt C 1 nF")
    found = asked("series R 1 kΩ; shunt C 1 nF; load 1 kΩ")[Rung.READ_PASS_BAND]
    assert found.figure == pytest.approx(-6.0206, abs=1e-4)


def test_noise_is_the_same_for_all_that_is_read() -> None:
    measured = exact = 0
    for seed in range(40):
        found = asked("series L 1 mH + C 1 nF; shunt R 500", (seed,))
        exhibits = {found[r].exhibit for r in (Rung.READ_CORNER, Rung.READ_Q, Rung.READ_BANDWIDTH)}
        (shown,) = exhibits
        assert shown is not None
        measured += shown.measured
        exact += not shown.measured
    assert measured > 10 and exact > 10


def test_ways_are_those_of_the_kinds() -> None:
    assert predict.WAYS["curve"] is predict.WAYS["which-curve"] is Face.NONE
    assert off_curve.ACROSS == curve_witness.ACROSS and off_curve.DOWN == curve_witness.DOWN
