"""Points beyond right and wrong: slips, one's own earlier answers, verdicts, a wider tolerance."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.sketch import sketch_questions
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.analyse import questions_for
from rungwise.problems.questions.model import Form, Problem, Rung, Task
from rungwise.problems.questions.own_response import own_response
from rungwise.problems.sheets.marking_rules import MarkingRules, SlipShares, VerdictShares
from rungwise.problems.sheets.model import Heading, Key, KeyItem, Student
from rungwise.problems.sketches.truth import true_gain, true_map, true_phase
from rungwise.problems.slips.engine import predictions
from rungwise.tutor.classroom.handins.files import Answers
from rungwise.tutor.classroom.marking.graded import Leniency
from rungwise.tutor.classroom.marking.mark import Decision, mark_answers
from rungwise.tutor.classroom.marking.marks import QuestionMark, QuestionOutcome, SettledAnswer

BAND = "source Rs 1 kΩ; shunt L1 10 mH; shunt C1 10 nF; load RL 10 kΩ"
"""A band-pass: f0 = 15.92 kHz, Q = 0.909, B = 17.51 kHz."""
LOW = "series R1 1 kΩ; series L1 100 mH; shunt C1 10 nF"
"""A low-pass: f0 = 5.033 kHz, Q = 3.162."""
FOLLOW = MarkingRules(follow_through=Fraction(1))


def key(circuit: str, *rungs: Rung, rules: MarkingRules = FOLLOW) -> Key:
    ladder = read_circuit(circuit)
    known = facts(ladder)
    by_rung = {q.rung: q for q in questions_for(known, Chance(1, "fair"))}
    problem = Problem(3, "", 0, 0, ladder, tuple(by_rung[rung] for rung in rungs))
    item = KeyItem(1, problem, (Fraction(2),) * len(rungs))
    return Key(Heading("A sheet", marking=rules), Student(1), (item,))


def marked(key: Key, *texts: str, **options: object) -> list[QuestionMark]:
    given = tuple((f"1.{n}", (text,)) for n, text in enumerate(texts, 1) if text)
    [problem] = mark_answers(key, Answers(answers=given), **options)  # type: ignore[arg-type]
    return list(problem.questions)


BANDWIDTH = (Rung.CORNER, Rung.Q, Rung.BANDWIDTH)


def test_a_bandwidth_right_for_ones_own_wrong_corner_has_its_points() -> None:
    f0, q, b = marked(key(BAND, *BANDWIDTH), "12 kHz", "0.909", "13.2 kHz")
    assert (f0.verdict, f0.points) == (QuestionOutcome.WRONG, 0)
    assert (q.verdict, q.points) == (QuestionOutcome.RIGHT, 2)
    assert (b.verdict, b.points, b.follows) == (QuestionOutcome.WRONG, 2, ("1.1",))
    assert b.told[0] == "Right for your f0 = 12 kHz."


def test_it_follows_from_two_wrong_ones() -> None:
    _, _, b = marked(key(BAND, *BANDWIDTH), "12 kHz", "3", "4 kHz")
    assert (b.points, b.follows) == (2, ("1.1", "1.2"))
    assert b.told[0] == "Right for your f0 = 12 kHz and your Q = 3."


def test_the_share_is_the_plans_and_no_share_is_the_usual() -> None:
    texts = "12 kHz", "0.909", "13.2 kHz"
    half = MarkingRules(follow_through=Fraction(1, 4))
    assert marked(key(BAND, *BANDWIDTH, rules=half), *texts)[2].points == Fraction(1, 2)
    [*_, b] = marked(key(BAND, *BANDWIDTH, rules=MarkingRules()), *texts)
    assert (b.points, b.follows) == (0, ())


@pytest.mark.parametrize(
    "texts",
    [
        ("12 kHz", "0.909", "10 kHz"),  # from nothing
        ("15.9 kHz", "0.909", "13.2 kHz"),  # nothing before it is wrong
        ("?", "0.909", "13.2 kHz"),  # nothing was answered
        ("some kHz", "0.909", "13.2 kHz"),  # what was answered is not known
        ("", "", "13.2 kHz"),
    ],
)
def test_what_does_not_follow_has_no_points(texts: tuple[str, str, str]) -> None:
    b = marked(key(BAND, *BANDWIDTH), *texts)[2]
    assert (b.verdict, b.points, b.follows) == (QuestionOutcome.WRONG, 0, ())


def test_a_right_answer_stays_right_whatever_stands_before_it() -> None:
    b = marked(key(BAND, *BANDWIDTH), "12 kHz", "0.909", "17.5 kHz")[2]
    assert (b.verdict, b.points, b.follows) == (QuestionOutcome.RIGHT, 2, ())


def test_two_wrong_answers_do_not_justify_each_other() -> None:
    """Q = f0/B would do for Q, had B stood before it: only what stands before counts."""
    f0, q, b = marked(key(BAND, *BANDWIDTH), "15.9 kHz", "3", "5.3 kHz")
    assert (f0.points, q.points, q.follows) == (2, 0, ())
    assert (b.points, b.follows) == (2, ("1.2",))


def test_what_is_also_a_slip_says_so() -> None:
    """2πf0 given in hertz, and the bandwidth from it."""
    f0, _, b = marked(key(BAND, *BANDWIDTH), "100 kHz", "0.909", "110 kHz")
    assert [hit.slip for hit in f0.slips][:1] == ["radians-as-hertz"]
    assert "radians-as-hertz" in [hit.slip for hit in b.slips]
    assert b.told[0] == "Right for your f0 = 100 kHz; a mistake named here gives the same."


def test_q_from_ones_own_corner_by_the_circuits_elements() -> None:
    corner, q = marked(key(LOW, Rung.CORNER, Rung.Q), "3 kHz", "1.885")  # ω0L/R
    assert (corner.points, q.points, q.follows) == (0, 2, ("1.1",))
    [_, q] = marked(key(LOW, Rung.CORNER, Rung.Q), "3 kHz", "5.305")  # 1/(ω0RC)
    assert (q.points, q.follows) == (2, ("1.1",))


def test_figures_follow_from_ones_own_h_of_s() -> None:
    """The coil left out of the denominator's first-order term: a Q of its own."""
    rungs = Rung.TRANSFER, Rung.CORNER, Rung.Q
    typed = "1/(1 + 2 s R1 C1 + s² L1 C1)"
    transfer, corner, q = marked(key(LOW, *rungs), typed, "5.03 kHz", "1.58")
    assert (transfer.points, corner.points) == (0, 2)
    assert (q.verdict, q.points, q.follows) == (QuestionOutcome.WRONG, 2, ("1.1",))
    assert q.told[0].startswith("Right for your answer to 1.1 (")


def test_counts_ends_and_slopes_follow() -> None:
    rungs = Rung.POLES, Rung.ZEROS, Rung.HIGH_SLOPE
    found = marked(key(LOW, *rungs), "3", "0", "-60")
    assert [mark.points for mark in found] == [0, 2, 2]
    assert found[2].told[0] == "Right for your answer to 1.1 (3)."
    rungs = Rung.LOW_END, Rung.HIGH_END, Rung.TYPE
    found = marked(key(LOW, *rungs), "blocked", "blocked", "band-pass")
    assert [mark.points for mark in found] == [0, 2, 2]


def sketch_key(circuit: str, rules: MarkingRules = FOLLOW) -> Key:
    """Corner, Q, and the three sketches."""
    ladder = read_circuit(circuit)
    known = facts(ladder)
    figures = {q.rung: q for q in questions_for(known, Chance(1, "fair"))}
    asked = (figures[Rung.CORNER], figures[Rung.Q], *sketch_questions(known))
    problem = Problem(3, "", 0, 0, ladder, asked, task=Task.SKETCH)
    item = KeyItem(1, problem, (Fraction(2),) * len(asked))
    return Key(Heading("A sheet", marking=rules), Student(1), (item,))


def test_sketches_follow_from_ones_own_corner_and_q() -> None:
    one = sketch_key(LOW)  # f0 = 5.03 kHz, Q = 3.16: a pair of poles
    gain, phase, map_ = one.items[0].problem.questions[2:]
    own = own_response(facts(one.items[0].problem.ladder), f0=12000.0)
    assert own is not None
    texts = [
        right_text(replace(gain, truth=true_gain(own))),
        right_text(replace(phase, truth=true_phase(own))),
    ]
    found = marked(one, "12 kHz", "3.16", *texts, right_text(map_))
    assert [mark.points for mark in found] == [0, 2, 2, 2, 2]
    assert [mark.follows for mark in found[2:]] == [("1.1",), ("1.1",), ()]
    assert found[2].told[0] == "Right for your f0 = 12 kHz."
    # With a Q of 0.4 the poles are real, at two frequencies.
    real = own_response(facts(one.items[0].problem.ladder), q=0.4)
    assert real is not None
    typed = right_text(replace(map_, truth=true_map(real)))
    found = marked(one, "5.03 kHz", "0.4", "", "", typed)
    assert (found[4].points, found[4].follows) == (2, ("1.2",))
    assert marked(one, "5.03 kHz", "3.16", "", "", typed)[4].points < 2
    usual = sketch_key(LOW, MarkingRules())
    assert marked(usual, "12 kHz", "3.16", *texts)[2].points < 2


def test_what_a_teacher_settled_is_left_alone() -> None:
    settled = {"1.3": Decision(points=Fraction(1))}
    b = marked(key(BAND, *BANDWIDTH), "12 kHz", "0.909", "13.2 kHz", settled=settled)[2]
    assert (b.points, b.settled, b.follows) == (1, SettledAnswer.POINTS, ())


def test_letters_of_a_derivation_may_be_ones_own() -> None:
    one = key(BAND, *BANDWIDTH)
    b = marked(one, "12 kHz", "0.909", "B = f0/Q = 13.2 kHz")[2]
    assert (b.verdict, b.points, b.follows) == (QuestionOutcome.WRONG, 2, ("1.1",))
    assert (b.understood, b.trouble) == ("13.2 kHz", "")
    for text in ("B = f0·Q = 13.2 kHz", "B = f0/Q = 11 kHz"):
        b = marked(one, "12 kHz", "0.909", text)[2]
        assert (b.verdict, b.points) == (QuestionOutcome.UNCLEAR, 0)


def test_a_formula_in_letters_follows_from_nobodys_figures() -> None:
    f0, _, b = marked(key(BAND, *BANDWIDTH), "12 kHz", "0.909", "f0/Q")
    assert (f0.points, b.points, b.follows) == (0, 2, ())  # right, of this circuit
    assert b.verdict is QuestionOutcome.RIGHT


# ------------------------------------------------------------------------- slips and verdicts


def test_a_named_slip_earns_its_share() -> None:
    shares = SlipShares(Fraction(1, 2), (("q-inverted", Fraction(1, 4)),))
    rules = MarkingRules(slip_points=shares)
    f0, q, _ = marked(key(BAND, *BANDWIDTH, rules=rules), "100 kHz", "1.1", "3 kHz")
    assert f0.slips[0].slip == "radians-as-hertz"
    assert (f0.verdict, f0.points) == (QuestionOutcome.WRONG, 1)
    assert "q-inverted" in [hit.slip for hit in q.slips]
    best = max(shares.of(hit.slip, Form.RATIO) for hit in q.slips)
    assert q.points == 2 * best
    assert marked(key(BAND, *BANDWIDTH, rules=rules), "", "", "9.87 MHz")[2].points == 0


def test_a_guess_of_few_earns_no_share_for_every_slip() -> None:
    rules = MarkingRules(slip_points=SlipShares(Fraction(1, 2)))
    for text in ("high-pass", "band-pass", "notch", "flat"):
        [mark] = marked(key(LOW, Rung.TYPE, rules=rules), text)
        assert (mark.verdict, mark.points) == (QuestionOutcome.WRONG, 0)
    [mark] = marked(key(LOW, Rung.POLES, rules=rules), "3")
    assert mark.slips
    assert mark.points == 0


def test_points_by_verdict() -> None:
    rules = MarkingRules(verdict_points=VerdictShares(rough=Fraction(3, 4), wrong=Fraction(1, 8)))
    one = key(BAND, Rung.CORNER, rules=rules)
    assert marked(one, "15.9 kHz")[0].points == 2
    assert marked(one, "15.66 kHz")[0].points == Fraction(3, 2)
    assert marked(one, "1 kHz")[0].points == Fraction(1, 4)
    assert marked(one, "?")[0].points == 0
    assert marked(one, "some")[0].points == 0  # it waits for a human


def test_of_several_claims_the_largest_counts() -> None:
    rules = MarkingRules(
        slip_points=SlipShares(Fraction(1, 2)),
        follow_through=Fraction(1, 4),
        verdict_points=VerdictShares(wrong=Fraction(1, 10)),
    )
    b = marked(key(BAND, *BANDWIDTH, rules=rules), "100 kHz", "0.909", "110 kHz")[2]
    assert (b.points, b.follows) == (1, ("1.1",))


# ------------------------------------------------------------------------- a wider tolerance


def near_slip(circuit: str, rung: Rung) -> tuple[Key, str, str, float]:
    """A key, an answer that a slip leads to, the slip, and how far off it is."""
    one = key(circuit, rung, rules=MarkingRules())
    [question] = one.items[0].problem.questions
    known = facts(one.items[0].problem.ladder)
    truth = question.figure
    for found in predictions(one.items[0].problem.ladder, known, question):
        off = abs(float(found.value) / truth - 1)  # type: ignore[arg-type]
        if 0.03 < off < 0.3:
            return one, right_text(replace(question, truth=found.value)), found.slip, off
    raise AssertionError("no slip leads near the truth")


NEAR = "series R1 1 kΩ; series L1 100 mH; shunt C1 47 nF"
"""A Q of 1.46: the damped frequency and the peak are not far from f0."""


def test_a_wider_tolerance_does_not_credit_a_known_mistake_but_lists_it() -> None:
    one, text, slip, off = near_slip(NEAR, Rung.CORNER)
    [strict] = marked(one, text)
    assert (strict.verdict, strict.points, strict.wider) == (QuestionOutcome.WRONG, 0, None)
    wide = Fraction(off).limit_denominator(100) + Fraction(1, 20)
    [held] = marked(one, text, leniency=Leniency(wide))
    assert (held.verdict, held.points) == (QuestionOutcome.WRONG, 0)
    assert held.slips == strict.slips
    assert held.wider is not None
    assert (held.wider.points, held.wider.without, held.wider.slip) == (2, 0, slip)
    assert held.wider.value == text
    [credited] = marked(one, text, leniency=Leniency(wide, credit_slips=True))
    assert (credited.points, credited.wider) == (2, held.wider)
    assert credited.verdict.passed


def test_what_no_mistake_leads_to_is_credited_and_listed() -> None:
    one = key(BAND, Rung.CORNER, rules=MarkingRules())
    [mark] = marked(one, "15.3 kHz", leniency=Leniency(Fraction(5, 100)))
    assert (mark.verdict, mark.points) == (QuestionOutcome.ROUGH, 2)
    assert mark.wider is not None
    assert (mark.wider.slip, mark.wider.without) == ("", 0)
    [mark] = marked(one, "15.9 kHz", leniency=Leniency(Fraction(5, 100)))
    assert mark.wider is None  # right by the plan's as well


def test_a_mistake_too_near_the_truth_to_be_named_is_listed_all_the_same() -> None:
    """With a Q of 2.2 the damped frequency is 2.6 % off: wrong, and never named."""
    circuit = "series R1 1 kΩ; series L1 100 mH; shunt C1 20.7 nF"
    one = key(circuit, Rung.CORNER, rules=MarkingRules())
    truth = one.items[0].problem.questions[0].figure
    damped = f"{truth * (1 - 1 / (4 * 2.198**2)) ** 0.5:.5g} Hz"
    [strict] = marked(one, damped)
    assert (strict.verdict, strict.slips) == (QuestionOutcome.WRONG, ())
    [held] = marked(one, damped, leniency=Leniency(Fraction(5, 100)))
    assert (held.points, held.verdict) == (0, QuestionOutcome.WRONG)
    assert held.wider is not None
    assert held.wider.slip


def test_a_decision_ends_it() -> None:
    one, text, _, _ = near_slip(NEAR, Rung.CORNER)
    options = {"leniency": Leniency(Fraction(1, 2)), "settled": {"1.1": Decision(Fraction(1))}}
    [mark] = marked(one, text, **options)
    assert (mark.points, mark.wider) == (1, None)
