"""The response that a filter has with somebody's own figures: their f0, Q and pass-band gain.

Of one pole or two, with all zeros at the origin or, of a notch, at ω0, the standard forms give H(s)
by these figures alone, G being the gain of the pass band (common practice, no source):

* one pole: G·ω0/(s + ω0), G·s/(s + ω0);
* two, over s² + (ω0/Q)·s + ω0²: G·ω0², G·s², G·(ω0/Q)·s, and G·(s² + ω0²).

What follows from another ω0 where a circuit has zeros elsewhere, no such form says.
"""

from __future__ import annotations

from fractions import Fraction

from ..analysis.response import TWO_PI, Facts, FilterType, Response
from ..analysis.transfer import TransferFunction
from ..analysis.two_poles import numerator
from .analyse import pass_band_gain


def own_response(
    facts: Facts, f0: float | None = None, q: float | None = None, gain: float | None = None
) -> Response | None:
    """The response with other figures than the circuit's; ``None`` where no standard form has it.

    Args:
        facts: what is true of the circuit.
        f0: its corner frequency in Hz; without one the circuit's.
        q: its Q; without one the circuit's.
        gain: the gain of its pass band; without one the circuit's.
    """
    h, flat = facts.transfer, pass_band_gain(facts)
    corner, quality = f0 or facts.corner_hz, q or facts.q
    if corner is None or flat is None:
        return None
    omega = Fraction(TWO_PI * corner)
    level = Fraction(gain) if gain is not None else flat
    bottom: tuple[Fraction, ...] = (Fraction(1), omega)
    if h.order == 2:
        if quality is None:
            return None
        bottom = (Fraction(1), omega / Fraction(quality), omega * omega)
    if not _standard(facts):
        return None
    top = tuple(level * coefficient for coefficient in numerator(facts.type, bottom))
    return Response(TransferFunction(top, bottom))


def _standard(facts: Facts) -> bool:
    """Whether the zeros lie where the standard form of the type has them."""
    h = facts.transfer
    at_origin = h.zero_count == h.zeros_at_origin
    match facts.type:
        case FilterType.LOW_PASS:
            return h.zero_count == 0
        case FilterType.HIGH_PASS:
            return at_origin and h.zero_count == h.order
        case FilterType.BAND_PASS:
            return at_origin and h.zero_count == 1 and h.order == 2
    return facts.type is FilterType.NOTCH and h.order == 2 and facts.axis_zero_pairs == 1
