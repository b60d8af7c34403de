"""What a change does, what comes out where, and how a resonator is tuned: predicted, and true.

``tests.studies.predicted`` takes two hundred problems of each kind; here a few are tried.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from fractions import Fraction
from functools import cache

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.grading.grade import grade
from rungwise.problems.hints.explanation import Strength
from rungwise.problems.hints.why_wrong import explanations
from rungwise.problems.questions import changed, outputs, tuning
from rungwise.problems.questions.asking import Asking
from rungwise.problems.questions.changed import BAND, DOUBLE, F0, GAIN, HALF, TAP, UNLOAD, Q, told
from rungwise.problems.questions.kinds import MAKERS
from rungwise.problems.questions.model import Form, Question, Rung, Verdict
from rungwise.problems.questions.outputs import AT_F0, DC, HIGH, Output, rank
from rungwise.problems.questions.reverse import BANDS
from rungwise.problems.questions.values import texts
from rungwise.problems.questions.written import read_values
from rungwise.tutor.language.texts import Words
from rungwise.tutor.phrases.explaining import sentences

from tests.problems.questions.test_predicted import held
from tests.support import change_witness
from tests.support.change_witness import measured
from tests.support.predicted import Asked, problems, study, wrong_answers
from tests.support.refusals import refused
from tests.support.slip_witness import Across, same, solved

FEW = 8
SEEDS = 12
WAYS = ("change", "outputs", "tuning")


@cache
def asked(way: str) -> tuple[Asked, ...]:
    """Every question of one problem or two of each family."""
    found = problems(way, range(2))
    return tuple(Asked(problem, known, q) for problem, known in found for q in problem.questions)


def change(text: str, how: str, *parts: str) -> dict[str, float]:
    """By what a change multiplies the figures of a circuit."""
    ladder = read_circuit(text)
    after = facts(changed.changed(ladder, how, parts))
    made = changed.AskedChange(how, parts, facts(ladder), after)
    return {name: math.sqrt(square) for name, square in made.figures().items()}


# ------------------------------------------------------------------------- every kind


def test_what_a_change_does() -> None:
    held(study("change", change_witness.CHANGES, FEW, SEEDS))


def test_what_comes_out() -> None:
    held(study("outputs", change_witness.OUTPUTS, FEW, SEEDS))


def test_how_tuning_goes() -> None:
    held(study("tuning", change_witness.TUNING, FEW, SEEDS))


@pytest.mark.parametrize("way", WAYS)
def test_what_fills_a_question_comes_back_from_a_document(way: str) -> None:
    for each in asked(way):
        assert read_values(texts(each.question.values)) == each.question.values


def test_all_questions_of_a_problem_speak_of_one_change() -> None:
    several = 0
    for problem, _ in problems("change", range(2)):
        keys = ("change", "part", "partner", "was", "is")
        told_of = {
            tuple(text for key, text in question.values if key in keys)
            for question in problem.questions
        }
        assert len(told_of) == 1
        figures = [q for q in problem.questions if q.rung is not Rung.CHANGED_TYPE]
        about = {dict(q.values)["asked"] for q in figures}
        assert len(about) == len(figures), "one figure is asked about twice"
        several += len(problem.questions) > 1
    assert several > 20


def test_answers_are_about_equally_likely() -> None:
    """No answer is right in more than half of all cases, and none never."""
    found: dict[Rung, Counter[object]] = {}
    for way, seeds in (("change", 5), ("outputs", 2), ("tuning", 10)):
        for problem, _ in problems(way, range(seeds)):
            for question in problem.questions:
                if question.form is Form.CHOICE:
                    found.setdefault(question.rung, Counter())[question.truth] += 1
    for rung, counts in found.items():
        assert counts.total() > 25, (rung, counts)
        assert max(counts.values()) <= 0.52 * counts.total(), (rung, counts)
        assert len(counts) >= (4 if rung is Rung.CHANGED_TYPE else 3), (rung, counts)


# ------------------------------------------------------------------------- what is said of it


def figures_in(text: str) -> list[float]:
    """The plain numbers and quantities of a sentence, in base units."""
    scale = {"": 1, "k": 1e3, "M": 1e6, "m": 1e-3, "µ": 1e-6, "n": 1e-9, "p": 1e-12, "G": 1e9}
    found = re.findall(
        r"(?<![\w.])(\d+(?:\.\d+)?(?:e[+-]?\d+)?)(?: ([kMmµnpG]?)(?:Hz|Ω|F|H))?", text
    )
    return [float(number) * scale[prefix] for number, prefix in found]


def near(figures: list[float], wanted: float) -> bool:
    return any(same(one, wanted, 6e-3) for one in figures)


def test_the_worked_step_of_a_change_tells_what_the_circuits_do() -> None:
    for each in asked("change"):
        question, ladder = each.question, each.problem.ladder
        said = change_witness.told(each)
        step = Words.load().hint(each.problem, question, 3)
        after = change_witness.after(ladder, said)
        if question.rung is Rung.CHANGED_TYPE:
            low, high = figures_in(step)[:2]
            ends = (after.end(high=False), after.end(high=True))
            assert (low, high) == pytest.approx(ends, rel=6e-3, abs=1e-3), step
            continue
        for circuit in (solved(ladder), after):
            assert near(figures_in(step), measured(circuit, said["asked"])), (str(each), step)


def test_shares_that_refute_an_order_are_those_of_the_circuit() -> None:
    tried = 0
    for each in asked("outputs"):
        if each.question.rung is not Rung.TAPS_RANKED:
            continue
        said, ladder = change_witness.told(each), each.problem.ladder
        hertz = solved(ladder).f0 * change_witness.TIMES[said["asked"]]
        for answer in wrong_answers(each.question):
            mark = grade(each.problem, each.question, answer)
            (fact,) = (
                " ".join(sentences(e))
                for e in explanations(each.problem, each.question, mark)
                if e.strength is Strength.FACT
            )
            shares = re.findall(r"([\d.]+) across (\w+?)(?: and|\.)", fact)
            assert len(shares) == 2
            for share, name in shares:
                level = abs(Across(ladder, [name]).at_hz(hertz))
                assert math.isclose(float(share), level, rel_tol=6e-3, abs_tol=1e-3), fact
            tried += 1
    assert tried > 20


def test_the_value_at_the_other_end_tunes_the_circuit_there() -> None:
    tried = 0
    for each in asked("tuning"):
        if each.question.rung is not Rung.TUNED_BAND:
            continue
        there = change_witness.ends(each)[change_witness.told(each)["there"]]
        step = Words.load().hint(each.problem, each.question, 3)
        for wanted in (there.f0, there.q, each.question.figure):
            assert near(figures_in(step), wanted), step
        tried += 1
    assert tried > 5


# ------------------------------------------------------------------------- published


def test_sharper_by_half_the_resistance() -> None:
    """NCERT, Physics for class XII, alternating current, exercise 7.21: 3.0 H, 27 µF, 7.4 Ω.

    ω0 = 111 rad/s, Q = 45; half the resistance, 3.7 Ω, halves the width and leaves f0.
    """
    text = "series L = 3 H; series C = 27 µF; shunt R = 7.4 Ω"
    known = facts(read_circuit(text))
    assert math.tau * (known.corner_hz or 0) == pytest.approx(111.11, abs=0.01)
    assert known.q == pytest.approx(45.0446, abs=1e-3)
    assert change(text, HALF, "R") == {F0: 1, Q: 2, BAND: 0.5, GAIN: 1}


def test_the_load_taken_off() -> None:
    """Lessons in Electric Circuits, vol. II, ch. 8: 500 Ω and 7 µF have their corner at 45.473 Hz.

    With 1 kΩ across the capacitor it lies at 1.5 times that.
    """
    text = "series R = 500 Ω; shunt C = 7 µF; load RL = 1 kΩ"
    loaded, factors = facts(read_circuit(text)), change(text, UNLOAD, "RL")
    assert (loaded.corner_hz or 0) * factors[F0] == pytest.approx(45.473, abs=1e-3)
    assert factors == pytest.approx({F0: 2 / 3, GAIN: 1.5})


def test_what_students_were_asked_and_failed_on() -> None:
    """R doubles, DC into a low-pass, and rankings.

    Coppens, Van den Bossche & De Cock, Am. J. Phys. 85 (2017) 937 (subjects from memory); the
    answers are those of 1/(2πRC) and of opens and shorts.
    """
    low, high = "series R 1 kΩ; shunt C 1 µF", "series C 1 µF; shunt R 1 kΩ"
    for text in low, high:
        assert change(text, DOUBLE, "R")[F0] == 0.5
        assert change(text, HALF, "C")[F0] == 2
    assert outputs.dc_output(facts(read_circuit(low))) == "all"
    assert outputs.dc_output(facts(read_circuit(high))) == "nothing"
    assert outputs.dc_output(facts(read_circuit(f"{low}; load 1 kΩ"))) == "part"
    r, c = read_circuit(low).elements()
    three = [Output((r, c), c), Output((c, r), r), Output((r, c), r)]
    assert rank(three, DC, Fraction(1)) == "a-then-bc"
    assert rank(three, HIGH, Fraction(1)) == "bc-then-a"


def test_voltages_above_the_source() -> None:
    """NCERT, Physics for class XII, exercise 7.11: 230 V on 5.0 H, 80 µF and 40 Ω.

    At 50 rad/s there are 1437.5 V across L and across C, 230 V across R.
    """
    ladder = read_circuit("series R = 40 Ω; series L = 5 H; shunt C = 80 µF")
    loop = outputs.loop_of(ladder)
    omega = facts(ladder).corner_squared
    assert omega == 50**2
    volts = {}
    for part in loop:
        square = Output(loop, part).squared(AT_F0, omega)
        assert square is not None
        volts[part.name] = 230 * math.sqrt(square)
    assert volts == {"R": 230, "L": 1437.5, "C": 1437.5}
    assert rank([Output(loop, part) for part in loop], AT_F0, omega) == "bc-then-a"


@pytest.mark.parametrize(
    ("low", "high", "ratio"),
    [
        # NCERT, Physics for class XII, exercise 8.10 of old editions: 200 µH needs 198.1 pF and
        # 88.04 pF to tune a receiver from 800 kHz to 1200 kHz.
        (800e3, 1200e3, 198.1 / 88.04),
        # One inductor over the carriers of the medium-wave band, 540 kHz to 1600 kHz (47 CFR 73.14,
        # the section from memory).
        (540e3, 1600e3, 8.779),
    ],
)
def test_a_receiver_is_tuned(low: float, high: float, ratio: float) -> None:
    """By the truth that is made of the band, and by the circuit's own f0."""
    assert (high / low) ** 2 == pytest.approx(ratio, rel=1e-3)
    tank = read_circuit("source Rs = 100 kΩ; shunt L = 200 µH || C = 198.1 pF; load RL = 1 MΩ")
    start, turned = facts(tank), facts(tuning.retuned(tank, "C", Fraction(high / low), "lower"))
    assert (turned.corner_hz or 0) / (start.corner_hz or 1) == pytest.approx(high / low)
    assert start.corner_hz == pytest.approx(800e3, rel=1e-3)
    # All resistance lies across the pair: Q falls with f0, and the band goes with its square.
    assert (turned.q or 0) / (start.q or 1) == pytest.approx(low / high)


def test_the_bands_of_broadcasting_are_asked_of_receivers() -> None:
    truths = {
        each.question.figure
        for each in asked("tuning")
        if each.question.rung is Rung.TUNING_RATIO
        and dict(each.question.values)["asked"] == "broadcast"
    }
    assert truths and truths <= {float((high / low) ** 2) for low, high in BANDS}


# ------------------------------------------------------------------------- single cases


@pytest.mark.parametrize(
    ("text", "how", "parts", "factors"),
    [
        ("series R 10 Ω; series L 1 mH; shunt C 1 µF", DOUBLE, ("R",), {F0: 1, Q: 0.5, GAIN: 0.5}),
        ("series R 10 Ω; series L 1 mH; shunt C 1 µF", TAP, ("R",), {F0: 1, Q: 1, GAIN: 0.3162}),
        ("series L 1 mH; shunt C 1 µF; load RL 100 Ω", DOUBLE, ("RL",), {F0: 1, Q: 2, GAIN: 2}),
        ("series L 1 mH + C 1 µF; shunt R 10", DOUBLE, ("C",),
         {F0: 0.7071, Q: 0.7071, BAND: 1, GAIN: 1}),
        ("source Rs 1 kΩ; shunt L 1 mH || C 1 µF", DOUBLE, ("C",),
         {F0: 0.7071, Q: 1.4142, BAND: 0.5, GAIN: 1}),
        ("series L 1 mH; shunt R 10 Ω", DOUBLE, ("R",), {F0: 2, GAIN: 1}),
    ],
)  # fmt: skip
def test_factors_are_exact(
    text: str, how: str, parts: tuple[str, ...], factors: dict[str, float]
) -> None:
    assert change(text, how, *parts) == pytest.approx(factors, rel=1e-4)


def test_what_moves_a_little_is_not_asked_about() -> None:
    """A load of 100 kΩ behind 1 kΩ moves f0 by one per cent."""
    assert change("series R 1 kΩ; shunt C 1 nF; load RL 100 kΩ", UNLOAD, "RL") == {}


def test_a_change_that_is_none_is_refused() -> None:
    ladder = read_circuit("series R 1 kΩ; shunt C 1 nF")
    with refused(LookupError, "no such change"):
        changed.changed(ladder, UNLOAD, ("RL",))
    with refused(LookupError, "there is no L1"):
        told(ladder, (("change", DOUBLE), ("part", "L1")))
    with refused(LookupError, "no resonator"):
        tuning.tuned(ladder, (("part", "C"),))


def make(rung: Rung, ladder: Ladder) -> Question | None:
    maker = MAKERS.get(rung)
    assert maker is not None
    return maker(Asking(facts(ladder), Chance(1), (1, "test")))


def test_where_only_a_little_gets_through_it_is_not_asked_what_comes_out() -> None:
    leaky = read_circuit("series R1 = 1 MΩ || C = 1 nF; shunt R2 = 1 kΩ")
    assert make(Rung.DC_OUTPUT, leaky) is None
    high = make(Rung.HIGH_OUTPUT, leaky)
    assert high is not None and high.truth == "all"


def test_what_is_no_loop_has_no_voltages_to_be_ranked() -> None:
    for text in (
        "series R 1 kΩ; shunt C 1 nF; load 1 kΩ",
        "series R 1 kΩ; shunt C 1 nF || L 1 mH",
        "series R 1 kΩ; shunt C 1 nF; series R2 = 1 kΩ; shunt C2 = 1 nF",
        "series R 1 kΩ; shunt C 1 nF; buffer; series R2 = 1 kΩ; shunt C2 = 1 nF",
    ):
        assert outputs.loop_of(read_circuit(text)) == ()
    loop = outputs.loop_of(read_circuit("source Rs 50; series L 1 mH + C 1 nF; load RL 50"))
    assert [part.name for part in loop] == ["Rs", "L", "C", "RL"]


def test_a_choice_typed_in_its_words_is_right() -> None:
    for way in WAYS:
        for each in asked(way):
            question = each.question
            if question.form is not Form.CHOICE:
                continue
            setting = Words.load().setting(question)
            assert len(set(setting.words.values())) == len(question.choices)
            for id_, words in setting.words.items():
                verdict = grade(each.problem, question, words, setting=setting).verdict
                assert (verdict is Verdict.RIGHT) is (id_ == question.truth), (question.rung, words)
