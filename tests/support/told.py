"""Counter-facts held against the circuit by nodal analysis that shares nothing with them.

What is said of a circuit holds for all values of its parts, so the parts get values near 1 here and
the ends lie five decades away.  "C1 shorts the output" is tried out: every other inductor and
capacitor becomes a resistance, and nothing comes through; C1 is cut out, and something does.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction

import numpy as np
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.circuits.model import (
    Element,
    Kind,
    Ladder,
    Place,
    leaves,
    mapped,
)
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.read import parse
from rungwise.problems.hints.counterfact_ends import CounterFact
from rungwise.problems.hints.fill import Phrase, Text
from rungwise.problems.questions.lookalikes import regions
from rungwise.problems.questions.looks import Look, LookKind

from tests.support.oracle import response
from tests.support.told_predicted import PREDICTED

ENDS = {
    "low-pass": (True, False),
    "high-pass": (False, True),
    "band-pass": (False, False),
    "notch": (True, True),
    "flat": (True, True),
}
OPEN, WIRE = 1e6, 1e-6
_FAR, _NEAR = 1e5, 1e4


# --------------------------------------------------------------- the circuit, numerically


def near_one(ladder: Ladder, seed: int = 1) -> Ladder:
    """The circuit with values near 1 that have nothing to do with each other."""
    rng = random.Random(seed)
    return mapped(
        ladder,
        lambda e: Element(e.kind, e.name, Fraction(rng.randrange(600, 1700), 1000)),
    )


def with_resistances(ladder: Ladder, values: Mapping[str, float]) -> Ladder:
    """The circuit with a resistance of so many ohms in the place of each part named."""

    def change(element: Element) -> Element:
        if element.name not in values:
            return element
        ohms = Fraction(values[element.name]).limit_denominator(10**12)
        return Element(Kind.R, f"R__{element.name}"[:12], ohms)

    return mapped(ladder, change)


def fall(ladder: Ladder, end: End) -> int:
    """How many powers the gain falls by towards an end, measured over a decade."""
    far, near = (_FAR, _NEAR) if end is End.HIGH else (1 / _FAR, 1 / _NEAR)
    a, b = np.abs(response(ladder, [far / (2 * math.pi), near / (2 * math.pi)]))
    return round(math.log10(b / a))


def passes(ladder: Ladder, end: End) -> bool:
    """Whether anything comes through at an end."""
    return fall(near_one(ladder), end) == 0


def reactive(ladder: Ladder) -> tuple[str, ...]:
    """Names of all inductors and capacitors."""
    return tuple(e.name for e in ladder.reactive())


def at_end(name: str, end: End) -> float:
    """What a part is at an end, in ohms."""
    return OPEN if (name[0] == "C") == (end is End.LOW) else WIRE


def blocks_alone(ladder: Ladder, names: Iterable[str], end: End) -> bool:
    """Whether parts stop an end when all others that react are resistances, and only they do."""
    plain, names = near_one(ladder), set(names)
    others = {name: 1.3 for name in reactive(plain) if name not in names}
    alone = with_resistances(plain, others)
    if fall(alone, end) < 1:
        return False
    # Cut out a short, bridge an open: then something must come through.
    undone = {name: WIRE if at_end(name, end) == OPEN else OPEN for name in names}
    return fall(with_resistances(plain, {**others, **undone}), end) == 0


def has_say(ladder: Ladder, name: str) -> bool:
    """Whether a part's value makes any difference at the output."""
    plain = near_one(ladder)

    def change(element: Element) -> Element:
        if element.name != name:
            return element
        assert element.value is not None
        return Element(element.kind, name, element.value * 3)

    hertz = [0.01, 0.07, 0.16, 0.5, 2.0]
    a, b = response(plain, hertz), response(mapped(plain, change), hertz)
    return bool(np.max(np.abs(a - b)) > 1e-9 * np.max(np.abs(a)))


# --------------------------------------------------------------- what was told


def phrases(text: Text) -> list[Phrase]:
    """A phrase and all phrases within it."""
    if isinstance(text, str):
        return []
    if isinstance(text, Phrase):
        return [text, *(p for _, inner in text.values for p in phrases(inner))]
    return [p for part in text for p in phrases(part)]


def names_of(phrase: Phrase, key: str) -> tuple[str, ...]:
    """The names that fill a placeholder of a phrase."""
    value = dict(phrase.values)[key]
    assert isinstance(value, tuple)
    return tuple(str(name) for name in value)


def check(look: Look, answered: str, fact: CounterFact) -> None:
    """Everything that a counter-fact says, held against the circuit; and that it contradicts."""
    circuit = fact.circuit or look.ladder
    # Of two outputs each has a sentence of its own.
    both = dict(zip(("first", "second"), look.shown, strict=False)) if fact.key in _OF_TWO else {}
    told = [(both.get(name, circuit), p) for name, value in fact.values for p in phrases(value)]
    for about, phrase in told:
        family, _, key = phrase.key.partition(".")
        tried = _SAID.get(family)
        if tried is not None:
            tried(about, key, phrase, fact)
    _CONTRADICTS[look.kind](look, answered, fact, circuit)
    if fact.end is not None and fact.marked and not fact.passes and "power" not in fact.key:
        for name in fact.marked:
            assert name in {e.name for e in circuit.elements()}


_OF_TWO = ("two", "both")
"""Facts that speak of both circuits of a pair, and of each in turn."""


def _end_said(circuit: Ladder, key: str, phrase: Phrase, fact: CounterFact) -> None:
    end = End(_at(phrase))
    stops = key.startswith(("open", "short", "together"))
    assert passes(circuit, end) is not stops, (key, end)
    if stops:
        parts = names_of(phrase, "parts")
        assert blocks_alone(circuit, parts, end), (key, parts)
        assert {at_end(name, end) for name in parts} == {OPEN if key.startswith("open") else WIRE}
        if key.startswith("short-output"):
            assert set(parts) <= _across_output(circuit)
    elif key.startswith("path"):
        for wanted, ohms in (("shorts", WIRE), ("opens", OPEN)):
            for name in names_of(phrase, wanted):
                assert at_end(name, end) == ohms
        _survives(circuit, end, fact)
    elif key.startswith(("across-source", "dangling")):
        for name in names_of(phrase, "parts"):
            assert not has_say(circuit, name)
    elif key.startswith("resistances"):
        plain = near_one(circuit)
        ends = {name: at_end(name, end) for name in reactive(circuit)}
        assert fall(with_resistances(plain, ends), end) == 0


def _survives(circuit: Ladder, end: End, fact: CounterFact) -> None:
    """The path that is marked carries the signal: cut, and nothing comes through."""
    if fact.end is not end or not fact.passes or fact.circuit not in (None, circuit):
        return
    plain = near_one(circuit)
    still = {n: 1e4 if at_end(n, end) == OPEN else 1e-4 for n in reactive(circuit)}
    level = abs(response(with_resistances(plain, still), [1.0])[0])
    assert level > 1e-3
    # The arms that hold the path; what lies beside a short in its arm is a way round it.
    arms = [[e.name for e in leaves(s.arm)] for s in circuit.stages if s.arm is not None]
    cut = {name for arm in arms if set(arm) & set(fact.marked) for name in arm} or fact.marked
    drawn = with_resistances(plain, {**still, **dict.fromkeys(cut, 1e9)})
    assert abs(response(drawn, [1.0])[0]) < 1e-3 * level, fact.marked


def _across_output(circuit: Ladder) -> set[str]:
    """The parts of the shunt arms after the last series arm that carries current."""
    stages = list(circuit.stages)
    if circuit.load is None:
        while stages and stages[-1].place is Place.SERIES:
            stages.pop()
    found: set[str] = set()
    for stage in reversed(stages):
        if stage.place is not Place.SHUNT or stage.arm is None:
            break
        found |= {e.name for e in leaves(stage.arm)}
    return found


def _at(phrase: Phrase) -> str:
    at = dict(phrase.values)["at"]
    assert isinstance(at, Phrase)
    return at.key.removeprefix("at.")


def _between_said(circuit: Ladder, key: str, phrase: Phrase, fact: CounterFact) -> None:
    plain = near_one(circuit)
    known = facts(plain)
    if key.startswith("null"):
        parts = {e.name: float(e.value) for e in plain.elements() if e.value is not None}
        kinds = sorted(name[0] for name in fact.marked)
        hertz = known.notch_hz
        if kinds == ["C", "L"]:  # of two nulls it is this one
            hertz = 1 / (2 * math.pi * math.sqrt(math.prod(parts[n] for n in fact.marked)))
        assert hertz is not None
        at, below, above = np.abs(response(plain, [hertz, hertz / 1e4, hertz * 1e4]))
        assert at < 1e-6 * max(below, above)
        cut = with_resistances(plain, dict.fromkeys(fact.marked, 1.3))
        assert abs(response(cut, [hertz])[0]) > 1e3 * at
        assert set(fact.marked) == {n for n in reactive(circuit) if n in _words(phrase)}
    elif key == "no-null":
        sweep = np.abs(response(plain, np.logspace(-3, 2, 400)))
        assert sweep.min() > 1e-3 * min(sweep[0], sweep[-1])
    else:
        sweep = np.abs(response(plain, np.logspace(-3, 2, 50)))
        assert sweep.max() > 1.0001 * sweep.min()


def _words(phrase: Phrase) -> set[str]:
    text = str(dict(phrase.values)["arm"])
    return set(text.replace("(", " ").replace(")", " ").split())


def _flat_said(circuit: Ladder, key: str, phrase: Phrase, fact: CounterFact) -> None:
    sweep = np.abs(response(near_one(circuit), np.logspace(-3, 2, 30)))
    assert sweep.max() < sweep.min() * (1 + 1e-9)
    if key == "resistive":
        assert not reactive(circuit)
        return
    if key.startswith("ratio"):
        return
    for name in names_of(phrase, "parts"):
        assert not has_say(circuit, name)


def _hidden_said(circuit: Ladder, key: str, phrase: Phrase, fact: CounterFact) -> None:
    for name in names_of(phrase, "parts"):
        assert name in reactive(circuit)
        if key.startswith(("across-source", "dangling")):
            assert not has_say(circuit, name), name
        if key.startswith("combinable"):
            partner = str(dict(phrase.values)["partner"])
            assert _merge(circuit, name, partner), (name, partner)


def _merge(circuit: Ladder, one: str, other: str) -> bool:
    """Whether two parts of a kind act as one: in their sum, or in the sum of their inverses."""
    plain = near_one(circuit)
    values = {e.name: float(e.value) for e in plain.elements() if e.value is not None}
    a, b = values[one], values[other]
    hertz = [0.01, 0.07, 0.16, 0.5, 2.0]
    start = response(plain, hertz)
    for turned in ((a + b / 2, b / 2), (1 / (1 / a + 0.5 / b), 1 / (0.5 / b))):
        new = dict(zip((one, other), turned, strict=True))
        changed = mapped(
            plain,
            lambda e, new=new: Element(e.kind, e.name, Fraction(new.get(e.name, values[e.name]))),
        )
        if np.max(np.abs(response(changed, hertz) - start)) < 1e-9 * np.max(np.abs(start)):
            return True
    return False


def _innocent_said(circuit: Ladder, key: str, phrase: Phrase, fact: CounterFact) -> None:
    name = str(dict(phrase.values)["name"])
    assert fact.end is not None
    assert at_end(name, fact.end) == (OPEN if key.endswith("open") else WIRE)
    assert not blocks_alone(circuit, [name], fact.end)


_Said = Callable[[Ladder, str, Phrase, CounterFact], None]
_SAID: Mapping[str, _Said] = {
    "end": _end_said,
    "at-end": _end_said,
    "between": _between_said,
    "flat": _flat_said,
    "hidden": _hidden_said,
    "innocent": _innocent_said,
}


# --------------------------------------------------------------- what is contradicted


def _type(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    if fact.end is not None:
        assert ENDS[answered][fact.end is End.HIGH] is not passes(circuit, fact.end)
        return
    assert answered in ("notch", "flat")
    key = next(p for _, v in fact.values for p in phrases(v) if p.key[:4] in ("betw", "flat")).key
    assert key.startswith("between.null" if look.truth == "notch" else ("flat.", "between.no-null"))


def _end(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    assert fact.end is (End.LOW if look.kind is LookKind.LOW_END else End.HIGH)
    assert (answered == "passes") is not passes(circuit, fact.end)


def _fed(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    first = next(
        (stage, [e.name for e in leaves(stage.arm)])
        for stage in circuit.stages
        if stage.arm is not None
        and any(e.kind.reactive and has_say(circuit, e.name) for e in leaves(stage.arm))
    )
    assert set(fact.marked) == set(first[1])
    assert fact.key.startswith(first[0].place.value)
    assert answered != first[0].place.value


def _poles(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    count = facts(near_one(circuit)).transfer.order
    assert count != int(answered)
    values = dict(fact.values)
    kept: tuple[str, ...] = ()
    if fact.key.startswith(("fewer", "only")):
        parts = values["parts"]
        assert isinstance(parts, tuple)
        kept = tuple(map(str, parts))
        assert len(kept) == int(str(values["count"]))
    elif fact.key == "hidden":
        adds = values["kept"]
        assert isinstance(adds, Phrase)
        kept = names_of(adds, "parts")
    assert len(kept) == count
    # Each adds one: the others gone, as many poles are left; one more gone, one pole less.
    others = {name: 1.3 for name in reactive(circuit) if name not in kept}
    assert facts(with_resistances(near_one(circuit), others)).transfer.order == count
    for name in kept:
        lone = with_resistances(near_one(circuit), {**others, name: 1.3})
        assert facts(lone).transfer.order == count - 1


def _decay(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    end = End.HIGH if look.kind is LookKind.HIGH_SLOPE else End.LOW
    claimed = int(answered) if look.kind is LookKind.ORIGIN_ZEROS else abs(int(answered)) // 20
    stopped(circuit, end, claimed, fact)


def stopped(circuit: Ladder, end: End, claimed: int, fact: CounterFact) -> None:
    """What is said of a slope, or of zeros at the origin."""
    plain = near_one(circuit)
    count = fall(plain, end)
    assert count != claimed
    values = dict(fact.values)
    key = fact.key.removeprefix("slope-").removeprefix("zeros-")
    if key.startswith("back"):
        transfer = facts(plain).transfer
        assert (int(str(values["poles"])), int(str(values["zeros"]))) == (
            transfer.order,
            transfer.zero_count,
        )
        assert transfer.order - transfer.zero_count == count
        assert str(values["slope"]).removeprefix("\N{MINUS SIGN}") == str(20 * count)
        return
    assert int(str(values["count"])) == count
    if key == "level":
        assert count == 0
    elif key != "power":
        arms = values["arms"]
        assert isinstance(arms, tuple)
        assert len(arms) == count
        for arm in arms:
            assert isinstance(arm, Phrase)
            text = str(dict(arm.values)["arm"])
            assert blocks_alone(circuit, [n for n in fact.marked if n in text.split()], end)


def _level(known: Facts, end: End) -> bool:
    return not fall(near_one(known.ladder), end)


def _picture(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    chosen = look.shown[look.answers.index(answered)]
    backwards = look.kind in (LookKind.WHICH_CIRCUIT, LookKind.SAME_TRANSFER)
    shown, own = (look.ladder, chosen) if backwards else (chosen, look.ladder)
    assert circuit == own
    claims = [p for _, v in fact.values for p in phrases(v) if p.key.startswith("shows.")]
    if not claims:
        mapped = look.kind is LookKind.WHICH_MAP
        _figure(facts(shown), facts(own), fact, mapped=mapped)
        return
    (claim,) = claims
    key, values = claim.key.removeprefix("shows."), dict(claim.values)
    a, b = near_one(shown), near_one(own)
    if key.startswith(("low", "high")):
        end, _, what = key.partition("-")
        falls, its = fall(b, End(end)), fall(a, End(end))
        if what == "slope":
            assert abs(int(str(values["slope"]).replace("\N{MINUS SIGN}", "-"))) == 20 * its
            stopped(own, End(end), its, fact)
        elif what == "level" and fact.key.startswith("slope-"):
            assert its == 0
            stopped(own, End(end), 0, fact)
        else:
            assert (its == 0) is (what == "passes")
            assert (falls == 0) is not (its == 0)
    elif key.startswith("zeros"):
        its = fall(a, End.LOW)
        assert key == f"zeros-{('none', 'one')[its] if its < 2 else 'many'}"
        stopped(own, End.LOW, its, fact)
    elif key.startswith("poles"):
        its, count = (facts(x).transfer.order for x in (a, b))
        assert key == f"poles-{('none', 'one')[its] if its < 2 else 'many'}"
        assert its != count
    elif key in ("null", "no-null"):
        assert bool(facts(a).axis_zero_pairs) is (key == "null")
        assert bool(facts(b).axis_zero_pairs) is not (key == "null")
    elif key.startswith("elsewhere"):
        its, count = (_elsewhere(facts(x)) for x in (a, b))
        assert its != count
        assert key.split("-")[1] == ("none", "one", "many")[min(its, 2)]
        assert int(str(dict(fact.values)["count"])) == count
        for arm in dict(fact.values).get("arms", ()):
            names = [name for name in fact.marked if name in str(arm)]
            assert {name[0] for name in names} >= {"R"}
    else:
        pairs = [sum(p.imag > 0 for p in facts(x).poles) for x in (shown, own)]
        words = ["none", "one", "many"]
        assert pairs[0] != pairs[1]
        assert key == f"pairs-{words[min(pairs[0], 2)]}"
        assert fact.key.split("-")[1] == words[min(pairs[1], 2)]


def _elsewhere(known: Facts) -> int:
    return sum(1 for zero in known.zeros if zero.real != 0)


def _figure(shown: Facts, own: Facts, fact: CounterFact, *, mapped: bool) -> None:
    if mapped:
        assert regions(shown) == regions(own)
    else:
        assert (shown.slope_low, shown.slope_high) == (own.slope_low, own.slope_high)
    kind = fact.key.removeprefix("figure-")
    assert dict(fact.values)["its"] != dict(fact.values)["own"]
    if kind == "level":
        return
    its, figure = (
        {"corner": f.corner_hz, "q": f.q, "null": f.notch_hz}[kind] for f in (shown, own)
    )
    assert its is not None
    assert figure is not None
    assert max(its / figure, figure / its) > 1.01


def _pair(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    first, second = look.shown
    ends = [tuple(passes(x, end) for end in End) for x in (first, second)]
    if answered == "different":
        assert ends[0] == ends[1]
        if fact.key in ("both-null", "both-flat"):
            nulls = [bool(facts(near_one(x)).axis_zero_pairs) for x in (first, second)]
            assert nulls == [fact.key == "both-null"] * 2
        else:
            words = ["passes" if p else "blocked" for p in ends[0]]
            assert fact.key == "both-" + "-".join(words)
        return
    if fact.key.startswith("only"):
        _, which, end = fact.key.split("-")
        one, other = (e[end == "high"] for e in ends)
        assert (one, other) == ((which == "first"), (which != "first"))
    else:
        assert ends[0] == ends[1] == (True, True)
        nulls = [bool(facts(near_one(x)).axis_zero_pairs) for x in (first, second)]
        assert nulls[0] is not nulls[1]


def _one(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    assert circuit == look.shown[look.answers.index(answered)]
    right = look.shown[look.answers.index(look.truth)]
    asked = facts(right).type.value
    if fact.end is not None:
        assert ENDS[asked][fact.end is End.HIGH] is not passes(circuit, fact.end)
    else:
        assert ENDS[asked] == tuple(passes(circuit, end) for end in End)


def _change(look: Look, answered: str, fact: CounterFact, circuit: Ladder) -> None:
    values = dict(fact.values)
    part = str(values["part"])
    way = "same" if fact.key == "absent" else fact.key.split("-")[1]
    assert way == look.truth != answered

    def doubled(element: Element) -> Element:
        assert element.value is not None
        return Element(element.kind, element.name, element.value * (1 + (element.name == part)))

    for seed in range(3):
        start = near_one(circuit, seed) if seed else circuit
        found = []
        for each in start, mapped(start, doubled):
            known = facts(each)
            figure = known.corner_hz if look.kind is LookKind.CHANGE_CORNER else known.q
            assert figure is not None
            found.append(figure)
            if "formula" in values:
                formula = parse(
                    str(values["formula"]).translate(_PLAIN), [e.name for e in each.elements()]
                )
                numbers = {e.name: float(e.value) for e in each.elements() if e.value is not None}
                assert math.isclose(evaluate(formula, numbers).real, figure, rel_tol=1e-9)
        before, after = found
        assert math.isclose(before, after, rel_tol=1e-9) is (way == "same")
        assert way == "same" or (after > before) is (way == "up")


_PLAIN = str.maketrans({"²": "^2", "³": "^3"})

_CONTRADICTS: Mapping[LookKind, Callable[[Look, str, CounterFact, Ladder], None]] = {
    **PREDICTED,
    LookKind.SAME_TRANSFER: _picture,
    LookKind.TYPE: _type,
    LookKind.LOW_END: _end,
    LookKind.HIGH_END: _end,
    LookKind.FED: _fed,
    LookKind.POLES: _poles,
    LookKind.ORIGIN_ZEROS: _decay,
    LookKind.LOW_SLOPE: _decay,
    LookKind.HIGH_SLOPE: _decay,
    LookKind.WHICH_RESPONSE: _picture,
    LookKind.WHICH_MAP: _picture,
    LookKind.WHICH_CIRCUIT: _picture,
    LookKind.SAME_TYPE: _pair,
    LookKind.WHICH_ONE: _one,
    LookKind.CHANGE_CORNER: _change,
    LookKind.CHANGE_Q: _change,
}
