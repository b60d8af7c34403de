"""How much one typed text may ask for: steps that are counted, never a clock.

The same text is then read alike on every machine, or given up alike.  A step is about a
microsecond on the machine where the figures were set; what they are made of (tokens, terms and
bits of polynomials) is known before the work is done, so that nothing large is ever begun.
"""

from __future__ import annotations

MOST_STEPS = 15_000
"""Steps for one answer, with all that marking makes of it; a right formula takes few hundred."""


class TooMuchWorkError(Exception):
    """A text that asks for more work than one answer may."""


class Work:
    """Steps spent on one text."""

    def __init__(self, most: int = MOST_STEPS) -> None:
        self.most = most
        self.spent = 0

    def spend(self, steps: int) -> None:
        """Count steps that are about to be done.

        Raises:
            TooMuchWorkError: they are more than are left.
        """
        self.spent += steps
        if self.spent > self.most:
            raise TooMuchWorkError
