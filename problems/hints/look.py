"""The three hints of a look, and in one sentence why the right answer is right.

The words stand in ``content/looks.toml``: hints under ``<kind>.hints``, reasons under
``<kind>.why`` (where a kind has none of its own, its counter-facts state the right thing too).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ..analysis.arms import End, working_rails
from ..analysis.ends import end_fact, end_facts
from ..analysis.idle import hidden_elements
from ..analysis.response import FilterType, facts
from ..catalogue.prototypes import quality_of
from ..circuits.model import Ladder, leaves
from ..generate.look_made import LOADS
from ..questions.looks import Look, LookKind
from .counterfact_changes import ON, TAPS, change_fact, changed_part
from .counterfact_counts import (
    against_poles,
    against_slope,
    feed_fact,
    hidden_phrase,
    kept_parts,
    pole_count,
)
from .counterfact_curves import of_q, pole_angle
from .counterfact_ends import CounterFact, flatness, null_arms, null_phrase
from .counterfact_levels import dc_fact, larger_fact, phase_fact
from .counterfact_pictures import agreement, chosen, difference, number_key, slope_text
from .ends import counted, end_phrase, states_phrase
from .fill import Named, Phrase, Text, phrase


@dataclass(frozen=True, slots=True)
class LookHint:
    """The three levels of a hint: the words' keys below ``<kind>.hints``, and what fills them.

    ``focus`` are names of the parts that the second level speaks of.
    """

    principle: str
    look: str
    step: str
    values: Named = ()
    focus: tuple[str, ...] = ()

    def variant(self, level: int) -> str:
        """The key of the words of one level.

        Raises:
            ValueError: there is no such level.
        """
        if level not in (1, 2, 3):
            raise ValueError(f"hints have levels 1, 2 and 3, not {level}")
        return (self.principle, self.look, self.step)[level - 1]


def right_because(look: Look) -> tuple[str, Named]:
    """(words, what fills them): why the right answer is right; a key below the look's kind."""
    return _WORDS[look.kind][0](look)


def look_hint(look: Look) -> LookHint:
    """The hint of a look, all three levels."""
    return _WORDS[look.kind][1](look)


def _working(ladder: Ladder) -> tuple[str, ...]:
    """The inductors and capacitors that affect the output, else all there are."""
    names = tuple(e.name for r in working_rails(ladder) for e in leaves(r.arm) if e.kind.reactive)
    return names or tuple(e.name for e in ladder.reactive())


def _both_ends(ladder: Ladder) -> Named:
    low, high = end_facts(ladder)
    return (
        ("low", end_phrase(low, table="at-end")),
        ("high", end_phrase(high, table="at-end")),
    )


# ----------------------------------------------------------------- type and ends


def _type_why(look: Look) -> tuple[str, Named]:
    return "why." + look.truth, type_reason(look.ladder, look.truth)


def type_reason(ladder: Ladder, kind: str) -> Named:
    """What fills the reason why ``ladder`` is of the type ``kind``."""
    if kind == FilterType.FLAT.value:
        return (("flat", flatness(ladder)[0]),)
    if kind == FilterType.NOTCH.value:
        return (("null", null_phrase(null_arms(ladder)[0])[0]),)
    return _both_ends(ladder)


def _type_hint(look: Look) -> LookHint:
    ladder = look.ladder
    names = _working(ladder)
    values: Named = (*_both_ends(ladder), ("names", names))
    if facts(ladder).type_exact is FilterType.FLAT:
        values = (*values, ("flat", flatness(ladder)[0]))
        return LookHint("principle", _look_key(names), "step-flat", values, names)
    arms = null_arms(ladder)
    if arms and facts(ladder).type_exact is FilterType.NOTCH:
        text, resonant = null_phrase(arms[0])
        values = (*_both_ends(ladder), ("null", text), ("arm", dict(text.values)["arm"]))
        return LookHint("principle", "look-null", "step-null", values, resonant)
    return LookHint("principle", _look_key(names), "step", values, names)


def _look_key(names: tuple[str, ...]) -> str:
    """Which words say where to look: at several parts, at one, or at nothing."""
    return "look" if len(names) > 1 else "look-one" if names else "look-none"


def _end_of(look: Look) -> End:
    return End.HIGH if look.kind in (LookKind.HIGH_END, LookKind.HIGH_SLOPE) else End.LOW


def _end_why(look: Look) -> tuple[str, Named]:
    return "why.end", (("fact", end_phrase(end_fact(look.ladder, _end_of(look)))),)


def _end_hint(look: Look) -> LookHint:
    names = _working(look.ladder)
    if not names:
        return LookHint("principle", "look-none", "step-none")
    values: Named = (("names", names), ("states", states_phrase(look.ladder, names, _end_of(look))))
    key = _look_key(names) if look.kind is LookKind.DC_OUTPUT else "look"
    return LookHint("principle", key, "step", values, names)


# ----------------------------------------------------------------- counts


def _fed_why(look: Look) -> tuple[str, Named]:
    key, values, _ = feed_fact(look.ladder)
    return f"counter.{key}", values


def _fed_hint(look: Look) -> LookHint:
    _, values, _ = feed_fact(look.ladder)
    names = tuple(e.name for e in look.ladder.reactive())
    return LookHint("principle", _look_key(names), "step", (*values, ("names", names)), names)


def _poles_why(look: Look) -> tuple[str, Named]:
    ladder, kept = look.ladder, kept_parts(look.ladder)
    found = against_poles(ladder, pole_count(ladder) + 1)
    if hidden_elements(ladder):
        return f"counter.{found.key}", found.values
    key = f"why.{counted(kept)}" if kept else "why.none"
    return key, (("parts", kept), ("count", str(len(kept))))


def _poles_hint(look: Look) -> LookHint:
    ladder = look.ladder
    names = tuple(e.name for e in ladder.reactive())
    if not names:
        return LookHint("principle", "look-none", "step-none")
    hidden = hidden_elements(ladder)
    key = _look_key(names)
    if not hidden:
        step = "step-all" if len(names) > 1 else "step-one"
        return LookHint("principle", key, step, (("names", names),), names)
    reasons = hidden_phrase(ladder)
    step = "step" if kept_parts(ladder) else "step-hidden"
    return LookHint("principle", key, step, (("names", names), ("reasons", reasons)), names)


def _decay_why(look: Look) -> tuple[str, Named]:
    found = against_slope(look.ladder, _end_of(look), 0)
    return f"why.{found.key}", found.values


def _decay_hint(look: Look) -> LookHint:
    names = _working(look.ladder)
    found = against_slope(look.ladder, _end_of(look), 0)
    step = {"level": "step-level", "power": "step-power"}.get(found.key, "step")
    values: Named = (*found.values, ("names", names))
    return LookHint("principle", _look_key(names), step, values, names)


# ----------------------------------------------------------------- pictures and pairs


def _slopes(ladder: Ladder) -> Named:
    """How the gain starts and ends."""
    known = facts(ladder)
    found: list[tuple[str, Text]] = []
    for name, verb, slope in (
        ("low", "starts", known.slope_low),
        ("high", "ends", known.slope_high),
    ):
        text = phrase(f"slope.{verb}-some", slope=slope_text(slope)) if slope else None
        found.append((name, text or phrase(f"slope.{verb}-level")))
    return tuple(found)


def poles_phrase(ladder: Ladder) -> Phrase:
    """How many poles a circuit has."""
    count = facts(ladder).transfer.order
    return phrase(f"poles-{number_key(count)}", count=str(count))


def zeros_phrase(ladder: Ladder) -> Phrase:
    """How many zeros at the origin a circuit has."""
    count = facts(ladder).transfer.zeros_at_origin
    return phrase(f"zeros-{number_key(count)}", count=str(count))


def _response_why(look: Look) -> tuple[str, Named]:
    key = "why.slopes-null" if facts(look.ladder).axis_zero_pairs else "why.slopes"
    return key, (*_slopes(look.ladder), ("poles", poles_phrase(look.ladder)))


def _response_hint(look: Look) -> LookHint:
    names = _working(look.ladder)
    values: Named = (*_both_ends(look.ladder), ("names", names))
    return LookHint("principle", _look_key(names), "step", values, names)


def _map_why(look: Look) -> tuple[str, Named]:
    key = "why.counts-null" if facts(look.ladder).axis_zero_pairs else "why.counts"
    return key, (("zeros", zeros_phrase(look.ladder)), ("poles", poles_phrase(look.ladder)))


def _map_hint(look: Look) -> LookHint:
    names = _working(look.ladder)
    values: Named = (("zeros", zeros_phrase(look.ladder)), ("names", names))
    return LookHint("principle", _look_key(names), "step", values, names)


def _circuit_hint(look: Look) -> LookHint:
    low, high = end_facts(look.ladder)
    values: Named = (
        *_slopes(look.ladder),
        ("first", end_phrase(low, table="at-end")),
        ("second", end_phrase(high, table="at-end")),
    )
    return LookHint("principle", "look", "step", values)


def _pair_why(look: Look) -> tuple[str, Named]:
    first, second = look.shown[:2]
    found = (agreement if look.truth == "same" else difference)(first, second)
    return f"counter.{found.key}", found.values


def _pair_hint(look: Look) -> LookHint:
    return LookHint("principle", "look", "step", _both_ends(look.shown[0]))


def _one_why(look: Look) -> tuple[str, Named]:
    right = chosen(look, look.truth)
    kind = facts(right).type_exact.value
    return f"why.{kind}", type_reason(right, kind)


def _one_hint(look: Look) -> LookHint:
    right = chosen(look, look.truth)
    kind = facts(right).type_exact.value
    values: Named = (("claim", phrase(f"claim.{kind}")), *_both_ends(look.shown[0]))
    return LookHint("principle", "look", "step", values)


# ----------------------------------------------------------------- changes


def _change_why(look: Look) -> tuple[str, Named]:
    key, values, _ = change_fact(look)
    return f"counter.{key}", values


def _change_hint(look: Look) -> LookHint:
    key, values, names = change_fact(look)
    step = f"step-{key.split('-')[0]}"
    if look.kind in (*LOADS, *TAPS):
        return LookHint("principle", "look", step, values, names)
    where = "look-resistance" if changed_part(look).startswith("R") else "look-reactive"
    return LookHint("principle", where, step, values, names)


# ----------------------------------------------------------------- what comes out, and curves


def _told_why(fact: Callable[[Look], CounterFact]) -> Callable[[Look], tuple[str, Named]]:
    """The reason is what is told of a wrong answer too."""

    def why(look: Look) -> tuple[str, Named]:
        found = fact(look)
        return f"counter.{found.key}", found.values

    return why


def _phase_hint(look: Look) -> LookHint:
    names = tuple(e.name for e in look.ladder.reactive())
    values: Named = (
        ("names", names),
        ("poles", poles_phrase(look.ladder)),
        ("zeros", zeros_phrase(look.ladder)),
    )
    return LookHint("principle", _look_key(names), "step", values, names)


def _larger_hint(look: Look) -> LookHint:
    key = "-corner" if dict(look.values)["where"] == "corner" else ""
    first = dict(larger_fact(look).values)["first"]
    return LookHint(f"principle{key}", f"look{key}", "step", (("first", first),))


def _q_why(look: Look) -> tuple[str, Named]:
    q = quality_of(look.ladder)
    key, figure = of_q(look, q)
    return f"why.{key}", (("q", q.text), ("own", figure))


def _q_hint(look: Look) -> LookHint:
    key, values = _q_why(look)
    key = key.removeprefix("why.")
    shown = "rings" if key == "calm" else key
    return LookHint(f"principle-{shown}", f"look-{shown}", f"step-{key}", values)


def _step_map_why(look: Look) -> tuple[str, Named]:
    known = facts(look.ladder)
    q = quality_of(look.ladder)
    key = "jump" if known.gain_high else "level" if known.gain_low else "back"
    return f"why.{key}", (("q", q.text), ("angle", pole_angle(q)))


def _step_map_hint(look: Look) -> LookHint:
    q = quality_of(look.ladder)
    values: Named = (("zeros", zeros_phrase(look.ladder)), ("q", q.text), ("angle", pole_angle(q)))
    return LookHint("principle", "look", "step", values)


def _step_why(look: Look) -> tuple[str, Named]:
    return "why.ends", _both_ends(look.ladder)


def _twin_hint(look: Look) -> LookHint:
    names = _working(look.ladder)
    values: Named = (*_slopes(look.ladder), ("names", names), ("poles", poles_phrase(look.ladder)))
    return LookHint("principle", "look", "step", values, names)


_Why = Callable[[Look], tuple[str, Named]]

_WORDS: Mapping[LookKind, tuple[_Why, Callable[[Look], LookHint]]] = MappingProxyType(
    {
        LookKind.TYPE: (_type_why, _type_hint),
        LookKind.LOW_END: (_end_why, _end_hint),
        LookKind.HIGH_END: (_end_why, _end_hint),
        LookKind.FED: (_fed_why, _fed_hint),
        LookKind.POLES: (_poles_why, _poles_hint),
        LookKind.ORIGIN_ZEROS: (_decay_why, _decay_hint),
        LookKind.LOW_SLOPE: (_decay_why, _decay_hint),
        LookKind.HIGH_SLOPE: (_decay_why, _decay_hint),
        LookKind.WHICH_RESPONSE: (_response_why, _response_hint),
        LookKind.WHICH_MAP: (_map_why, _map_hint),
        LookKind.WHICH_CIRCUIT: (_response_why, _circuit_hint),
        LookKind.SAME_TYPE: (_pair_why, _pair_hint),
        LookKind.WHICH_ONE: (_one_why, _one_hint),
        **dict.fromkeys(ON, (_change_why, _change_hint)),
        LookKind.DC_OUTPUT: (_told_why(dc_fact), _end_hint),
        LookKind.CORNER_PHASE: (_told_why(phase_fact), _phase_hint),
        LookKind.LARGER_OUTPUT: (_told_why(larger_fact), _larger_hint),
        LookKind.GAIN_OF_Q: (_q_why, _q_hint),
        LookKind.PHASE_OF_Q: (_q_why, _q_hint),
        LookKind.STEP_OF_Q: (_q_why, _q_hint),
        LookKind.STEP_OF_MAP: (_step_map_why, _step_map_hint),
        LookKind.STEP_OF_CIRCUIT: (_step_why, _response_hint),
        LookKind.SAME_TRANSFER: (_response_why, _twin_hint),
    }
)
"""By kind: why the right answer is right, and the hints."""
