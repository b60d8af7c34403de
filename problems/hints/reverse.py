"""Hints on the way back: which circuit, which arm, which value."""

from __future__ import annotations

from ..analysis.design import pair_of
from ..analysis.response import TWO_PI, Facts, FilterType, facts
from ..circuits.model import Kind, Ladder, leaves
from ..quantities.units import Quantity
from ..quantities.write import write_quantity
from ..questions.analyse import pass_band_gain
from ..questions.model import Rung
from ..questions.reverse import ARMS, of_choice, outcome
from ..questions.values import text_of, value_of
from .fill import HINTS, Hint, Named, Scene, Text, clauses, phrase

_LETTERS = "abcdefgh"


# ------------------------------------------------------------------------- which circuit


@HINTS(Rung.WHICH_CIRCUIT)
def which_circuit(scene: Scene) -> Hint:
    """Which of four circuits has the response shown."""
    face, f = scene.question.asked, scene.facts
    letter = _LETTERS[[c.id for c in scene.question.choices].index(str(scene.question.truth))]
    found: list[Text] = []
    for letter_of, choice in zip(_LETTERS, scene.question.choices, strict=False):
        known = of_choice(choice)
        if known is not None:
            found.append(phrase("candidate", letter=letter_of, what=_described(known)))
    values: Named = (
        ("letter", letter),
        ("shown", _described(f)),
        ("candidates", clauses(found)),
        ("names", scene.reactive),
    )
    return Hint("any", face, "any", values)


def _described(known: Facts) -> Text:
    """Type, number of poles, corner and Q of a circuit."""
    kind: Text = phrase(f"kind.{known.type_exact.value}")
    if known.type_exact is FilterType.FLAT:
        return kind
    order = str(known.transfer.order)
    if known.corner_hz and known.q:
        figures = ("f0", write_quantity(known.corner_hz, "Hz", 3)), ("q", _short(known.q))
        return phrase("described-q", kind=kind, order=order, **dict(figures))
    if known.corner_hz:
        f0 = write_quantity(known.corner_hz, "Hz", 3)
        return phrase("described-f0", kind=kind, order=order, f0=f0)
    return phrase("described", kind=kind, order=order)


def _short(figure: float) -> str:
    return write_quantity(figure, "", 2)


@HINTS(Rung.LOOKALIKE_REASON)
def lookalike_reason(scene: Scene) -> Hint:
    """Why another circuit has not the response shown."""
    truth, f = str(scene.question.truth), scene.facts
    other = facts(value_of(scene.question.values, "valued", Ladder))
    values: Named = (
        ("shown", _described(f)),
        ("other", _described(other)),
        ("names", scene.reactive),
        ("where", _apart(truth, f, other)),
    )
    ends = truth.endswith(("-dc", "-low", "-high"))
    return Hint("any", "ends" if ends else "figures", "any", values)


def _apart(truth: str, shown: Facts, other: Facts) -> Text:
    """Where two responses part."""
    match truth.split("-"):
        case ["steeper" | "flatter", "low"]:
            slopes = shown.slope_low, other.slope_low
            return phrase("apart-low-slope", own=_slope(slopes[0]), its=_slope(slopes[1]))
        case ["steeper" | "flatter", _]:
            slopes = shown.slope_high, other.slope_high
            return phrase("apart-high-slope", own=_slope(slopes[0]), its=_slope(slopes[1]))
        case ["gain", _]:
            own, its = (f"{write_quantity(pass_band_gain(x) or 0, '', 3)}" for x in (shown, other))
            return phrase("apart-gain", own=own, its=its)
        case ["passes" | "blocks", end]:
            return phrase(f"apart-{end}")
        case ["no", _]:
            return phrase("apart-null")
        case [figure, *_]:
            return phrase(f"apart-{figure}")
    raise ValueError(truth)  # pragma: no cover - every claim has its place above


def _slope(value: int) -> str:
    return write_quantity(value, "dB/decade")


# ------------------------------------------------------------------------- the missing arm


@HINTS(Rung.MISSING_ARM)
def missing_arm(scene: Scene) -> Hint:
    """Which arm makes the type that is wanted."""
    index = value_of(scene.question.values, "stage", int)
    others = tuple(
        e.name
        for k, stage in enumerate(scene.ladder.stages)
        if stage.arm is not None and k != index
        for e in leaves(stage.arm)
    )
    found: list[Text] = []
    offered = {choice.id for choice in scene.question.choices}
    for kind in ARMS:
        made = outcome(scene.ladder, index, kind) if kind in offered else None
        if made is not None:
            what = phrase(f"kind.{made[0].value}")
            if made[0] is not FilterType.FLAT:
                what = phrase("described", kind=what, order=str(made[1]))
            found.append(phrase("with-arm", arm=phrase(f"arm.{kind}"), what=what))
    ends = tuple(e.name for e in (scene.ladder.source, scene.ladder.load) if e is not None)
    named = (*others, *ends)
    values: Named = (
        ("others", named),
        ("outcomes", clauses(found)),
        ("arm", phrase(f"arm.{scene.question.truth}")),
    )
    place = scene.ladder.stages[index].place.value
    return Hint("any", place, "any", values)


# ------------------------------------------------------------------------- values


@HINTS(Rung.ELEMENT_VALUE, Rung.LEAST_VALUE, Rung.MOST_VALUE)
def element_value(scene: Scene) -> Hint:
    """The value of an element for a wanted corner, Q or both, or an end of a wanted range."""
    asked = scene.question.asked if scene.question.rung is Rung.ELEMENT_VALUE else "range"
    given, order = dict(scene.question.values), scene.facts.transfer.order
    name, truth = value_of(scene.question.values, "element", str), scene.question.figure
    known = [e for e in scene.ladder.elements() if e.name not in (name, given.get("other"))]
    values: dict[str, Text] = {
        "element": name,
        "known": tuple(f"{e.name} = {_value_text(e.kind, e.value)}" for e in known),
        "result": write_quantity(truth, Kind(name[0]).unit),
        **{k: text_of(given[k]) for k in ("f0", "f1", "f2", "q", "other") if k in given},
    }
    at = given.get("f0")
    if asked == "range":
        # A greater L or C makes a lower frequency.
        at = given["f2" if scene.question.rung is Rung.LEAST_VALUE else "f1"]
        values["at"] = text_of(at)
    omega = TWO_PI * float(at.value) if isinstance(at, Quantity) else None
    if omega is not None:
        values["omega"] = write_quantity(omega, "rad/s")
    values["law"] = "ω₀ = a₀/a₁" if order == 1 else "ω₀² = a₀/a₂"
    principle = f"{asked}-one" if order == 1 else asked
    step = _step(scene, asked, name, omega, values)
    focus = (*(e.name for e in known), name)
    return Hint(principle, asked, step, tuple(values.items()), focus)


def _value_text(kind: Kind, value: object) -> str:
    assert value is not None
    return write_quantity(value, kind.unit)  # type: ignore[arg-type]


def _step(scene: Scene, asked: str, name: str, omega: float | None, values: dict[str, Text]) -> str:
    """The variant of the worked step, with what fills it."""
    truth, order = scene.question.figure, scene.facts.transfer.order
    pair = pair_of(scene.ladder)
    if asked in ("q", "both"):
        if pair is None:
            return asked
        series = "series" if pair.series else "parallel"
        values["ohms"] = write_quantity(float(pair.resistance), "Ω")
        if asked == "both":
            return f"both-{series}-{'l' if name.startswith('L') else 'c'}"
        coil, capacitor = pair.inductor.value, pair.capacitor.value
        assert coil is not None and capacitor is not None
        values["root"] = write_quantity((float(coil) / float(capacitor)) ** 0.5, "Ω")
        alone = len(scene.resistors) == 1
        return f"q-{series}" if alone else f"q-{series}-of"
    assert omega is not None
    if order == 1:
        hidden = {h.name for h in scene.facts.hidden}
        kept = [e for e in scene.ladder.reactive() if e.name not in hidden]
        part = kept[0] if len(kept) == 1 == len(scene.ladder.reactive()) else None
        if part is not None and part.name == name:
            ohms = omega * truth if part.kind is Kind.L else 1 / (omega * truth)
            values["ohms"] = write_quantity(ohms, "Ω")
            return "one-l" if part.kind is Kind.L else "one-c"
        if part is not None and name.startswith("R"):
            assert part.value is not None
            x = float(part.value)
            values["part"] = part.name
            values["ohms"] = write_quantity(
                omega * x if part.kind is Kind.L else 1 / (omega * x), "Ω"
            )
            which = "l" if part.kind is Kind.L else "c"
            return f"one-r-{which}" if len(scene.resistors) == 1 else f"one-r-{which}-of"
        return "any"
    if pair is not None:
        partner = pair.capacitor if name == pair.inductor.name else pair.inductor
        values["partner"] = partner.name
        return "resonance"
    return "any"
