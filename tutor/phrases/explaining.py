"""What is said of a wrong answer in a climb: slips' sentences, and explanations in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..language.texts import Words, render, sentence_case

if TYPE_CHECKING:
    from ...problems.hints.explanation import Explanation
    from ...problems.hints.fill import Phrase
    from ...problems.questions.model import Mark

_FILE = "why"


def sentences(explanation: Explanation) -> list[str]:
    """An explanation in words, ready to be shown: a slip's sentence, or one or two of its own.

    The earlier answer that was contradicted comes after a slip, and before anything else.
    """
    words = Words.load()
    slips = [words.slip(hit) for hit in explanation.slips]
    return [*slips, *_said(explanation.against), *_said(explanation.says)]


def of_mark(mark: Mark, explanation: Explanation | None) -> list[str]:
    """What is said of a ``mark``: its ``explanation``, or the slips it names where it has none."""
    if explanation is not None:
        return sentences(explanation)
    return [Words.load().slip(hit) for hit in mark.slips]


def without_slips(found: Iterable[Explanation]) -> list[str]:
    """What the explanations ``found`` say beside the sentences of slips."""
    return [said for each in found for said in (*_said(each.against), *_said(each.says))]


def _said(texts: Iterable[Phrase]) -> list[str]:
    return [sentence_case(render(text, _FILE)) for text in texts]
