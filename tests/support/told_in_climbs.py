"""Explanations of wrong answers in a climb, held against the circuit by nodal analysis.

Every sentence has its check, under its key; what is borrowed from looks is checked as looks are.
A fact must be true of the circuit, and must not go with the answer.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import SimpleNamespace
from typing import Any

import numpy as np
from rungwise.problems.analysis.arms import End, PlacedArm, arm_text
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.model import (
    Arm,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    leaves,
    mapped,
    merged,
    valueless,
)
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.tree import Formula, letters_of
from rungwise.problems.grading.read import read
from rungwise.problems.hints.counterfact_ends import CounterFact
from rungwise.problems.hints.explanation import Explanation, Strength
from rungwise.problems.hints.fill import InLetters, Phrase, Text
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.questions.looks import LookKind
from rungwise.problems.questions.model import (
    Earlier,
    Form,
    Mark,
    Problem,
    Question,
    Rung,
    figure_of,
)
from rungwise.problems.questions.values import value_of

from tests.support import told
from tests.support.oracle import response
from tests.support.told import (
    OPEN,
    WIRE,
    at_end,
    blocks_alone,
    fall,
    has_say,
    near_one,
    passes,
    reactive,
    with_resistances,
)
from tests.support.witness import denominator, falls, order, swept, zeros

ENDS = told.ENDS
_NEAR = 1e-6


@dataclass(frozen=True)
class Claimed:
    """An explanation with everything it was made for."""

    problem: Problem
    question: Question
    mark: Mark
    earlier: tuple[Earlier, ...]
    explanation: Explanation

    @property
    def ladder(self) -> Ladder:
        return self.problem.ladder

    @property
    def end(self) -> End:
        return End.LOW if self.question.rung.value.startswith("low") else End.HIGH

    @property
    def answered(self) -> Any:
        return self.mark.value

    @property
    def number(self) -> float:
        return figure_of(self.mark.value)  # type: ignore[arg-type]

    @property
    def refutes(self) -> bool:
        """Whether it has to contradict the answer."""
        return self.explanation.strength is Strength.FACT

    @cached_property
    def fact(self) -> CounterFact:
        """As looks have it."""
        e = self.explanation
        return CounterFact("", (), e.ends[0] if len(e.ends) == 1 else None, e.marked, e.passes)

    def arm(self, text: str) -> PlacedArm:
        """The arm of that text, or the single part, where it lies."""
        for stage in merged(self.ladder).stages:
            if stage.arm is not None:
                for part in (stage.arm, *leaves(stage.arm)):
                    if arm_text(part) == text:
                        return PlacedArm(stage.place, part)
        raise AssertionError(f"no arm {text}")


def check(claimed: Claimed) -> None:
    """Everything an explanation says is true, and contradicts the answer where it has to."""
    explanation = claimed.explanation
    names = {e.name for e in claimed.ladder.elements()}
    if claimed.question.rung not in (
        Rung.WHICH_CIRCUIT, Rung.LOOKALIKE_REASON, Rung.MISSING_ARM,
    ):  # fmt: skip
        assert set(explanation.marked) <= names, (explanation.marked, names)
    for sentence in explanation.against:
        _against(claimed, sentence)
    for sentence in explanation.says:
        _sentence(claimed, sentence)


# ------------------------------------------------------------------- phrases, by their file


def _sentence(claimed: Claimed, sentence: Phrase) -> None:
    circuit = _circuit(claimed)
    if sentence.file == "why":
        key, tried = sentence.key, None
        for length in range(key.count(".") + 1):
            head = key.rsplit(".", length)[0] if length else key
            tried = tried or _CHECKS.get(head)
        tried = tried or _CHECKS.get(re.sub(r"-(one|many)$", "", key))
        assert tried is not None, f"no check for {key}"
        tried(claimed, dict(sentence.values), key)
    elif sentence.file == "looks":
        _look_sentence(claimed, sentence)
    else:
        assert sentence.file == "hints"
        return  # the hints have tests of their own
    for value in dict(sentence.values).values():
        _nested(claimed, value, circuit, sentence.file)


def _circuit(claimed: Claimed) -> Ladder:
    """The circuit that an explanation speaks of."""
    if claimed.question.rung in (Rung.WHICH_CIRCUIT, Rung.LOOKALIKE_REASON, Rung.MISSING_ARM):
        return claimed.explanation.lookalike or claimed.ladder
    return claimed.ladder


def _nested(claimed: Claimed, text: Text, circuit: Ladder, file: str) -> None:
    """The phrases that fill a sentence."""
    if isinstance(text, tuple):
        for part in text:
            _nested(claimed, part, circuit, file)
        return
    if not isinstance(text, Phrase):
        return
    where = text.file or file
    family, _, key = text.key.partition(".")
    if where == "looks":
        tried = told._SAID.get(family)
        if key.startswith("null") and facts(near_one(circuit)).axis_zero_pairs > 1:
            assert _has_null(circuit)
        elif tried is not None:
            tried(circuit, key, text, claimed.fact)
        elif family == "state":
            end = claimed.explanation.ends[0]
            for name in told.names_of(text, "names"):
                assert at_end(name, end) == (OPEN if key.startswith("open") else WIRE)
    elif family in ("arm-is", "zero"):
        values = dict(text.values)
        (_arm_is if family == "arm-is" else _deed)(claimed, values, text.key)
    for _, inner in text.values:
        _nested(claimed, inner, circuit, where)


def _look_sentence(claimed: Claimed, sentence: Phrase) -> None:
    """Sentences of looks: what they contradict is what the question asks about."""
    kind, part = sentence.table.split(".")
    if part == "hints":
        return  # what fills it is checked
    rung = claimed.question.rung
    if rung is Rung.WHICH_CIRCUIT:
        _picture(claimed, sentence.key, sentence.values)
    elif not claimed.refutes:
        return
    elif kind == "type":
        _not_of_type(claimed, str(claimed.answered), claimed.ladder)
    elif rung in (Rung.LOW_END, Rung.HIGH_END):
        assert (claimed.answered == "passes") is not passes(claimed.ladder, claimed.end)
    elif kind == "fed":
        look = SimpleNamespace()
        fact = replace(claimed.fact, key=sentence.key)
        told._fed(look, str(claimed.answered), fact, claimed.ladder)  # type: ignore[arg-type]


def _not_of_type(claimed: Claimed, kind: str, circuit: Ladder) -> None:
    end = claimed.fact.end
    if end is not None:
        assert ENDS[kind][end is End.HIGH] is not passes(circuit, end)
        return
    assert kind in ("notch", "flat")
    keys = [p.key for s in claimed.explanation.says for p in told.phrases(s)]
    null = any(key.startswith("between.null") for key in keys)
    assert null is (kind == "flat" and bool(_has_null(circuit)))


def _has_null(circuit: Ladder) -> bool:
    plain = near_one(circuit)
    sweep = np.abs(swept(plain, 1e-3, 1e2, 4000))
    return bool(sweep.min() < 1e-2 * min(sweep[0], sweep[-1]))


def _picture(claimed: Claimed, key: str, values: tuple[tuple[str, Text], ...]) -> None:
    """The circuit chosen against what is shown, as looks check it."""
    chosen = claimed.explanation.lookalike
    assert chosen is not None
    mapped_face = claimed.problem.face.value == "map"
    fact = replace(claimed.fact, key=key, values=values)
    shown = (claimed.ladder,) if mapped_face else (chosen,)
    look = SimpleNamespace(
        kind=LookKind.WHICH_MAP if mapped_face else LookKind.WHICH_CIRCUIT,
        answers=(str(claimed.answered),),
        shown=shown,
        ladder=chosen if mapped_face else claimed.ladder,
    )
    told._picture(look, str(claimed.answered), fact, chosen)  # type: ignore[arg-type]


# ------------------------------------------------------------------- earlier answers


def _against(claimed: Claimed, sentence: Phrase) -> None:
    """The earlier answers are those that were right; the rule holds of the truth alone."""
    values = dict(sentence.values)
    follows = values["follows"]
    assert isinstance(follows, Phrase)
    known = {e.rung: e.truth for e in claimed.earlier}
    told_of = values.get("earlier", ())
    assert isinstance(told_of, tuple)
    for phrase in told_of:
        assert isinstance(phrase, Phrase)
        _earlier(claimed, phrase, known)
    rule = _RULES[follows.key.removeprefix("follows.")]
    right, wrong = claimed.question.truth, claimed.answered
    assert rule(claimed, right), (follows.key, right)
    assert not rule(claimed, wrong), (follows.key, wrong)


def _earlier(claimed: Claimed, phrase: Phrase, known: Mapping[Rung, Any]) -> None:
    """What is said to have been said is true of the circuit."""
    key = phrase.key.removeprefix("earlier.")
    ladder = claimed.ladder
    value = str(dict(phrase.values)["value"]).replace("\N{MINUS SIGN}", "-")
    for end in End:
        if key.startswith(f"{end.value}-end"):
            assert passes(ladder, end) is key.endswith("passes")
    if key.startswith("type-"):
        kind = key.removeprefix("type-")
        assert _ends_do(claimed) == ENDS[kind]
    counts = {
        "poles": lambda: order(ladder),
        "zeros": lambda: zeros(ladder),
        "origin-zeros": lambda: falls(ladder, End.LOW),
        "independent": lambda: known[Rung.INDEPENDENT],
    }
    head, _, number = key.rpartition("-")
    if head in counts:
        count = counts[head]()
        assert number == {0: "none", 1: "one"}.get(count, "many")
        assert number != "many" or int(value) == count
    numbers = {
        "low-slope": 20 * falls(ladder, End.LOW),
        "high-slope": -20 * falls(ladder, End.HIGH),
        "low-phase": 90 * falls(ladder, End.LOW),
        "high-phase": -90 * falls(ladder, End.HIGH),
    }
    if key in numbers:
        assert int(value) == numbers[key]


def _number_rule(rule: Callable[[float, Ladder], bool]) -> Callable[[Claimed, Any], bool]:
    return lambda claimed, answer: rule(figure_of(answer), claimed.ladder)


def _type_rule(passing: bool, end: End) -> Callable[[Claimed, Any], bool]:
    """That a type passes or blocks an end."""

    def rule(claimed: Claimed, answer: Any) -> bool:
        ends = ENDS[str(answer)]
        return ends[end is End.HIGH] is passes(claimed.ladder, end)

    return rule


def _sign(x: float) -> int:
    return (x > 0) - (x < 0)


def _stores_said(claimed: Claimed) -> float:
    return figure_of({e.rung: e.truth for e in claimed.earlier}[Rung.INDEPENDENT])


_AT_DC = _number_rule(lambda a, x: _sign(a) == _sign(falls(x, End.LOW)))
_AT_HIGH = _number_rule(lambda a, x: _sign(-a) == _sign(falls(x, End.HIGH)))

_OF_TYPE = ("none-of-type",)
_RULES: Mapping[str, Callable[[Claimed, Any], bool]] = {
    **{f"type-{v}-{e}": _type_rule(v == "passes", end)
       for v in ("passes", "blocks") for e, end in (("dc", End.LOW), ("high", End.HIGH))},
    "takes-two-stores": _number_rule(lambda a, x: a >= 2),
    "takes-a-store": _number_rule(lambda a, x: a >= 1),
    "all-stores-add": lambda c, a: a == "each-adds",
    "fewer-stores-than-drawn": lambda c, a: a != "each-adds",
    "flat-has-no-pole": _number_rule(lambda a, x: a == 0),
    "takes-two-poles": _number_rule(lambda a, x: a >= 2),
    "takes-a-pole": _number_rule(lambda a, x: a >= 1),
    "pole-each-at-most": lambda c, a: figure_of(a) <= _stores_said(c),
    "pole-each": _number_rule(lambda a, x: a == order(x)),
    "each-adds": _number_rule(lambda a, x: a == len(x.reactive())),
    "some-add-none": _number_rule(lambda a, x: a < len(x.reactive())),
    "zeros-at-most-poles": _number_rule(lambda a, x: a <= order(x)),
    "zeros-below-poles": _number_rule(lambda a, x: a < order(x)),
    "zeros-as-poles": _number_rule(lambda a, x: a == order(x)),
    "zero-blocks-dc": _number_rule(lambda a, x: a >= 1),
    "null-is-a-pair": _number_rule(lambda a, x: a >= 2),
    "type-blocks-dc-zero": _number_rule(lambda a, x: a >= 1),
    "type-zeros-as-poles": _number_rule(lambda a, x: a == order(x)),
    "type-zeros-below-poles": _number_rule(lambda a, x: a < order(x)),
    "origin-at-most-zeros": _number_rule(lambda a, x: a <= zeros(x)),
    **{f"{what}-{word}": _AT_DC for what in ("zeros", "slope", "phase")
       for word in ("none-where-dc-passes", "some-where-dc-blocked", *_OF_TYPE, "some-of-type")},
    **{f"{what}-{word}": _AT_HIGH for what in ("high-slope", "high-phase")
       for word in ("none-where-high-passes", "falls-where-high-blocked", *_OF_TYPE,
                    "falls-of-type")},
    "slope-by-origin": _number_rule(lambda a, x: a == 20 * falls(x, End.LOW)),
    "slope-by-counts": _number_rule(lambda a, x: a == 20 * (zeros(x) - order(x))),
    "slope-at-most-poles": _number_rule(lambda a, x: -a <= 20 * order(x)),
    "phase-by-origin": _number_rule(lambda a, x: a == 90 * falls(x, End.LOW)),
    "phase-by-slope": _number_rule(lambda a, x: a == 90 * falls(x, End.LOW)),
    "high-phase-by-slope": _number_rule(lambda a, x: a == -90 * falls(x, End.HIGH)),
    "phase-by-counts": _number_rule(lambda a, x: a == 90 * (zeros(x) - order(x))),
    "phase-halfway": _number_rule(lambda a, x: a == 45 * (falls(x, End.LOW) - falls(x, End.HIGH))),
    "phase-half-turned": _number_rule(lambda a, x: a == 90 * falls(x, End.LOW) - 45 * order(x)),
    "q-above": lambda c, a: a == "complex" and _q(c) > 0.5,
    "q-below": lambda c, a: a == "real" and _q(c) < 0.5,
    "q-half": lambda c, a: a == "double" and abs(_q(c) - 0.5) < 1e-5,
}  # fmt: skip
"""Each rule written once more, by the witness's counts."""


# ------------------------------------------------------------------- figures by the witness


def _fit(claimed: Claimed, ladder: Ladder | None = None) -> tuple[float, float]:
    circuit = ladder or claimed.ladder
    hertz = facts(circuit).corner_hz
    assert hertz is not None
    return denominator(circuit, facts(circuit).transfer.order, hertz)


def _q(claimed: Claimed) -> float:
    return _fit(claimed)[1]


def _impedance(arm: Arm, s: complex) -> complex:
    if isinstance(arm, Element):
        assert arm.value is not None
        x = float(arm.value)
        return {Kind.R: x, Kind.L: s * x, Kind.C: 1 / (s * x)}[arm.kind]
    parts = [_impedance(part, s) for part in arm.parts]
    if arm.joint is Joint.SERIES:
        return sum(parts)
    return 1 / sum(1 / z for z in parts)


def _plain_arm(claimed: Claimed, text: str) -> PlacedArm:
    """An arm of the circuit, its values near 1."""
    plain = near_one(claimed.ladder)
    return Claimed(
        replace(claimed.problem, ladder=plain),
        claimed.question,
        claimed.mark,
        (),
        claimed.explanation,
    ).arm(text)


def _sweep(claimed: Claimed, text: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    arm = _plain_arm(claimed, text).arm
    return np.array([abs(_impedance(arm, 2j * math.pi * f)) for f in np.logspace(-5, 5, 2001)])


Values = dict[str, Text]


def _nothing(claimed: Claimed, values: Values, key: str) -> None:
    """A law of its own, or what is checked where it is filled."""


def _arm_is(claimed: Claimed, values: Values, key: str) -> None:
    end = claimed.explanation.ends[0]
    s = 1j * (1e-6 if end is End.LOW else 1e6)
    size = abs(_impedance(_plain_arm(claimed, str(values["arm"])).arm, s))
    state = "open" if size > 1e4 else "short" if size < 1e-4 else "resistive"
    assert key == f"arm-is.{state}"


def _lies_in(claimed: Claimed, values: Values, key: str) -> None:
    assert claimed.arm(str(values["arm"])).place.value == key.split(".")[1]


def _example(claimed: Claimed, values: Values, key: str) -> None:
    other = claimed.explanation.lookalike
    assert other is not None
    assert write_circuit(valueless(other), "; ") == str(values["circuit"])
    belief = key.removeprefix("example.")
    kinds = {e.name[0] for e in other.reactive()}
    if "type" in values:
        kind = values["type"]
        assert isinstance(kind, Phrase)
        name = kind.key.removeprefix("a.")
        assert tuple(passes(other, end) for end in End) == ENDS[name]
        assert _has_null(other) is (name == "notch")
        believed = {
            "capacitor-is-low-pass": "low-pass", "capacitor-is-high-pass": "high-pass",
            "inductor-is-low-pass": "low-pass", "inductor-is-high-pass": "high-pass",
            "any-lc": "band-pass", "any-two": "band-pass", "any-lc-stops": "notch",
            "passive-is-flat": "flat",
        }.get(belief)  # fmt: skip
        assert name != believed
    if belief.startswith(("capacitor", "inductor")):
        assert (
            belief[0].upper() in {"C": "C", "I": "L"}
            and ("C" if belief[0] == "c" else "L") in kinds
        )
    if belief in ("any-lc", "any-lc-stops") or belief.startswith("resonance"):
        assert kinds == {"L", "C"}
    if belief.startswith("resonance"):
        sweep = np.abs(swept(near_one(other), 1e-4, 1e3, 3000))
        at = int(sweep.argmin() if belief.endswith("most") else sweep.argmax())
        assert 0 < at < len(sweep) - 1


def _passive_blocks(claimed: Claimed, values: Values, key: str) -> None:
    other = claimed.explanation.lookalike
    assert other is not None
    assert write_circuit(valueless(other), "; ") == str(values["circuit"])
    assert not passes(other, End(key.split(".")[1]))
    assert passes(claimed.ladder, claimed.end)


def _load(claimed: Claimed, values: Values, key: str) -> None:
    bare = replace(claimed.ladder, load=None)
    assert passes(bare, claimed.end)
    assert (claimed.ladder.load is None) is key.endswith("none")


def _parts(values: Values, key: str = "parts") -> tuple[str, ...]:
    found = values[key]
    return tuple(map(str, found)) if isinstance(found, tuple) else (str(found),)


def _divides(claimed: Claimed, values: Values, key: str) -> None:
    end = claimed.explanation.ends[0]
    drawn = with_resistances(near_one(claimed.ladder), dict.fromkeys(_parts(values), 1.3))
    assert fall(drawn, end) == 0
    assert fall(near_one(claimed.ladder), end) > 0


def _source_holds(claimed: Claimed, values: Values, key: str) -> None:
    assert not has_say(claimed.ladder, str(values["part"]))


def _moves(claimed: Claimed, values: Values, key: str) -> None:
    sweep = _sweep(claimed, str(values["arm"]))
    steps = np.diff(sweep)
    way = key.split(".")[1]
    if way == "stays":
        assert np.allclose(sweep, sweep[0])
    elif way == "grows":
        assert (steps >= -1e-9 * sweep[1:]).all() and sweep[-1] > 1.01 * sweep[0]
    elif way == "falls":
        assert (steps <= 1e-9 * sweep[1:]).all() and sweep[-1] < 0.99 * sweep[0]
    else:
        assert (steps > 0).any() and (steps < 0).any()


def _resonates(claimed: Claimed, values: Values, key: str) -> None:
    sweep = _sweep(claimed, str(values["arm"]))
    at = int(sweep.argmin() if key.endswith("least") else sweep.argmax())
    assert 0 < at < len(sweep) - 1


def _say_all(wanted: bool) -> Callable[[Claimed, Values, str], None]:
    def tried(claimed: Claimed, values: Values, key: str) -> None:
        for name in _parts(values):
            assert has_say(claimed.ladder, name) is wanted

    return tried


def _no_pole_to_cancel(claimed: Claimed, values: Values, key: str) -> None:
    assert order(near_one(claimed.ladder)) == 0


def _still_flat(claimed: Claimed, values: Values, key: str) -> None:
    names = set(_parts(values))

    def grown(e: Element) -> Element:
        assert e.value is not None
        return Element(e.kind, e.name, e.value * (1000 if e.name in names else 1))

    sweep = np.abs(swept(mapped(claimed.ladder, grown), 1, 1e8, 60))
    assert sweep.max() < sweep.min() * (1 + 1e-6)


def _output_lies(claimed: Claimed, values: Values, key: str) -> None:
    last = str(values["last"])
    load = claimed.ladder.load
    if load is not None:
        assert last == load.name
    else:
        assert claimed.arm(last).place is Place.SHUNT
        assert {e.name for e in leaves(claimed.arm(last).arm)} <= told._across_output(
            claimed.ladder
        )
    assert last != str(values["series"])


def _resistance_stays(claimed: Claimed, values: Values, key: str) -> None:
    assert str(values["part"]).startswith("R")


# ------------------------------------------------------------------- levels


def _gains(claimed: Claimed) -> tuple[float, float, float, float]:
    """(at DC, at the high-frequency end, the largest, the least) gain of a sweep."""
    middle = _middle(claimed)
    sweep = np.abs(swept(claimed.ladder, middle / 1e9, middle * 1e9, 9001))
    return float(sweep[0]), float(sweep[-1]), float(sweep.max()), float(sweep.min())


def _middle(claimed: Claimed) -> float:
    known = facts(claimed.ladder)
    corners = [abs(x) for x in (*known.poles, *known.zeros) if x] or [1e4]
    return math.sqrt(min(corners) * max(corners)) / math.tau


def _decibels(text: Text) -> float:
    found = str(text).replace("\N{MINUS SIGN}", "-")
    return math.inf if "∞" in found else float(found.split()[0])


def _line_down(claimed: Claimed, gain: float) -> float:
    """How far a gain lies below the highest level of the straight lines."""
    known = facts(claimed.ladder)
    levels = []
    for corner in (1e-9, 1e15, *(abs(x) for x in (*known.poles, *known.zeros) if x)):
        level = abs(float(known.transfer.numerator[0]))
        for zero in known.zeros:
            level *= max(corner, abs(zero))
        for pole in known.poles:
            level /= max(corner, abs(pole))
        levels.append(level)
    return 20 * math.log10(max(levels) / gain)


def _ends_do(claimed: Claimed) -> tuple[bool, bool]:
    """Whether each end passes: within 6 dB of the highest level of the straight lines."""
    low, high, _, _ = _gains(claimed)
    gains = zip(End, (low, high), strict=True)
    return tuple(  # type: ignore[return-value]
        not falls(claimed.ladder, end) and _line_down(claimed, gain) < 6.1 for end, gain in gains
    )


def _level_of_type(claimed: Claimed, values: Values, key: str) -> None:
    what, kind = key.split(".")[1], str(claimed.answered)
    low, high, _, least = _gains(claimed)
    if what in ("dips", "no-dip"):
        depth = 20 * math.log10(min(low, high) / least)
        assert ENDS[kind] == (True, True)
        assert abs(_line_down(claimed, low)) < 7 and abs(_line_down(claimed, high)) < 7
        if what == "dips":
            assert kind != "notch" and abs(depth - _decibels(values["depth"])) < 0.5
        else:
            assert kind == "notch" and depth < 20
        return
    end, verb = what.split("-")
    gain, claims = (low, ENDS[kind][0]) if end == "low" else (high, ENDS[kind][1])
    if verb == "nothing":
        assert claims and falls(claimed.ladder, End(end)) > 0
        return
    down = _line_down(claimed, gain)
    assert falls(claimed.ladder, End(end)) == 0
    assert claims is (verb == "blocked")
    assert down > 19.9 if verb == "blocked" else down < 6.1
    assert verb == "passed" or abs(down - _decibels(values["down"])) < 0.1


def _level_at(claimed: Claimed, values: Values, key: str) -> None:
    end, verb = key.removeprefix("level.at-").split("-")
    low, high, _, _ = _gains(claimed)
    assert (falls(claimed.ladder, End(end)) > 0) is (verb == "nothing")
    if verb == "down":
        down = _line_down(claimed, low if end == "low" else high)
        assert abs(down - _decibels(values["down"])) < 0.1


def _steps(claimed: Claimed, values: Values, key: str) -> None:
    low, high, _, _ = _gains(claimed)
    assert (high > low) is key.endswith("down")
    assert str(claimed.answered) in (("lag", "shelf-down") if high > low else ("lead", "shelf-up"))


def _step_poles(claimed: Claimed, values: Values, key: str) -> None:
    one = str(claimed.answered) in ("lag", "lead")
    assert one is key.endswith("one-pole")
    assert (order(claimed.ladder) == 1) is not one
    told_of = values["fact"]
    assert isinstance(told_of, Phrase)
    names = told.names_of(told_of, "parts")
    assert len(names) == order(claimed.ladder)
    assert set(names) <= set(reactive(claimed.ladder))


def _step_between(claimed: Claimed, values: Values, key: str) -> None:
    low, high, _, least = _gains(claimed)
    dips = least < 0.99 * min(low, high)
    assert dips is key.endswith("dips")
    assert (str(claimed.answered) == "lag-lead") is not dips


# ------------------------------------------------------------------- counts


def _none_more_drawn(claimed: Claimed, values: Values, key: str) -> None:
    assert set(_parts(values)) == set(reactive(claimed.ladder))
    assert _typed_order(claimed) > len(reactive(claimed.ladder))


def _none_drawn(claimed: Claimed, values: Values, key: str) -> None:
    assert not reactive(claimed.ladder)


def _typed_order(claimed: Claimed) -> int:
    """How many the answer takes there to be."""
    if claimed.question.form is Form.FORMULA:
        return _typed(claimed).order
    return int(claimed.number)


def _too_many_counted(claimed: Claimed, values: Values, key: str) -> None:
    assert not claimed.refutes or _typed_order(claimed) > order(claimed.ladder)


def _cancels(claimed: Claimed, values: Values, key: str) -> None:
    assert facts(claimed.ladder).transfer.order == order(claimed.ladder)
    assert order(claimed.ladder) < order(near_one(claimed.ladder))


def _each_stores(claimed: Claimed, values: Values, key: str) -> None:
    names = _parts(values)
    others = {n: 1.3 for n in reactive(claimed.ladder) if n not in names}
    assert order(with_resistances(near_one(claimed.ladder), others)) == len(names)
    assert len(names) > _typed_order(claimed)


def _all_count(claimed: Claimed, values: Values, key: str) -> None:
    names = _parts(values, "names")
    assert set(names) == set(reactive(claimed.ladder))
    assert order(near_one(claimed.ladder)) == len(names)


def _others_count(claimed: Claimed, values: Values, key: str) -> None:
    hidden = {n for p in told.phrases(values["reasons"]) if p.key.startswith("hidden.")
              for n in told.names_of(p, "parts")}  # fmt: skip
    count = order(near_one(claimed.ladder))
    assert count == len(reactive(claimed.ladder)) - len(hidden)
    assert key.endswith("nothing-else") is (count == 0)


def _adds_one(claimed: Claimed, values: Values, key: str) -> None:
    whole = order(near_one(claimed.ladder))
    for at in values:
        names = _parts(values, at)
        drawn = with_resistances(near_one(claimed.ladder), dict.fromkeys(names, 1.3))
        assert order(drawn) == whole - 1, names


def _adds_none(claimed: Claimed, values: Values, key: str) -> None:
    for phrase in told.phrases(values["reason"]):
        if phrase.key.startswith(("hidden.loop", "hidden.source-loop", "hidden.cut")):
            assert order(near_one(claimed.ladder)) < len(reactive(claimed.ladder))
        elif phrase.key.startswith(("hidden.across-source", "hidden.dangling", "hidden.unseen")):
            drawn = near_one(claimed.ladder)
            for name in told.names_of(phrase, "parts"):
                assert order(with_resistances(drawn, {name: 1.3})) == order(drawn), name


def _bounded(claimed: Claimed, values: Values, key: str) -> None:
    assert claimed.number > order(claimed.ladder)


def _numerator_lower(claimed: Claimed, values: Values, key: str) -> None:
    assert claimed.number == order(claimed.ladder) > zeros(claimed.ladder)


def _alone(claimed: Claimed, text: str) -> Ladder:
    """The circuit in which only this arm reacts."""
    arm = {e.name for e in leaves(claimed.arm(text).arm)}
    others = {n: 1.3 for n in reactive(claimed.ladder) if n not in arm}
    return with_resistances(near_one(claimed.ladder), others)


def _deed(claimed: Claimed, values: Values, key: str) -> None:
    alone = _alone(claimed, str(values["arm"]))
    if key.endswith("at-origin"):
        assert fall(alone, End.LOW) >= 1
    elif key.endswith(("pair", "pairs")):
        assert _has_null(alone) or _drops(alone)
    else:
        assert zeros(alone) > fall(alone, End.LOW)


def _drops(alone: Ladder) -> bool:
    """A null beside ends that fall themselves: a dip that no resistance could make."""
    sweep = np.log(np.abs(swept(alone, 1e-3, 1e2, 20000)))
    inner = np.diff(np.sign(np.diff(sweep)))
    return bool((inner > 0).any() and np.abs(np.diff(sweep)).max() > 0.2)


def _deeds(values: Values) -> tuple[int, bool]:
    """(at least how many zeros deeds make, whether it is just so many)."""
    count, exact = 0, True
    for phrase in told.phrases(values["deeds"]):
        if phrase.key.startswith("zero."):
            count += {"pair": 2, "pairs": 4}.get(phrase.key.removeprefix("zero."), 1)
            exact = exact and not phrase.key.endswith(("decay", "pairs"))
    return count, exact


def _more_zeros(claimed: Claimed, values: Values, key: str) -> None:
    count, _ = _deeds(values)
    assert claimed.number < count <= zeros(claimed.ladder) or claimed.number < zeros(claimed.ladder)


def _all_zeros(claimed: Claimed, values: Values, key: str) -> None:
    count, exact = _deeds(values)
    assert count == zeros(claimed.ladder) if exact else count <= zeros(claimed.ladder)


def _never_stops(claimed: Claimed, values: Values, key: str) -> None:
    for text in _parts(values, "arms"):
        assert zeros(_alone(claimed, text)) == 0, text
    assert not claimed.refutes or claimed.number > zeros(claimed.ladder)


def _no_zero(claimed: Claimed, values: Values, key: str) -> None:
    assert zeros(claimed.ladder) == 0


# ------------------------------------------------------------------- what blocks an end


def _claimed_power(claimed: Claimed) -> float:
    """How many arms an answer takes to block the end it speaks of."""
    match claimed.question.form:
        case Form.SLOPE:
            return abs(claimed.number) / 20
        case Form.ANGLE:
            return abs(claimed.number) / 90
        case Form.FORMULA:
            typed, end = _typed(claimed), claimed.explanation.ends[0]
            return typed.zeros_at_origin if end is End.LOW else typed.order - typed.zero_count
    return claimed.number


def _ends_at(claimed: Claimed) -> int:
    return falls(claimed.ladder, claimed.explanation.ends[0])


def _level(claimed: Claimed, values: Values, key: str) -> None:
    assert _ends_at(claimed) == 0 < _claimed_power(claimed)


def _not_level(claimed: Claimed, values: Values, key: str) -> None:
    assert _ends_at(claimed) > 0 == _claimed_power(claimed)


def _by_power(claimed: Claimed, values: Values, key: str) -> None:
    assert _ends_at(claimed) not in (0, _claimed_power(claimed))


def _arms_block(claimed: Claimed, values: Values) -> int:
    """That each arm named blocks the end alone; how many they are."""
    arms, end = values["arms"], claimed.explanation.ends[0]
    assert isinstance(arms, tuple)
    for arm in arms:
        assert isinstance(arm, Phrase)
        text = str(dict(arm.values)["arm"])
        names = [n for n in claimed.explanation.marked if n in re.findall(r"[A-Za-z]\w*", text)]
        assert names and blocks_alone(claimed.ladder, names, end), text
    return len(arms)


def _stops(claimed: Claimed, values: Values, key: str) -> None:
    assert _claimed_power(claimed) < _arms_block(claimed, values) <= _ends_at(claimed)


def _no_other(claimed: Claimed, values: Values, key: str) -> None:
    assert _arms_block(claimed, values) == _ends_at(claimed) < _claimed_power(claimed)


def _too_much(claimed: Claimed, values: Values, key: str) -> None:
    assert _claimed_power(claimed) > _ends_at(claimed)


def _no_multiple(claimed: Claimed, values: Values, key: str) -> None:
    step = 20 if claimed.question.form is Form.SLOPE else 90
    assert abs(claimed.number / step - round(claimed.number / step)) > 0.01


def _wrong_way(claimed: Claimed, values: Values, key: str) -> None:
    assert (claimed.number < 0) is (claimed.end is End.LOW)
    assert claimed.number != 0


def _too_many_poles(claimed: Claimed, values: Values, key: str) -> None:
    assert _claimed_power(claimed) > order(claimed.ladder)


def _zeros_give_back(claimed: Claimed, values: Values, key: str) -> None:
    assert _claimed_power(claimed) == order(claimed.ladder)
    assert zeros(claimed.ladder) > 0


# ------------------------------------------------------------------- the phase at the corner


def _phase(claimed: Claimed, values: Values, key: str) -> None:
    ladder, low = claimed.ladder, falls(claimed.ladder, End.LOW)
    start, stop = 90 * low, 90 * low - 90 * order(ladder)
    corner = _fit(claimed)[0] / (2 * math.pi)
    at = math.degrees(np.angle(response(ladder, [corner])[0]))
    truth = claimed.question.figure
    assert abs((at - truth + 180) % 360 - 180) < 1e-3
    phases = np.unwrap(np.angle(swept(ladder, corner / 1e4, corner * 1e4, 4001)))
    assert (np.diff(phases) < 1e-9).all()
    if key.endswith("not-started"):
        assert claimed.number >= start > truth
    elif key.endswith("gone-too-far"):
        assert claimed.number <= stop < truth
    elif key.endswith("halfway"):
        assert claimed.number != truth == (start + stop) / 2


def _starts_level(claimed: Claimed, values: Values, key: str) -> None:
    assert falls(claimed.ladder, End.LOW) == 0


# ------------------------------------------------------------------- figures


def _power_of_ten(claimed: Claimed, values: Values, key: str) -> None:
    typed, truth = claimed.number, claimed.question.figure
    near = typed > 0 and 10**-0.5 < typed / truth < 10**0.5
    assert near is key.endswith("fits")


def _unit_wrong(claimed: Claimed, values: Values, key: str) -> None:
    formula = _reading(claimed).formula
    assert formula is not None
    assert not _scales(claimed, formula, claimed.question.unit)


def _reading(claimed: Claimed) -> Any:
    parts = tuple(claimed.ladder.elements())
    return read(claimed.question, claimed.mark.typed, parts, facts(claimed.ladder))


def _scales(claimed: Claimed, formula: Formula, unit: str) -> bool:
    """Whether a formula goes as its unit does when ohms and seconds are measured otherwise."""
    ohm, second = {"Hz": (0, -1), "": (0, 0), "Ω": (1, 0), "H": (1, 1), "F": (-1, 1)}[unit]
    for k, t in ((3.0, 1.0), (1.0, 5.0)):
        factor = {"R": k, "L": k * t, "C": t / k}
        values = {e.name: float(e.value) for e in claimed.ladder.elements() if e.value is not None}
        scaled = {name: x * factor[name[0]] for name, x in values.items()}
        ratio = evaluate(formula, scaled).real / evaluate(formula, values).real
        if abs(ratio / (k**ohm * t**second) - 1) > _NEAR:
            return False
    return True


def _names_parts(claimed: Claimed, values: Values, key: str) -> None:
    names = {e.name for e in claimed.ladder.elements()}
    for value in values.values():
        for text in value if isinstance(value, tuple) else (value,):
            assert set(re.findall(r"[A-Za-z]\w*", str(text))) <= names


def _in_letters(claimed: Claimed, values: Values, key: str) -> None:
    formula = values["formula"]
    assert isinstance(formula, InLetters)
    numbers = {e.name: float(e.value) for e in claimed.ladder.elements() if e.value is not None}
    value = evaluate(formula.formula, numbers).real
    if key == "nature.formula":
        assert abs(value / _q(claimed) - 1) < 1e-5
    else:
        assert abs(value / claimed.question.figure - 1) < _NEAR


def _formula_chosen(claimed: Claimed) -> Formula:
    choice = next(c for c in claimed.question.choices if c.id == claimed.answered)
    formula = dict(choice.values)["formula"]
    assert isinstance(formula, Formula)
    return formula


def _corner_unit(claimed: Claimed, values: Values, key: str) -> None:
    assert not _scales(claimed, _formula_chosen(claimed), "Hz")


def _doubled(ladder: Ladder, name: str) -> Ladder:
    def change(e: Element) -> Element:
        assert e.value is not None
        return Element(e.kind, e.name, e.value * (2 if e.name == name else 1))

    return mapped(ladder, change)


def _corner_ratio(claimed: Claimed, name: str) -> float:
    return _fit(claimed, _doubled(claimed.ladder, name))[0] / _fit(claimed)[0]


def _corner_missing(claimed: Claimed, values: Values, key: str) -> None:
    name = str(values["part"])
    assert name not in letters_of(_formula_chosen(claimed))
    assert abs(_corner_ratio(claimed, name) - 1) > 1e-5


def _corner_extra(claimed: Claimed, values: Values, key: str) -> None:
    name = str(values["part"])
    assert name in letters_of(_formula_chosen(claimed))
    assert abs(_corner_ratio(claimed, name) - 1) < 1e-5


def _formula_value(claimed: Claimed, ladder: Ladder) -> float:
    values = {e.name: float(e.value) for e in ladder.elements() if e.value is not None}
    return evaluate(_formula_chosen(claimed), values).real


def _corner_radians(claimed: Claimed, values: Values, key: str) -> None:
    assert abs(_formula_value(claimed, claimed.ladder) / _fit(claimed)[0] - 1) < 1e-5


def _corner_doubled(claimed: Claimed, values: Values, key: str) -> None:
    name = str(values["part"])
    changed = _doubled(claimed.ladder, name)
    its = _formula_value(claimed, changed) / _formula_value(claimed, claimed.ladder)
    own = _corner_ratio(claimed, name)
    for text, ratio in (("own", own), ("its", its)):
        said = str(values[text]).replace("\N{MINUS SIGN}", "-").replace("±", "").rstrip(" %")
        assert abs(float(said) - 100 * (ratio - 1)) <= 0.51, (text, said, ratio)
    assert values["own"] != values["its"]


def _nature(claimed: Claimed, values: Values, key: str) -> None:
    q, what = _q(claimed), key.split(".")[1]
    same = abs(q - 0.5) < 1e-6
    assert {
        "not-complex": q < 0.5 + 1e-6,
        "not-real": q > 0.5 and not same,
        "not-apart": same,
        "double-is-not": not same,
    }[what]


# ------------------------------------------------------------------- H(s)


def _typed(claimed: Claimed) -> Any:
    transfer = _reading(claimed).transfer
    assert transfer is not None
    return transfer


def _value(t: Any, s: complex) -> complex:
    top, bottom = 0j, 0j
    for c in t.numerator:
        top = top * s + float(c)
    for c in t.denominator:
        bottom = bottom * s + float(c)
    return top / bottom if bottom else complex(math.inf)


def _typed_fall(claimed: Claimed, end: End) -> int:
    """The power by which the H(s) typed falls towards an end, measured over a decade."""
    far, near = (1e14, 1e13) if end is End.HIGH else (1e-8, 1e-7)
    t = _typed(claimed)
    return round(math.log10(abs(_value(t, near)) / abs(_value(t, far))))


def _transfer_end(claimed: Claimed, values: Values, key: str) -> None:
    end, what = claimed.explanation.ends[0], key.rsplit("-", 1)[1]
    power = _typed_fall(claimed, end)
    if what == "grows":
        assert power < 0
    elif what == "passes":
        assert power == 0 and not passes(claimed.ladder, end)
    else:
        assert power > 0 and passes(claimed.ladder, end)


def _transfer_power(claimed: Claimed, values: Values, key: str) -> None:
    end = End(key.split(".")[1].split("-")[0])
    power = _typed_fall(claimed, end)
    assert power != falls(claimed.ladder, end)
    assert (power > 0) is (falls(claimed.ladder, end) > 0)


def _transfer_poles(claimed: Claimed, values: Values, key: str) -> None:
    assert _typed(claimed).order != order(claimed.ladder)


def _transfer_null(claimed: Claimed, values: Values, key: str) -> None:
    t = _typed(claimed)
    known = facts(claimed.ladder)
    if key.endswith("no-null"):
        assert not _has_null(claimed.ladder)
    else:
        assert known.notch_hz is not None
        s = 2j * math.pi * known.notch_hz
        assert abs(response(claimed.ladder, [known.notch_hz])[0]) < 1e-6
        assert abs(_value(t, s)) > 1e-6


def _transfer_level(claimed: Claimed, values: Values, key: str) -> None:
    end = claimed.explanation.ends[0]
    s = 1e-8 if end is End.LOW else 1e14
    level = abs(_value(_typed(claimed), s))
    right = abs(_value_of_circuit(claimed, s))
    assert abs(level / right - 1) > _limit(claimed)


def _value_of_circuit(claimed: Claimed, s: float) -> complex:
    return _value(facts(claimed.ladder).transfer, s)


def _limit(claimed: Claimed) -> float:
    """How far apart two coefficients lie that differ: figures are typed with few digits."""
    return 1e-10 if _reading(claimed).lettered else 0.004


def _transfer_term(claimed: Claimed, values: Values, key: str) -> None:
    """The H(s) typed is not the circuit's, and the term named is where they part."""
    t, right = _typed(claimed), facts(claimed.ladder).transfer
    a, b = ([float(c) for c in x.denominator] for x in (t, right))
    limit = _limit(claimed)
    apart = [abs(x / y - 1) > limit if y else bool(x) for x, y in zip(a, b, strict=True)]
    what = key.split(".")[1]
    if what == "damping":
        assert len(a) == 3 and apart[1] and not apart[2]
    elif what == "outer":
        assert apart[-1]
    else:
        assert not any(apart)
        hertz = 1e3 if facts(claimed.ladder).corner_hz is None else facts(claimed.ladder).corner_hz
        assert hertz is not None
        shown = _value(t, 2j * math.pi * hertz)
        assert abs(shown - response(claimed.ladder, [hertz])[0]) > 1e-4 * abs(shown)


def _transfer_sign(claimed: Claimed, values: Values, key: str) -> None:
    assert _value(_typed(claimed), 1e14).real < 0
    assert _value_of_circuit(claimed, 1e14).real > 0


def _transfer_divider(claimed: Claimed, values: Values, key: str) -> None:
    upper, lower = values["upper"], values["lower"]
    assert isinstance(upper, InLetters) and isinstance(lower, InLetters)
    plain = near_one(claimed.ladder)
    for hertz in (0.03, 0.2, 1.0):
        numbers: dict[str, complex] = {
            e.name: float(e.value) for e in plain.elements() if e.value is not None
        }
        numbers["s"] = 2j * math.pi * hertz
        z = [evaluate(x.formula, numbers) for x in (upper, lower)]
        assert abs(z[1] / (z[0] + z[1]) - response(plain, [hertz])[0]) < 1e-9


def _transfer_unit(claimed: Claimed, values: Values, key: str) -> None:
    formula = _reading(claimed).formula
    for k, t in ((3.0, 1.0), (1.0, 5.0)):
        factor = {"R": k, "L": k * t, "C": t / k}
        values_ = {e.name: float(e.value) for e in claimed.ladder.elements() if e.value is not None}
        start = evaluate(formula, {**values_, "s": 1234.0})
        scaled = {name: x * factor[name[0]] for name, x in values_.items()}
        if abs(evaluate(formula, {**scaled, "s": 1234.0 / t}) / start - 1) > _NEAR:
            return
    raise AssertionError("its unit comes out")


# ------------------------------------------------------------------- back to the circuit


def _other(claimed: Claimed) -> Ladder:
    return value_of(claimed.question.values, "valued", Ladder)


def _second_end(claimed: Claimed, values: Values, key: str) -> None:
    verb, end = str(claimed.answered).split("-")
    assert passes(_other(claimed), End.LOW if end == "dc" else End.HIGH) is not (verb == "passes")


def _shown_too(claimed: Claimed, values: Values, key: str) -> None:
    claim = key.split(".")[1]
    assert claim == claimed.answered
    for circuit in _other(claimed), claimed.ladder:
        if claim.endswith("null"):
            assert _dips(circuit) is (claim == "null")
        else:
            verb, end = claim.split("-")
            assert passes(circuit, End.LOW if end == "dc" else End.HIGH) is (verb == "passes")


def _dips(circuit: Ladder) -> bool:
    return _has_null(circuit) or _drops(near_one(circuit))


def _second_null(claimed: Claimed, values: Values, key: str) -> None:
    assert _dips(_other(claimed)) is (key == "second.null")
    assert (claimed.answered == "null") is not (key == "second.null")


def _second_slope(claimed: Claimed, values: Values, key: str) -> None:
    end = End.LOW if str(claimed.answered).endswith("low") else End.HIGH
    second, shown = falls(_other(claimed), end), falls(claimed.ladder, end)
    assert (second == shown) is key.endswith("same")
    for name, power in (("its", second), ("own", shown)):
        assert abs(int(str(values[name]).replace("\N{MINUS SIGN}", "-"))) == 20 * power
    assert (second > shown) is not str(claimed.answered).startswith("steeper") or second == shown


def _second_figure(claimed: Claimed, values: Values, key: str) -> None:
    figure, relation = key.removeprefix("second.").split("-")
    if figure == "gain":
        levels = [_pass_band(x) for x in (_other(claimed), claimed.ladder)]
    else:
        index = 0 if figure == "corner" else 1
        levels = [_fit(claimed, x)[index] for x in (_other(claimed), claimed.ladder)]
    ratio = levels[0] / levels[1]
    found = "above" if ratio > 1.03 else "below" if ratio < 1 / 1.03 else "same"
    assert relation == found
    assert str(claimed.answered).split("-")[1] != relation


def _pass_band(circuit: Ladder) -> float:
    known = facts(circuit)
    low, high = known.gain_low, known.gain_high
    if low or high:
        return float(low or high)
    assert known.corner_hz is not None
    return float(abs(response(circuit, [known.corner_hz])[0]))


def _with_arm_type(claimed: Claimed, values: Values, key: str) -> None:
    tried = claimed.explanation.lookalike
    assert tried is not None
    _not_of_type(claimed, value_of(claimed.question.values, "asked", str), tried)


def _with_arm_poles(claimed: Claimed, values: Values, key: str) -> None:
    assert int(str(values["count"])) != value_of(claimed.question.values, "order", int)


def _this_map(claimed: Claimed, values: Values, key: str) -> None:
    _picture(claimed, key.removeprefix("this-map."), tuple(values.items()))


def _chosen_figure(claimed: Claimed, values: Values, key: str) -> None:
    """A figure of the circuit chosen that is not that of what is shown."""
    chosen = claimed.explanation.lookalike
    assert chosen is not None
    figure = key.removeprefix("chosen.figure-")
    if figure == "level":
        hertz = _typed_quantity(values["f"])
        its, own = (20 * math.log10(abs(response(x, [hertz])[0])) for x in (claimed.ladder, chosen))
        assert abs(own - _decibels(values["own"])) < 0.2
        assert abs(its - own) > 0.2
        return
    known = facts(chosen), facts(claimed.ladder)
    own, its = ({"corner": f.corner_hz, "q": f.q, "null": f.notch_hz}[figure] for f in known)
    assert own is not None
    assert its is not None
    assert abs(_typed_quantity(values["own"]) / own - 1) < 0.01
    assert max(own / its, its / own) > 1.01
    if figure == "null":
        assert abs(response(chosen, [own])[0]) < 1e-4
    else:
        fitted = _fit(claimed, chosen)
        assert abs((fitted[0] / math.tau if figure == "corner" else fitted[1]) / own - 1) < 1e-4


def _typed_quantity(text: Text) -> float:
    return float(read_quantity(str(text), "Hz" if "Hz" in str(text) else "").value)


_Check = Callable[[Claimed, Values, str], None]


def _both(keys: Iterable[str], tables: Iterable[str], tried: _Check) -> dict[str, _Check]:
    return {f"{table}.{key}": tried for table in tables for key in keys}


_ENDED = ("origin", "low-slope", "high-slope", "low-phase", "high-phase")

_CHECKS: Mapping[str, _Check] = {
    "states": _nothing,
    "arms-are": _nothing,
    "shunt-carries": _nothing,
    "series-holds": _nothing,
    "does-not-stop": _nothing,
    "no-resonance-needed": _nothing,
    "chain-blocks-both": _nothing,
    "either-order": _nothing,
    "lies-in": _lies_in,
    "passive-blocks": _passive_blocks,
    "load": _load,
    "source-holds": _source_holds,
    "divider": _divides,
    "no-signal": _divides,
    "example": _example,
    "moves": _moves,
    "resonates": _resonates,
    "has-a-say": _say_all(True),
    "nothing-divides": _say_all(False),
    "flat.pole-meets-zero": _no_pole_to_cancel,
    "flat.pole-meets-zero-one": _no_pole_to_cancel,
    "flat.pole-meets-zero-many": _no_pole_to_cancel,
    "flat.too-small-one": _still_flat,
    "flat.too-small-many": _still_flat,
    "output-lies": _output_lies,
    "resistance-stays": _resistance_stays,
    **_both(("no-more-drawn-one", "no-more-drawn-many"), ("store", "pole"), _none_more_drawn),
    **_both(("none-drawn",), ("store", "pole"), _none_drawn),
    **_both(("hidden",), ("store", "pole"), _too_many_counted),
    "pole.cancelled": _cancels,
    **_both(("each-one", "each-many"), ("store", "pole"), _each_stores),
    **_both(("all-count-one", "all-count-many"), ("store", "pole"), _all_count),
    **_both(("others-count", "nothing-else"), ("store", "pole"), _others_count),
    "no-pole.hidden": _adds_none,
    "no-pole.whatever-its-value": _adds_none,
    "no-pole.adds": _adds_one,
    "no-pole.adds-both": _adds_one,
    "zero.bounded": _bounded,
    "zero.falls": _numerator_lower,
    "zero.deeds": _more_zeros,
    "zero.all-deeds": _all_zeros,
    "zero.no-more": _all_zeros,
    "zero.never-one": _never_stops,
    "zero.never-many": _never_stops,
    "zero.nowhere": _no_zero,
    "zero.numerator": _nothing,
    "zero.numerator-cancelled": _nothing,
    "zero.multiply-out": _nothing,
    **_both(("level",), _ENDED, _level),
    **_both(("not-level",), _ENDED, _not_level),
    **_both(("power",), _ENDED, _by_power),
    **_both(("stops-one", "stops-many"), _ENDED, _stops),
    **_both(("no-other-one", "no-other-many"), _ENDED, _no_other),
    **_both(("innocent",), _ENDED, _too_much),
    **_both(("no-multiple",), _ENDED, _no_multiple),
    **_both(("wrong-way-passes", "wrong-way-blocked"), _ENDED, _wrong_way),
    **_both(("too-many",), _ENDED, _too_many_poles),
    **_both(("zeros-give-back",), _ENDED, _zeros_give_back),
    **_both(("level-law", "law"), _ENDED, _nothing),
    **_both(("not-started", "gone-too-far", "halfway"), ("corner-phase",), _phase),
    "corner-phase.level-start": _starts_level,
    "corner-phase.start": _nothing,
    "corner-phase.turned-one": _nothing,
    "corner-phase.turned-many": _nothing,
    "figure.unit-wrong": _unit_wrong,
    "figure.power-fits": _power_of_ten,
    "figure.power-wrong": _power_of_ten,
    **_both(("low-blocked", "high-blocked", "low-passed", "high-passed", "low-nothing",
             "high-nothing", "dips", "no-dip"), ("level",), _level_of_type),
    **_both(("at-low-down", "at-high-down", "at-low-nothing", "at-high-nothing"), ("level",),
            _level_at),
    "level.between": _nothing,
    "level.counts": _nothing,
    "step.down": _steps,
    "step.up": _steps,
    "step.one-pole": _step_poles,
    "step.more-poles": _step_poles,
    "step.returns": _step_between,
    "step.dips": _step_between,
    "step.compare": _nothing,
    "figure.first": _names_parts,
    "formula": _in_letters,
    "corner-formula.unit": _corner_unit,
    "corner-formula.missing": _corner_missing,
    "corner-formula.extra": _corner_extra,
    "corner-formula.radians": _corner_radians,
    "corner-formula.doubled": _corner_doubled,
    "nature.formula": _in_letters,
    "nature.work-out": _nothing,
    "nature": _nature,
    **_both(("low-grows", "low-passes", "low-blocked", "high-grows", "high-passes", "high-blocked"),
            ("transfer",), _transfer_end),
    "transfer.low-power": _transfer_power,
    "transfer.high-power": _transfer_power,
    "transfer.poles": _transfer_poles,
    "transfer.no-null": _transfer_null,
    "transfer.null": _transfer_null,
    "transfer.null-of": _transfer_null,
    "transfer.level-low": _transfer_level,
    "transfer.level-high": _transfer_level,
    "transfer.damping": _transfer_term,
    "transfer.outer": _transfer_term,
    "transfer.numerator": _transfer_term,
    "transfer.sign": _transfer_sign,
    "transfer.divider": _transfer_divider,
    "transfer.unit": _transfer_unit,
    "second.end": _second_end,
    "second.null": _second_null,
    "second.no-null": _second_null,
    "second.slope": _second_slope,
    "second.slope-same": _second_slope,
    **_both((f"{f}-{w}" for f in ("corner", "q", "gain") for w in ("above", "below", "same")),
            ("second",), _second_figure),
    "shown-too": _shown_too,
    "with-arm.type": _with_arm_type,
    "with-arm.poles-one": _with_arm_poles,
    "with-arm.poles-many": _with_arm_poles,
    "this-map": _this_map,
    "chosen": _chosen_figure,
}  # fmt: skip
