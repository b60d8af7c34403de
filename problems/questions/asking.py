"""What a maker of questions looks at: the facts of a circuit, its ends, and chance."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from ..analysis.arms import End
from ..analysis.gain_type import EndState
from ..analysis.response import Facts
from ..chance import Chance
from .exhibit import Exhibit
from .model import TOLERANCE, Form, Question, Rung, Values
from .reasons import Claim, EndPicture, end_claims

Stream = tuple[int, *tuple[int | str, ...]]
"""What names a stream of chance: a seed, and what is drawn from it."""


@dataclass(frozen=True)
class Asking:
    """A circuit that is to be asked about.

    Args:
        facts: what is true of it.
        chance: orders the choices of what is asked.
        stream: names the problem's own chance.
    """

    facts: Facts
    chance: Chance
    stream: Stream = (0,)

    @cached_property
    def picture(self) -> EndPicture:
        """What its arms do at either end."""
        return EndPicture(self.facts)

    @cached_property
    def _ends(self) -> dict[End, list[Claim]]:
        return {end: end_claims(self.picture, end) for end in End}

    def end_claims(self, end: End) -> list[Claim]:
        """What may be claimed of an end; empty where nothing can be asked of it."""
        return self._ends[end] if self.plain_end(end) else []

    def drawn(self, name: str) -> Chance:
        """Chance that several kinds of one problem share, for what they are all asked about.

        Args:
            name: what is drawn, such as the noise of a curve.
        """
        return Chance(*self.stream, name)

    def plain_end(self, end: End) -> bool:
        """Whether an end does by its level what opens and shorts say: pass, or block outright.

        A lossy coil leaves a little at DC of what a band-pass blocks: to ask whether that passes,
        or which slope it has, would be to ask about what nobody sees.
        """
        known = self.facts
        if known.exact:
            return True
        low = end is End.LOW
        gain, state = (
            (known.gain_low if low else known.gain_high),
            (known.low_end if low else known.high_end),
        )
        return state is (EndState.PASSED if gain else EndState.BLOCKED)


def quantity(
    rung: Rung,
    truth: float,
    unit: str = "",
    values: Values = (),
    *,
    tolerance: Fraction = TOLERANCE,
    exhibit: Exhibit | None = None,
) -> Question:
    """A question for a positive figure.

    Args:
        rung: the kind.
        truth: the figure, in the unit.
        unit: the unit; "" for a plain number.
        values: what fills its sentences.
        tolerance: the relative one.
        exhibit: the picture that it is asked about.
    """
    form = Form.QUANTITY if unit else Form.RATIO
    return Question(rung, form, truth, (), unit, tolerance, values, exhibit)
