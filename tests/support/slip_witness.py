"""Whether the claims of slips' sentences are true, told without the project's own algebra.

Every claim of ``problems/slips/claims.py`` has a witness here that goes another way: natural
frequencies are eigenvalues of nodal equations (``tests/support/oracle.py``; scipy.linalg.eig),
what a part affects is seen by changing its value, opens and shorts are very large and very
small resistances, edges and peaks are looked for on the solved response, loops and cuts by the
rank of incidence matrices (Bryant, Proc. IEE 106C (1959)).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cached_property, lru_cache

import numpy as np
from rungwise.problems.circuits.altered import buffered
from rungwise.problems.circuits.model import (
    Arm,
    Element,
    Group,
    Joint,
    Kind,
    Ladder,
    Place,
    leaves,
    mapped,
)
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.questions.model import Form, Rung
from rungwise.problems.sketches.model import GainSketch, MapSketch, PhaseSketch, Region
from rungwise.problems.slips.claims import SlipClaim, SlipSaying
from scipy.linalg import eig
from scipy.optimize import brentq, minimize_scalar

from tests.support.extremes import extreme
from tests.support.oracle import Network, solve_at

HALF = math.sqrt(0.5)
SAME = 1e-6


def same(a: float, b: float, tolerance: float = SAME) -> bool:
    return abs(a - b) <= tolerance * max(abs(a), abs(b))


class Solved:
    """A circuit solved numerically, in frequencies and ohms near 1; answers are in Hz."""

    def __init__(self, ladder: Ladder) -> None:
        values = {e: float(e.value or 0) for e in ladder.elements()}
        ohms = _mean([v for e, v in values.items() if e.kind is Kind.R])
        self.omega = _mean(
            [
                ohms / v if e.kind is Kind.L else 1 / (ohms * v)
                for e, v in values.items()
                if e.kind.reactive
            ]
        )
        factors = {Kind.R: 1 / ohms, Kind.L: self.omega / ohms, Kind.C: self.omega * ohms}
        self.ladder = mapped(
            ladder, lambda e: replace(e, value=Fraction(values[e] * factors[e.kind]))
        )
        self.network = Network(self.ladder)
        self.g, self.c, self.b = self.network.pencil()
        self.names = [e.name for e in ladder.elements()]
        self.hz = self.omega / math.tau
        self.out = np.zeros(len(self.b))
        self.out[self.network.output - 1] = 1

    # the solved equations

    def state(self, w: float) -> np.ndarray:
        return solve_at(self.g, self.c, self.b, np.array([w]))[0]

    def at(self, w: float) -> complex:
        try:
            return complex(self.out @ self.state(w))
        except np.linalg.LinAlgError:
            return self.at(w * (1 + 1e-9))

    def at_hz(self, hertz: float) -> complex:
        return self.at(hertz / self.hz)

    def current(self, name: str, w: float) -> complex:
        """Through a part, from its first node to its second."""
        kind, a, z, value = self.network.parts[self.names.index(name)]
        x = self.state(w)
        across = self._node(x, a) - self._node(x, z)
        s = 1j * w
        return across * {Kind.R: 1 / value, Kind.C: s * value, Kind.L: 1 / (s * value)}[kind]

    @staticmethod
    def _node(x: np.ndarray, node: int) -> complex:
        return complex(x[node - 1]) if node else 0j

    def stray(self, w: float) -> float:
        """What current leaves for ground elsewhere than at the output, over the output's."""
        x = self.state(w)
        out = self._node(x, self.network.output)
        ends = {
            k
            for k in range(2, self.network.count)
            if abs(self._node(x, k) - out) <= 1e-6 * abs(out)
        }
        inner = _within(self.network, ends)
        elsewhere = at_output = 0.0
        for name, (_, a, z, _) in zip(self.names, self.network.parts, strict=True):
            if 0 not in (a, z) or max(a, z) == 1:
                continue  # across an ideal source a current is nobody's loss
            flows = abs(self.current(name, w))
            if max(a, z) in ends or max(a, z) in inner:
                at_output += flows
            else:
                elsewhere += flows
        return elsewhere / max(at_output, 1e-30)

    # poles and zeros

    @cached_property
    def _modes(self) -> tuple[list[complex], list[complex]]:
        w, left, right = eig(-self.g, self.c, left=True, right=True, homogeneous_eigvals=True)
        seen: list[complex] = []
        unseen: list[complex] = []
        for k in range(w.shape[1]):
            if abs(w[1, k]) <= 1e-9 * abs(w[0, k]):
                continue
            weight = (self.out @ right[:, k]) * (left[:, k].conj() @ self.b)
            size = np.linalg.norm(right[:, k]) * np.linalg.norm(left[:, k])
            pole = complex(w[0, k] / w[1, k])
            (seen if abs(weight) > 1e-9 * size else unseen).append(pole)
        return seen, unseen

    @property
    def poles(self) -> list[complex]:
        return sorted(self._modes[0], key=abs)

    @cached_property
    def zeros(self) -> list[complex]:
        """Finite zeros of the transfer: where the source gives nothing at the output."""
        size = len(self.b)
        a, e = np.zeros((size + 1, size + 1)), np.zeros((size + 1, size + 1))
        a[:size, :size], e[:size, :size] = -self.g, self.c
        a[:size, size] = self.b
        a[size, :size] = self.out
        w = eig(a, e, right=False, homogeneous_eigvals=True)
        found = [complex(w[0, k] / w[1, k]) for k in range(w.shape[1]) if _finite(w[:, k])]
        for mode in self._modes[1]:  # what does not reach the output is both
            if found:
                near = min(found, key=lambda z: abs(z - mode))
                if abs(near - mode) < 1e-4 * (abs(mode) + 1e-3):
                    found.remove(near)
        return found

    @property
    def order(self) -> int:
        return len(self.poles)

    @property
    def f0(self) -> float:
        size = math.prod(abs(p) for p in self.poles)
        return (size if self.order == 1 else math.sqrt(size)) * self.hz

    @property
    def q(self) -> float:
        one, other = self.poles
        return math.sqrt(abs(one * other)) / abs(one + other)

    # what is seen on the response

    @cached_property
    def span(self) -> tuple[float, float]:
        sizes = [abs(p) for p in (*self.poles, *self.zeros) if abs(p) > 1e-6] or [1.0]
        return min(sizes) * 1e-4, max(sizes) * 1e4

    def slope(self, *, high: bool) -> int:
        a, b = (self.span[1] / 10, self.span[1]) if high else (self.span[0], self.span[0] * 10)
        return round(math.log10(abs(self.at(b)) / abs(self.at(a))))

    def end(self, *, high: bool) -> float:
        return abs(self.at(self.span[high]))

    @property
    def at_origin(self) -> int:
        return self.slope(high=False)

    @property
    def zero_count(self) -> int:
        """A ladder's zeros are as many as the poles less what the far end falls by."""
        return self.order + self.slope(high=True)

    @cached_property
    def curve(self) -> tuple[np.ndarray, np.ndarray]:
        low, high = self.span
        grid = np.geomspace(low * 1.0137, high * 1.0271, 3001)  # beside round ratios
        try:
            return grid, np.abs(solve_at(self.g, self.c, self.b, grid) @ self.out)
        except np.linalg.LinAlgError:
            return grid, np.array([abs(self.at(w)) for w in grid])

    def extreme(self, sign: float) -> float:
        """Where the gain is greatest (sign −1) or least (1)."""
        return extreme(lambda w: abs(self.at(w)), *self.curve, sign)

    @cached_property
    def nulls(self) -> list[float]:
        """Where the gain vanishes between the ends: next to the place there is some."""
        grid, curve = self.curve
        dips = np.flatnonzero((curve[1:-1] < curve[:-2]) & (curve[1:-1] < curve[2:])) + 1
        found = []
        for k in dips:
            best = minimize_scalar(
                lambda x: abs(self.at(math.exp(x))),
                bounds=(math.log(grid[k - 1]), math.log(grid[k + 1])),
                method="bounded",
                options={"xatol": 1e-14},
            )
            if best.fun < 1e-5 * abs(self.at(math.exp(best.x) * 1.05)):
                found.append(math.exp(best.x))
        return found

    @cached_property
    def type(self) -> str:
        """By the rule of the trade: an end is passed, blocked or neither against the lines."""
        if not self.order:
            return "flat"
        low, high = self.ends
        if low == high == "passed":
            least = min(abs(self.at(self.extreme(1))), self.end(high=False))
            pair = any(abs(z.imag) > 1e-6 * abs(z) for z in self.zeros)
            return "notch" if pair and least <= 0.1 * self.end(high=False) else "other"
        return {
            ("passed", "blocked"): "low-pass",
            ("blocked", "passed"): "high-pass",
            ("blocked", "blocked"): "band-pass",
        }.get((low, high), "other")

    @cached_property
    def ends(self) -> tuple[str, str]:
        levels = [0.0 if self.slope(high=h) else self.end(high=h) for h in (False, True)]
        highest = max(levels)
        for root in (*self.poles, *self.zeros):
            if abs(root) > 1e-6:
                highest = max(highest, self._line(abs(root)))
        low, high = (_state(level / highest) for level in levels)
        return low, high

    def _line(self, w: float) -> float:
        """The straight-line gain at a frequency, from the level it has far below it."""
        start = self.span[0]
        level = self.end(high=False) * (w / start) ** self.at_origin
        for roots, sign in ((self.zeros, 1), (self.poles, -1)):
            for root in roots:
                if 1e-6 < abs(root) < w:
                    level *= (w / abs(root)) ** sign
        return level

    @property
    def level(self) -> float:
        """The gain of the pass band."""
        match self.type:
            case "low-pass" | "flat":
                return self.end(high=False)
            case "high-pass":
                return self.end(high=True)
            case "notch":
                return max(self.end(high=False), self.end(high=True))
        return abs(self.at(self.extreme(-1)))

    def crossings(self, level: float) -> list[float]:
        """Frequencies in Hz of a gain."""
        grid, curve = self.curve
        signs = curve - level
        places = np.flatnonzero(signs[:-1] * signs[1:] < 0)

        def miss(x: float) -> float:
            return abs(self.at(math.exp(x))) - level

        return [
            self.hz * math.exp(brentq(miss, math.log(grid[k]), math.log(grid[k + 1]), xtol=1e-14))
            for k in places
        ]

    @property
    def edges(self) -> list[float]:
        return self.crossings(self.level * HALF)


class Across(Solved):
    """A circuit whose output is the voltage across some of its parts, in series with each other."""

    def __init__(self, ladder: Ladder, names: Iterable[str]) -> None:
        super().__init__(ladder)
        self.out = np.zeros(len(self.b))
        for name in names:
            _, a, z, _ = self.network.parts[self.names.index(name)]
            for node, sign in ((a, 1), (z, -1)):
                if node:
                    self.out[node - 1] += sign


def _mean(values: list[float]) -> float:
    if not values:
        return 1.0
    return math.exp(sum(map(math.log, values)) / len(values))


def _finite(pair: np.ndarray) -> bool:
    return abs(pair[1]) > 1e-9 * abs(pair[0])


def _state(share: float) -> str:
    return "passed" if share >= 0.5 - 1e-6 else "blocked" if share <= 0.1 + 1e-6 else "between"


def _within(network: Network, ends: set[int]) -> set[int]:
    """Nodes that lead to ground and to the output alone: inside an arm across the output."""
    inner: set[int] = set()
    driven = {1, *(b for pair in network.buffers for b in pair)}
    for node in range(2, network.count):
        if node in ends or node in driven:
            continue
        reached, todo = {node}, [node]
        while todo:
            here = todo.pop()
            for _, a, z, _ in network.parts:
                for one, other in ((a, z), (z, a)):
                    if one == here and other not in (0, *ends, *reached):
                        reached.add(other)
                        todo.append(other)
        if not reached & driven:
            inner |= reached
    return inner


@lru_cache(maxsize=512)
def solved(ladder: Ladder) -> Solved:
    return Solved(ladder)


def changed(ladder: Ladder, factors: dict[str, float]) -> Ladder:
    """The circuit with the values of some parts multiplied."""

    def change(element: Element) -> Element:
        if element.name not in factors or element.value is None:
            return element
        return replace(element, value=element.value * Fraction(factors[element.name]))

    return mapped(ladder, change)


def resisting(ladder: Ladder, ohms: dict[str, float]) -> Ladder:
    """The circuit with some parts as resistances."""

    def change(element: Element) -> Element:
        if element.name not in ohms:
            return element
        return Element(Kind.R, f"R_{element.name}", Fraction(ohms[element.name]))

    return mapped(ladder, change)


PLACES = np.geomspace(1e-3, 1e3, 13) * 1.0173


@lru_cache(maxsize=2048)
def unmoved(ladder: Ladder, other: Ladder) -> bool:
    """Whether two circuits have one response."""
    known = solved(ladder)
    middle = math.exp(sum(math.log(abs(p)) for p in known.poles) / max(1, known.order))
    hertz = PLACES * middle * known.hz
    here, there = (np.array([solved(c).at_hz(f) for f in hertz]) for c in (ladder, other))
    return bool(np.all(np.abs(here - there) <= 1e-7 * np.abs(here)))


def _joined(ladder: Ladder, one: str, other: str) -> Iterator[bool]:
    """Whether the response depends on two parts by their sum; by their parallel connection."""
    values = {e.name: float(e.value or 0) for e in ladder.elements()}
    a, b = values[one], values[other]
    step = 0.3 * min(a, b)
    yield unmoved(ladder, changed(ladder, {one: (a + step) / a, other: (b - step) / b}))
    ya, yb = 1 / a, 1 / b
    step = 0.3 * min(ya, yb)
    yield unmoved(ladder, changed(ladder, {one: ya / (ya + step), other: yb / (yb - step)}))


def combine(ladder: Ladder, one: str, other: str) -> bool:
    """Whether two parts of a kind, both of which matter, act as one."""
    if one[0] != other[0] or one == other:
        return False
    return any(_joined(ladder, one, other)) and moves(ladder, one) and moves(ladder, other)


def moves(ladder: Ladder, name: str) -> bool:
    return not unmoved(ladder, changed(ladder, {name: 3.0}))


def _poles_unmoved(ladder: Ladder, other: Ladder) -> bool:
    one, two = ([p * solved(c).hz for p in solved(c).poles] for c in (ladder, other))
    return len(one) == len(two) and all(min(abs(a - b) for b in two) <= 1e-5 * abs(a) for a in one)


def _in_f0(ladder: Ladder, name: str) -> bool:
    return not same(solved(ladder).f0, solved(changed(ladder, {name: 2.0})).f0)


def _in_q(ladder: Ladder, name: str) -> bool:
    return not same(solved(ladder).q, solved(changed(ladder, {name: 2.0})).q)


def _rank(edges: Iterable[tuple[int, int]], nodes: int) -> int:
    rows = []
    for a, z in edges:
        row = np.zeros(nodes)
        row[a] += 1
        row[z] -= 1
        rows.append(row)
    return int(np.linalg.matrix_rank(np.array(rows))) if rows else 0


class Claimed:
    """One sentence about to be judged: the circuit solved, and the parts it names."""

    def __init__(self, said: SlipSaying) -> None:
        self.said = said
        self.ladder = said.case.ladder
        self.kinds = [e.kind for e in self.ladder.elements()]
        self.all = {e.name: e for e in self.ladder.elements()}

    @property
    def known(self) -> Solved:
        return solved(self.ladder)

    def named(self, key: str) -> list[str]:
        text = self.said.filled.get(key, "")
        return [n for n in self.all if re.search(rf"(?<!\w){re.escape(n)}(?!\w)", text)]

    def resistors(self) -> list[str]:
        return [n for n, e in self.all.items() if e.kind is Kind.R]

    def of_kind(self, kind: Kind) -> list[str]:
        return [n for n, e in self.all.items() if e.kind is kind]

    def matters(self, name: str) -> bool:
        return moves(self.ladder, name)

    def flows(self, name: str) -> bool:
        known = self.known
        return any(abs(known.current(name, w)) > 1e-9 for w in (0.037, 1.13, 31.0))

    def edges(self) -> list[tuple[Kind, int, int]]:
        return [(kind, a, z) for kind, a, z, _ in self.known.network.parts]

    def fixed(self) -> list[tuple[int, int]]:
        """What holds its voltage: the source, and every buffer's output."""
        return [(1, 0), *((driven, 0) for _, driven in self.known.network.buffers)]

    def looped(self, name: str) -> bool:
        """Whether capacitors and sources alone make a loop with this one."""
        nodes = self.known.network.count
        mine = list(self.all).index(name)
        rest = [
            (a, z) for k, (kind, a, z) in enumerate(self.edges()) if kind is Kind.C and k != mine
        ] + self.fixed()
        whole = [*rest, self.edges()[mine][1:]]
        return self.all[name].kind is Kind.C and _rank(rest, nodes) == _rank(whole, nodes)

    def cuts(self, name: str) -> bool:
        """Whether without the inductors this one alone joins two halves."""
        nodes = self.known.network.count
        mine = list(self.all).index(name)
        rest = [(a, z) for kind, a, z in self.edges() if kind is not Kind.L] + self.fixed()
        whole = [*rest, self.edges()[mine][1:]]
        return self.all[name].kind is Kind.L and _rank(rest, nodes) < _rank(whole, nodes)

    def arms(self, ladder: Ladder | None = None) -> list[tuple[Place, list[Arm]]]:
        """Neighbouring stages of one place together, of those that affect the output."""
        found: list[tuple[Place, list[Arm]]] = []
        circuit = ladder or self.ladder
        for stage in circuit.stages:
            if stage.arm is None:
                found.append((Place.BUFFER, []))
            elif any(moves(circuit, e.name) for e in leaves(stage.arm)):
                if found and found[-1][0] is stage.place:
                    found[-1][1].append(stage.arm)
                else:
                    found.append((stage.place, [stage.arm]))
        return [arm for arm in found if arm[1]]

    def resonant(self, ladder: Ladder | None = None) -> bool:
        """Whether an arm has an L and a C."""
        kinds = [{e.kind for part in parts for e in leaves(part)} for _, parts in self.arms(ladder)]
        return any({Kind.L, Kind.C} <= found for found in kinds)

    def grounded(self, key: str) -> bool:
        """Whether the parts named lead to ground."""
        names = list(self.all)
        return any(0 in self.edges()[names.index(n)][1:] for n in self.named(key))

    def arm_of(self, key: str) -> tuple[Place, Arm]:
        """The arm that the parts named make, neighbours of its place included."""
        names = set(self.named(key))
        for place, parts in self.arms():
            if names & {e.name for part in parts for e in leaves(part)}:
                arm = parts[0] if len(parts) == 1 else Group(place.joint, tuple(parts))
                return place, arm
        raise AssertionError(f"no arm of {names}")

    def impedance(self, key: str, hertz: float) -> complex:
        return _impedance(self.arm_of(key)[1], 1j * math.tau * hertz)

    def opens(self, key: str, *, low: bool) -> bool:
        """Whether the impedance grows without bounds towards an end."""
        far = self.known.span[not low] * self.known.hz * (1e-3 if low else 1e3)
        near = far * (10 if low else 0.1)
        return abs(self.impedance(key, far)) > 5 * abs(self.impedance(key, near))

    def rises(self) -> bool:
        return self.known.end(high=True) > self.known.end(high=False)

    def at_low(self) -> bool:
        return self.said.case.rung in (Rung.LOW_END, Rung.LOW_END_REASON)

    # the pass band, redrawn with resistances

    def redrawn(self) -> Ladder | None:
        """The circuit with L and C as very small or large resistances, as in its pass band."""
        ohms = _mean([float(e.value or 1) for e in self.all.values() if e.kind is Kind.R])
        tiny, huge = ohms * 1e-7, ohms * 1e7
        match self.known.type:
            case "low-pass" | "flat" | "notch":
                of = {Kind.C: huge, Kind.L: tiny}
            case "high-pass":
                of = {Kind.C: tiny, Kind.L: huge}
            case "band-pass" if self.scales(2.0) is not None:
                each = tiny if self.scales(2.0) == "series" else huge
                of = {Kind.C: each, Kind.L: each}
            case _:
                return None
        parts = {n: of[e.kind] for n, e in self.all.items() if e.kind.reactive}
        return resisting(self.ladder, parts)

    def divides(self) -> bool:
        drawn = self.redrawn()
        if drawn is None:
            return False
        share = abs(solved(drawn).at(1.0))
        return share < 1 - 1e-5 and same(share, self.known.level, 1e-4)

    def scales(self, factor: float) -> str | None:
        """How Q goes with all resistances while f0 stays: "series", "parallel" or neither."""
        if self.known.order != 2:
            return None
        other = solved(changed(self.ladder, dict.fromkeys(self.resistors(), factor)))
        if not same(self.known.f0, other.f0):
            return None
        if same(other.q * factor, self.known.q):
            return "series"
        return "parallel" if same(other.q, self.known.q * factor) else None

    def root_of(self, names: list[str]) -> bool:
        """Whether four times those values halve f0."""
        other = solved(changed(self.ladder, dict.fromkeys(names, 4.0)))
        return bool(names) and same(other.f0 * 2, self.known.f0)

    def acts_as(self, key: str, joint: int) -> bool:
        """Whether the poles depend on the resistances by their sum (0), or as in parallel (1)."""
        names = self.named(key)
        if len(names) < 2:
            return False
        values = {n: float(self.all[n].value or 0) for n in names}
        one, *others = names
        for other in others:
            a, b = values[one], values[other]
            if joint:
                a, b = 1 / a, 1 / b
            step = 0.3 * min(a, b)
            ratios = {one: (a + step) / a, other: (b - step) / b}
            if joint:
                ratios = {n: 1 / r for n, r in ratios.items()}
            if not _poles_unmoved(self.ladder, changed(self.ladder, ratios)):
                return False
            if _poles_unmoved(self.ladder, changed(self.ladder, {one: 2.0})):
                return False
        return True

    # the answer

    @cached_property
    def figure(self) -> float:
        if self.said.case.rung is Rung.CORNER_REASON:
            choice = next(c for c in self.said.case.question.choices if c.id == self.said.answer)
            letters = {n: float(e.value or 0) for n, e in self.all.items()}
            return evaluate(dict(choice.values)["formula"], letters).real  # type: ignore[arg-type]
        assert isinstance(self.said.answer, int | float)
        return float(self.said.answer)

    @property
    def truth(self) -> float:
        if self.said.case.rung is Rung.CORNER_REASON:
            return self.known.f0
        truth = self.said.case.question.truth
        assert isinstance(truth, int | float)
        return float(truth)

    def asks(self, figure: float) -> bool:
        sketched = self.said.case.question.form is Form.SKETCH
        return sketched or same(self.truth, figure, 1e-5)

    def is_one(self, *figures: float, tolerance: float = 1e-5) -> bool:
        return any(same(self.figure, f, tolerance) for f in figures)

    def off(self) -> float:
        """Powers of ten between the answer and the truth, of a sketch's first frequency."""
        match self.said.answer, self.said.case.question.truth:
            case GainSketch() as drawn, GainSketch() as right:
                return math.log10(drawn.breaks[0] / right.breaks[0])
            case PhaseSketch() as drawn, PhaseSketch() as right:
                return math.log10(drawn.turns[0][0] / right.turns[0][0])
        return math.log10(self.figure / self.truth)

    def chosen(self) -> Ladder:
        choice = next(c for c in self.said.case.question.choices if c.id == self.said.answer)
        found = dict(choice.values)["valued"]
        assert isinstance(found, Ladder)
        return found

    def element(self) -> str:
        return str(dict(self.said.case.question.values)["element"])


def _impedance(arm: Arm, s: complex) -> complex:
    if isinstance(arm, Element):
        value = float(arm.value or 0)
        return {Kind.R: value + 0j, Kind.L: s * value, Kind.C: 1 / (s * value)}[arm.kind]
    parts = [_impedance(part, s) for part in arm.parts]
    if arm.joint is Joint.SERIES:
        return sum(parts)
    if not all(parts):
        return 0j  # a short beside anything
    admittance = sum(1 / z for z in parts)
    return 1 / admittance if admittance else complex(1e300)


def _stores(c: Claimed, name: str) -> bool:
    """Whether with the part, and what combines with it, as resistances a pole is gone."""
    kin = [n for n in c.of_kind(c.all[name].kind) if n == name or combine(c.ladder, n, name)]
    ohms = _mean([float(e.value or 1) for e in c.all.values() if e.kind is Kind.R])
    return solved(resisting(c.ladder, dict.fromkeys(kin, ohms * 1.7))).order < c.known.order


def _store_apart(c: Claimed, two: set[str]) -> bool:
    """Whether the two alone, with every other part a resistance, have two natural frequencies."""
    others = [n for n, e in c.all.items() if e.kind.reactive and n not in two]
    ohms = _mean([float(e.value or 1) for e in c.all.values() if e.kind is Kind.R])
    circuit = solved(resisting(c.ladder, {n: ohms * (1.7 + k) for k, n in enumerate(others)}))
    return len(two) == 2 and sum(map(len, circuit._modes)) == 2


def _null_of(c: Claimed, key: str) -> bool:
    """Whether the output vanishes where the arm opens, in series, or shorts, in shunt."""
    place, _ = c.arm_of(key)
    for null in c.known.nulls:
        where = null * c.known.hz
        here = abs(c.impedance(key, where)) / abs(c.impedance(key, where * 1.3))
        if here > 1e3 if place is Place.SERIES else here < 1e-3:
            return True
    return False


def _no_picture(c: Claimed) -> bool:
    """Whether at f0 every arm's impedance is of the size of its parts."""
    s = 2j * math.pi * c.known.f0
    for place, parts in c.arms():
        arm = parts[0] if len(parts) == 1 else Group(place.joint, tuple(parts))
        sizes = [abs(_impedance(e, s)) for e in leaves(arm)]
        size = abs(_impedance(arm, s))
        if not 1e-3 * min(sizes) < size < 1e3 * max(sizes):
            return False
    return True


def _cross(c: Claimed) -> bool:
    apart = buffered(c.ladder)
    if apart is None:
        return False
    other = solved(apart)
    return other.order == 2 and same(other.f0, c.known.f0, 1e-5) and other.q > c.known.q


def _output_resistive(c: Claimed) -> bool:
    last = c.arms()[-1] if c.arms() else None
    kinds = {e.kind for part in last[1] for e in leaves(part)} if last else set()
    across = kinds if last and last[0] is Place.SHUNT else set()
    return across <= {Kind.R} and bool(across or c.ladder.load)


def _one_way(c: Claimed, ladder: Ladder | None) -> bool:
    """Whether all that leaves for ground does so at the output, in one section."""
    return ladder is not None and not c.known.network.buffers and solved(ladder).stray(1.0) < 1e-5


_STEPS = {True: ("lead", "shelf-up"), False: ("lag", "shelf-down")}

S = SlipClaim
WITNESSES: dict[SlipClaim, Callable[[Claimed], bool]] = {
    S.INDUCTOR: lambda c: Kind.L in c.kinds,
    S.CAPACITOR: lambda c: Kind.C in c.kinds,
    S.NO_INDUCTOR: lambda c: Kind.L not in c.kinds,
    S.NO_CAPACITOR: lambda c: Kind.C not in c.kinds,
    S.RESISTANCE: lambda c: Kind.R in c.kinds,
    S.TERMINATED: lambda c: (
        1 not in {n for k, a, z in c.edges()[1:] for n in (a, z)}
        and c.kinds[0] is Kind.R
        and c.ladder.load is not None
    ),
    S.LOADED: lambda c: c.ladder.load is not None and c.matters(c.ladder.load.name),
    S.BUFFER: lambda c: bool(c.known.network.buffers),
    S.NO_BUFFER: lambda c: not c.known.network.buffers,
    # Each of the two poles is one part's alone.
    S.BUFFER_BETWEEN: lambda c: (
        bool(c.known.network.buffers and c.of_kind(Kind.L) and c.of_kind(Kind.C)) and _apart(c)
    ),
    S.DIFFERENT_ARMS: lambda c: not c.resonant(),
    S.RESONANT_ARM: lambda c: c.resonant(),
    S.ACROSS_SOURCE: lambda c: all(
        not c.matters(n) and c.flows(n) for n in c.named("names")
    ),
    S.NO_CURRENT: lambda c: not any(c.matters(n) or c.flows(n) for n in c.named("names")),
    S.COMBINE: lambda c: all(
        combine(c.ladder, n, c.named("partner")[0]) for n in c.named("names")
    ),
    S.TIED_BY_LOOP: lambda c: all(map(c.looped, c.named("names"))),
    S.TIED_BY_CUT: lambda c: all(map(c.cuts, c.named("names"))),
    S.FREE: lambda c: all(
        c.matters(n)
        and not c.looped(n)
        and not c.cuts(n)
        and not any(combine(c.ladder, n, o) for o in c.all)
        for n in c.named("names")
    ),
    S.LEADS_ON: lambda c: all(c.flows(n) and c.matters(n) for n in c.named("names")),
    S.HAS_A_SAY: lambda c: all(map(c.matters, c.named("names"))),
    S.NOT_ONE: lambda c: not combine(c.ladder, *c.named("a"), *c.named("b")),
    S.BOTH_STORE: lambda c: _store_apart(c, {*c.named("a"), *c.named("b")}),
    S.ADDS_NO_POLE: lambda c: not any(_stores(c, n) for n in c.named("names")),
    S.ALIKE: lambda c: (
        len(c.named("elements")) > 1 and len({n[0] for n in c.named("elements")}) == 1
    ),
    S.SOURCE_MATTERS: lambda c: all(map(c.matters, c.named("source"))),
    S.OTHERS_IN_Q: lambda c: all(_in_q(c.ladder, n) for n in c.named("others")),
    S.ENDS_IN_Q: lambda c: all(_in_q(c.ladder, n) for n in c.named("ends")),
    S.LOSSES_IN_Q: lambda c: all(_in_q(c.ladder, n) for n in c.named("losses")),
    S.RESISTANCE_NOT_IN_F0: lambda c: not any(
        _in_f0(c.ladder, n) for n in c.named("resistance")
    ),
    S.RESISTANCE_IN_Q: lambda c: all(_in_q(c.ladder, n) for n in c.named("resistance")),
    S.IN_PARALLEL: lambda c: c.acts_as("resistances", 1),
    S.IN_SERIES: lambda c: c.acts_as("resistances", 0),
    S.ARM_IN_SHUNT: lambda c: c.grounded("arm"),
    S.ARM_IN_SERIES: lambda c: bool(c.named("arm")) and not c.grounded("arm"),
    S.ARM_OPEN: lambda c: c.opens("arm", low=c.at_low()),
    S.ARM_OPEN_AT_DC: lambda c: c.opens("arm", low=True),
    S.ARM_MAKES_NULL: lambda c: _null_of(c, "arm"),
    S.COMPANION_JOINED: lambda c: any(
        any(_joined(c.ladder, c.element(), n)) for n in c.named("companion")
    ),
    S.CHOSEN_IDLE: lambda c: any(
        not moves(c.chosen(), e.name) for e in c.chosen().elements()
    ),
    S.CHOSEN_RESONATES: lambda c: c.resonant(c.chosen()),
    S.ELEMENT_REACTIVE: lambda c: c.element()[0] in "LC",
    S.ELEMENT_UNDER_ROOT: lambda c: c.root_of([c.element()]),
    S.ONE_POLE: lambda c: c.known.order == 1,
    S.TWO_POLES: lambda c: c.known.order == 2,
    S.COMPLEX_PAIR: lambda c: any(abs(p.imag) > 1e-3 * abs(p) for p in c.known.poles),
    S.NO_COMPLEX: lambda c: all(abs(p.imag) < 1e-3 * abs(p) for p in c.known.poles),
    S.REAL_APART: lambda c: _real(c) and not same(*map(abs, c.known.poles), 1e-3),
    S.DOUBLE_POLE: lambda c: c.known.order == 2 and same(c.known.q, 0.5, 1e-9),
    S.ORIGIN_ZEROS: lambda c: c.known.at_origin > 0,
    S.AXIS_ZEROS: lambda c: bool(c.known.nulls),
    S.FINITE_ZEROS: lambda c: c.known.zero_count > 0,
    S.FEWER_ZEROS: lambda c: c.known.slope(high=True) < 0,
    S.STABLE: lambda c: all(p.real < 0 for p in c.known.poles),
    S.LEFT_ZEROS: lambda c: all(z.real < 1e-6 * max(1e-3, abs(z)) for z in c.known.zeros),
    S.PAIR_IN_SERIES: lambda c: c.scales(2.0) == "series" and _both_under_root(c),
    S.PAIR_IN_PARALLEL: lambda c: c.scales(2.0) == "parallel" and _both_under_root(c),
    S.TRUE_JOINT: lambda c: c.scales(2.0) == c.said.filled["true"],
    S.RESONANCE: lambda c: (
        len(c.of_kind(Kind.L)) == len(c.of_kind(Kind.C)) == 1
        and c.known.order == 2
        and not _apart(c)
    ),
    S.NO_R_IN_F0: lambda c: not any(_in_f0(c.ladder, n) for n in c.resistors()),
    S.R_IN_F0: lambda c: any(_in_f0(c.ladder, n) for n in c.resistors()),
    S.ALL_R_IN_Q: lambda c: all(_in_q(c.ladder, n) for n in c.resistors()),
    S.PRODUCT_IN_F0: lambda c: _both_under_root(c),
    S.PLAIN_SHAPE: lambda c: c.known.order > 0 and (
        (c.known.slope(high=True) == -c.known.order and c.known.at_origin == 0)
        or (c.known.slope(high=True) == 0 and c.known.at_origin == c.known.order)
    ),
    S.BUTTERWORTH_AT_MOST: lambda c: 0.5 < c.known.q <= HALF * (1 + 1e-9),
    S.EDGES_ABOUT_F0: lambda c: (
        len(c.known.edges) == 2 and same(math.prod(c.known.edges), c.known.f0**2, 1e-5)
    ),
    S.BAND_IS_F0_OVER_Q: lambda c: (
        len(c.known.edges) == 2
        and c.known.type in ("band-pass", "notch")
        and same(c.known.edges[1] - c.known.edges[0], c.known.f0 / c.known.q, 1e-4)
    ),
    S.CROSS_TERM: _cross,
    S.HIGH_PASS: lambda c: c.known.type == "high-pass",
    S.BAND_PASS: lambda c: c.known.type == "band-pass",
    S.NOTCH: lambda c: c.known.type == "notch",
    S.FLAT: lambda c: c.known.type == "flat",
    S.ENDS_IN_PHASE: lambda c: c.known.slope(high=True) == 0,
    S.END_PASSES: lambda c: c.known.slope(high=not c.at_low()) == 0,
    S.ONE_END_BLOCKED: lambda c: c.known.ends.count("blocked") == 1,
    S.BOTH_BLOCKED: lambda c: c.known.ends == ("blocked", "blocked"),
    S.BOTH_PASS: lambda c: c.known.ends == ("passed", "passed"),
    S.LOWER_END_BELOW: lambda c: min(c.known.end(high=h) for h in (False, True)) < 1 - 1e-7,
    S.BELOW_SOURCE: lambda c: c.known.level < 1 - 1e-7,
    S.DIVIDER_AT_END: lambda c: c.known.type != "band-pass" and c.divides(),
    S.DIVIDER_AT_F0: lambda c: c.known.type == "band-pass" and c.divides(),
    S.ONE_SERIES_LIMB: lambda c: _one_way(c, c.redrawn()),
    S.NO_PICTURE_AT_F0: _no_picture,
    S.ONE_DIVIDER: lambda c: _one_way(c, c.ladder),
    S.OUTPUT_ACROSS_R: _output_resistive,
    S.F0_IS_ASKED: lambda c: c.known.order == 2 and c.asks(c.known.f0),
    S.Q_IS_ASKED: lambda c: c.asks(c.known.q),
    S.GAIN_AT_F0_IS_ASKED: lambda c: c.asks(abs(c.known.at_hz(c.known.f0))),
    S.DEGREE_IS_ASKED: lambda c: c.asks(c.known.order),
    S.NUMERATOR_IS_ASKED: lambda c: c.asks(
        c.known.at_origin if c.said.case.rung is Rung.ORIGIN_ZEROS else c.known.zero_count
    ),
    S.COUNTS_ARE_ASKED: lambda c: c.asks(20 * c.known.slope(high=True)),
    S.WHOLE_PREFIXES: lambda c: abs(c.off() - round(c.off())) < 1e-3 and round(c.off()) != 0,
    S.HALF_PREFIXES: lambda c: abs(abs(c.off() - math.floor(c.off())) - 0.5) < 1e-3,
    S.OVER_TWO_PI_TRUE: lambda c: c.is_one(c.truth * math.tau),
    S.TIMES_TWO_PI_TRUE: lambda c: c.is_one(c.truth / math.tau),
    S.RECIPROCAL_TRUE: lambda c: c.is_one(1 / c.truth),
    S.TWICE_TRUE: lambda c: c.is_one(c.truth / 2),
    S.ROOT_TRUE: lambda c: c.is_one(c.truth**2),
    S.HALF_RECIPROCAL_TRUE: lambda c: c.is_one(1 / (2 * c.truth)),
    S.LEVEL_TRUE: lambda c: c.is_one(10 ** (c.truth / 20), 10 ** (-c.truth / 20)),
    S.STEP_OTHER_WAY: lambda c: c.said.answer in _STEPS[not c.rises()],
    S.STEP_THIS_WAY: lambda c: c.said.answer in _STEPS[c.rises()],
    S.IS_F0: lambda c: c.is_one(c.known.f0),
    S.IS_Q: lambda c: c.is_one(c.known.q),
    S.IS_F0_BY_Q: lambda c: c.is_one(c.known.f0 * c.known.q, c.known.f0 / c.known.q),
    S.IS_BARE_LC: lambda c: c.is_one(
        1 / (math.tau * math.sqrt(math.prod(float(e.value or 0) for e in c.all.values()
                                            if e.kind.reactive)))
    ),
    S.IS_DAMPED: lambda c: c.is_one(*(abs(p.imag) * c.known.hz for p in c.known.poles)),
    S.IS_DECAY: lambda c: c.is_one(*(abs(p.real) * c.known.hz for p in c.known.poles)),
    S.IS_POLE: lambda c: c.is_one(*(abs(p) * c.known.hz for p in c.known.poles)),
    S.IS_EDGE: lambda c: c.is_one(*c.known.edges),
    S.IS_PEAK: lambda c: same(
        abs(c.known.at_hz(c.figure)), abs(c.known.at(c.known.extreme(-1))), 1e-9
    ),
    S.IS_HALF_VOLTAGE: lambda c: same(abs(c.known.at_hz(c.figure)), c.known.level / 2),
    S.IS_HALF_VOLTAGE_BAND: lambda c: _half_voltage_band(c),
    S.IS_HALF_POWER_OF_SOURCE: lambda c: same(abs(c.known.at_hz(c.figure)), HALF),
    S.IS_PASS_BAND_GAIN: lambda c: c.is_one(c.known.level),
    S.POLES_RIGHT: lambda c: (
        isinstance(c.said.answer, MapSketch)
        and any(region is Region.RIGHT for region, _ in c.said.answer.poles)
    ),
    S.HIGHER_THAN_Q: lambda c: (
        abs(c.known.at(c.known.extreme(-1))) > c.known.q * c.known.level * (1 + 1e-9)
    ),
}  # fmt: skip
"""By claim, another way to its truth; every claim has one."""


def _apart(c: Claimed) -> bool:
    """Whether the one L moves one of the two poles alone, and the one C the other."""
    coils, capacitors = c.of_kind(Kind.L), c.of_kind(Kind.C)
    stay = []
    for names in coils, capacitors:
        other = solved(changed(c.ladder, dict.fromkeys(names, 3.0)))
        ours = [p * c.known.hz for p in c.known.poles]
        theirs = [p * other.hz for p in other.poles]
        stay.append(sum(any(abs(p - o) < 1e-6 * abs(o) for p in ours) for o in theirs))
    return stay == [1, 1]


def _real(c: Claimed) -> bool:
    return c.known.order == 2 and all(abs(p.imag) < 1e-9 * abs(p) for p in c.known.poles)


def _both_under_root(c: Claimed) -> bool:
    return all(c.root_of(c.of_kind(kind)) for kind in (Kind.L, Kind.C))


def _half_voltage_band(c: Claimed) -> bool:
    low, high = c.known.crossings(c.known.level / 2)
    return c.is_one(high - low, tolerance=1e-4)


def true(claim: SlipClaim, said: SlipSaying) -> bool:
    """Whether a claim is true, by its witness."""
    return WITNESSES[claim](Claimed(said))
