"""Hints for what is counted: independent elements, poles, zeros, slopes and phases.

That a part adds no pole is seen by counting those that do.
"""

from __future__ import annotations

from flint import fmpq_poly

from ..algebra import axis_pairs
from ..analysis.arms import End
from ..analysis.idle import Reason
from ..quantities.write import write_quantity
from ..questions.model import Rung
from .fill import HINTS, Hint, Named, Scene, Text, clauses, numbered, phrase, written

_MOST_LETTERS = 100


def _reasons(scene: Scene) -> Text:
    """Why elements are not counted, those with one reason together."""
    groups: dict[tuple[Reason, str], list[str]] = {}
    for hidden in scene.facts.hidden:
        groups.setdefault((hidden.reason, hidden.partner or ""), []).append(hidden.name)
    found = [
        numbered(f"hidden.{reason.value}", tuple(names), partner=partner)
        for (reason, partner), names in groups.items()
    ]
    return clauses(found) if found else ""


def _counted(scene: Scene) -> Named:
    return (
        ("names", scene.reactive),
        ("kept", scene.kept),
        ("remaining", numbered("remains", scene.kept)),
        ("reasons", _reasons(scene)),
        ("count", str(scene.facts.seen_count)),
    )


@HINTS(Rung.INDEPENDENT, Rung.NO_POLE)
def independent(scene: Scene) -> Hint:
    """How many reactive elements store energy on their own."""
    step = "some" if scene.facts.hidden else "all"
    if not scene.kept:
        step = "none"
    return Hint("any", "any", step, _counted(scene), scene.reactive)


@HINTS(Rung.POLES)
def poles(scene: Scene) -> Hint:
    """The pole count: the independent elements, less what cancels."""
    values: Named = (*_counted(scene), ("poles", str(scene.facts.transfer.order)))
    cancelled = scene.facts.seen_count - scene.facts.transfer.order
    if not scene.reactive:
        return Hint("any", "none", "none", values)
    if cancelled:
        step = "cancelled"
        values += (("cancelled", str(cancelled)),)
    elif scene.facts.hidden:
        step = "some" if scene.kept else "none-kept"
    else:
        step = "one" if len(scene.kept) == 1 else "all"
    return Hint("any", "any", step, values, scene.reactive)


def origin_zeros_of(p: fmpq_poly) -> int:
    """How many roots of a polynomial, which is not 0, lie at the origin."""
    count = 0
    while p[count] == 0:
        count += 1
    return count


def _contributions(scene: Scene) -> tuple[Text, int]:
    """What the arms give to the zeros, and how many that makes."""
    origin: list[str] = []
    pair: list[str] = []
    decay: list[str] = []
    others: list[Text] = []
    total = 0
    for rail in scene.rails:
        p = rail.stopping()
        at_origin, pairs = origin_zeros_of(p), axis_pairs(p)
        rest = int(p.degree()) - at_origin - 2 * pairs
        total += int(p.degree())
        if at_origin:
            origin.append(rail.text)
        if pairs == 1:
            pair.append(rail.text)
        elif pairs:
            others.append(phrase("zero-pairs", names=rail.text, pairs=str(pairs)))
        if rest == 1:
            decay.append(rail.text)
        elif rest:
            others.append(phrase("zero-decays", names=rail.text, count=str(rest)))
    if decay:
        others.append(numbered("zero-decay", tuple(decay)))
    if pair:
        others.insert(0, numbered("zero-pair", tuple(pair)))
    if origin:
        others.insert(0, numbered("zero-origin", tuple(origin)))
    return clauses(others) if others else "", total


@HINTS(Rung.ZEROS)
def zeros(scene: Scene) -> Hint:
    """The finite zeros: each where an arm stops the signal at a finite s."""
    count = scene.facts.transfer.zero_count
    found, total = _contributions(scene)
    values: Named = (("arms", scene.arms), ("count", str(count)), ("contributions", found))
    if total == count:
        step = "list" if count else "none"
    else:
        numerator = numerator_text(scene)
        exact = len(scene.numerator) - 1 == count
        step = "large" if not numerator else "numerator" if exact else "cancelled"
        values += (("numerator", numerator),)
    return Hint("any", "any" if scene.reactive_rails else "none", step, values, scene.working)


def numerator_text(scene: Scene) -> str:
    """The numerator of H(s) in letters; "" where it is too long to be read."""
    text = polynomial_text(scene.numerator)
    return text if len(text) <= _MOST_LETTERS else ""


def polynomial_text(coefficients: tuple[str, ...]) -> str:
    """Coefficient texts in descending powers of s → one line of print."""
    last = len(coefficients) - 1
    terms: list[str] = []
    for i, coefficient in enumerate(coefficients):
        power = last - i
        if coefficient == "0":
            continue
        s = {0: "", 1: "s"}.get(power, written(f"s^{power}"))
        if not s:
            terms.append(written(coefficient))
        elif coefficient == "1":
            terms.append(s)
        elif "+" in coefficient:
            terms.append(f"({written(coefficient)})·{s}")
        else:
            terms.append(f"{written(coefficient)}·{s}")
    return " + ".join(terms)


@HINTS(Rung.ORIGIN_ZEROS)
def origin_zeros(scene: Scene) -> Hint:
    """The zeros at s = 0: as many as the numerator has factors s."""
    count = scene.facts.transfer.zeros_at_origin
    arms = tuple(rail.text for rail in scene.rails if origin_zeros_of(rail.stopping()))
    values: Named = (("names", scene.working), ("count", str(count)))
    if len(arms) == count:
        step = "list" if count else "none"
        values += (("contributions", numbered("zero-origin", arms)),)
    else:
        numerator = numerator_text(scene)
        step = "numerator" if numerator else "large"
        values += (("numerator", numerator),)
    look, ends = ("any", (End.LOW,)) if scene.reactive_rails else ("none", ())
    return Hint("any", look, step, values, scene.working, ends)


@HINTS(Rung.LOW_SLOPE, Rung.HIGH_SLOPE, Rung.LOW_PHASE, Rung.HIGH_PHASE)
def asymptotes(scene: Scene) -> Hint:
    """20 dB/decade, or 90°, for each zero at the origin, or for each zero less each pole."""
    transfer, names = scene.facts.transfer, scene.working
    total = int(scene.question.figure)
    moving, still = _COURSE[scene.question.rung]
    values: Named = (
        ("names", names),
        ("origin", str(transfer.zeros_at_origin)),
        ("zeros", str(transfer.zero_count)),
        ("poles", str(transfer.order)),
        ("difference", signed(transfer.zero_count - transfer.order)),
        ("total", write_quantity(total, scene.question.unit)),
    )
    low = scene.question.rung in (Rung.LOW_SLOPE, Rung.LOW_PHASE)
    look, ends = ("any", (End.LOW if low else End.HIGH,)) if names else ("none", ())
    return Hint("any", look, moving if total else still, values, names, ends)


_COURSE = {
    Rung.LOW_SLOPE: ("rises", "flat"),
    Rung.HIGH_SLOPE: ("falls", "flat"),
    Rung.LOW_PHASE: ("leads", "none"),
    Rung.HIGH_PHASE: ("turns", "none"),
}
"""The step's variant for an asymptote that moves, and for one that does not."""


def signed(number: int) -> str:
    """A whole number with the minus of print."""
    return str(number).replace("-", "\N{MINUS SIGN}")


@HINTS(Rung.CORNER_PHASE)
def corner_phase(scene: Scene) -> Hint:
    """Half of what the poles turn in all, from where the zeros at the origin start."""
    transfer = scene.facts.transfer
    poles = "one" if transfer.order == 1 else "two"
    values: Named = (
        ("names", scene.working),
        ("origin", str(transfer.zeros_at_origin)),
        ("start", write_quantity(scene.facts.phase_low, "°")),
        ("turned", write_quantity(45 * transfer.order, "°")),
        ("total", write_quantity(int(scene.question.figure), "°")),
    )
    return Hint(poles, "any", poles, values, scene.working)
