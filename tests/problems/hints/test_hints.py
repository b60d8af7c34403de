"""Hints: three levels for every question, true of the circuit, and in the right order.

What the hints claim is checked with modified nodal analysis in numpy (``tests/oracle.py``),
and printed formulas are worked out by Python's own arithmetic, not by ours.
"""

from __future__ import annotations

import ast
import math
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import typed
from rungwise.problems.hints.fill import HINTS
from rungwise.problems.hints.hint import focus, hint
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Face, Form, Problem, Question, Rung, Task
from rungwise.tutor.language import texts as words_module
from rungwise.tutor.language.texts import Words

from tests.support.oracle import response
from tests.support.word_corpus import asked, problems

LEVELS = (1, 2, 3)
PARTS = ("principle", "look", "step")
NUMBERS = {Form.QUANTITY, Form.RATIO, Form.GAIN}

TRIVIAL = {"none", "lossless", "resistive", "bare"}
"""Looks at a circuit so bare that there is nothing to hide."""


Told = tuple[str, Problem, Question, int, str, str]


@cache
def told() -> tuple[tuple[Told, ...], frozenset[str]]:
    """Every hint of the corpus, and the keys of the entries looked up on the way."""
    load = Words.load()
    keys = set()
    original = words_module.entry

    def noted(file: str, key: str) -> str:
        if file == "hints":
            keys.add(key)
        return original(file, key)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(words_module, "entry", noted)
        found = tuple(
            (label, p, q, level, one.variant(level), load.hint(p, q, level))
            for label, p, q in asked()
            for one in (hint(p, q),)
            for level in LEVELS
        )
    return found, frozenset(keys)


def hints() -> tuple[Told, ...]:
    """(label, problem, question, level, variant, text) of every hint of the corpus."""
    return told()[0]


def laboratory(label: str) -> bool:
    """Whether a circuit was drawn by the generator, with parts of a laboratory."""
    return "seed" in label


def steps(*rungs: Rung) -> Iterator[tuple[str, Problem, Question, str, str]]:
    """The worked steps of some kinds of question."""
    for label, p, q, level, variant, text in hints():
        if level == 3 and q.rung in rungs:
            yield label, p, q, variant, text


def example(text: str, rung: Rung) -> tuple[str, str, str]:
    """The three hints of one question of a typed circuit."""
    problem = typed(read_circuit(text))
    question = next(q for q in problem.questions if q.rung is rung)
    load = Words.load()
    first, second, third = (load.hint(problem, question, level) for level in LEVELS)
    return first, second, third


def test_every_kind_of_question_has_hints() -> None:
    assert not HINTS.missing(Rung)


def test_every_rung_is_tried() -> None:
    assert {q.rung for _, _, q, *_ in hints()} == set(Rung)


def test_no_hint_is_out_of_reach() -> None:
    def keys(table: object, before: str = "") -> Iterator[str]:
        if isinstance(table, dict):
            for name, inner in table.items():
                yield from keys(inner, f"{before}.{name}" if before else name)
        else:
            yield before

    assert set(keys(words_module.table("hints"))) == told()[1]


def test_there_are_three_levels() -> None:
    problem = typed(read_circuit("series R 1 kΩ; shunt C 1 nF"))
    for level in (0, 4, -1):
        with pytest.raises(ValueError, match="levels 1, 2 and 3"):
            Words.load().hint(problem, problem.questions[0], level)


def test_hints_are_clean_sentences() -> None:
    for label, _, q, level, _, text in hints():
        where = f"{label}: {q.rung} {level}: {text}"
        assert not re.search(r"[{}]", text), where
        assert text[0] == " " or text[0].isupper() or text[0] in "(|", where
        assert text[-1] in ".?" or text.splitlines()[-1].startswith("  "), where
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", text), where
        assert not re.search(r"\S\s\s+\S", re.sub(r"\n +", "\n", text)), where
        assert " ," not in text and " ." not in text and ",," not in text, where
        assert not re.search(r"(?<![\w-])-\d", text), f"{where}: a hyphen for a minus"


def test_hints_are_short_where_circuits_are_those_of_families() -> None:
    most = {1: 200, 2: 215, 3: 360}
    for label, _, q, level, _, text in hints():
        if laboratory(label):
            assert len(text) <= most[level], f"{label}: {q.rung} {level}: {len(text)}: {text}"


def test_the_principle_never_hangs_on_the_answer_of_a_choice() -> None:
    said = defaultdict(set)
    for _, _, q, level, _, text in hints():
        if level == 1 and q.form is Form.CHOICE and q.rung is not Rung.CORNER_REASON:
            said[q.rung].add(text)
    assert {rung: len(texts) for rung, texts in said.items()} == dict.fromkeys(said, 1)


def test_a_look_never_stands_for_one_answer_only() -> None:
    truths = defaultdict(set)
    for _, _, q, level, variant, _ in hints():
        if level == 2 and q.form not in NUMBERS and q.rung is not Rung.CORNER_REASON:
            truths[q.rung, variant].add(q.truth)
    for (rung, variant), found in truths.items():
        # Where every part lies idle the signal always passes, but the look does not say so.
        assert len(found) > 1 or variant in TRIVIAL | {"idle"}, f"{rung} {variant}: {found}"


def test_the_first_two_levels_hold_no_number_of_the_answer() -> None:
    for label, _, q, level, _, text in hints():
        if level == 3 or q.form not in NUMBERS:
            continue
        answer = write_quantity(float(q.truth), q.unit)
        # 0.7071 is named as the one Q at which edge and corner meet.
        if answer not in ("0.7071", "1", "0.5"):
            assert not re.search(rf"(?<![\w.]){re.escape(answer)}(?![\w.])", text), label


def test_the_first_two_levels_hold_no_formula_of_the_answer() -> None:
    for label, _, q, level, _, text in hints():
        if level < 3 and q.form is Form.FORMULA:
            assert "H(s) =" not in text, label


def test_the_look_names_elements_of_this_circuit() -> None:
    for label, p, q, level, variant, text in hints():
        names = {e.name for e in p.ladder.elements()}
        if p.task is Task.PREDICT:  # some hide the circuit, and then it is not spoken of
            spoken = names & set(re.findall(r"[RLC]\w*", text)) if p.face is Face.NONE else ()
            assert not spoken, f"{label}: {q.rung}: {text}"
        elif level == 2 and variant not in TRIVIAL and q.rung is not Rung.TRANSFER:
            assert names & set(re.findall(r"[RLC]\w*", text)), f"{label}: {q.rung}: {text}"


def test_marked_elements_are_elements_of_the_circuit() -> None:
    for label, p, q in asked():
        names = {e.name for e in p.ladder.elements()}
        marked = focus(p, q)
        assert set(marked) <= names, label
        assert len(marked) == len(set(marked)), label


# ---------------------------------------------------------- claims, against the oracle


def gain(ladder: Ladder, hertz: float) -> float:
    return float(abs(response(ladder, [hertz])[0]))


def plateau(problem: Problem, low: bool) -> float:
    """The gain far beyond every corner of a circuit."""
    return gain(problem.ladder, 1e-6 if low else 1e16)


@pytest.mark.parametrize(("rung", "low"), [(Rung.LOW_END, True), (Rung.HIGH_END, False)])
def test_what_is_said_of_the_ends_is_so(rung: Rung, low: bool) -> None:
    tried = defaultdict(int)
    for label, p, _, variant, text in steps(rung):
        if not laboratory(label):
            continue  # values of the laboratory, so that the plateaus are where we look
        found = plateau(p, low)
        tried[variant] += 1
        if variant == "stops":
            assert found < 1e-4, label
            assert text.endswith("blocked.")
        else:
            assert text.endswith("asses.")
            if variant == "straight":
                assert found == pytest.approx(1, rel=1e-6), label
            if variant == "divides":
                assert 1e-6 < found < 1 - 1e-6, label
    assert min(tried[v] for v in ("stops", "straight", "divides")) >= 10


def _slope(ladder: Ladder, low: bool) -> float:
    at = 1e-3 if low else 1e13
    a, b = gain(ladder, at), gain(ladder, at * 10)
    return 20 * math.log10(b / a)


@pytest.mark.parametrize(("rung", "low"), [(Rung.LOW_SLOPE, True), (Rung.HIGH_SLOPE, False)])
def test_slopes_are_those_of_the_circuit(rung: Rung, low: bool) -> None:
    tried = 0
    for label, p, _, _, text in steps(rung):
        if laboratory(label):
            shown = re.search(r"([−\d]+) dB/decade", text)
            assert shown, text
            assert _slope(p.ladder, low) == pytest.approx(_number(shown[1]), abs=0.2), label
            tried += 1
    assert tried > 50


def test_steps_of_counts_give_the_count() -> None:
    for label, _, q, variant, text in steps(
        Rung.POLES, Rung.ZEROS, Rung.ORIGIN_ZEROS, Rung.INDEPENDENT
    ):
        assert re.search(rf"(?<![\w.]){q.truth}(?![\w])", text), f"{label} {variant}: {text}"


def test_steps_of_choices_name_the_answer() -> None:
    for label, _, q, _, text in steps(Rung.TYPE, Rung.FED):
        assert str(q.truth) in text, label
    for label, _, q, _, text in steps(Rung.POLE_NATURE):
        assert {"double": "coincide", "real": "real", "complex": "complex"}[str(q.truth)] in (
            text
        ), label


def _number(text: str) -> float:
    return float(text.replace("−", "-"))


PREFIX = {"p": 1e-12, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6, "G": 1e9}
QUANTITY = re.compile(r"(\d+(?:\.\d+)?) ([pnµmkMG]?)(Ω|H|F)(?![A-Za-z])")


def work_out(line: str) -> float:
    """A printed line of numbers with units, by Python's arithmetic."""
    text = QUANTITY.sub(lambda m: f"({m[1]}*{PREFIX[m[2]]!r})", line)
    text = text.replace("·", "*").replace("√", "sqrt").replace("2π", "2*pi")
    text = text.replace("²", "**2").replace("³", "**3").replace("π", "pi")
    allowed = set(re.findall(r"[A-Za-z]+", text.replace("e-", "").replace("e+", "")))
    assert allowed <= {"sqrt", "pi"}, line
    tree = ast.parse(text, mode="eval")
    scope = {"__builtins__": {}, "sqrt": math.sqrt, "pi": math.pi}
    return float(eval(compile(tree, "hint", "eval"), scope))


@pytest.mark.parametrize(
    ("rung", "letter"),
    [(Rung.CORNER, "f₀"), (Rung.Q, "Q"), (Rung.BANDWIDTH, "B"), (Rung.GAIN, "|H|")],
)
def test_the_numbers_put_in_make_the_result(rung: Rung, letter: str) -> None:
    tried = 0
    for label, _, q, variant, text in steps(rung):
        if variant != "formula":
            continue
        lines = text.splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith(f"  {letter} = "))
        numbers = lines[at + 1].strip().removeprefix("= ")
        # Values are printed to four digits, as those of parts in a laboratory always can be.
        assert work_out(numbers) == pytest.approx(float(q.truth), rel=2e-3), f"{label}: {text}"
        shown = lines[at + 2].strip().removeprefix("= ")
        assert shown.startswith(write_quantity(float(q.truth), q.unit)), label
        tried += 1
    assert tried > 30


FREQUENCY = re.compile(r"([\d.]+) ([mkMG]?)Hz\.$")


@pytest.mark.parametrize("rung", [Rung.LOWER_EDGE, Rung.UPPER_EDGE])
def test_edges_lie_at_half_power(rung: Rung) -> None:
    tried = 0
    for label, p, _, _, text in steps(rung):
        if not laboratory(label):
            continue
        found = FREQUENCY.search(text)
        assert found, text
        edge = float(found[1]) * PREFIX[found[2]]
        points = np.geomspace(edge / 1e6, edge * 1e6, 241)
        sweep = np.abs(response(p.ladder, points))
        kind = hint(p, next(q for q in p.questions if q.rung is rung)).principle
        reference = {"low-pass": sweep[0], "high-pass": sweep[-1]}.get(kind)
        if reference is None:  # the one peak lies between the neighbours of the highest point
            near = points[max(sweep.argmax() - 1, 0) : sweep.argmax() + 2]
            reference = np.abs(response(p.ladder, np.geomspace(near[0], near[-1], 201))).max()
        # The edge is printed to four digits, of which a sharp slope makes twice the error.
        assert gain(p.ladder, edge) ** 2 == pytest.approx(reference**2 / 2, rel=0.03), label
        tried += 1
    assert tried > 20


# ---------------------------------------------------------- by example


def test_feed_of_a_textbook_l_section() -> None:
    first, second, third = example(
        "source 600 Ω; shunt C 100 nF; series L 10 mH; load 600 Ω", Rung.FED
    )
    assert "series-fed" in first and "shunt-fed" in first
    assert "C" in second and "L" in second
    assert third.endswith("shunt-fed.")


def test_a_capacitor_across_an_ideal_source_is_named() -> None:
    *_, third = example("shunt C1 = 1 nF; series R 1 kΩ; shunt C2 = 1 nF", Rung.POLES)
    assert third.startswith("C1 lies across an ideal source")
    assert "C2 remains" in third


def test_a_loop_of_capacitors_is_named() -> None:
    *_, third = example(
        "source 50 Ω; shunt C1 = 1 nF; series C2 = 1 nF; shunt C3 = 1 nF; load 50 Ω", Rung.POLES
    )
    assert "loop of capacitors" in third


def test_corner_of_the_openstax_series_circuit() -> None:
    # OpenStax University Physics 2, ch. 15: 100 Ω, 2 H, 5 µF resonate at 50 Hz, Q = 6.32.
    *_, third = example("series L 2 H; series C 5 µF; shunt R 100 Ω", Rung.CORNER)
    assert "f₀ = 1/(2π·√(L·C))" in third
    assert "√(2 H·5 µF)" in third
    assert third.endswith("50.33 Hz.")  # the book prints 50
    *_, third = example("series L 2 H; series C 5 µF; shunt R 100 Ω", Rung.Q)
    assert third.endswith("6.325.")


def test_a_notch_says_what_its_arm_becomes() -> None:
    *_, third = example("series L 450 mH || C 100 nF; load 707 Ω", Rung.TYPE)
    assert "the series arm L ∥ C becomes an open circuit" in third


def test_a_power_of_a_value_stands_in_brackets() -> None:
    from rungwise.problems.formulas.read import parse
    from rungwise.problems.hints.fill import in_letters, put_in

    ladder = read_circuit("series R 1 kΩ; shunt C 1 nF")
    assert in_letters(put_in(parse("R^2*C", {"R", "C"}), ladder)) == "(1 kΩ)²·1 nF"


def test_every_problem_of_the_corpus_is_asked_something() -> None:
    assert all(p.questions for _, p in problems())
