"""What a circuit does, as one JSON object for programs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from ...problems.analysis.response import Facts, decibels, facts, generic_facts
from ...problems.circuits.model import Ladder
from ...problems.circuits.write import write_circuit

FORMAT = "rungwise.facts/2"


def facts_json(ladder: Ladder) -> dict[str, Any]:
    """The facts of a circuit as one JSON object; its keys are a contract with other programs.

    Frequencies are in Hz where the key says so; poles, zeros and the coefficients of H(s)
    are in rad/s.  Gains are in dB.  What does not exist for this circuit is ``None``, and so
    is every figure of a circuit without values, except those that its structure alone
    decides (for values in general).  A coefficient beyond the range of a double is an
    exact integer.

    Raises:
        CircuitError: H(s) does not exist, or the circuit's text would be too long.
        QuantityError: a value lies outside 10⁻³⁰ to 10³⁰.
    """
    valued = ladder.valued
    told = facts(ladder) if valued else generic_facts(ladder)
    transfer = told.transfer
    low, high = told.edges_hz if valued else (None, None)

    def known(figure: float | None) -> float | None:
        return _finite(figure) if valued else None

    return {
        "format": FORMAT,
        "circuit": write_circuit(ladder),
        "fed": told.fed,
        "type": told.type.value,
        "type_exact": told.type_exact.value,
        "shape": told.shape and told.shape.value if valued else None,
        "depth_db": known(told.depth_db) if valued else None,
        "floor_db": known(told.floor_db) if valued else None,
        "traps_hz": [trap.hz for trap in told.traps] if valued else None,
        "margin_db": known(told.margin_db) if valued else None,
        "borderline": told.borderline if valued else None,
        "order": transfer.order,
        "poles": _roots(told.poles) if valued else None,
        "zeros": _roots(told.zeros) if valued else None,
        "zeros_at_origin": transfer.zeros_at_origin,
        "numerator": _coefficients(transfer.numerator) if valued else None,
        "denominator": _coefficients(transfer.denominator) if valued else None,
        "slope_low_db_per_decade": told.slope_low,
        "slope_high_db_per_decade": told.slope_high,
        "phase_low_deg": told.phase_low,
        "phase_high_deg": told.phase_high,
        "gain_low_db": known(gain_db(told.gain_low)),
        "gain_high_db": known(gain_db(told.gain_high)),
        "peak_gain_db": known(peak_db(told)) if valued else None,
        "peak_hz": known(told.peak_hz) if valued else None,
        "corner_hz": known(told.corner_hz),
        "q": known(told.q),
        "bandwidth_hz": known(told.bandwidth_hz) if valued else None,
        "edges_hz": [known(low), known(high)],
        "reactive_elements": len(ladder.reactive()),
        "independent_reactive_elements": told.independent_count,
        "hidden_elements": [hidden.name for hidden in told.hidden],
    }


def gain_db(gain: Fraction) -> float | None:
    """20·log10 of an exact gain, also where no double holds it; ``None`` for zero."""
    if gain <= 0:
        return None
    try:
        near = float(gain)
    except OverflowError:
        near = math.inf
    if 1e-300 < near < 1e300:
        return decibels(near)
    return 20 * (math.log10(gain.numerator) - math.log10(gain.denominator))


def peak_db(told: Facts) -> float | None:
    """The largest gain in dB; ``None`` where an undamped pole makes it infinite."""
    if told.peak_gain is None:
        return None
    level = decibels(told.peak_gain)
    # A peak of exactly 1 may miss it by an ulp of its square root.
    return 0.0 if level is not None and abs(level) < 1e-14 else level


def _finite(figure: float | None) -> float | None:
    """A figure as JSON can hold it, −0.0 as 0.0."""
    return figure + 0.0 if figure is not None and math.isfinite(figure) else None


def _roots(roots: Sequence[complex]) -> list[list[float]]:
    return [[root.real + 0.0, root.imag + 0.0] for root in roots]


def _coefficients(exact: Sequence[Fraction]) -> list[float | int]:
    return [_coefficient(c) for c in exact]


def _coefficient(exact: Fraction) -> float | int:
    try:
        return float(exact)
    except OverflowError:
        return round(exact)
