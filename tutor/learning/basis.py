"""What an answer is read and drawn by: the elements it may name, the facts, and the paper."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...problems.analysis.response import Facts
    from ...problems.circuits.model import Element, Ladder

Paper = tuple[float, float, float, float]
"""Lowest and highest Hz, lowest and highest dB of the paper that a sketch is drawn on."""


class AnswerBasis:
    """What is known where an answer is given; computed when it is first needed.

    Args:
        parts: The elements that an answer may name, with their values as far as they are known.
        ladder: The circuit with all its values; ``None`` where that is not known.
        paper: The paper of its sketches; ``None``: that of the circuit.
    """

    def __init__(
        self, parts: Iterable[Element], ladder: Ladder | None, paper: Paper | None = None
    ) -> None:
        self.parts = tuple(parts)
        self._ladder, self._paper = ladder, paper

    @cached_property
    def facts(self) -> Facts | None:
        """The exact facts of the circuit; ``None`` where it is not known."""
        from ...problems.analysis.response import facts

        return facts(self._ladder) if self._ladder is not None else None

    @property
    def paper(self) -> Paper:
        """The paper to draw on.

        Raises:
            ValueError: nothing is known to draw.
        """
        if self._paper is None:
            from ...problems.sketches.paper import frame

            if self.facts is None:
                raise ValueError("there is no circuit whose sketches could be drawn")
            self._paper = frame(self.facts)
        return self._paper
