"""What an answer was read as, or why it could not be read."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from ..analysis.transfer import TransferFunction
from ..formulas.tree import Formula
from ..formulas.work import Work
from ..quantities.errors import WordedError
from ..quantities.write import write_quantity
from ..questions.model import Answer
from . import formulas


class Unclear(WordedError, ValueError):  # noqa: N818 - an answer that is unclear is no error of the program
    """A text that was not understood; the words say what to mend."""


@dataclass(frozen=True, slots=True)
class TypedFigure:
    """A typed number: its value in the unit it was typed in, and one step of its last digit."""

    value: Fraction
    unit: str
    step: Fraction
    digits: int

    @property
    def shown(self) -> str:
        """The number as it is shown again: with its own digits, 4 to 12 of them."""
        return write_quantity(self.value, self.unit, min(max(4, self.digits), 12))


@dataclass(frozen=True)
class Reading:
    """An understood answer.

    ``value`` has the type and unit of the question's truth, and is ``None`` where a formula
    names what has no value yet; ``unit`` is the unit it was typed in.  ``figure`` is there where
    a plain decimal was typed, and only then; ``formula`` where a formula was, and ``transfer``
    where H(s) was.  What is done with a formula further on is counted on the same ``work`` as the
    reading was.

    ``steps`` are the formulas of a derivation that was typed before the answer.  ``said`` is what
    an answer says beside what is asked for: the order, the nature of poles, the parts.
    """

    value: Answer | None
    shown: str
    unit: str = ""
    figure: TypedFigure | None = None
    formula: Formula | None = None
    transfer: TransferFunction | None = None
    work: Work = field(default_factory=Work, compare=False, repr=False)
    steps: tuple[Reading, ...] = ()
    said: tuple[tuple[str, str | int], ...] = ()

    @cached_property
    def lettered(self) -> bool:
        """Whether a formula was typed that is compared as letters."""
        return self.formula is not None and formulas.lettered(self.formula)

    @property
    def answer(self) -> Answer:
        """The value of an answer that was read with all there is to know.

        Raises:
            ValueError: there is none.
        """
        if self.value is None:
            raise ValueError("the answer depends on values that are not known")
        return self.value
