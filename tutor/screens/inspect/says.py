"""What the inspection drill says of a look beside its question."""

from __future__ import annotations

from ....problems.questions.looks import Look, LookKind
from ...language.texts import fill
from ...phrases import looks as phrases


def why(look: Look) -> str:
    """Why the right answer is right: one sentence."""
    return phrases.choice(look, look.truth)


def hint(look: Look, level: int) -> str:
    """A hint: 1 the principle, 2 where to look, 3 this look worked."""
    return phrases.choice(look, look.truth) if level == 3 else phrases.prompt(look)


def type_word(kind: str) -> str:
    """A type in one word, as a table has it."""
    return fill("looks", f"{LookKind.TYPE.value}.choices.{kind}")
