"""What a maker of questions looks at: the facts of a circuit, its ends, and chance."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ..analysis.arms import End
from ..analysis.response import Facts
from ..chance import Chance
from .reasons import Claim, EndPicture, end_claims


@dataclass(frozen=True)
class Asking:
    """A circuit that is to be asked about.

    Args:
        facts: what is true of it.
        chance: orders the choices of what is asked.
    """

    facts: Facts
    chance: Chance

    @cached_property
    def picture(self) -> EndPicture:
        """What its arms do at either end."""
        return EndPicture(self.facts)

    @cached_property
    def _ends(self) -> dict[End, list[Claim]]:
        return {end: end_claims(self.picture, end) for end in End}

    def end_claims(self, end: End) -> list[Claim]:
        """What may be claimed of an end; empty where nothing can be asked of it."""
        return self._ends[end]
