"""Problems of sketches: which circuits, which sketches, in which order, and the plain drill."""

from __future__ import annotations

import io
import math
from collections import Counter
from itertools import pairwise

import pytest
from rungwise.problems.analysis.nodal import Network
from rungwise.problems.analysis.response import Facts, FilterType, PoleNature, facts
from rungwise.problems.catalogue import families
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate import analyse as generator
from rungwise.problems.generate import certify as certificate
from rungwise.problems.generate import sketch as sketching
from rungwise.problems.generate import tasks
from rungwise.problems.generate.certify import CertificationError, certify
from rungwise.problems.generate.sketch import generate, typed
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.kinds import SKETCHES
from rungwise.problems.questions.model import Form, Problem, Rung, Task, Verdict
from rungwise.problems.questions.written import READ
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.plain.drill import PlainDrill

from tests.support.made_once import made_problem
from tests.support.samples import sample
from tests.support.word_corpus import BY_HAND, RANDOM, problems, random_ladder

GAIN, PHASE, MAP = SKETCHES
LEAD_IN = {Rung.POLES, Rung.ZEROS, Rung.GAIN, Rung.CORNER, Rung.Q, Rung.LOADED_Q}


def rungs(problem: Problem) -> list[Rung]:
    return [q.rung for q in problem.questions]


# ----------------------------------------------------------------------------- what is asked


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_the_circuit_is_that_of_the_analysis(family: families.Family) -> None:
    for seed in sample((0,), (0, 77)):
        problem = made_problem(seed, Task.SKETCH, family=family.name)
        analysed = made_problem(seed, family=family.name)
        assert problem.ladder == analysed.ladder
        assert (problem.family, problem.level) == (family.name, family.level)
        assert (problem.seed, problem.task) == (seed, Task.SKETCH)
        assert generate(seed, family=family.name) == problem, "the same seed, the same problem"
        asked = rungs(problem)
        assert asked == sorted(asked, key=list(Rung).index), "in the order of a climb"
        assert len(set(asked)) == len(asked)
        assert set(asked) <= LEAD_IN | set(SKETCHES)
        assert 1 <= sum(r in LEAD_IN for r in asked) <= 5
        assert MAP in asked
        assert GAIN in asked or PHASE in asked or cancelled(facts(problem.ladder))
        for question in problem.questions:
            assert (question.form is Form.SKETCH) == (question.rung in SKETCHES)


def cancelled(known: Facts) -> bool:
    """Whether some zero away from the origin lies within a fifth of a decade of a pole.

    Nor does a damped notch turn its lines: the pairs of its poles and zeros have one frequency.
    """
    poles, zeros = ([abs(root) for root in roots if root] for roots in (known.poles, known.zeros))
    return any(abs(math.log10(pole / zero)) < 0.201 for pole in poles for zero in zeros)


def test_which_sketches_make_sense() -> None:
    for seed in range(sample(2, 3)):
        for family in FAMILIES:
            problem = made_problem(seed, Task.SKETCH, family=family.name)
            known = facts(problem.ladder)
            asked = set(rungs(problem)) & set(SKETCHES)
            if known.transfer.order == 0:
                assert asked == {GAIN, MAP}, "one level line"
            elif (known.type, known.pole_nature) == (FilterType.NOTCH, PoleNature.COMPLEX) and (
                known.axis_zero_pairs
            ):
                assert asked == {PHASE, MAP}, "the lines of its gain turn nowhere"
            elif not cancelled(known):
                assert asked == set(SKETCHES)
            else:
                assert MAP in asked
            given = [q for q in problem.questions if ("asked", "given") in q.values]
            assert len(given) == (3 if known.transfer.order > 2 else 0)
            if given:
                assert "Hz" in dict(given[0].values)["roots"]
            assert (Rung.GAIN in rungs(problem)) <= (family.level <= 3)


@pytest.mark.parametrize(
    ("circuit", "asked"),
    [
        ("series R1 9 kΩ; shunt R2 1 kΩ", {GAIN, MAP}),
        ("series L 10 mH; shunt C 100 nF", {GAIN, MAP}),  # undamped: it jumps downwards
        ("series R 10 kΩ; shunt R2 1 kΩ + C 100 nF", {GAIN, PHASE, MAP}),  # a shelf
        # Pole and zero 5 % apart: a level line would be as good a drawing.
        ("series R1 9 kΩ || C1 105 pF; shunt R2 1 kΩ || C2 900 pF", {MAP}),
        # A notch whose real poles lie far from the null.
        ("series R 3.3 kΩ; shunt L 10 mH + C 100 nF", {GAIN, PHASE, MAP}),
    ],
)
def test_sketches_of_typed_circuits(circuit: str, asked: set[Rung]) -> None:
    assert set(rungs(typed(read_circuit(circuit)))) == asked


def test_any_circuit_has_sketches_that_are_graded() -> None:
    tried = 0
    for label, problem in problems():
        if not label.endswith("sketched"):
            continue
        for question in problem.questions:
            mark = grade(problem, question, right_text(question))
            assert mark.verdict is Verdict.RIGHT, (label, question.truth)
            tried += 1
    assert tried > RANDOM + len(BY_HAND)
    assert random_ladder(1) == random_ladder(1)


def test_roots_are_given_in_words() -> None:
    problem = typed(read_circuit("source 1 Ω; series L1 1 H; shunt C 2 F; series L2 1 H; load 1 Ω"))
    # The poles of Butterworth's third order lie on one circle (standard tables).
    assert dict(problem.questions[0].values)["roots"] == (
        "1 real at 159.2 mHz, 1 complex pair at 159.2 mHz"
    )
    problem = typed(
        read_circuit("; buffer; ".join(f"series R{i} 1 kΩ; shunt C{i} 1 µF" for i in (1, 2, 3)))
    )
    assert dict(problem.questions[0].values)["roots"] == "3 real at 159.2 Hz"


def test_unknown_names_and_levels_are_refused() -> None:
    with pytest.raises(families.UnknownFamily):
        generate(1, family="rc-lowpass")
    with pytest.raises(ValueError, match="level"):
        generate(1, family="rc-low-pass", level=2)


# ------------------------------------------------------------------------------ certificates


def test_the_answers_shown_are_right() -> None:
    """A seed of every family; ``tests.studies.certify_all`` goes through many more."""
    count = sample(1, 4) * len(FAMILIES)
    found = Counter(q.rung for number in range(count) for q in of(number).questions)
    assert found[MAP] == count
    assert found[GAIN] > count * 5 / 7
    assert found[PHASE] > count * 5 / 7


def of(number: int) -> Problem:
    family = FAMILIES[number % len(FAMILIES)]
    problem = generate(10_000 + number, family=family.name)
    for question in problem.questions:
        mark = grade(problem, question, right_text(question))
        assert mark.verdict is Verdict.RIGHT, (family.name, number, question)
    return problem


@pytest.mark.parametrize(
    ("rung", "truth"),
    [
        (GAIN, "+20 to 1 kHz, 0; level 0 dB"),
        (GAIN, "0 to 589.5 Hz, −40; level 0 dB"),
        (GAIN, "0 to 589.5 Hz, −20; level −3 dB"),
        (GAIN, "0 to 600 Hz, −20; level 0 dB"),
        (PHASE, "+90 to 589.5 Hz, 0"),
        (PHASE, "0 to 589.5 Hz, −180"),
    ],
)
def test_a_wrong_truth_is_not_certified(rung: Rung, truth: str) -> None:
    from dataclasses import replace

    problem = generate(3, family="rc-low-pass")
    certify(problem)
    drawn = READ[rung](truth)
    asked = [replace(q, truth=drawn) if q.rung is rung else q for q in problem.questions]
    with pytest.raises(CertificationError, match="nodal analysis"):
        certify(replace(problem, questions=tuple(asked)))


def test_a_witness_that_disagrees_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = generate(3, family="rc-low-pass")
    monkeypatch.setattr(certificate, "_agree", lambda *_: None)
    true = Network.response
    monkeypatch.setattr(Network, "response", lambda self, w: 1.1 * true(self, w))
    with pytest.raises(CertificationError, match="gain-sketch"):
        certify(problem)
    monkeypatch.setattr(Network, "response", lambda self, w: 1j * true(self, w))
    with pytest.raises(CertificationError, match="phase-sketch"):
        certify(problem)


# ------------------------------------------------------------------------------------ tasks


def test_seeds_that_count_on_meet_sketches() -> None:
    for start in range(7):
        met = [tasks.task_of(seed, 3) for seed in range(start, start + 10)]
        assert met.count(Task.SKETCH) == 2
        met = [tasks.task_of(seed) for seed in range(start, start + 12)]
        assert [met.count(task) for task in Task] == [6, 2, 2, 2]
    assert not any(
        a is b is Task.SKETCH for a, b in pairwise(tasks.task_of(seed) for seed in range(50))
    )


def test_tasks_lead_to_sketches() -> None:
    assert tasks.generate(7, task=Task.SKETCH, level=2) == sketching.generate(7, level=2)
    seed = next(s for s in range(9) if tasks.task_of(s) is Task.SKETCH)
    assert tasks.generate(seed, task=None, level=1) == sketching.generate(seed, level=1)
    assert ProblemRequest(2, None, 7, Task.SKETCH).problem() == sketching.generate(7, level=2)


# -------------------------------------------------------------------------- the plain drill


def drilled(problem: Problem, answers: list[str], width: int = 80) -> str:
    output = io.StringIO()
    drill = PlainDrill(io.StringIO("".join(f"{a}\n" for a in answers)), output, width=width)
    drill.run(lambda _: problem, 1, problem.seed)
    return output.getvalue()


def test_a_plain_drill_sketches_and_says_what_is_right() -> None:
    problem = generate(3, family="rc-low-pass")  # 589.5 Hz
    before = ["."] * (len(problem.questions) - 3)
    said = drilled(problem, [
        *before,
        "0 to 3.7 kHz, -20; level -3",
        "0 to 589 Hz -20 level 0 and so on",
        "0 to 589 Hz, -20; level 0",
        "?", "?", "?", "0 to 589, 90", ".",
        "poles: 1 real; zeros: 1 origin", "poles: 1 real; zeros: none",
    ])  # fmt: skip
    flat = " ".join(said.split())
    assert "Wrong: 0 to 3.7 kHz, −20; level −3 dB" in flat
    assert "Right, but only by itself: it begins with 0 dB/decade; it ends with −20" in flat
    assert (
        "Not right: break 1, at 3.7 kHz (there is no break near it); the level, −3 dB (the flat "
        "piece of the pass band is at another level)."
    ) in flat
    assert "angular frequencies, in rad/s, on an axis in Hz" in flat
    assert "Not understood:" in flat
    assert "Right: 0 to 589 Hz, −20; level 0 dB" in flat
    assert "Answer: 0 to 589.5 Hz, −90" in flat
    assert "Right, but only by itself: poles: 1 real." in flat
    assert "Right: poles: 1 real; zeros: none" in flat
    assert flat.count("Hint ") == 3


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_the_form_of_an_answer_is_shown_whole(width: int) -> None:
    problem = generate(1, level=6)
    said = drilled(problem, ["."] * len(problem.questions), width)
    assert all(len(line.removeprefix("> ")) <= width for line in said.splitlines())
    flat = " ".join(said.split())
    for example in (
        "−20 to 50 Hz, 0 to 3 kHz, +20; level −3 dB",
        "−90 to 400 Hz jump, +90",
        "poles: none; zeros: 1 pair on the jω axis",
        f"The poles of this circuit: {dict(problem.questions[-1].values)['roots']}.",
    ):
        assert example in flat


def test_the_examples_can_be_read_and_are_no_ladders_answer() -> None:
    """They rise at the high end, fall at the low one, or have odd numbers of poles and zeros."""
    from rungwise.problems.sketches.read import read_gain, read_phase
    from rungwise.problems.sketches.read_map import read_map

    assert read_gain("−20 to 50 Hz, 0 to 3 kHz, +20; level −3 dB").slopes == (-20, 0, 20)
    assert read_phase("−90 to 50 Hz, 0 to 3 kHz, +90").end == 90
    assert read_phase("−90 to 400 Hz jump, +90").jumps == ((400, 180),)
    assert (
        sum(n for _, n in read_map("poles: 1 real, 2 complex pairs; zeros: 3 at the origin").poles)
        == 5
    )
    # No ladder falls at the low end, where H goes as s to a power of 0 and more.
    for family in FAMILIES:
        assert facts(generate(1, family=family.name).ladder).slope_low >= 0


def test_a_drill_of_sketches_on_the_command_line() -> None:
    from click.testing import CliRunner
    from rungwise.tutor.cli.main import rungwise

    def run(*words: str) -> str:
        found = CliRunner().invoke(rungwise, ["drill", "--plain", *words], input="")
        assert found.exit_code == 0, found.output
        return found.output

    sketch = run("--task", "sketch", "--level", "1", "--seed", "3")
    assert "Question 1 of 7" in sketch
    seeds = {tasks.task_of(s): s for s in range(6)}
    mixed = run("--task", "mixed", "--family", "rc-low-pass", "--seed", str(seeds[Task.SKETCH]))
    asked = len(sketching.generate(seeds[Task.SKETCH], family="rc-low-pass").questions)
    assert f"Question 1 of {asked}" in mixed
    plain = run("--family", "rc-low-pass", "--seed", str(seeds[Task.SKETCH]))
    asked = len(generator.generate(seeds[Task.SKETCH], family="rc-low-pass").questions)
    assert f"Question 1 of {asked}" in plain, "without a task, circuits are analysed"
    refused = CliRunner().invoke(rungwise, ["drill", "--task", "draw"])
    assert refused.exit_code == 2
    assert "sketch" in refused.output
