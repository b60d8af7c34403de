"""No mistake of a climb is left unexplained, and what is said of it is true of the circuit.

``tests.studies.explain_climb_answers`` takes every family; here a few are tried.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.catalogue.families import FAMILIES, find
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import typed
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.hints.explanation import FACTS, REASONS, Explanation, Strength
from rungwise.problems.hints.why_wrong import explanations, next_one
from rungwise.problems.questions.kinds import SKETCHES
from rungwise.problems.questions.model import Earlier, Problem, Question, Rung, Verdict
from rungwise.tutor.language.texts import table
from rungwise.tutor.phrases.explaining import sentences

from tests.support.climb_answers import Tried, problem_of, tries, ways_back
from tests.support.samples import sample, whole
from tests.support.told_in_climbs import Claimed, check

SOME = (
    "loaded-rc-low-pass", "series-rlc-across-lc", "buffered-low-pass-high-pass",
    "shunt-fed-high-pass", "receiver-tank-with-trimmer", "ideal-source-tank",
)  # fmt: skip
FAMILY_NAMES = sample(SOME, tuple(family.name for family in FAMILIES))


def question_of(problem: Problem, rung: Rung) -> Question:
    return next(q for q in problem.questions if q.rung is rung)


def explained(
    problem: Problem, rung: Rung, text: str, *earlier: Earlier
) -> tuple[Explanation, ...]:
    question = question_of(problem, rung)
    return explanations(problem, question, grade(problem, question, text), earlier)


def fact(problem: Problem, rung: Rung, text: str, *earlier: Earlier) -> str:
    """What is contradicted, and the fact, whether or not a slip came before it."""
    found = explained(problem, rung, text, *earlier)
    (told,) = (e for e in found if e.strength is Strength.FACT)
    return " ".join(sentences(replace(told, against=found[0].against)))


def circuit(text: str) -> Problem:
    return typed(read_circuit(text))


# ------------------------------------------------------------------- every wrong answer


def _tried(tried: Tried) -> None:
    found = tried.explanations()
    assert [e.strength for e in found][-2:] == [Strength.FACT, Strength.REASON], tried
    for each in found:
        assert sentences(each)
        check(Claimed(tried.problem, tried.question, tried.mark, tried.earlier, each))
    assert not tried.tells_the_answer()


@pytest.mark.parametrize("name", FAMILY_NAMES)
def test_every_wrong_answer_meets_a_fact_that_nodal_analysis_confirms(name: str) -> None:
    count = 0
    for tried in tries(problem_of(find(name), 0)):
        _tried(tried)
        count += 1
    assert count > 30


def test_every_wrong_answer_on_the_way_back_meets_such_a_fact() -> None:
    some = range(10**9) if whole() else range(24)
    met = set()
    for number, problem in zip(some, ways_back(range(1)), strict=False):
        for tried in tries(problem) if number % 4 == 0 or whole() else ():
            _tried(tried)
            met.add(tried.question.rung)
    assert met >= {Rung.WHICH_CIRCUIT, Rung.LOOKALIKE_REASON, Rung.MISSING_ARM, Rung.ELEMENT_VALUE}


def test_a_false_claim_is_seen_by_the_check() -> None:
    """A fact of another circuit, or of another answer, does not pass."""
    one, other = (problem_of(find(n), 0) for n in ("rc-low-pass", "rc-high-pass"))
    for rung, text in ((Rung.TYPE, "band-pass"), (Rung.POLES, "3"), (Rung.LOW_SLOPE, "40")):
        mine, its = question_of(one, rung), question_of(other, rung)
        mark = grade(one, mine, text)
        (told,) = (e for e in explanations(one, mine, mark) if e.strength is Strength.FACT)
        check(Claimed(one, mine, mark, (), told))
        foreign = Claimed(other, its, grade(other, its, text), (), told)
        right = Claimed(one, mine, grade(one, mine, right_text(mine)), (), told)
        for wrong in (foreign, right) if rung is not Rung.POLES else (right,):
            with pytest.raises(AssertionError):
                check(wrong)


@pytest.mark.parametrize("rung", [r for r in Rung if r not in SKETCHES])
def test_every_kind_of_question_has_its_facts_and_reasons(rung: Rung) -> None:
    assert FACTS.get(rung) is not None
    assert REASONS.get(rung) is not None


def test_a_kind_without_facts_of_its_own_is_told_where_to_look(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = circuit("series R1 = 1 kΩ; shunt C1 = 1 nF")
    for slot in FACTS, REASONS:
        monkeypatch.setattr(slot, "_filled", {})
    found = explained(problem, Rung.POLES, "4")
    assert [e.strength for e in found] == [Strength.FACT, Strength.REASON]
    assert all(sentences(each) for each in found)


# ------------------------------------------------------------------- what is said, in which order


def test_a_slip_comes_first_and_then_the_fact_and_the_reason() -> None:
    problem = circuit("series C1 = 680 pF; series R1 = 1 kΩ; shunt L1 = 33 mH")
    found = explained(problem, Rung.TYPE, "low-pass")
    assert [e.strength for e in found] == [Strength.SLIP, Strength.FACT, Strength.REASON]
    assert found[0].slips[0].slip == "roles-swapped"
    assert sentences(found[1]) == [
        "A low-pass passes DC and blocks high frequencies."
        " Here L1 shorts the output at DC, so nothing gets through."
    ]
    assert (found[1].ends, found[1].marked, found[1].passes) == ((End.LOW,), ("L1",), False)
    assert found[2].ends == (End.LOW, End.HIGH)


def test_without_a_slip_the_fact_comes_first() -> None:
    problem = circuit("series C1 = 680 pF; series R1 = 1 kΩ; shunt L1 = 33 mH")
    found = explained(problem, Rung.POLES, "4")
    assert [e.strength for e in found] == [Strength.FACT, Strength.REASON]


def test_the_earlier_answer_that_is_contradicted_is_named() -> None:
    problem = circuit("series C1 = 10 nF; shunt R1 = 1 kΩ")
    low = Earlier(Rung.LOW_END, "blocked")
    (first, *_) = explained(problem, Rung.TYPE, "low-pass", low)
    assert "You said that DC is blocked; a low-pass passes it." in sentences(first)
    shown = replace(low, said=False)
    (first, *_) = explained(problem, Rung.TYPE, "low-pass", shown)
    assert "As shown above, DC is blocked; a low-pass passes it." in sentences(first)
    (first, *_) = explained(problem, Rung.TYPE, "low-pass")
    assert not first.against


def test_an_answer_that_goes_with_the_earlier_ones_contradicts_none() -> None:
    problem = circuit("series R1 = 1 kΩ; shunt C1 = 1 nF")
    high = Earlier(Rung.HIGH_END, "blocked")
    (first, *_) = explained(problem, Rung.TYPE, "band-pass", high)
    assert not first.against


@pytest.mark.parametrize(
    ("text", "rung", "answer", "earlier", "says"),
    [
        ("series R1 = 1 kΩ; shunt C1 = 1 nF", Rung.POLES, "3", (),
         "Only C1 can make a pole here, and one part makes no more than one."),
        ("series R1 = 1 kΩ; shunt C1 = 1 nF; series R2 = 1 kΩ; shunt C2 = 1 nF", Rung.POLES, "1",
         (Earlier(Rung.INDEPENDENT, 2),),
         "You said that 2 parts store energy independently; here each of them adds one pole."
         " C1 and C2 store energy independently, and each adds a pole."),
        ("series C1 = 1 nF; shunt R1 = 1 kΩ", Rung.ZEROS, "0", (Earlier(Rung.LOW_END, "blocked"),),
         "You said that DC is blocked; that takes at least one zero at the origin, and it counts."
         " C1 stops the signal at s = 0."),
        ("series C1 = 1 nF; shunt R1 = 1 kΩ", Rung.LOW_SLOPE, "-40", (),
         "With a slope below zero the gain would grow without limit towards DC."
         " Here C1 is open at DC, so nothing gets through."),
        ("series L1 = 1 mH; shunt C1 = 1 nF; load RL = 1 kΩ", Rung.HIGH_SLOPE, "-20", (),
         "L1 in series and C1 in shunt each block high frequencies, and each gives"
         " −20 dB/decade."),
        ("series R1 = 1 kΩ; shunt C1 = 1 nF", Rung.LOW_PHASE, "45", (),
         "Towards DC only the zeros at the origin turn the phase, by 90° each: it is a whole"
         " multiple of 90° there."),
        ("series L1 = 1 mH; series R1 = 10 Ω; shunt C1 = 1 nF", Rung.POLE_NATURE, "real",
         (Earlier(Rung.Q, 100.0),),
         "You have found Q; it is above ½, and real poles need ½ or less."
         " In this denominator a₁² is below 4·a₀·a₂."),
        ("series R1 = 1 kΩ; shunt C1 = 1 nF", Rung.TRANSFER, "s*R1*C1/(1+s*R1*C1)", (),
         "At s = 0 your H(s) is zero. But C1 is open at DC and draws no current, so the signal"
         " gets through."),
    ],
)  # fmt: skip
def test_what_is_said(
    text: str, rung: Rung, answer: str, earlier: tuple[Earlier, ...], says: str
) -> None:
    assert fact(circuit(text), rung, answer, *earlier).endswith(says)


def test_of_a_figure_unit_and_order_of_magnitude_are_told_and_what_to_check() -> None:
    problem = circuit("source Rs = 1 kΩ; series R1 = 1 kΩ; shunt C1 = 1 nF; load RL = 3 kΩ")
    near, far = fact(problem, Rung.CORNER, "170 kHz"), fact(problem, Rung.CORNER, "9 MHz")
    assert near.startswith("The unit is right, and the order of magnitude can be right")
    assert "Check first which resistance C1 sees with the source switched off" in near
    assert far.startswith("The unit is right, but the order of magnitude cannot be right.")
    letters = fact(problem, Rung.CORNER, "R1*C1/3")
    assert letters.startswith("In letters the unit of this formula is wrong")


@pytest.mark.parametrize("factor", [0.02, 0.4, 0.8, 1.3, 2.5, 60])
def test_of_a_figure_it_is_not_told_which_way_it_is_wrong(factor: float) -> None:
    """What is said is the same above and below the truth."""
    problem = circuit("series L1 = 1 mH; series R1 = 47 Ω; shunt C1 = 4.7 nF")
    for rung in (Rung.CORNER, Rung.Q, Rung.UPPER_EDGE):
        truth, unit = question_of(problem, rung).figure, question_of(problem, rung).unit
        said = [
            [e for e in explained(problem, rung, f"{truth * x:.7g} {unit}") if not e.slips]
            for x in (factor, 1 / factor)
        ]
        assert said[0] == said[1]


def test_counts_are_contradicted_and_not_told() -> None:
    problem = problem_of(find("series-fed-low-pass-4"), 0)
    for rung in (Rung.POLES, Rung.INDEPENDENT, Rung.ORIGIN_ZEROS, Rung.ZEROS):
        question = question_of(problem, rung)
        for answer in range(5):
            mark = grade(problem, question, str(answer))
            for each in explanations(problem, question, mark):
                said = " ".join(w for e in (each,) if not e.slips for w in sentences(e))
                assert not re.search(r"\b\d+ (poles?|zeros?|parts)\b", said), said


# ------------------------------------------------------------------- the same error again


def test_the_same_error_again_is_told_more_until_there_is_no_more() -> None:
    problem = circuit("series C1 = 680 pF; series R1 = 1 kΩ; shunt L1 = 33 mH")
    found = explained(problem, Rung.TYPE, "low-pass")
    told: list[Explanation] = []
    for _ in range(5):
        each = next_one(found, told)
        assert each is not None
        told.append(each)
    assert told == [*found, found[-1], found[-1]]


def test_a_slip_made_before_is_not_named_again() -> None:
    problem = circuit("series C1 = 1 nF; series R1 = 1 kΩ; shunt L1 = 33 mH")
    first = explained(problem, Rung.LOW_END, "passes")
    again = explained(problem, Rung.TYPE, "low-pass")
    assert {h.slip for h in first[0].slips} & {h.slip for h in again[0].slips}
    one = replace(first[0], slips=again[0].slips)
    assert next_one(again, [one]) == again[1]


def test_a_right_answer_and_one_that_is_unclear_have_nothing_to_explain() -> None:
    problem = circuit("series R1 = 1 kΩ; shunt C1 = 1 nF")
    for text, verdict in (("low-pass", Verdict.RIGHT), ("a sort of filter", Verdict.UNCLEAR)):
        question = question_of(problem, Rung.TYPE)
        mark = grade(problem, question, text)
        assert mark.verdict is verdict
        assert explanations(problem, question, mark) == ()
    assert next_one((), ()) is None


# ------------------------------------------------------------------- words


def test_the_words_hold_no_word_for_which_way_a_figure_is_wrong() -> None:
    def texts(inner: object) -> list[str]:
        if isinstance(inner, str):
            return [inner]
        assert hasattr(inner, "values")
        return [text for value in inner.values() for text in texts(value)]

    for text in texts(table("why")):
        assert not re.search(r"\btoo (large|small|high|low|big|much|little)\b", text), text
