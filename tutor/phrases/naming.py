"""What makes a circuit what it is called, in sentences: the levels that decide, what is near."""

from __future__ import annotations

from collections.abc import Iterator

from ...problems.analysis.response import Response
from ...problems.questions import naming
from ..language.texts import speaker

_say = speaker("solve")


def by_levels(response: Response) -> Iterator[str]:
    """What decides the name where opens and shorts alone do not: levels, with their values."""
    found = naming.named_by_levels(response)
    if found is not None:
        key, values = found
        yield _say(f"levels.{key}", **values)


def beyond(response: Response) -> Iterator[str]:
    """The traps, and the limit of the rule that is near."""
    for key, values in naming.traps(response):
        yield _say(f"levels.{key}", **values)
    near = naming.too_near(response)
    if near is not None:
        key, values = near
        yield _say("levels.borderline", what=_say(f"levels.{key}", **values))
