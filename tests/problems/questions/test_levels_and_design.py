"""Levels, standard forms, scaling and tolerances: witnesses, published figures, spellings.

``python -m tests.studies.predicted`` takes 200 problems of every kind; here a few are tried.
"""

from __future__ import annotations

import math
from collections import Counter
from fractions import Fraction
from functools import cache

import pytest
from rungwise.problems.analysis.response import FilterType, facts
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.asking import Asking
from rungwise.problems.questions.kinds import KINDS, MAKERS
from rungwise.problems.questions.levels_at import PLACES, gain_at, phase_at
from rungwise.problems.questions.model import Form, Mark, Problem, Question, Rung, Task, Verdict
from rungwise.problems.questions.scaling import (
    PROTOTYPES,
    effect_of,
    figure_of,
    normalised,
    sensitivity,
    standard_form,
    with_part,
)
from rungwise.problems.questions.values import texts
from rungwise.problems.questions.written import read_values

from tests.support import level_witness
from tests.support.predicted import Tally, problems, study
from tests.support.samples import sample
from tests.support.slip_witness import solved

WAYS = {"levels": level_witness.LEVELS, "design": level_witness.DESIGN}
EACH = [(way, rung) for way, rungs in WAYS.items() for rung in rungs]
each_kind = pytest.mark.parametrize(("way", "rung"), EACH, ids=lambda each: str(each))

_studied = cache(lambda way: study(way, WAYS[way], wanted=sample((4,), (20,))[0]))


def tally(way: str, rung: Rung) -> Tally:
    found: Tally = _studied(way)[rung]
    return found


@each_kind
def test_truths_slips_and_explanations(way: str, rung: Rung) -> None:
    found = tally(way, rung)
    assert found.asked and found.true == found.asked, found.troubles
    assert found.lead >= 0.95 * found.apart, found.troubles
    assert found.wrong and found.explained == found.wrong, found.troubles
    assert found.slips


def asked(circuit: str, rung: Rung, wanted: dict[str, str] | None = None) -> Question:
    """A question about a circuit, drawn until its values are those wanted."""
    known, maker = facts(read_circuit(circuit)), MAKERS.get(rung)
    assert maker is not None
    for seed in range(400):
        question = maker(Asking(known, Chance(seed, rung.value), (seed,)))
        given = dict(texts(question.values)) if question is not None else {}
        if question is not None and all(
            given.get(key) == value for key, value in (wanted or {}).items()
        ):
            return question
    raise AssertionError(f"{rung} is never asked so: {wanted}")


def mark(circuit: str, question: Question, text: str) -> Mark:
    ladder = read_circuit(circuit)
    return grade(Problem(4, "", 2, 0, ladder, (question,), Task.PREDICT), question, text)


# ------------------------------------------------------------------- published figures

KUPHALDT = "series R = 500 Ω; shunt C = 7 µF"


def test_the_corner_of_lessons_in_electric_circuits() -> None:
    """Kuphaldt, "Lessons in Electric Circuits", vol. II, ch. 8: 45.473 Hz, 70.7 % of the input."""
    known = facts(read_circuit(KUPHALDT))
    assert known.corner_hz == pytest.approx(45.473, rel=1e-4)
    level = gain_at(known, PLACES["corner"])
    assert level == pytest.approx(20 * math.log10(0.707), abs=2e-3)
    assert phase_at(known, PLACES["corner"]) == pytest.approx(-45, abs=1e-9)
    question = asked(KUPHALDT, Rung.GAIN_AT, {"asked": "corner"})
    assert mark(KUPHALDT, question, "-3 dB").verdict is Verdict.RIGHT


OPENSTAX = "series R1 = 100 Ω; series L1 = 2 H; shunt C1 = 5 µF"


def test_what_parts_that_are_off_do_to_an_example_of_openstax() -> None:
    """OpenStax, "University Physics", vol. 2, ch. 15: 100 Ω, 2 H, 5 µF: 50 Hz, Q 6.32.

    Sensitivities of f0 and Q to L and C of such a loop are ±1/2, Q's to R is −1 (Sedra & Smith,
    "Microelectronic Circuits"; values from memory): 1 % moves them by half of that.
    """
    known = facts(read_circuit(OPENSTAX))
    assert figure_of(known, "f0") == pytest.approx(50, rel=0.01)
    assert figure_of(known, "q") == pytest.approx(6.32, rel=1e-3)
    for part, f0, q in (("C1", -0.5, -0.5), ("L1", -0.5, 0.5), ("R1", 0.0, -1.0)):
        off = with_part(known, part, Fraction(101, 100))
        assert off is not None
        for which, power in (("f0", f0), ("q", q)):
            before, after = figure_of(known, which), figure_of(off, which)
            assert before and after
            assert after / before == pytest.approx(1.01**power, abs=1e-9)
            assert 100 * (after / before - 1) == pytest.approx(power, abs=0.02)


def test_scaling_as_every_text_states_it() -> None:
    """Alexander & Sadiku, "Fundamentals of Electric Circuits", ch. 14, scaling; from memory.

    Magnitude scaling leaves f0 and Q, frequency scaling multiplies f0 and leaves Q.
    """
    known = facts(read_circuit(OPENSTAX))
    assert effect_of(known, "impedance") == "both-stay"
    assert effect_of(known, "frequency") == "f0-up"
    assert effect_of(known, "reactance") == "q-up"  # Q = √(L/C)/R, OpenStax


def test_standard_forms_as_tables_print_them() -> None:
    """Second-order functions (Sedra & Smith, the table of second-order filters; from memory)."""
    letters = {"s": 1.7j, "ω0": 2.0, "Q": 3.0, "K": 1.0}
    s, w, q = 1.7j, 2.0, 3.0
    below = s * s + w / q * s + w * w
    for name, above in (
        (FilterType.LOW_PASS, w * w), (FilterType.HIGH_PASS, s * s),
        (FilterType.BAND_PASS, w / q * s), (FilterType.NOTCH, s * s + w * w),
    ):  # fmt: skip
        assert evaluate(standard_form(name), letters) == pytest.approx(above / below)
    assert asked(OPENSTAX, Rung.WHICH_FORM).truth == "low-pass"


def test_decibels_that_every_handbook_prints() -> None:
    """Factors of 2, 10 and 20 are 6.0206, 20 and 26.02 dB; half the power is −3.0103 dB."""
    for times, level in (("2", 6.0206), ("10", 20.0), ("20", 26.0206), ("100", 40.0)):
        question = asked(KUPHALDT, Rung.LEVEL_OF_RATIO, {"times": times, "asked": "up"})
        assert question.figure == pytest.approx(level, abs=1e-4)
    half = asked(KUPHALDT, Rung.HALF_POWER, {"first_level": "3 dB"})
    assert half.truth == "root"
    for level, factor in (("20 dB", "10"), ("−6 dB", "0.5"), ("26 dB", "20")):
        question = asked(KUPHALDT, Rung.RATIO_OF_LEVEL, {"first_level": level})
        assert mark(KUPHALDT, question, factor).passed


def test_the_scaled_series_circuit_of_nilsson_and_riedel() -> None:
    """Electric Circuits, ch. 14 (values from memory): 1 Ω, 1 H, 1 F to 500 Hz with 2 µF.

    They become 159.155 Ω and 50.66 mH.
    """
    ladder = read_circuit("series L = 50.66 mH + C = 2 µF; shunt R = 159.155 Ω")
    known = facts(ladder)
    resistor, coil, capacitor = (
        next(e for e in ladder.elements() if e.name == name) for name in "RLC"
    )
    assert known.corner_hz == pytest.approx(500, rel=1e-4)
    assert normalised(known, coil, resistor) == pytest.approx(1, rel=1e-4)
    assert normalised(known, capacitor, resistor) == pytest.approx(1, rel=1e-4)


@pytest.mark.parametrize(
    ("called", "q"),
    [
        ("Butterworth", 0.7071), ("Bessel", 0.5774),
        ("0.1 dB Chebyshev", 0.7674), ("0.5 dB Chebyshev", 0.8637),
    ],
)  # fmt: skip
def test_prototypes_have_the_q_of_their_names(called: str, q: float) -> None:
    """Q of pairs of two poles, as filter handbooks print them (0.1 dB: value from memory).

    A Butterworth and a Bessel filter are 3 dB down at 1 rad/s, a Chebyshev by its ripple.
    """
    row = next(row for row in PROTOTYPES if row.called == called)
    circuit = read_circuit(
        f"source 1; series L = {row.first} H; shunt C = {row.second} F; load {row.load}"
    )
    found = solved(circuit)
    assert found.q == pytest.approx(q, abs=2e-3)
    down = {"0.1 dB Chebyshev": 0.1, "0.5 dB Chebyshev": 0.5}.get(called, 3.0103)
    ripple = down < 1
    top = 20 * math.log10(max(abs(found.at_hz(w / math.tau)) for w in (1e-6, 0.6, 0.65, 0.7, 0.75)))
    edge = 20 * math.log10(abs(found.at_hz(1 / math.tau)))
    assert top - edge == pytest.approx(down, abs=0.02 if ripple else 0.01)


def test_the_sensitivity_of_a_resonance_to_l_and_c_is_a_half() -> None:
    """Of ω0 = 1/√(LC): −½ to each, none to R; of Q = √(L/C)/R: ½, −½, −1 (any text on filters)."""
    known = facts(read_circuit("series L = 10 mH + C = 100 nF; shunt R = 47 Ω"))
    wanted = {"f0": (-0.5, -0.5, 0), "q": (0.5, -0.5, -1)}
    for which, powers in wanted.items():
        for name, power in zip("LCR", powers, strict=True):
            assert sensitivity(known, which, name) == pytest.approx(power, abs=1e-3)


# ------------------------------------------------------------------- how a form is typed

TAP = "series L = 10 mH; series R = 100 Ω; shunt C = 100 nF"
DIVIDED = "source 1 kΩ; shunt L = 10 mH || C = 100 nF; load 1 kΩ"


@pytest.mark.parametrize(
    ("circuit", "text", "verdict"),
    [
        (TAP, "ω0²/(s² + (ω0/Q)s + ω0²)", Verdict.RIGHT),
        (TAP, "w0^2/(s^2 + w0/Q*s + w0^2)", Verdict.RIGHT),
        (TAP, "1/((s/ω0)² + s/(Q·ω0) + 1)", Verdict.RIGHT),
        (TAP, "H(s) = K/(1 + s/(Q w0) + (s/w0)^2)", Verdict.RIGHT),  # K is 1
        (TAP, "$\\frac{\\omega_0^2}{s^2 + \\frac{\\omega_0}{Q} s + \\omega_0^2}$", Verdict.RIGHT),
        (TAP, "ω0²/(s² + 2ζω0 s + ω0²)", Verdict.RIGHT),
        (TAP, "ω0²/(s² + ω0·Q·s + ω0²)", Verdict.WRONG),
        (TAP, "s²/(s² + (ω0/Q)s + ω0²)", Verdict.WRONG),
        (TAP, "2·ω0²/(s² + (ω0/Q)s + ω0²)", Verdict.WRONG),
        (TAP, "1/(L·C·s² + R·C·s + 1)", Verdict.UNCLEAR),  # right, but in another form
        (TAP, "ω0²/(s² + (R/L)s + ω0²)", Verdict.UNCLEAR),
        (TAP, "low-pass", Verdict.UNCLEAR),
        (DIVIDED, "K·(ω0/Q)·s/(s² + (ω0/Q)·s + ω0²)", Verdict.RIGHT),
        (DIVIDED, "0.5·(ω0/Q)·s/(s² + (ω0/Q)·s + ω0²)", Verdict.RIGHT),
        (DIVIDED, "(ω0/Q)·s/(s² + (ω0/Q)·s + ω0²)", Verdict.WRONG),
    ],
)
def test_standard_forms_as_people_write_them(circuit: str, text: str, verdict: Verdict) -> None:
    question = asked(circuit, Rung.STANDARD_FORM)
    found = mark(circuit, question, text)
    assert found.verdict is verdict, found
    if "ω0·Q·s" in text:
        assert [hit.slip for hit in found.slips] == ["q-multiplies-damping"]
    if circuit == DIVIDED and verdict is Verdict.WRONG:
        assert [hit.slip for hit in found.slips] == ["pass-band-gain-left-out"]


@pytest.mark.parametrize("of", [FilterType.LOW_PASS, FilterType.HIGH_PASS, FilterType.NOTCH])
def test_a_form_has_its_gain_where_its_type_passes(of: FilterType) -> None:
    formula = standard_form(of)
    values = {"ω0": 3.0, "Q": 2.0, "K": 0.25}
    ends = [abs(evaluate(formula, {**values, "s": 1j * omega})) for omega in (1e-6, 1e9)]
    passes = {"low-pass": (1, 0), "high-pass": (0, 1), "notch": (1, 1)}[of.value]
    assert ends == pytest.approx([0.25 * p for p in passes], abs=1e-6)


@pytest.mark.parametrize("text", ["L2 = {}", "L = {}", "{}", "the value is {}"])
def test_a_scaled_part_may_be_named(text: str) -> None:
    question = asked(TAP, Rung.SCALED_VALUE, {"element": "L2"})
    assert mark(TAP, question, text.format(f"{question.figure:.4e} H")).verdict is Verdict.RIGHT
    assert mark(TAP, question, f"C2 = {question.figure:.4e} H").verdict is Verdict.UNCLEAR


# ------------------------------------------------------------------- what is shown, and guessed


def test_values_give_nothing_away_and_are_read_back() -> None:
    """A sheet shows a question's values: the answer is none of them, nor what it is added from."""
    for way in WAYS:
        for problem, known in problems(way, range(1)):
            for question in problem.questions:
                given = dict(texts(question.values))
                assert read_values(given.items()) == question.values
                if question.rung is Rung.CASCADE_LEVEL and question.unit:
                    levels = [key for key in given if key.endswith("_level")]
                    assert len(levels) == {"given": 2}.get(given["asked"], len(levels))
                    own = gain_at(known, PLACES.get(given["asked"], PLACES["ten"]))
                    assert own is None or f"{own:.3g}" not in given.values()


@pytest.mark.parametrize(
    ("rung", "most"),
    [
        (Rung.HALF_POWER, 0.36), (Rung.SENSITIVITY, 0.36),
        (Rung.SCALING_EFFECT, 0.5), (Rung.WHICH_FORM, 0.45),
    ],
)  # fmt: skip
def test_no_choice_is_the_usual_answer(rung: Rung, most: float) -> None:
    way = next(iter(next(row for row in KINDS if row.rung is rung).ways))
    truths: Counter[object] = Counter()
    places: Counter[int] = Counter()
    for problem, _ in problems(way, range(2)):
        for question in problem.questions:
            if question.rung is rung:
                truths[question.truth] += 1
                places[[c.id for c in question.choices].index(str(question.truth))] += 1
    assert truths.most_common(1)[0][1] <= most * truths.total(), truths
    assert len(truths) == (5 if rung is Rung.SENSITIVITY else 4)
    assert places.most_common(1)[0][1] <= 0.5 * places.total(), places


def test_a_form_is_typed_or_chosen_and_never_both() -> None:
    """Four forms to choose from would tell whoever is to write one."""
    found: Counter[Rung] = Counter()
    for problem, _ in problems("design", range(1)):
        forms = {q.rung for q in problem.questions} & {Rung.STANDARD_FORM, Rung.WHICH_FORM}
        assert len(forms) < 2
        found.update(forms)
    assert min(found.values()) > 5 and len(found) == 2


def test_what_makes_no_sense_is_not_asked() -> None:
    """No corner of one name, no Q, a notch at its null."""
    flat = facts(read_circuit("series R = 1 kΩ; shunt R2 = 1 kΩ"))
    three = facts(read_circuit("series L = 1 H; shunt C = 1 F; series L2 = 1 H; load 1"))
    for row in KINDS:
        if row.ways & {"levels", "design"} and row.orders:
            maker = MAKERS.get(row.rung)
            assert maker is not None
            for known in (flat, three):
                assert maker(Asking(known, Chance(1), (1,))) is None, row.rung
    notch = "series R = 1 kΩ; shunt L = 10 mH + C = 100 nF"
    for seed in range(40):
        for rung in (Rung.GAIN_AT, Rung.PHASE_AT):
            maker = MAKERS.get(rung)
            assert maker is not None
            question = maker(Asking(facts(read_circuit(notch)), Chance(seed), (seed,)))
            assert question is not None and dict(question.values)["asked"] != "corner"
            assert question.form is Form.LEVEL
