"""What is right for one circuit, whatever its values; and the proof that a circuit may be shown.

A question is put only where the answer holds for all positive values (letters are what is shown)
and depends on no resistance that could be taken for a loss.  The values that a look's circuit has
all the same, for charts and for the analysis in full, must not contradict: an end that passes lies
within 3 dB of the highest straight line, the pole count is that of the letters, and nodal analysis
gives the exact H(s).
"""

from __future__ import annotations

import math

from ..analysis.arms import End, decay, sections
from ..analysis.asymptotes import stick
from ..analysis.letters import figures
from ..analysis.nodal import Network
from ..analysis.response import Facts, facts
from ..analysis.structural import Structure, structural_facts
from ..circuits.model import CircuitError, Ladder
from ..formulas.tree import letters_of
from ..questions.looks import LookKind

_MOST_COUNT = 4
_HEAD_ROOM = 3.0
"""Decibels by which a passed end may lie below the highest line: half of the 6 dB that a name
allows, so that every look is 3 dB or more from the limit."""
_LEAST_GAIN = 0.01
_LEAST_Q, _MOST_Q = 0.05, 25.0
_AGREEMENT = 1e-9
_PROBES = (0.3, 2.2)
"""Where nodal analysis is asked, as multiples of the poles' mean."""


def truth_of(kind: LookKind, known: Structure) -> str | None:
    """The right choice of ``kind`` for one circuit; ``None`` where it cannot be asked that.

    Kinds that show more than one circuit are not asked here.  ``known`` is what the circuit's
    structure says.
    """
    match kind:
        case LookKind.TYPE:
            return known.type.value if known.certain else None
        case LookKind.LOW_END | LookKind.HIGH_END:
            end = End.LOW if kind is LookKind.LOW_END else End.HIGH
            if end not in known.certain_ends or not known.certain:
                return None
            return "blocked" if known.ends.blocks(end) else "passes"
        case LookKind.FED:
            return known.fed.value if known.fed and not known.hidden else None
        case LookKind.POLES:
            return None if known.unseen else _count(known.order)
        case LookKind.ORIGIN_ZEROS:
            return _count(known.ends.low)
        case LookKind.LOW_SLOPE:
            return _slope(known.ends.low, "+")
        case LookKind.HIGH_SLOPE:
            return _slope(known.ends.high, "-")
        case LookKind.CORNER_PHASE:
            return corner_turn(known) if known.certain else None
    return None


def truth_of_circuit(ladder: Ladder, kind: LookKind, known: Structure) -> str | None:
    """As :func:`truth_of`, and of what its structure does not say.

    Args:
        ladder: the circuit.
        kind: what is asked.
        known: what the circuit's structure says.
    """
    if kind is not LookKind.DC_OUTPUT:
        return truth_of(kind, known)
    return share_of(ladder, End.LOW) if End.LOW in known.certain_ends else None


def corner_turn(known: Structure) -> str | None:
    """The phase at the corner as a choice; ``None`` where it is no whole multiple of 45°.

    One or two poles, and all zeros at the origin (see ``questions.corner_phase``).
    """
    if known.order not in (1, 2) or known.zero_count != known.ends.low:
        return None
    degrees = 90 * known.ends.low - 45 * known.order
    return f"{degrees:+d}" if degrees else "0"


def share_of(ladder: Ladder, end: End) -> str | None:
    """How much of the source's voltage comes out at an end, whatever the values.

    "all", "part", or "nothing"; of a part only what resistances leave.  ``None`` where an L and a
    C decide, or letters are too many.

    Args:
        ladder: the circuit.
        end: the end.
    """
    if decay(sections(ladder), end) > 0:
        return "nothing"
    try:
        gain = figures(ladder)["gain_low" if end is End.LOW else "gain_high"]
    except CircuitError:
        return None
    letters = letters_of(gain)
    if any(name[0] != "R" for name in letters):
        return None  # a divider of capacitors, or of inductors
    return "part" if letters else "all"


def _count(n: int) -> str | None:
    return str(n) if 0 <= n <= _MOST_COUNT else None


def _slope(n: int, sign: str) -> str | None:
    if not 0 <= n <= _MOST_COUNT:
        return None
    return f"{sign}{20 * n}" if n else "0"


def sound(ladder: Ladder, known: Structure | None = None) -> Facts | None:
    """The exact facts of a valued circuit that may be shown; ``None`` where it may not.

    Args:
        ladder: the circuit, with values.
        known: what holds of it whatever its values, where the caller has it.
    """
    known = known or structural_facts(ladder)
    try:
        found = facts(ladder)
    except CircuitError:
        return None
    transfer = found.transfer
    if (transfer.order, transfer.zero_count) != (known.order, known.zero_count):
        return None  # with these values a pole meets a zero
    if found.q_squared is None and known.order == 2:
        return None  # nothing damps it
    if found.q is not None and not _LEAST_Q <= found.q <= _MOST_Q:
        return None
    if not _levels_fit(found, known) or not _witnessed(ladder, found):
        return None
    return found


def _levels_fit(found: Facts, known: Structure) -> bool:
    """Whether the ends are what their names say by the levels that engineers go by."""
    if known.pure and known.certain:
        # Without zeros between, straight lines rise to the level of the pass band and fall from
        # there; what passes both ends passes them alike.
        passed = [gain for gain in (found.gain_low, found.gain_high) if gain]
        return min(passed, default=1) >= _LEAST_GAIN
    levels = stick(found)
    low = levels.level if levels.slopes[0] == 0 else None
    heights = [height for _, height in levels.breaks]
    high = None
    if levels.slopes[-1] == 0:
        high = heights[-1] if heights else levels.level
    highest = max([*heights, *(level for level in (low, high) if level is not None)])
    if highest < 20 * math.log10(_LEAST_GAIN):
        return False
    if not known.certain:
        return True
    return all(level is None or level >= highest - _HEAD_ROOM for level in (low, high))


def poles_mean(found: Facts) -> float:
    """The geometric mean of the poles' magnitudes in rad/s; 2π·1 kHz without poles."""
    order = found.transfer.order
    return float(found.transfer.denominator[-1]) ** (1 / order) if order else math.tau * 1000


def _witnessed(ladder: Ladder, found: Facts) -> bool:
    """Whether nodal analysis, which shares nothing with the exact walk, gives the same."""
    transfer, network, middle = found.transfer, Network(ladder), poles_mean(found)
    for factor in _PROBES:
        omega = middle * factor
        exact = transfer(1j * omega)
        if abs(exact - network.response(omega)) > _AGREEMENT * abs(exact):
            return False
    return True
