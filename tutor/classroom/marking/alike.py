"""Which answers are alike: of them one decision is asked, and what was decided is found again.

Answers are alike where the kind of question is the same (with its unit, and with the choices it
offers) and the text is, in the spelling that grading makes uniform.  Points are given for an answer
to a question with one right answer and so many points; students of one variant share it.

A tag says so in a short text that knows nothing of a class, its sheets or its students, so that it
finds the same decision after any change of the roster, in another table, and in another year::

    G3fa92c10b71e22-7b22e1
     └ text ─┘└kind┘ └ right answer and points

It begins with a letter that no spreadsheet takes for part of a number, a date or a month's name.
"""

from __future__ import annotations

import re
from fractions import Fraction
from hashlib import sha256

from ....problems.grading.grade import right_text
from ....problems.quantities.spelling import uniform
from ....problems.questions.model import Form, Question
from ..handins.cells import one_line

TAG = re.compile(r"G[0-9a-f]{14}-[0-9a-f]{6}")
_WITHOUT_CASE = (Form.CHOICE, Form.COUNT)
"""Forms of answers in which capitals say nothing; MHz and mHz are not alike."""
_TEXT, _ALIKE = 9, 15
"""Characters of a tag that stand for the text, and for the text and the kind."""


def alike_tag(question: Question, typed: str, of: Fraction) -> str:
    """The tag of all that was ``typed`` as the answer to a ``question``, worth ``of`` points."""
    text = _uniform(typed)
    kept = text.casefold() if question.form in _WITHOUT_CASE else text
    offered = ",".join(choice.id for choice in question.choices)
    kind = f"{question.rung.value}\n{question.unit}\n{offered}\n{kept}"
    right = f"{right_text(question)}\n{of}"
    return f"{text_part(typed)}{_digest(kind, 6)}-{_digest(right, 6)}"


def text_part(typed: str) -> str:
    """What the tags of all answers ``typed`` so begin with, whatever was asked."""
    return f"G{_digest(_uniform(typed).casefold(), 8)}"


def text_of(tag: str) -> str:
    """The part of a tag that stands for the text."""
    return tag[:_TEXT]


def alike_of(tag: str) -> str:
    """The part of a tag that alike answers share, whatever is right."""
    return tag[:_ALIKE]


def _uniform(typed: str) -> str:
    return " ".join(uniform(one_line(typed)).text.split())


def _digest(text: str, length: int) -> str:
    return sha256(text.encode("utf-8", "replace")).hexdigest()[:length]
