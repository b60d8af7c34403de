"""What a class's marks wait for: who is missing, what is unread, which answers nobody decided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..marking.marks import ClassMarks, HandInState, SetApart, StudentMarks


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waits.

    ``absent`` are the students who are in no figure, ``unclear`` and ``paper`` (answers, students);
    ``files`` are those set apart, in the order of the marks.
    """

    absent: tuple[StudentMarks, ...] = ()
    unclear: tuple[int, int] = (0, 0)
    paper: tuple[int, int] = (0, 0)
    files: tuple[SetApart, ...] = ()

    def of(self, state: HandInState) -> tuple[StudentMarks, ...]:
        """Those of one ``state``."""
        return tuple(one for one in self.absent if one.state is state)

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to wait for."""
        return not (self.absent or self.unclear[0] or self.paper[0] or self.files)


NOTHING = Waiting()
"""Where all are marked, and all is decided."""


def waiting(marks: ClassMarks) -> Waiting:
    """What the ``marks`` of a class wait for."""
    absent = tuple(s for s in marks.students if s.state is not HandInState.MARKED)
    marked = [s for s in marks.students if s.state is HandInState.MARKED]
    return Waiting(absent, _count(marked, "unclear"), _count(marked, "paper"), marks.apart)


def _count(students: Sequence[StudentMarks], outcome: str) -> tuple[int, int]:
    each = [sum(q.verdict.value == outcome for q in s.questions) for s in students]
    return sum(each), sum(map(bool, each))
