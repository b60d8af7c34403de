"""Questions: their truths against a nodal analysis, which are made, and which are asked."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from importlib.resources import files
from itertools import chain, islice

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.gain_type import EndState
from rungwise.problems.analysis.idle import Reason
from rungwise.problems.analysis.letters import formulas
from rungwise.problems.analysis.response import Facts, FilterType, PoleNature, facts
from rungwise.problems.catalogue.draw_values import draw
from rungwise.problems.catalogue.families import FAMILIES, Family, find
from rungwise.problems.catalogue.groups import LEVELS
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.tree import Formula
from rungwise.problems.grading.formulas import spellings
from rungwise.problems.questions.analyse import LEAST, MOST, TYPES, climb, questions_for
from rungwise.problems.questions.kinds import REASON_OF, REVERSED, kind, kinds_of
from rungwise.problems.questions.model import TOLERANCE, Form, Question, Rung, Task, formula_of
from rungwise.tutor.language.texts import Words

from tests.support.oracle import response
from tests.support.samples import sample
from tests.support.strategies import ladders

HALF_POWER = 0.5**0.5
OTHER_TASKS = {
    *REVERSED,
    Rung.LOOKALIKE_REASON,
    Rung.GAIN_SKETCH,
    Rung.PHASE_SKETCH,
    Rung.MAP_SKETCH,
}
ANALYSING = set(Rung) - OTHER_TASKS - {*kinds_of(Task.PREDICT)}
"""The kinds of question that are asked of a circuit; other tasks have tests of their own."""

FORMS = {
    Form.CHOICE: str, Form.COUNT: int, Form.QUANTITY: float, Form.RATIO: float,
    Form.GAIN: float, Form.SLOPE: int, Form.ANGLE: int, Form.FORMULA: Formula,
    Form.LEVEL: float,
}  # fmt: skip
MEASURED = (Form.QUANTITY, Form.RATIO, Form.GAIN)


def drawn(family: Family) -> Iterator[Ladder]:
    for seed in range(10_000):
        ladder = draw(family, Chance(seed))
        if ladder is not None:
            yield ladder


@cache
def asked_of(name: str, seed: int) -> tuple[Question, ...]:
    """Everything asked of the circuit of a family that is drawn as number ``seed``."""
    ladder = next(islice(drawn(find(name)), seed, None))
    return questions_for(facts(ladder), Chance(seed))


def made(ladder: Ladder, seed: int = 1) -> dict[Rung, Question]:
    return {q.rung: q for q in questions_for(facts(ladder), Chance(seed))}


def of(text: str) -> dict[Rung, Question]:
    return made(read_circuit(text))


# ------------------------------------------------------------- truths, by other means


class Witness:
    """What a nodal analysis of the circuit measures, and what numpy makes of its roots."""

    def __init__(self, ladder: Ladder) -> None:
        self.ladder = ladder
        transfer = facts(ladder).transfer
        self.poles = np.roots([float(c) for c in transfer.denominator])
        zeros = np.roots([float(c) for c in transfer.numerator])
        rates = [abs(z) for z in (*self.poles, *zeros) if abs(z) > 1e-6]
        self.low = min(rates, default=1e4) / 2 / np.pi / 1e3
        self.high = max(rates, default=1e4) / 2 / np.pi * 1e3

    def gain(self, hertz: float) -> float:
        return float(abs(response(self.ladder, [hertz])[0]))

    def phase(self, hertz: float) -> float:
        return float(np.degrees(np.angle(response(self.ladder, [hertz])[0])))

    def phase_change(self) -> float:
        """From the low to the high end in degrees, jumps of a jω zero counted upward."""
        sweep = np.geomspace(self.low, self.high, 6001)
        turns = np.degrees(np.angle(response(self.ladder, sweep)))
        steps = (np.diff(turns) + 180) % 360 - 180
        steps[steps < -120] += 360  # no step of the sweep but a zero's jump is so large
        return float(np.sum(steps))

    def measure(self, rung: Rung) -> float | str | None:
        """The answer to a question; ``None`` where only the core can tell."""
        low, high = self.gain(self.low), self.gain(self.high)
        low_slope = 20 * np.log10(self.gain(self.low * 10) / low)
        high_slope = 20 * np.log10(high / self.gain(self.high / 10))
        passes = {True: "passes", False: "blocked"}
        match rung:
            case Rung.LOW_END:
                return passes[abs(low_slope) < 10]
            case Rung.HIGH_END:
                return passes[abs(high_slope) < 10]
            case Rung.POLES:
                return len(self.poles)
            case Rung.LOW_SLOPE:
                return float(low_slope)
            case Rung.HIGH_SLOPE:
                return float(high_slope)
            case Rung.CORNER:
                size = abs(np.prod(self.poles)) ** (1 / len(self.poles))
                return float(size / 2 / np.pi)
            case Rung.Q:
                return float(abs(np.prod(self.poles)) ** 0.5 / abs(np.sum(self.poles)))
            case Rung.BANDWIDTH:
                return float(abs(np.sum(self.poles)) / 2 / np.pi)
        return None


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_truths_agree_with_a_nodal_analysis(family: Family) -> None:
    for ladder in islice(drawn(family), 4):
        witness, found = Witness(ladder), made(ladder)
        for rung, question in found.items():
            measured = witness.measure(rung)
            if isinstance(measured, str):
                assert question.truth == measured
            elif measured is not None:
                within = 1.0 if question.form is Form.SLOPE else 1e-6 * abs(float(question.truth))
                assert question.truth == pytest.approx(measured, abs=within), rung
        for rung, hertz in (Rung.LOW_PHASE, witness.low), (Rung.HIGH_PHASE, witness.high):
            if rung not in found:  # neither passed nor blocked, or blocked but for a little
                known, low = facts(ladder), rung is Rung.LOW_PHASE
                state = known.low_end if low else known.high_end
                leaks = known.gain_low if low else known.gain_high
                assert state is EndState.BETWEEN or (state is EndState.BLOCKED and leaks)
                continue
            apart = witness.phase(hertz) - float(found[rung].truth)
            assert abs((apart + 180) % 360 - 180) < 3, "the same but for whole turns"
        check_edges(witness, facts(ladder), found)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("rc-low-pass", 0, -90),
        ("rl-high-pass", 90, 0),
        ("series-rlc-across-c", 0, -180),
        ("series-rlc-across-l", 180, 0),
        ("series-rlc-across-r", 90, -90),
        ("series-fed-notch", 0, 0),
        ("t-low-pass-3", 0, -270),
        ("pi-high-pass-3", 270, 0),
        ("series-fed-band-pass-4", 180, -180),
    ],
)
def test_phases_are_continuous_from_the_low_end(name: str, low: int, high: int) -> None:
    """Textbook values of the asymptotes, and a nodal sweep that follows the phase."""
    ladder = next(drawn(find(name)))
    found, witness = made(ladder), Witness(ladder)
    assert (found[Rung.LOW_PHASE].truth, found[Rung.HIGH_PHASE].truth) == (low, high)
    assert witness.phase_change() == pytest.approx(high - low, abs=3)


def check_edges(witness: Witness, known: Facts, asked: dict[Rung, Question]) -> None:
    """An edge is where the measured gain is half a power below the measured reference."""
    edges = [asked[r] for r in (Rung.LOWER_EDGE, Rung.UPPER_EDGE) if r in asked]
    if not edges:
        return
    match known.type:
        case FilterType.LOW_PASS:
            reference = witness.gain(witness.low)
        case FilterType.HIGH_PASS:
            reference = witness.gain(witness.high)
        case FilterType.BAND_PASS:
            reference = witness.gain(float(asked[Rung.CORNER].truth))
        case _:
            reference = max(witness.gain(witness.low), witness.gain(witness.high))
    if Rung.GAIN in asked:
        assert float(asked[Rung.GAIN].truth) == pytest.approx(reference, rel=1e-5)
    for edge in edges:
        gain = witness.gain(float(edge.truth))
        assert gain == pytest.approx(reference * HALF_POWER, rel=1e-5)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_the_formula_of_h_is_the_measured_h(family: Family) -> None:
    ladder = next(drawn(family))
    question = made(ladder).get(Rung.TRANSFER)
    if question is None:
        too_long = len(formulas(ladder).transfer or "") > 120
        assert facts(ladder).transfer.order not in (1, 2) or too_long
        return
    formula = formula_of(question.truth)
    values = {e.name: float(e.value or 0) for e in ladder.elements()}
    witness = Witness(ladder)
    for hertz in np.geomspace(witness.low, witness.high, 7):
        expected = response(ladder, [hertz])[0]
        found = evaluate(formula, {**values, "s": 2j * np.pi * hertz})
        assert found == pytest.approx(expected, rel=1e-6)
    assert dict(question.values)["letters"].split(", ") == [e.name for e in ladder.elements()]


# ------------------------------------------------------------ which questions are made


def check_sense(ladder: Ladder, seed: int) -> dict[Rung, Question]:
    """The rule that only sensible questions are made, said again from the facts."""
    known = facts(ladder)
    order = known.transfer.order
    questions = questions_for(known, Chance(seed))
    rungs = [q.rung for q in questions]
    assert rungs == [r for r in Rung if r in rungs], "each once, in the order of a climb"
    for question in questions:
        assert isinstance(question.truth, FORMS[question.form])
        if question.unit == "dB":  # a quarter of a decibel, where 2 % are less
            assert question.tolerance * Fraction(question.figure) <= Fraction(1, 4) or (
                question.tolerance == TOLERANCE
            )
        else:
            assert question.tolerance == (TOLERANCE if question.form in MEASURED else 0)
        assert bool(question.choices) is (question.form is Form.CHOICE)
        if question.choices:
            assert question.truth in [c.id for c in question.choices]
        if question.form in MEASURED:
            assert float(question.truth) > 0
    found = {q.rung: q for q in questions}
    for rung, reason in REASON_OF.items():
        assert reason not in found or rung in found
    assert (Rung.LOW_END in found) is (Rung.LOW_END_REASON in found)
    assert (Rung.HIGH_END in found) is (Rung.HIGH_END_REASON in found)
    assert (Rung.TYPE in found) is (known.type in TYPES)
    of_q = {Rung.Q, Rung.LOADED_Q} & set(found)
    assert len(of_q) == (order == 2 and known.q is not None)
    assert (Rung.POLE_NATURE in found) is (order == 2)
    assert (Rung.CORNER in found) is (order in (1, 2))
    for rung in (Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE):
        assert rung not in found or (order == 2 and known.type is not FilterType.OTHER)
    if Rung.BANDWIDTH in found:
        assert known.type in (FilterType.BAND_PASS, FilterType.NOTCH)
        assert known.gain_low == known.gain_high
    assert Rung.FED not in found or known.fed is not None
    unseen = any(hidden.reason is Reason.UNSEEN for hidden in known.hidden)
    assert (Rung.INDEPENDENT in found) is (known.reactive_count >= 2 and not unseen)
    if Rung.LOW_END in found:
        assert found[Rung.LOW_END].truth == ("passes" if known.slope_low == 0 else "blocked")
    if Rung.HIGH_END in found:
        assert found[Rung.HIGH_END].truth == ("passes" if known.slope_high == 0 else "blocked")
    return found


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_only_sensible_questions_in_every_family(family: Family) -> None:
    for seed, ladder in enumerate(islice(drawn(family), 5)):
        check_sense(ladder, seed)


@settings(max_examples=120, deadline=None)
@given(ladders(), st.integers(0, 2**64 - 1))
def test_only_sensible_questions_in_random_ladders(ladder: Ladder, seed: int) -> None:
    questions = check_sense(ladder, seed)
    words = Words.load()
    for question in questions.values():
        assert words.prompt(question)
        texts = [words.choice(question, c) for c in question.choices]
        assert len(set(texts)) == len(texts)


@settings(max_examples=50, deadline=None)
@given(ladders(), st.integers(0, 2**64 - 1))
def test_the_same_chance_makes_the_same_questions(ladder: Ladder, seed: int) -> None:
    known = facts(ladder)
    first = questions_for(known, Chance(seed))
    assert first == questions_for(facts(ladder), Chance(seed))
    for level in LEVELS:
        asked = climb(first, level, Chance(seed, level))
        assert asked == climb(first, level, Chance(seed, level))


def test_a_feed_that_hangs_on_a_hidden_element_is_not_asked() -> None:
    # C1 hangs across the ideal source; the first arm at work is the series L.
    assert Rung.FED not in of("shunt C1 = 10 nF; series L 1 mH; load 1 kΩ")
    assert of("source 50 Ω; shunt C1 = 10 nF; series L 1 mH; load 1 kΩ")[Rung.FED].truth == "shunt"
    assert of("series R 1 kΩ; shunt C1 = 1 nF || C2 = 2 nF")[Rung.FED].truth == "shunt"
    assert Rung.FED not in of("series R 1 kΩ; shunt R2 = 1 kΩ")
    assert Rung.FED not in of("shunt C 1 nF || L 1 mH; load 1 kΩ")


def test_a_shelf_has_no_type_question_but_has_its_counts() -> None:
    shelf = of("series R 10 kΩ; shunt R2 = 4.7 kΩ + C 100 nF")
    assert Rung.TYPE not in shelf
    assert Rung.LOW_END in shelf
    assert not {Rung.HIGH_END, Rung.HIGH_SLOPE, Rung.HIGH_PHASE} & set(shelf)  # 9.9 dB down
    assert Rung.TYPE_REASON not in shelf
    assert Rung.GAIN not in shelf
    assert shelf[Rung.ZEROS].truth == shelf[Rung.POLES].truth == 1


def test_edges_of_one_pole_are_its_corner_and_not_asked() -> None:
    one_pole = of("series R 1 kΩ; shunt C 100 nF")
    assert Rung.UPPER_EDGE not in one_pole
    assert one_pole[Rung.CORNER].truth == pytest.approx(1591.549, rel=1e-6)  # 1/(2π·10⁻⁴ s)


def test_a_notch_of_unequal_ends_has_no_pass_band_gain() -> None:
    # At DC L passes everything, at high frequency C1 and C2 divide.
    notch = of("series L 10 mH || C1 = 100 nF; shunt C2 = 47 nF; load 1 kΩ")
    assert notch[Rung.TYPE].truth == "notch"
    assert not {Rung.GAIN, Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE} & set(notch)


def test_a_lossless_resonance_has_neither_q_nor_edges() -> None:
    lossless = of("series L 10 mH; shunt C 100 nF")
    assert lossless[Rung.CORNER].truth == pytest.approx(5032.921, rel=1e-6)  # 1/(2π√(10⁻⁹ s²))
    assert lossless[Rung.POLE_NATURE].truth == PoleNature.COMPLEX
    for rung in (Rung.Q, Rung.UPPER_EDGE):
        assert rung not in lossless


def test_a_pole_cancelled_by_values_is_not_asked_in_letters() -> None:
    # R1·C1 = R2·C2: the divider is flat, and the second section alone has a pole.
    text = "series R1 = 9 kΩ || C1 = 1 nF; shunt R2 = 1 kΩ || C2 = 9 nF; buffer; "
    found = of(text + "series R 1 kΩ; shunt C 1 nF")
    assert found[Rung.POLES].truth == 1
    assert Rung.TRANSFER not in found
    assert Rung.CORNER_REASON not in found


def test_the_textbook_band_pass() -> None:
    # OpenStax, University Physics 2, ch. 15: 0.2 Ω, 4 mH, 2 µF; 1.12e4 rad/s, Q 224, 50.0 rad/s.
    found = of("series L 4 mH; series C 2 µF; shunt R 0.2 Ω")
    assert found[Rung.CORNER].truth == pytest.approx(1.12e4 / 2 / np.pi, rel=5e-3)
    assert found[Rung.Q].truth == pytest.approx(224, rel=3e-3)
    assert found[Rung.BANDWIDTH].truth == pytest.approx(50.0 / 2 / np.pi, rel=1e-6)
    assert found[Rung.TYPE].truth == "band-pass"
    assert found[Rung.GAIN].truth == pytest.approx(1)


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("series R1 = 1 kΩ; shunt C1 = 1 nF", {"R": "R1", "C": "C1", "R1": "R1", "C1": "C1"}),
        ("source 50 Ω; series C 1 nF; load 1 kΩ", {"C": "C"}),
        ("series R1 = 1 kΩ; shunt R = 1 kΩ", {"R": "R", "R1": "R1"}),
    ],
)
def test_the_only_element_of_a_kind_answers_to_its_letter(
    text: str, letters: dict[str, str]
) -> None:
    ladder = read_circuit(text)
    found = spellings(ladder.elements())
    assert letters.items() <= found.items()
    assert set(found.values()) == {e.name for e in ladder.elements()}
    resistors = sum(1 for e in ladder.elements() if e.name.startswith("R"))
    assert ("R" in found) is (resistors == 1 or "R" in set(found.values()))


# ------------------------------------------------------------------- which are asked


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_a_climb_is_a_spread_of_eight_to_thirteen(family: Family) -> None:
    for seed in range(sample(8, 20)):
        questions = asked_of(family.name, seed)
        available = {q.rung for q in questions}
        asked = climb(questions, family.level, Chance(seed, "climb"))
        rungs = [q.rung for q in asked]
        assert LEAST <= len(asked) <= MOST
        assert [q for q in questions if q in asked] == list(asked)
        for rung, reason in REASON_OF.items():
            if rung in rungs and reason in available:
                assert rungs[rungs.index(rung) + 1] is reason, "a reason follows its rung"
            assert rung in rungs or reason not in rungs
        for always in (Rung.TYPE, Rung.POLES, Rung.CORNER, Rung.Q):
            assert (always in rungs) is (always in available)
        assert {Rung.LOW_END, Rung.HIGH_END} & set(rungs)
        forms = Counter(q.form for q in asked)
        assert forms[Form.SLOPE] + forms[Form.ANGLE] >= 1
        if family.level < 3:
            assert not {Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE} & set(rungs)
        if family.level < 2:
            assert Rung.TRANSFER not in rungs
        if family.level == 5:
            assert (Rung.INDEPENDENT in rungs) is (Rung.INDEPENDENT in available)


@pytest.mark.parametrize("level", LEVELS)
def test_every_question_of_a_level_is_asked_sooner_or_later(level: int) -> None:
    asked: set[Rung] = set()
    available: set[Rung] = set()
    later = {Rung.FED, Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE, Rung.TRANSFER}
    higher = {rung for rung in Rung if kind(rung).level > max(level, 4)}
    left = (later if level < 3 else set()) | higher
    for seed in range(40):
        for family in (f for f in FAMILIES if f.level == level):
            questions = asked_of(family.name, seed)
            available |= {q.rung for q in questions}
            asked |= {q.rung for q in climb(questions, level, Chance(seed, "climb"))}
        if seed >= sample(12, 40) and available - asked <= left:
            break
    assert available - asked <= left


def test_a_typed_circuit_is_asked_everything() -> None:
    ladder = read_circuit("source 600 Ω; series L 10 mH; shunt C 100 nF; load 600 Ω")
    questions = questions_for(facts(ladder), Chance(1))
    assert climb(questions, 0, Chance(1)) == questions


# ----------------------------------------------------------------------------- words


def table() -> dict[str, dict[str, object]]:
    text = files("rungwise.content").joinpath("questions.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def test_every_kind_of_question_has_a_narrow_title_and_a_prompt() -> None:
    words = table()
    assert set(words) == {r.value for r in Rung}
    for rung in Rung:
        assert 0 < len(Words.load().title(rung)) <= 16
        found = words[rung.value]
        prompts = found["prompts"].values() if "prompts" in found else [found["prompt"]]  # type: ignore[attr-defined]
        for prompt in prompts:
            # Lines that begin with a space are circuits the question speaks of.
            said = [line for line in str(prompt).splitlines() if not line.startswith(" ")]
            assert said[-1].endswith((".", "?")), prompt
    titles = [Words.load().title(r) for r in Rung]
    assert len(set(titles)) == len(titles)


def test_prompts_say_unit_and_tolerance_and_nothing_of_the_answer() -> None:
    """Two circuits, one prompt: what is the same for all circuits can give nothing away."""
    first: dict[Rung, str] = {}
    lists: dict[Rung, list[str]] = {}
    words = Words.load()
    for family in FAMILIES:
        for rung, question in made(next(drawn(family))).items():
            prompt = words.prompt(question)
            if question.unit:
                assert question.unit in prompt or {"°": "degrees"}.get(question.unit, "?") in prompt
            if question.tolerance:
                assert f"{round(100 * question.tolerance)} %" in prompt
            if rung is not Rung.TRANSFER:
                assert prompt == first.setdefault(rung, prompt)
            # Reasons, and which part adds no pole, speak of the circuit's own parts.
            if question.choices and rung not in (*REASON_OF.values(), Rung.NO_POLE):
                ids = [c.id for c in question.choices]
                assert ids == lists.setdefault(rung, ids)
    assert set(first) == ANALYSING - {Rung.TRANSFER}


def test_every_choice_with_words_is_offered_somewhere_and_the_reverse() -> None:
    used: dict[str, set[str]] = {}
    rare = (
        "series C1 = 1 nF; shunt C2 = 2 nF",
        "series R1 = 9 kΩ || C1 = 1 nF; shunt R2 = 1 kΩ || C2 = 9 nF",
        "source 50 Ω; series L1 = 1 mH + (L2 = 1 mH || C2 = 1 nF); load 50 Ω",
        "source 50 Ω; series C1 = 1 nF + (L2 = 1 mH || C2 = 1 nF); load 50 Ω",
        "source 50 Ω; series L1 = 1 mH || C1 = 1 nF; shunt L2 = 1 mH + C2 = 2 nF; load 50 Ω",
        "shunt C1 = 1 nF; series R 1 kΩ; shunt L 1 mH",
        "shunt C1 = 1 nF; series L 1 mH; shunt R 1 kΩ",
        "shunt C1 = 1 nF; series R 1 kΩ; shunt C2 = 1 nF",
        "series R 1 kΩ",
    )
    every = [asked_of(f.name, seed) for f in FAMILIES for seed in range(sample(12, 25))]
    known = [facts(read_circuit(text)) for text in rare]
    every += [questions_for(one, Chance(turn, "rare")) for one in known for turn in range(40)]
    for question in chain.from_iterable(every):
        if question.choices:
            ids = used.setdefault(question.rung.value, set())
            ids.update(c.id for c in question.choices)
    spoken = {
        rung: set(entry["choices"])  # type: ignore[call-overload]
        for rung, entry in table().items()
        if "choices" in entry and rung in ANALYSING
    }
    assert used == spoken


def test_a_ladder_at_the_limit_is_quick() -> None:
    text = "; ".join(f"series L{i} = 1 mH; shunt C{i} = 1 nF" for i in range(1, 20))
    found = of("source 50 Ω; " + text + "; load 50 Ω")
    assert found[Rung.POLES].truth == 38
    assert found[Rung.HIGH_SLOPE].truth == -760
    assert Rung.TRANSFER not in found


def test_fractions_stay_out_of_truths() -> None:
    gain = of("series R1 = 2 kΩ; shunt R2 = 1 kΩ")[Rung.GAIN].truth
    assert gain == float(Fraction(1, 3))
