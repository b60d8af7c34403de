"""What a person does about a group of alike answers, and what is said of it.

The screen and the plain lines both go by it: a step is named by the key of its words, which stand
in ``content/settling.toml`` under ``[plain]`` and under ``[screen]``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from ..handins.table import BadTable
from .marks import QuestionOutcome
from .settling import Settling
from .settling_lines import decided_text, say

KEPT, MEANWHILE, UNREAD, UNKEPT = "kept", "meanwhile", "unread", "unkept"
UNDONE, NOTHING_UNDONE, NO_SUCH = "undone", "nothing-undone", "no-such"


@dataclass(frozen=True, slots=True)
class SettlingStep:
    """What a step came to: the key of its words, what fills them; whether the group is decided."""

    key: str
    values: Mapping[str, object] = field(default_factory=dict)
    decided: bool = False


def take(settling: Settling, number: str) -> SettlingStep:
    """Take the suggestion of a ``number``, as typed, for the group that ``settling`` is at.

    It is a reading, or points; the first has the number 1.
    """
    assert settling.group is not None
    found = {str(place): one for place, one in enumerate(settling.group.first.suggested, 1)}
    if number not in found:
        return SettlingStep(NO_SUCH, {"number": number})
    taken = found[number]
    return read(settling, taken.text) if taken.text else give(settling, taken.points)


def read(settling: Settling, text: str) -> SettlingStep:
    """Have the answers of the group that ``settling`` is at read as a ``text``, if that can be."""
    assert settling.group is not None
    mark = settling.judge(settling.group, text)
    if mark is not None and mark.verdict is QuestionOutcome.UNCLEAR:
        return SettlingStep(UNREAD, {"text": text, "why": mark.trouble})
    return _decided(settling, lambda: settling.read_as(text))


def give(settling: Settling, points: Fraction, *, every: bool = False) -> SettlingStep:
    """Give ``points`` to the group that ``settling`` is at, or to ``every`` such answer."""
    return _decided(settling, lambda: settling.give(points, every=every))


def reopen(settling: Settling) -> SettlingStep:
    """Take back what was decided about the group being asked about, if anything was."""
    if settling.group is None or settling.is_open(settling.group):
        return SettlingStep(NOTHING_UNDONE)
    return _decided(settling, settling.reopen)


def undo(settling: Settling) -> SettlingStep:
    """Take back the last decision of this sitting, whatever group it was about."""
    try:
        return SettlingStep(UNDONE if settling.undo() else NOTHING_UNDONE)
    except (OSError, BadTable) as error:
        return _unkept(error)


def _decided(settling: Settling, decide: Callable[[], bool]) -> SettlingStep:
    """Decide, and say what counts once it is on the disk."""
    group = settling.group
    assert group is not None
    try:
        kept = decide()
    except (OSError, BadTable) as error:
        return _unkept(error)
    decided = settling.decided(group)
    told = decided_text(settling, group, decided) if decided else say("told.open")
    values = {"typed": group.typed[:60], "told": told}
    return SettlingStep(KEPT if kept else MEANWHILE, values, decided is not None)


def _unkept(error: Exception) -> SettlingStep:
    return SettlingStep(UNKEPT, {"why": str(error)})
