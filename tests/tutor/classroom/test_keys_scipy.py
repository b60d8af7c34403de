"""The keys of sheets, read back from their files' form, against an independent solve with scipy.

Poles are generalised eigenvalues of the nodal equations (scipy.linalg.eig on the matrices that
tests/oracle.py stamps; G. C. Temes & J. W. LaPatra, Introduction to Circuit Synthesis and Design,
1977, from memory: natural frequencies of a network), those that reach the output; everything
else is measured on the solved response: slopes, ends, peaks and -3 dB edges (scipy.optimize).
Reasons have no figure to measure; they are certified when a problem is made.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from functools import cached_property

import numpy as np
import pytest
from rungwise.problems.circuits.altered import with_value
from rungwise.problems.circuits.model import Element, Kind, Ladder, Place, Stage, mapped
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.questions.kinds import kinds_of
from rungwise.problems.questions.model import Problem, Question, Rung, Task
from rungwise.problems.questions.values import texts
from rungwise.problems.questions.written import plain_truth
from rungwise.problems.sheets.documents import key_document, key_of
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Key, Plan, PlanSection, Series, Student
from rungwise.problems.sketches.model import Region
from rungwise.problems.sketches.read import read_gain, read_phase
from rungwise.problems.sketches.read_map import read_map
from scipy.linalg import eig
from scipy.optimize import brentq

from tests.support.extremes import extreme
from tests.support.oracle import Network, response

HALF = math.sqrt(0.5)


class Solved:
    """A circuit solved numerically, in frequencies and ohms near 1."""

    def __init__(self, ladder: Ladder) -> None:
        values = {e: float(e.value or 0) for e in ladder.elements()}
        ohms = mean([v for e, v in values.items() if e.kind is Kind.R])
        omegas = [
            ohms / v if e.kind is Kind.L else 1 / (ohms * v)
            for e, v in values.items()
            if e.kind.reactive
        ]
        self.omega = mean(omegas)
        factors = {Kind.R: 1 / ohms, Kind.L: self.omega / ohms, Kind.C: self.omega * ohms}
        self.scaled = mapped(
            ladder, lambda e: replace(e, value=Fraction(values[e] * factors[e.kind]))
        )

    def gain(self, w: float) -> complex:
        """H at a scaled angular frequency; beside it, exactly on an undamped resonance."""
        return complex(self.gains(np.array([w]))[0])

    def gains(self, grid: np.ndarray) -> np.ndarray:
        """H at scaled angular frequencies; beside them, exactly on an undamped resonance."""
        try:
            return self.network.response(grid / math.tau)
        except np.linalg.LinAlgError:
            return self.network.response(grid * (1 + 1e-9) / math.tau)

    @cached_property
    def network(self) -> Network:
        return Network(self.scaled)

    @cached_property
    def poles(self) -> list[complex]:
        """Scaled; only those that reach the output."""
        g, c, b = self.network.pencil()
        w, left, right = eig(-g, c, left=True, right=True, homogeneous_eigvals=True)
        out = np.zeros(len(b))
        out[self.network.output - 1] = 1
        found = []
        for k in range(w.shape[1]):
            if abs(w[1, k]) <= 1e-9 * abs(w[0, k]):
                continue
            weight = (out @ right[:, k]) * (left[:, k].conj() @ b)
            size = np.linalg.norm(right[:, k]) * np.linalg.norm(left[:, k])
            if abs(weight) > 1e-9 * size:
                found.append(complex(w[0, k] / w[1, k]))
        return found

    @cached_property
    def span(self) -> tuple[float, float]:
        sizes = [abs(p) for p in self.poles if abs(p) > 1e-9] or [1.0]
        return min(sizes) * 1e-4, max(sizes) * 1e4

    def slope(self, high: bool) -> int:
        """dB/decade at an end."""
        a, b = (self.span[1] / 10, self.span[1]) if high else (self.span[0], self.span[0] * 10)
        return 20 * round(math.log10(abs(self.gain(b)) / abs(self.gain(a))))

    def end(self, high: bool) -> float:
        return abs(self.gain(self.span[high]))

    def phase(self, high: bool) -> float:
        """Degrees at an end, whole turns apart."""
        value = self.gain(self.span[high])
        return math.degrees(math.atan2(value.imag, value.real))

    @cached_property
    def curve(self) -> tuple[np.ndarray, np.ndarray]:
        grid = np.geomspace(*self.span, 4001)
        return grid, np.abs(self.gains(grid))

    def extreme(self, sign: float) -> float:
        """Where the gain is greatest (sign −1) or least (1), looked for around the grid's."""
        return extreme(lambda w: abs(self.gain(w)), *self.curve, sign)

    def edges(self, reference: float) -> list[float]:
        """Scaled frequencies of the half-power gain."""
        grid, curve = self.curve

        def miss(x: float) -> float:
            return abs(self.gain(math.exp(x))) - reference * HALF

        signs = curve - reference * HALF
        places = np.flatnonzero(signs[:-1] * signs[1:] < 0)
        return [
            math.exp(brentq(miss, math.log(grid[k]), math.log(grid[k + 1]), xtol=1e-14))
            for k in places
        ]

    @property
    def type(self) -> str:
        low, high = self.slope(False), self.slope(True)
        if not self.poles:
            return "flat"
        if low > 0:
            return "band-pass" if high < 0 else "high-pass"
        if high < 0:
            return "low-pass"
        least = abs(self.gain(self.extreme(1)))
        return "notch" if least < 1e-6 * max(self.end(False), self.end(True)) else "other"

    @property
    def step(self) -> str:
        """What a response that passes both ends is called: a valley, or a step up or down."""
        low, high = self.end(False), self.end(True)
        if decibels(min(low, high) / abs(self.gain(self.extreme(1)))) > 1:
            return "lag-lead"
        names = ("lag", "lead") if len(self.poles) == 1 else ("shelf-down", "shelf-up")
        return names[low < high]

    @property
    def reference(self) -> float:
        match self.type:
            case "low-pass":
                return self.end(False)
            case "high-pass":
                return self.end(True)
            case "band-pass":
                return abs(self.gain(self.extreme(-1)))
        return max(self.end(False), self.end(True))


def mean(values: list[float]) -> float:
    return float(np.exp(np.mean(np.log(values)))) if values else 1.0


def decibels(ratio: float) -> float:
    return 20 * math.log10(ratio)


def quality(poles: list[complex]) -> float:
    return math.sqrt(float(np.prod(np.abs(poles)))) / abs(sum(p.real for p in poles))


def ends_of(ladder: Ladder) -> tuple[Element, Element]:
    assert ladder.source is not None and ladder.load is not None
    return ladder.source, ladder.load


def ringing_alone(ladder: Ladder) -> Ladder:
    """The resonator of a circuit, closed on itself: L, C and the loss in one loop."""
    parts = {e.kind: e for e in ladder.elements() if e not in ends_of(ladder)}
    assert set(parts) == set(Kind) and len(list(ladder.elements())) == len(parts) + 2
    return Ladder(
        (
            Stage(Place.SERIES, parts[Kind.L]),
            Stage(Place.SERIES, parts[Kind.R]),
            Stage(Place.SHUNT, parts[Kind.C]),
        )
    )


def nature(poles: list[complex]) -> str:
    if any(abs(p.imag) > 1e-6 * abs(p) for p in poles):
        return "complex"
    a, b = poles
    return "double" if abs(a - b) < 1e-5 * abs(a) else "real"


def formula(text: str, ladder: Ladder, s: complex) -> complex:
    """A formula of a key as Python reads it."""
    assert re.fullmatch(r"[A-Za-z0-9_+\-*/^(). ]+", text)
    names = {e.name: float(e.value or 0) for e in ladder.elements()}
    found = eval(text.replace("^", "**"), {"__builtins__": {}}, {**names, "s": s})
    return complex(found)


def near(found: float, truth: object, rel: float = 1e-4) -> bool:
    return bool(found == pytest.approx(float(str(truth)), rel=rel, abs=1e-9))


def agrees(problem: Problem, question: Question, solved: Solved) -> bool | None:
    """Whether the truth is what was solved; ``None`` where there is nothing to measure."""
    truth, hertz = question.truth, solved.omega / math.tau
    poles, zeros = len(solved.poles), len(solved.poles) + solved.slope(True) // 20
    match question.rung:
        case Rung.LOW_END | Rung.HIGH_END:
            blocked = (solved.slope(False) > 0) if question.rung is Rung.LOW_END else (
                solved.slope(True) < 0
            )  # fmt: skip
            return truth == ("blocked" if blocked else "passes")
        case Rung.TYPE:
            return truth == solved.type
        case Rung.POLES:
            return truth == poles
        case Rung.ZEROS:
            return truth == zeros
        case Rung.ORIGIN_ZEROS:
            return truth == solved.slope(False) // 20
        case Rung.LOW_SLOPE | Rung.HIGH_SLOPE:
            return truth == solved.slope(question.rung is Rung.HIGH_SLOPE)
        case Rung.LOW_PHASE | Rung.HIGH_PHASE:
            off = solved.phase(question.rung is Rung.HIGH_PHASE) - float(truth)
            return abs((off + 180) % 360 - 180) < 0.5
        case Rung.GAIN:
            return near(solved.reference, truth)
        case Rung.TRANSFER:
            probes = [0.3, 1.0, 3.7]
            exact = [
                formula(str(plain_truth(truth)), problem.ladder, 1j * w * solved.omega)
                for w in probes
            ]
            return bool(np.allclose(exact, [solved.gain(w) for w in probes], rtol=1e-6))
        case Rung.CORNER:
            return near(float(np.prod(np.abs(solved.poles))) ** (1 / poles) * hertz, truth)
        case Rung.CORNER_PHASE:
            corner = float(np.prod(np.abs(solved.poles))) ** (1 / poles)
            off = float(np.degrees(np.angle(solved.gain(corner)))) - float(truth)
            return abs((off + 180) % 360 - 180) < 1e-3
        case Rung.Q | Rung.LOADED_Q:
            return near(quality(solved.poles), truth)
        case Rung.UNLOADED_Q:
            return near(quality(Solved(ringing_alone(problem.ladder)).poles), truth)
        case Rung.INSERTION_LOSS:
            source, load = (float(e.value or 0) for e in ends_of(problem.ladder))
            peak = abs(solved.gain(solved.extreme(-1)))
            return near(decibels(load / (source + load) / peak), truth)
        case Rung.NOTCH_DEPTH:
            lower = min(solved.end(False), solved.end(True))
            return near(decibels(lower / abs(solved.gain(solved.extreme(1)))), truth)
        case Rung.SHELF_NAME:
            return truth == solved.step
        case Rung.POLE_NATURE:
            return truth == nature(solved.poles)
        case Rung.BANDWIDTH:
            edges = solved.edges(solved.reference)
            return near((edges[-1] - edges[0]) * hertz, truth)
        case Rung.LOWER_EDGE:
            return near(solved.edges(solved.reference)[0] * hertz, truth)
        case Rung.UPPER_EDGE:
            return near(solved.edges(solved.reference)[-1] * hertz, truth)
        case Rung.GAIN_SKETCH:
            gain = read_gain(str(plain_truth(truth)))
            return (gain.slopes[0], gain.slopes[-1]) == (solved.slope(False), solved.slope(True))
        case Rung.PHASE_SKETCH:
            phase = read_phase(str(plain_truth(truth)))
            offs = phase.start - solved.phase(False), phase.end - solved.phase(True)
            return all(abs((off + 180) % 360 - 180) < 0.5 for off in offs)
        case Rung.MAP_SKETCH:
            drawn = read_map(str(plain_truth(truth)))
            regions = Counter(
                Region.PAIR if abs(p.imag) > 1e-6 * abs(p) else Region.REAL for p in solved.poles
            )
            counted = {region: count for region, count in drawn.poles if count}
            same = counted == dict(regions)
            return same and sum(count for _, count in drawn.zeros) == zeros
        case Rung.NO_POLE:  # every part adds one if there are as many poles as parts
            return (truth == "each-adds") == (len(solved.poles) == len(problem.ladder.reactive()))
        case Rung.WHICH_CIRCUIT:
            fit = [
                choice.id
                for choice in question.choices
                if same_response(read_circuit(dict(texts(choice.values))["valued"]), problem.ladder)
            ]
            return fit == [truth]
        case Rung.MISSING_ARM:
            kinds = Counter(
                e.kind.value for e in problem.ladder.elements() if e.name in problem.blank
            )
            names = {"resistor": "R", "inductor": "L", "capacitor": "C"}
            return kinds == Counter(names.get(str(truth), "LC")) and solved.type in (
                dict(texts(question.values))["asked"], "flat"
            )  # fmt: skip
        case Rung.ELEMENT_VALUE | Rung.LEAST_VALUE | Rung.MOST_VALUE:
            return wanted(problem, question)
    return None


def wanted(problem: Problem, question: Question) -> bool:
    """Whether the circuit with the key's value has the corner or Q that was wanted."""
    values = dict(texts(question.values))
    solved = Solved(with_value(problem.ladder, values["element"], Fraction(float(question.truth))))
    omega = float(np.prod(np.abs(solved.poles))) ** (1 / len(solved.poles))
    fits = []
    if "q" in values:
        fits.append(near(omega / abs(sum(p.real for p in solved.poles)), values["q"]))
    # The corner falls as a capacitance or an inductance grows.
    key = {Rung.LEAST_VALUE: "f2", Rung.MOST_VALUE: "f1"}.get(question.rung, "f0")
    if key in values:
        hertz = float(read_quantity(values[key], "Hz").value)
        fits.append(near(omega * solved.omega / math.tau, hertz))
    return bool(fits) and all(fits)


def same_response(one: Ladder, other: Ladder) -> bool:
    solved = Solved(other)
    grid = np.geomspace(1e-2, 1e2, 41) * solved.omega / math.tau
    return bool(
        np.allclose(*(np.abs(response(x, grid)) for x in (one, other)), rtol=1e-5, atol=1e-9)
    )


QS = (Rung.UNLOADED_Q, Rung.LOADED_Q)
TANKS = ("tank-with-coil-loss", "series-resonator-with-coil-loss")
NOTCHES = ("series-notch-with-coil-loss", "shunt-notch-with-coil-loss")
STEPS = (
    "lag-network-with-inductor", "lead-network", "lead-network-with-inductor",
    "lag-lead-network", "shelf-up", "shelf-down",
)  # fmt: skip


def keys() -> list[Key]:
    """Keys of all tasks, as a teacher's files hold them."""
    plan = Plan(
        "Everything",
        11,
        (
            PlanSection(levels=(1, 2, 3), count=8, same_families=False),
            PlanSection(levels=(4, 5, 6), count=8, same_families=False, series=Series.E24),
            PlanSection(task=Task.SKETCH, count=4, same_families=False),
            PlanSection(task=Task.REVERSE, count=10, same_families=False),
            PlanSection(ask=(Rung.CORNER, Rung.CORNER_PHASE), count=6, same_families=False),
            PlanSection(levels=(5,), ask=(Rung.POLES, Rung.NO_POLE), count=6, same_families=False),
            PlanSection(families=TANKS, ask=(*QS, Rung.INSERTION_LOSS), count=4),
            PlanSection(families=NOTCHES, ask=(*QS, Rung.NOTCH_DEPTH), count=4),
            PlanSection(families=STEPS, ask=(Rung.SHELF_NAME,), count=6),
        ),
    )
    made = (draft(plan, Student(number)).variant.key for number in range(1, 5))
    return [key_of(json.loads(json.dumps(key_document(key)))) for key in made]


def test_every_key_agrees_with_an_independent_solve() -> None:
    checked: Counter[Rung] = Counter()
    for key in keys():
        for item in key.items:
            solved = Solved(item.problem.ladder)
            for question in item.problem.questions:
                found = agrees(item.problem, question, solved)
                place = (item.problem.family, item.problem.seed, question.rung, question.truth)
                assert found is None or bool(found), place
                checked[question.rung] += found is not None
    # What is predicted has witnesses of its own: tests/problems/questions.
    predicted = kinds_of(Task.PREDICT)
    measured = [r for r in Rung if not r.value.endswith("reason") and r not in predicted]
    unseen = [r for r in measured if not checked[r] and r not in (Rung.FED, Rung.INDEPENDENT)]
    assert unseen == []
    assert checked.total() > 600
