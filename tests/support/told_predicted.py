"""Counter-facts of what builds upon recognition, held against nodal analysis and scipy.

Nothing here looks at how the sentences were found: gains and phases are those of modified nodal
analysis (Ho, Ruehli & Brennan, IEEE Trans. CAS-22 (1975) 504), natural frequencies the eigenvalues
of its pencil, band edges roots found by scipy, step responses those of ``scipy.signal.step`` for
the textbook H(s) in ω0 and Q (common practice, no source).
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache

import numpy as np
from numpy.typing import NDArray
from rungwise.problems.analysis.arms import End
from rungwise.problems.circuits.model import Element, Ladder, mapped
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.read import parse
from rungwise.problems.generate.look_made import LOADS
from rungwise.problems.hints.counterfact_changes import ON, TAPS
from rungwise.problems.hints.counterfact_ends import CounterFact
from rungwise.problems.hints.fill import Phrase
from rungwise.problems.questions.effects import EffectOn
from rungwise.problems.questions.looks import Look, LookKind
from scipy import linalg, optimize, signal

from tests.support.oracle import Network

Curve = NDArray[np.float64]

_FAR = 1e6
"""So far from 1 rad/s the ends of circuits with values near 1 are reached."""
_PLAIN = str.maketrans({"²": "^2", "³": "^3"})
QS = {"½": 0.5, "1/√2": math.sqrt(0.5), "1": 1.0, "2": 2.0, "3": 3.0, "5": 5.0, "10": 10.0}


# --------------------------------------------------------------- circuits, numerically


def near_one(ladder: Ladder, seed: int) -> Ladder:
    """The circuit with values near 1, the same for parts of the same name."""

    def value(element: Element) -> Element:
        chance = random.Random(f"{seed} {element.name}")
        return Element(element.kind, element.name, Fraction(chance.randrange(600, 1700), 1000))

    return mapped(ladder, value)


def gain(ladder: Ladder, omega: float) -> float:
    """|Vout/Vsource| at an angular frequency."""
    return float(abs(Network(ladder).response([omega / math.tau])[0]))


def share(ladder: Ladder, end: End) -> float:
    """What comes out at an end of the frequency axis; 0 for less than a thousandth."""
    found = gain(ladder, 1 / _FAR if end is End.LOW else _FAR)
    return 0.0 if found < 1e-3 else found


def natural_frequencies(ladder: Ladder) -> NDArray[np.complex128]:
    """The finite eigenvalues of the circuit's pencil that are seen at the output, in rad/s.

    Those whose mode the source does not drive, or the output does not show, have no residue: they
    belong to parts that lead nowhere.
    """
    network = Network(ladder)
    g, c, b = network.pencil()
    found, left, right = linalg.eig(-g, c, left=True, right=True)
    driven = np.abs(left.conj().T @ b) / np.linalg.norm(left, axis=0)
    shown = np.abs(right[network.output - 1]) / np.linalg.norm(right, axis=0)
    seen = (driven > 1e-9) & (shown > 1e-9)
    return found[np.isfinite(found) & (np.abs(found) < 1e6) & (np.abs(found) > 1e-6) & seen]


def corner(ladder: Ladder) -> tuple[float, float] | None:
    """(ω0, Q) of one pole or of two; ``None`` where parts idle, or there are more poles."""
    poles = natural_frequencies(ladder)
    if len(poles) == 1:
        return float(abs(poles[0])), 0.0
    if len(poles) != 2:
        return None
    omega = math.sqrt(abs(poles[0] * poles[1]))
    return omega, omega / float(abs((poles[0] + poles[1]).real))


def width(ladder: Ladder, omega: float) -> float:
    """The −3 dB width in rad/s, of a band-pass or of a notch whose middle lies at ``omega``."""
    ends = gain(ladder, omega / _FAR)
    level = math.sqrt(0.5) * (ends if ends > 0.01 else gain(ladder, omega))

    def apart(log: float) -> float:
        return gain(ladder, math.exp(log)) - level

    middle, reach = math.log(omega), math.log(1e4)
    low = optimize.brentq(apart, middle - reach, middle - 1e-9, xtol=1e-12)
    high = optimize.brentq(apart, middle + 1e-9, middle + reach, xtol=1e-12)
    return math.exp(high) - math.exp(low)


def phase_at(ladder: Ladder, omega: float) -> float:
    """The phase in degrees, followed from DC."""
    places = np.geomspace(omega / 1e4, omega, 160)
    found = np.unwrap(np.angle(Network(ladder).response(places / math.tau)))
    near, far = np.abs(Network(ladder).response([places[0] / math.tau, places[0] / math.tau / 10]))
    start = 90 * round(math.log10(near / far))
    return math.degrees(found[-1] - found[0]) + start


def worth(text: str, ladder: Ladder) -> float:
    """What a formula in the circuit's letters comes to."""
    names = [e.name for e in ladder.elements()]
    numbers = {e.name: float(e.value) for e in ladder.elements() if e.value is not None}
    return evaluate(parse(text.translate(_PLAIN), names), numbers).real


# --------------------------------------------------------------- what comes out


def check_dc(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    """How much of 1 V of DC comes out, and by which formula."""
    assert fact.key.split("-")[0] == look.truth != answered
    for seed in range(3):
        ladder = near_one(circuit, seed)
        found = share(ladder, End.LOW)
        said = "nothing" if not found else "all" if found > 1 - 1e-6 else "part"
        assert said == look.truth
        text = dict(fact.values).get("share")
        if text is not None:
            assert math.isclose(worth(str(text), ladder), found, rel_tol=1e-6)
            assert all(name in str(text) for name in fact.marked)


def check_phase(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    """How far the phase has turned at ω0, and by how many poles and zeros."""
    ladder = near_one(circuit, 1)
    poles, zeros = (int(word) for word in fact.key.split("-")[1::2])
    assert 90 * zeros - 45 * poles == int(look.truth) != int(answered)
    known = corner(ladder)
    if known is not None:
        assert len(natural_frequencies(ladder)) == poles
        assert math.isclose(phase_at(ladder, known[0]), int(look.truth), abs_tol=0.1)


def check_larger(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    """Which of two outputs is larger at the frequency asked for, and what is said of each."""
    where = str(dict(look.values)["where"])
    for seed in range(3):
        pair = [near_one(ladder, seed) for ladder in look.shown]
        if where == "corner":
            known = corner(pair[0])
            assert known is not None
            found = [gain(ladder, known[0]) for ladder in pair]
            q = known[1]
        else:
            found, q = [share(ladder, End(where)) for ladder in pair], 0.0
            assert fact.end is End(where)
        same = math.isclose(*found, rel_tol=1e-6, abs_tol=1e-9)
        truth = "same" if same else "first" if found[0] > found[1] else "second"
        assert truth == look.truth != answered
        for key, size, ladder in zip(("first", "second"), found, pair, strict=True):
            _said(dict(fact.values)[key], size, q, ladder)
    if fact.key == "both":
        assert len({str(value) for _, value in fact.values}) == 1


def _said(text: object, size: float, q: float, ladder: Ladder) -> None:
    assert isinstance(text, Phrase)
    table, _, key = text.key.partition(".")
    if table == "resonance":
        wanted = {"CL": 0.0, "R": 1.0, "L": q, "C": q}.get(key, math.hypot(1, q))
        assert math.isclose(size, wanted, rel_tol=1e-6, abs_tol=1e-9)
        return
    if key.startswith("part"):
        assert 0 < size < 1 - 1e-6
        if key == "part":
            assert math.isclose(worth(str(dict(text.values)["share"]), ladder), size, rel_tol=1e-5)
        return
    assert math.isclose(size, {"nothing": 0.0, "all": 1.0}[key], abs_tol=1e-6)


# --------------------------------------------------------------- what a change does


def _doubled(ladder: Ladder, name: str) -> Ladder:
    def value(element: Element) -> Element:
        assert element.value is not None
        return Element(element.kind, element.name, element.value * (1 + (element.name == name)))

    return mapped(ladder, value)


def pair_of(look: Look, circuit: Ladder, seed: int) -> tuple[Ladder, Ladder]:
    """The circuit before and after what a look asks about, with values near 1."""
    if look.kind in TAPS:
        first, second = (near_one(ladder, seed) for ladder in look.shown)
        return first, second
    before = near_one(circuit, seed)
    if look.kind in LOADS:
        return before, Ladder(before.stages, before.source, None)
    return before, _doubled(before, str(dict(look.values)["part"]))


def figure_of(on: EffectOn, ladder: Ladder, kind: str) -> float | None:
    """The figure in question (ω0 and widths in rad/s), by nodal analysis."""
    known = corner(ladder)
    if on is EffectOn.GAIN:
        if kind == "band-pass":
            return None if known is None else gain(ladder, known[0])
        return share(ladder, End.HIGH if kind == "high-pass" else End.LOW)
    if known is None:
        return None
    if on is EffectOn.BANDWIDTH:
        return width(ladder, known[0])
    return known[0] if on is EffectOn.CORNER else known[1]


def check_change(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    """Which way a figure goes, and what each formula of it comes to."""
    way = "same" if fact.key in ("absent", "kept") else fact.key.split("-")[1]
    assert way == look.truth != answered
    kind, on, told = type_of(circuit), ON[look.kind], dict(fact.values)
    for seed in range(2):
        pair = pair_of(look, circuit, seed)
        found = [figure_of(on, ladder, kind) for ladder in pair]
        if found[0] is None or found[1] is None:
            continue
        before, after = found
        assert math.isclose(before, after, rel_tol=1e-7) is (way == "same"), (before, after)
        assert way == "same" or (after > before) is (way == "up")
        scale = math.tau if on in (EffectOn.CORNER, EffectOn.BANDWIDTH) else 1.0
        for key, ladder, figure in (
            ("formula", pair[0], before), ("old", pair[0], before), ("new", pair[1], after),
        ):  # fmt: skip
            if key in told:
                assert math.isclose(worth(str(told[key]), ladder) * scale, figure, rel_tol=1e-6)


def type_of(ladder: Ladder) -> str:
    """The type, by what comes out at the ends."""
    plain = near_one(ladder, 1)
    low, high = share(plain, End.LOW) > 0, share(plain, End.HIGH) > 0
    return {(True, False): "low-pass", (False, True): "high-pass", (False, False): "band-pass"}.get(
        (low, high), "notch"
    )


# --------------------------------------------------------------- curves


def textbook(kind: str, q: float) -> tuple[list[float], list[float]]:
    """Numerator and denominator of two poles at 1 Hz, by the usual forms in ω0 and Q."""
    omega = math.tau
    top = {
        "low-pass": [omega**2],
        "high-pass": [1.0, 0.0, 0.0],
        "band-pass": [omega / q, 0.0],
    }[kind]
    return top, [1.0, omega / q, omega**2]


@cache
def step_of(kind: str, q: float, seconds: float, count: int = 4001) -> Curve:
    """The step response of two poles at 1 Hz, by scipy."""
    times = np.linspace(0, seconds, count)
    return np.asarray(signal.step(signal.TransferFunction(*textbook(kind, q)), T=times)[1])


def swings(values: Curve, end: float) -> list[float]:
    """The sizes of the swings of a step response about where it ends."""
    turns = [
        n
        for n in range(1, len(values) - 1)
        if (values[n] - values[n - 1]) * (values[n + 1] - values[n]) < 0
    ]
    return [abs(values[n] - end) for n in turns if abs(values[n] - end) > 1e-3]


def check_curve(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    """What is read off the curve that was chosen, and what would be of the Q asked for."""
    told = dict(fact.values)
    other = look.shown[look.answers.index(answered)]
    kind, asked = type_of(circuit), dict(look.values)
    assert fact.lookalike == other and kind == type_of(other) == asked["type"]
    assert told["q"] == asked["q"]
    for name, figure, ladder in ("other", "its", other), ("q", "own", circuit):
        q, said = QS[str(told[name])], str(told[figure]).replace("\N{MINUS SIGN}", "-")
        shown = corner(ladder)
        assert shown is not None
        assert math.isclose(shown[0], math.tau, rel_tol=1e-6)
        assert math.isclose(shown[1], q, rel_tol=1e-6)
        number = float(said.split()[0]) if said else 0.0
        if look.kind is LookKind.GAIN_OF_Q and kind != "band-pass":
            assert math.isclose(20 * math.log10(gain(ladder, math.tau)), number, abs_tol=0.5)
        elif look.kind is LookKind.GAIN_OF_Q:
            assert math.isclose(width(ladder, math.tau) / math.tau, number, rel_tol=5e-3)
        elif look.kind is LookKind.PHASE_OF_Q:
            assert math.isclose(_turn(ladder), number, rel_tol=5e-3)
        else:
            _rings(kind, q, number, said)


@cache
def _turn(ladder: Ladder) -> float:
    """Over how many Hz the middle 90° of the phase are turned."""
    middle = phase_at(ladder, math.tau)

    def above(hertz: float) -> float:
        return phase_at(ladder, math.tau * hertz) - middle

    low = optimize.brentq(lambda f: above(f) - 45, 0.1, 1.0, rtol=1e-4)
    high = optimize.brentq(lambda f: above(f) + 45, 1.0, 10.0, rtol=1e-4)
    return float(high - low)


def _rings(kind: str, q: float, percent: float, said: str) -> None:
    values = step_of(kind, q, 8 if q > 3 else 4, 16001)
    sizes = swings(values, 1.0 if kind == "low-pass" else 0.0)
    if not said:  # no swing follows another
        assert len(sizes) <= 1
        return
    assert len(sizes) >= 2
    assert math.isclose(sizes[1] / sizes[0], percent / 100, abs_tol=6e-3)


def check_step_of_map(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    """Where a step response starts and ends, and how long it rings."""
    other = look.shown[look.answers.index(answered)]
    theirs, mine = corner(other), corner(circuit)
    assert theirs is not None and mine is not None
    curves = [step_of(type_of(x), k[1], 30.0) for x, k in ((other, theirs), (circuit, mine))]
    starts, ends = ([abs(c[at]) > 0.5 for c in curves] for at in (0, -1))
    match fact.key.split("-"):
        case ["starts", what]:
            assert starts == [what == "jump", what != "jump"]
        case ["ends", what]:
            assert ends == [what == "level", what != "level"]
        case [what]:
            assert starts[0] == starts[1] and ends[0] == ends[1]
            counts = [len(swings(c, c[-1])) for c in curves]
            assert (counts[0] > counts[1]) is (what == "rings")
            assert [QS[str(dict(fact.values)[k])] for k in ("other", "q")] == [
                round(k[1], 6) for k in (theirs, mine)
            ]


def check_step(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    """What the step response shows of an end, and what the circuit does there instead."""
    other = look.shown[look.answers.index(answered)]
    claim = dict(fact.values)["claim"]
    assert isinstance(claim, Phrase) and fact.end is not None
    end, _, what = claim.key.removeprefix("steps.").partition("-")
    assert fact.end is End(end)
    passed = [share(near_one(ladder, 1), fact.end) > 0 for ladder in (other, circuit)]
    assert passed == [what == "passes", what != "passes"]


PREDICTED: Mapping[LookKind, Callable[[Look, str, CounterFact, Ladder], None]] = {
    LookKind.DC_OUTPUT: check_dc,
    LookKind.CORNER_PHASE: check_phase,
    LookKind.LARGER_OUTPUT: check_larger,
    **dict.fromkeys(ON, check_change),
    LookKind.GAIN_OF_Q: check_curve,
    LookKind.PHASE_OF_Q: check_curve,
    LookKind.STEP_OF_Q: check_curve,
    LookKind.STEP_OF_MAP: check_step_of_map,
    LookKind.STEP_OF_CIRCUIT: check_step,
}
