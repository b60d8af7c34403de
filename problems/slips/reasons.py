"""Wrong reasons: each wrong choice of a reason rung is the voice of a slip."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from ..analysis.idle import Reason
from ..circuits.model import Kind
from ..questions.model import Choice, Rung, Values
from .case import Case, Guess, Topic
from .counts import HIDDEN

TOPIC = Topic("reasons")

_ENDS: Mapping[str, str] = {
    "shunt-carries": "shunt-passes-to-output",
    "series-holds": "open-arm-holds",
    "resonance": "resonance-at-the-ends",
    "kinds-swapped": "roles-swapped",
    "wrong-kind": "roles-swapped",
    "series-opens-shunt-shorts": "roles-swapped",
    "always": "passive-always-passes",
    "idle-load": "load-pulls",
    "series-open": "stopper-misplaced",
    "shunt-short": "stopper-misplaced",
    "open-and-short": "stopper-misplaced",
    "source-shorted": "across-source-counted",
    "divider": "divided-to-nothing",
    "no-signal": "no-signal-there",
}
_TYPE: Mapping[str, str] = {
    "read-across": "complementary-tap",
    "capacitor-is-low-pass": "part-decides",
    "capacitor-is-high-pass": "part-decides",
    "inductor-is-low-pass": "part-decides",
    "inductor-is-high-pass": "part-decides",
    "resonance-carries": "resonance-maximum",
    "resonance-most": "resonance-maximum",
    "resonance-least": "resonance-minimum",
    "resistor-filters": "resistor-filters",
    "any-lc": "any-lc-band-pass",
    "any-lc-stops": "any-lc-notch",
    "any-two": "any-two-band-pass",
    "ends-swapped": "roles-swapped",
    "order-decides": "section-order",
    "low-then-high": "chain-for-notch",
    "idle": "flat-cause-mistaken",
    "same-ratio": "flat-cause-mistaken",
    "pole-meets-zero": "flat-cause-mistaken",
    "too-small": "too-small-to-matter",
    "passive-is-flat": "passive-is-flat",
}
_CORNER: Mapping[str, str] = {
    "no-load": "load-ignored",
    "no-source": "source-ignored",
    "no-two-pi": "radians-as-hertz",
    "in-series": "series-for-parallel",
    "in-parallel": "parallel-for-series",
    "one-part-only": "one-part-only",
    "no-resistances": "load-cannot-matter",
    "no-root": "root-forgotten",
    "l-over-c": "l-over-c",
    "with-r": "resistance-in-f0",
    "one-pole-form": "one-pole-form",
    "sections-added": "sections-added",
}
_NO_POLE: Mapping[str, str] = {
    "combined": "kin-merged",
    "across-source": "held-by-source",
    "open-end": "leads-nowhere",
    "tied": "held-by-source",
    "pair-is-one": "pair-for-one-pole",
    "too-small": "too-small-to-matter",
}


def _end_slip(case: Case, choice: str) -> str | None:
    return _ENDS.get(choice)


def _type_slip(case: Case, choice: str) -> str | None:
    if choice in _TYPE:
        return _TYPE[choice]
    truth = str(case.question.truth)
    if "least" in choice or "greatest" in choice:
        return "resonance-reversed"
    if "grows" in choice or "falls" in choice:
        return "roles-swapped" if _reversed(choice) == truth else "stopper-misplaced"
    return None


def _reversed(choice: str) -> str:
    return choice.replace("grows", "#").replace("falls", "grows").replace("#", "falls")


def _corner_slip(case: Case, choice: str) -> str | None:
    match choice:
        case "upside-down":
            return "corner-inverted" if case.order == 1 else "period-reported"
        case "time-constant":
            return "l-over-r" if case.inductors and not case.capacitors else "corner-inverted"
        case "other-kind":
            return "rc-form-on-rl" if case.inductors else "rl-form-on-rc"
        case "joined-wrongly":
            kinds = {name[0] for h in case.facts.hidden for name in (h.name, h.partner or "-")}
            inductors = Kind.L.value in kinds
            return "inductors-combined-wrongly" if inductors else "capacitors-combined-wrongly"
        case "hidden-taken" | "hidden-added":
            reasons = [h.reason for h in case.facts.hidden]
            for slip in ("across-source-counted", "dangling-counted"):
                if HIDDEN[slip] in reasons:
                    return slip
            return "loop-counted"
    return _CORNER.get(choice)


def _no_pole_slip(case: Case, choice: str) -> str | None:
    if choice != "each-adds":
        return _NO_POLE.get(choice)
    return next(slip for slip, why in HIDDEN.items() if why is case.facts.hidden[0].reason)


_SLIP_OF: Mapping[Rung, Callable[[Case, str], str | None]] = {
    Rung.LOW_END_REASON: _end_slip,
    Rung.HIGH_END_REASON: _end_slip,
    Rung.TYPE_REASON: _type_slip,
    Rung.CORNER_REASON: _corner_slip,
    Rung.NO_POLE: _no_pole_slip,
}


def slip_of(case: Case, choice: str) -> str | None:
    """The slip that the wrong ``choice`` of a reason rung speaks for, if ``case`` has one."""
    if choice == case.question.truth or case.rung not in _SLIP_OF:
        return None
    return _SLIP_OF[case.rung](case, choice)


def _register(slip: str) -> None:
    @TOPIC.slip(slip, *_SLIP_OF)
    def predict(case: Case) -> Iterator[Guess]:
        for choice in case.question.choices:
            if slip_of(case, choice.id) == slip:
                yield Guess(choice.id, _values(case, choice, slip))


_ABOUT: Mapping[str, Reason] = {**HIDDEN, "one-part-only": Reason.COMBINABLE}
"""Which slips are about parts that are hidden, and for which reason."""


def _values(case: Case, choice: Choice, slip: str) -> Values:
    found = dict(choice.values)
    hidden = [h for h in case.facts.hidden if h.reason is _ABOUT.get(slip, h.reason)]
    names = " and ".join(h.name for h in hidden)
    partner = next((h.partner for h in hidden if h.partner), "")
    arm = found.get("shunt") or found.get("series") or found.get("arms") or ""
    return (
        ("names", found.get("name") or found.get("a") or names),
        ("partner", partner),
        ("elements", f"{partner} and {names}" if partner else names),
        ("arm", arm),
        ("a", found.get("a") or ""),
        ("b", found.get("b") or ""),
    )


_OTHERS = (
    "resonance-reversed", "corner-inverted", "period-reported", "l-over-r", "rc-form-on-rl",
    "rl-form-on-rc", "inductors-combined-wrongly", "capacitors-combined-wrongly",
    "dangling-counted", "combinable-counted", "loop-counted",
)  # fmt: skip

_VOICES = (*_ENDS.values(), *_TYPE.values(), *_CORNER.values(), *_NO_POLE.values(), *_OTHERS)

for _slip in dict.fromkeys(_VOICES):
    _register(_slip)
