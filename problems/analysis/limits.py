"""The limits of the rule that names a response, as factors of the voltage and in dB.

They stand apart from the rule, which computes exactly, so that whoever only compares levels has not
to load the exact algebra.
"""

from __future__ import annotations

import math
from fractions import Fraction

PASSED_FACTOR = Fraction(2)
"""A passed end has at least one such part of the voltage at the highest level: 6.0206 dB."""

BLOCKED_FACTOR = Fraction(10)
"""A blocked end, and the bottom of a notch, have at most one such part: 20 dB."""

TRAP_FACTOR = Fraction(2)
"""A pair of zeros is near the jω axis where it takes the gain at least so far below the straight
lines at its frequency: 6.0206 dB, a damping of the zeros of 1/4 at most.  Common practice has no
figure for "near"; half of the voltage is what one sees on any chart."""

CLEAR_DB = 3.0
"""A circuit is borderline where it is nearer than this to a limit."""

PASSED_DB = 20 * math.log10(PASSED_FACTOR)
BLOCKED_DB = 20 * math.log10(BLOCKED_FACTOR)
TRAP_DB = 20 * math.log10(TRAP_FACTOR)
