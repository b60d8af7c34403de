"""Reasons: every choice is checked as a statement about the circuit, by numbers alone.

The checker below shares no code with the core: it computes impedances of arms in complex
floating point and looks at how they go with frequency, and asks a nodal analysis what
becomes of the output when the arms that a reason names are replaced by a resistance.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.gain_type import EndState
from rungwise.problems.analysis.losses import shifted_slightly
from rungwise.problems.analysis.response import Facts, FilterType, facts
from rungwise.problems.catalogue.draw_values import draw as draw_circuit
from rungwise.problems.catalogue.families import FAMILIES, Family
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Arm, Element, Joint, Ladder, Place, Stage, join
from rungwise.problems.formulas.equal import same
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.read import parse
from rungwise.problems.formulas.tree import letters_of
from rungwise.problems.questions.analyse import questions_for
from rungwise.problems.questions.model import Choice, Question, Rung
from rungwise.problems.questions.reasons import CHOICES, Claim, draw
from rungwise.problems.questions.values import texts

from tests.support.oracle import element, response
from tests.support.samples import sample

DIRECTIONS = {"grows": 1, "falls": -1}
REASONS = (Rung.LOW_END_REASON, Rung.HIGH_END_REASON, Rung.TYPE_REASON, Rung.CORNER_REASON)
ENDS = {Rung.LOW_END_REASON: "low", Rung.HIGH_END_REASON: "high"}

# Statements about every circuit; a counterexample to each is below.
GENERAL = {
    "always", "kinds-swapped", "wrong-kind", "divider", "no-signal", "idle-load",
    "capacitor-is-low-pass", "capacitor-is-high-pass", "inductor-is-low-pass",
    "inductor-is-high-pass", "resistor-filters", "any-lc", "any-lc-stops", "any-two",
    "resonance-most", "resonance-least", "order-decides", "low-then-high", "passive-is-flat",
    "too-small",
}  # fmt: skip


@dataclass
class Circuit:
    """One circuit as the checker sees it."""

    facts: Facts

    @property
    def ladder(self) -> Ladder:
        return self.facts.ladder

    def runs(self) -> list[tuple[Place, Arm]]:
        """Neighbouring stages in the same place as one arm."""
        found: list[tuple[Place, Arm]] = []
        for stage in self.ladder.stages:
            if stage.arm is None:
                found.append((Place.BUFFER, element("R", "R_buffer", 1)))
            elif found and found[-1][0] is stage.place:
                joint = Joint.SERIES if stage.place is Place.SERIES else Joint.PARALLEL
                found[-1] = (stage.place, join(joint, found[-1][1], stage.arm))
            else:
                found.append((stage.place, stage.arm))
        return found

    def named(self, text: str, place: Place) -> list[Arm] | None:
        """The arms of a text in that place; ``None`` if one of them is not there."""
        arms = []
        for piece in re.split(", | and ", text):
            names = set(re.findall(r"[RLC]\w*", piece))
            for where, arm in self.runs():
                if where is place and {e.name for e in parts(arm)} == names:
                    arms.append(arm)
                    break
            else:
                return None
        return arms

    def gain(self, end: str, ladder: Ladder | None = None) -> int:
        """How |H| goes at an end: the power of f at DC, of 1/f at the high end."""
        found = facts(ladder or self.ladder)
        rates = [abs(z) for z in (*found.poles, *found.zeros) if z]
        low = min(rates, default=1e4) / 6.2832e3
        high = max(rates, default=1e4) / 6.2832e-3
        # Wide enough that the asymptote is reached, narrow enough for double precision.
        pair = (low / 10, low) if end == "low" else (high * 10, high)
        a, b = np.abs(response(ladder or self.ladder, pair))
        assert 0 < a < 2 * float(found.peak_gain or 1e9), "the nodal analysis lost its digits"
        return round(float(np.log10(b / a)))


def parts(arm: Arm) -> list[Element]:
    return [arm] if isinstance(arm, Element) else [e for p in arm.parts for e in parts(p)]


def impedance(arm: Arm, omega: float) -> complex:
    if isinstance(arm, Element):
        value = float(arm.value or 0)
        s = 1j * omega
        return {"R": value + 0j, "L": s * value, "C": 1 / (s * value)}[arm.kind.value]
    each = [impedance(part, omega) for part in arm.parts]
    if arm.joint is Joint.SERIES:
        return sum(each, 0j)
    if 0 in each:
        return 0j  # a lossless resonance in series shorts the arm outright
    total = sum((1 / z for z in each), 0j)
    return 1 / total if total else complex(1e300)  # and one in parallel opens it


def power(arm: Arm, end: str) -> int:
    """+1 where |Z| → 0 at the end, −1 where it → ∞, 0 where a resistance is left."""
    pair = (1e-9, 1e-10) if end == "low" else (1e18, 1e19)
    a, b = (abs(impedance(arm, omega)) for omega in pair)
    return -round(float(np.log10(b / a)))


def magnitudes(arm: Arm) -> np.ndarray:
    values = {e.kind.value: float(e.value or 1) for e in parts(arm)}
    centre = 1e4
    if {"L", "C"} <= set(values):
        centre = (values["L"] * values["C"]) ** -0.5
    return np.array([abs(impedance(arm, centre * 10**x)) for x in np.linspace(-8, 8, 161)])


def holds(circuit: Circuit, rung: Rung, choice: Choice) -> bool:
    """Whether what the choice says of the circuit is so."""
    values = dict(texts(choice.values))
    if choice.id in GENERAL:
        return False
    if rung is Rung.CORNER_REASON:
        return corner_holds(circuit, values["formula"])
    if rung in ENDS:
        return end_holds(circuit, ENDS[rung], choice.id, values)
    return type_holds(circuit, choice.id, values)


def corner_holds(circuit: Circuit, text: str) -> bool:
    formula = parse(text, {e.name for e in circuit.ladder.elements()})
    numbers = {e.name: float(e.value or 0) for e in circuit.ladder.elements()}
    roots = np.abs(np.roots([float(c) for c in circuit.facts.transfer.denominator]))
    corner = float(np.prod(roots)) ** (1 / len(roots)) / (2 * np.pi)
    return bool(abs(evaluate(formula, numbers).real / corner - 1) < 1e-6)


def end_holds(circuit: Circuit, end: str, name: str, values: dict[str, str]) -> bool:
    def all_of(place: Place, wanted: tuple[int, ...]) -> bool:
        arms = circuit.named(values[place.value], place)
        return arms is not None and all(power(arm, end) in wanted for arm in arms)

    series, shunt = Place.SERIES, Place.SHUNT
    match name:
        case "resonance":
            coil, capacitor = (element_named(circuit, values[k]) for k in "lc")
            reactances = [
                abs(impedance(e, 1e-9 if end == "low" else 1e18)) for e in (coil, capacitor)
            ]
            return 0.5 < reactances[0] / reactances[1] < 2
        case "source-shorted":
            return False  # the source of H is the ideal one before it
        case "resistances-only":
            return not any(e.kind.reactive for e in circuit.ladder.elements()) or (
                circuit.facts.transfer.order == 0
            )
        case "series-conducts":
            return all_of(series, (0, 1))
        case "shunt-spares":
            return all_of(shunt, (0, -1))
        case "series-conducts-shunt-spares":
            return all_of(series, (0, 1)) and all_of(shunt, (0, -1))
        case "series-opens":
            return all_of(series, (-1,))
        case "series-opens-shunt-shorts":
            return all_of(series, (-1,)) and all_of(shunt, (1,))
        case "shunt-carries":
            return all_of(shunt, (1,))
        case "series-holds":
            return all_of(series, (-1,))
        case "series-open":
            return all_of(series, (-1,))
        case "shunt-short":
            return all_of(shunt, (1,))
        case "open-and-short":
            return all_of(series, (-1,)) and all_of(shunt, (1,))
    raise AssertionError(name)


def element_named(circuit: Circuit, name: str) -> Element:
    return next(e for e in circuit.ladder.elements() if e.name == name)


def type_holds(circuit: Circuit, name: str, values: dict[str, str]) -> bool:
    def moves(place: str, way: str) -> bool:
        arms = circuit.named(values[place], Place(place))
        if arms is None:
            return False
        steps = [np.diff(magnitudes(arm)) * DIRECTIONS[way] for arm in arms]
        scale = [1e-12 * magnitudes(arm)[1:] for arm in arms]
        return all(
            bool(np.all(d >= -e)) and bool(np.any(d > 1e-3 * e * 1e12))
            for d, e in zip(steps, scale, strict=True)
        )

    def extreme(place: str, which: str) -> bool:
        arms = circuit.named(values[place], Place(place))
        if arms is None:
            return False
        for arm in arms:
            size = magnitudes(arm)
            at = int(np.argmin(size) if which == "least" else np.argmax(size))
            if at in (0, len(size) - 1):
                return False
        return True

    found = re.fullmatch(
        r"(?:series-(grows|falls|least|greatest))?-?(?:shunt-(grows|falls|least|greatest))?", name
    )
    if found and name:
        checks = [
            (place, how)
            for place, how in zip(("series", "shunt"), found.groups(), strict=True)
            if how
        ]
        return all((moves if how in DIRECTIONS else extreme)(p, how) for p, how in checks)
    match name:
        case "read-across":
            return False  # H is taken at the load end, never across a series arm
        case "resonance-carries":
            return circuit.facts.type is FilterType.BAND_PASS
        case "stops-highs" | "stops-lows":
            return stop(circuit, values["arms"], "high" if name == "stops-highs" else "low")
        case "ends" | "ends-swapped":
            return stop(circuit, values["low"], "low") and stop(circuit, values["high"], "high")
        case "idle":
            names = {e.name for e in circuit.ladder.reactive()}
            return all(unmoved(circuit, n) for n in names)
        case "same-ratio" | "pole-meets-zero":
            flat = all(
                facts(changed(circuit.ladder, e.name, Fraction(13, 7))).transfer.order == 0
                for e in circuit.ladder.elements()
            )
            moved = not all(unmoved(circuit, e.name) for e in circuit.ladder.reactive())
            return moved and flat is (name == "same-ratio")
    raise AssertionError(name)


def stop(circuit: Circuit, text: str, end: str) -> bool:
    """Whether every named arm opens in the way or shorts across it; L or C alone likewise."""
    for piece in re.split(", | and ", text):
        fits = False
        for place, wanted in (Place.SERIES, -1), (Place.SHUNT, 1):
            arms = circuit.named(piece, place)
            if arms is None and re.fullmatch(r"[LC]\w*", piece):
                inside = [a for where, a in circuit.runs() if where is place]
                names = {e.name for a in inside for e in parts(a)}
                arms = [element_named(circuit, piece)] if piece in names else None
            fits = fits or (arms is not None and power(arms[0], end) == wanted)
        if not fits:
            return False
    return True


def changed(ladder: Ladder, name: str, factor: Fraction) -> Ladder:
    def arm_of(arm: Arm) -> Arm:
        if isinstance(arm, Element):
            return replace(arm, value=(arm.value or 1) * factor) if arm.name == name else arm
        return replace(arm, parts=tuple(map(arm_of, arm.parts)))

    def end(e: Element | None) -> Element | None:
        return replace(e, value=(e.value or 1) * factor) if e and e.name == name else e

    stages = tuple(Stage(s.place, arm_of(s.arm) if s.arm else None) for s in ladder.stages)
    return Ladder(stages, end(ladder.source), end(ladder.load))


def unmoved(circuit: Circuit, name: str) -> bool:
    other = facts(changed(circuit.ladder, name, Fraction(13, 7)))
    return other.transfer == circuit.facts.transfer


# ------------------------------------------------------------------- what is checked


def questions(circuit: Circuit, seed: int) -> dict[Rung, Question]:
    made = questions_for(circuit.facts, Chance(seed))
    return {q.rung: q for q in made}


def check(circuit: Circuit, seed: int) -> int:
    """Exactly one choice is true of the circuit, and it is the one marked true."""
    made = questions(circuit, seed)
    asked = 0
    for rung in REASONS:
        if rung not in made:
            continue
        asked += 1
        question = made[rung]
        assert 3 <= len(question.choices) <= CHOICES
        ids = [c.id for c in question.choices]
        assert len(set(ids)) == len(ids)
        true = [c.id for c in question.choices if holds(circuit, rung, c)]
        assert true == [question.truth], (rung, question)
    return asked


def check_cause(circuit: Circuit, seed: int) -> None:
    """What a reason says blocks an end does: without it the end gets through better."""
    for rung, question in questions(circuit, seed).items():
        if rung not in ENDS:
            continue
        truth = next(c for c in question.choices if c.id == question.truth)
        end = ENDS[rung]
        before = circuit.gain(end)
        blocked = truth.id in ("series-open", "shunt-short", "open-and-short")
        assert (before != 0) is blocked
        if blocked:
            ladder = circuit.ladder
            for place, text in truth.values:
                for arm in circuit.named(text, Place(place)) or []:
                    ladder = resistive(ladder, {e.name for e in parts(arm)})
            assert circuit.gain(end, ladder) == 0


def resistive(ladder: Ladder, names: set[str]) -> Ladder:
    """The arms that hold these elements with a resistance in their place."""
    stages = []
    for i, stage in enumerate(ladder.stages):
        if stage.arm is not None and {e.name for e in parts(stage.arm)} <= names:
            stage = Stage(stage.place, element("R", f"R_stand_in{i}", 100))
        stages.append(stage)
    return replace(ladder, stages=tuple(stages))


def circuits(family: Family, count: int) -> Iterator[Circuit]:
    seed = made = 0
    while made < count:
        ladder = draw_circuit(family, Chance(seed))
        seed += 1
        if ladder is not None:
            made += 1
            yield Circuit(facts(ladder))


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_exactly_one_reason_is_true_in_every_family(family: Family) -> None:
    for seed, circuit in enumerate(circuits(family, sample(4, 8))):
        assert check(circuit, seed) >= 1
        check_cause(circuit, seed)
        known = circuit.facts
        named = known.type is known.type_exact and known.type is not FilterType.OTHER
        sure = {Rung.TYPE_REASON} if named else set()
        for rung, gain, level in (
            (Rung.LOW_END_REASON, known.gain_low, known.low_end),
            (Rung.HIGH_END_REASON, known.gain_high, known.high_end),
        ):
            # Where real parts leave a little, opens and shorts give no reason.
            if level is (EndState.PASSED if gain else EndState.BLOCKED):
                sure.add(rung)
        assert sure <= set(questions(circuit, seed))
        if circuit.facts.transfer.order in (1, 2) and not shifted_slightly(circuit.ladder):
            assert Rung.CORNER_REASON in questions(circuit, seed)


VALUES = {
    "R": st.sampled_from([47, 100, 1000, 3300, 10000]).map(Fraction),
    "L": st.sampled_from([1, 3, 10, 47]).map(lambda n: Fraction(n, 1000)),
    "C": st.sampled_from([1, 2, 10, 68]).map(lambda n: Fraction(n, 10**8)),
}


@st.composite
def ladders(draw: Callable[..., object]) -> Ladder:
    """Up to five stages of arms with up to three elements, nested or not, with buffers."""
    count = 0

    def part() -> Element:
        nonlocal count
        count += 1
        kind = str(draw(st.sampled_from("RLC")))
        return element(kind, f"{kind}{count}", draw(VALUES[kind]))  # type: ignore[arg-type]

    def arm() -> Arm:
        joint = draw(st.sampled_from([None, None, Joint.SERIES, Joint.PARALLEL]))
        if joint is None:
            return part()
        other = Joint.PARALLEL if joint is Joint.SERIES else Joint.SERIES
        inner = join(other, part(), part()) if draw(st.booleans()) else part()
        return join(joint, part(), inner)  # type: ignore[arg-type]

    places = draw(st.lists(st.sampled_from(["series", "shunt", "series", "shunt", "buffer"]),
                           min_size=1, max_size=5))  # fmt: skip
    assert isinstance(places, list)
    stages = [Stage(Place(p), None if p == "buffer" else arm()) for p in places]
    source = element("R", "Rs", 600) if draw(st.booleans()) else None
    load = element("R", "RL", 1500) if draw(st.booleans()) else None
    return Ladder(tuple(stages), source, load)


@settings(max_examples=120, deadline=None)
@given(ladders(), st.integers(0, 2**32))
def test_exactly_one_reason_is_true_in_random_ladders(ladder: Ladder, seed: int) -> None:
    circuit = Circuit(facts(ladder))
    check(circuit, seed)


@settings(max_examples=100, deadline=None)
@given(ladders())
def test_the_arms_named_are_the_cause_in_random_ladders(ladder: Ladder) -> None:
    circuit = Circuit(facts(ladder))
    # A float nodal analysis cannot follow slopes of more than six poles out to the ends.
    assume(circuit.facts.transfer.order <= 6)
    check_cause(circuit, 1)


def stages(*arms: tuple[str, Arm]) -> tuple[Stage, ...]:
    return tuple(Stage(Place(place), arm) for place, arm in arms)


R, R2 = element("R", "R1", 1000), element("R", "R2", 2000)
L, C, C2 = element("L", "L1", "0.01"), element("C", "C1", "1e-7"), element("C", "C2", "3e-8")


@pytest.mark.parametrize(
    ("claim", "ladder", "found"),
    [
        ("always", stages(("series", C), ("shunt", R)), "high-pass"),
        ("always", stages(("series", R), ("shunt", C)), "low-pass"),
        ("capacitor-is-low-pass", stages(("series", C), ("shunt", R)), "high-pass"),
        ("capacitor-is-high-pass", stages(("series", R), ("shunt", C)), "low-pass"),
        ("inductor-is-low-pass", stages(("series", R), ("shunt", L)), "high-pass"),
        ("inductor-is-high-pass", stages(("series", L), ("shunt", R)), "low-pass"),
        ("any-lc", stages(("series", L), ("shunt", C)), "low-pass"),
        ("any-lc-stops", stages(("series", L), ("shunt", C)), "low-pass"),
        ("any-two", stages(("series", R), ("shunt", C), ("series", R2), ("shunt", C2)), "low-pass"),
        ("resonance-most", stages(("series", R), ("shunt", join(Joint.SERIES, L, C))), "notch"),
        ("resonance-least", stages(("series", R), ("shunt", join(Joint.PARALLEL, L, C))),
         "band-pass"),
        ("order-decides", stages(("series", R), ("shunt", C), ("series", C2), ("shunt", R2)),
         "band-pass"),
        ("low-then-high", stages(("series", R), ("shunt", C), ("series", C2), ("shunt", R2)),
         "band-pass"),
        ("passive-is-flat", stages(("series", R), ("shunt", C)), "low-pass"),
    ],
)  # fmt: skip
def test_a_counterexample_to_each_general_claim(
    claim: str, ladder: tuple[Stage, ...], found: str
) -> None:
    assert claim in GENERAL
    assert facts(Ladder(ladder)).type == found


def test_two_capacitors_divide_even_at_dc_so_the_ends_are_not_asked() -> None:
    ladder = Ladder(stages(("series", C), ("shunt", C2)))
    made = questions(Circuit(facts(ladder)), 1)
    assert Rung.LOW_END not in made
    assert Rung.HIGH_END not in made
    assert made[Rung.TYPE].truth == "flat"
    assert made[Rung.TYPE_REASON].truth == "same-ratio"


def test_a_compensated_divider_is_flat_because_a_pole_meets_a_zero() -> None:
    upper = join(Joint.PARALLEL, element("R", "R1", 9000), element("C", "C1", "1e-9"))
    lower = join(Joint.PARALLEL, element("R", "R2", 1000), element("C", "C2", "9e-9"))
    made = questions(Circuit(facts(Ladder(stages(("series", upper), ("shunt", lower))))), 1)
    assert made[Rung.TYPE_REASON].truth == "pole-meets-zero"


def test_the_true_corner_is_never_a_wrong_formula_in_other_words() -> None:
    for family in FAMILIES:
        for circuit in circuits(family, 2):
            question = questions(circuit, 3).get(Rung.CORNER_REASON)
            if question is None:
                continue
            names = {e.name for e in circuit.ladder.elements()}
            shown = {c.id: dict(texts(c.values))["formula"] for c in question.choices}
            right = parse(shown.pop(str(question.truth)), names)
            assert not any(same(right, parse(text, names)) for text in shown.values())
            assert letters_of(right) <= names | {"pi"}


def test_the_true_choice_stands_in_every_place() -> None:
    circuit = next(circuits(FAMILIES[0], 1))
    places = set()
    for seed in range(60):
        question = questions(circuit, seed)[Rung.TYPE_REASON]
        places.add([c.id for c in question.choices].index(str(question.truth)))
    assert places == {0, 1, 2, 3}


def test_a_draw_needs_one_true_and_one_false_claim() -> None:
    with pytest.raises(ValueError, match="no claim holds"):
        draw([Claim("a", False)], Chance(1))
    with pytest.raises(ValueError, match="every claim holds"):
        draw([Claim("a", True), Claim("b", True)], Chance(1))
