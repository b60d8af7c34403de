"""What an answer that could not be read may mean: parts of it, and spellings of it, that can be.

Nothing is decided here: a suggestion counts once a human has taken it.  The likeliest comes first:
what stands behind the last "=", then what stands before a bracket or an "or", then the figures in
it; of choices the one whose words are nearest.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from difflib import SequenceMatcher

from ....problems.quantities.spelling import uniform
from ....problems.questions.model import Form, Question
from ...language.texts import Words

MOST_SUGGESTED = 3
MOST_TRIED = 12
"""Texts that are graded for one answer at most."""
_MOST_TEXT = 200
"""Characters of an answer that is searched for parts; of a longer one nothing is suggested."""
_LEAST_LIKE = 0.6
"""How near a text must be to the words of a choice, from 0 to 1."""

_EQUALS = re.compile(r"=|≈|~|->|→|⇒|:")
_BETWEEN = re.compile(r"[;(\[{)\]}?]|\b(?:or|resp|and|ie|i\.e)\b|,\s| / ")
_GROUPED = re.compile(r"(?<![\d.,])(\d{1,3})[.,](\d{3})(?![\d.,])")
_FIGURE = re.compile(
    r"[-+]?\d[\d.,]*+(?:\s*+[x*]?\s*+10\s?\^?\s?[-+]?\d++)?"
    r"(?:\s*+[^\W\d_]{1,6}\d{0,2}(?:/[^\W\d_]{1,6})?)?"
)
_COUNT = re.compile(r"\d++|\b(?:no|none|zero|one|two|three|four|five|six)\b", re.IGNORECASE)


def parts_of_answer(question: Question, given: Iterable[str]) -> list[str]:
    """Texts that the answers ``given`` to a ``question`` may mean, the likeliest first.

    Not all of them can be read.
    """
    texts = list(given)
    found = list(texts)
    for text in texts:
        if len(text) <= _MOST_TEXT:
            found += _parts(question, uniform(text).text)
    kept = dict.fromkeys(" ".join(text.split()).strip(" ,;:=~") for text in found)
    return [text for text in kept if 0 < len(text) <= _MOST_TEXT][:MOST_TRIED]


def readable(texts: Iterable[str], read: Callable[[str], str]) -> Iterator[str]:
    """Those of ``texts`` that are ``read`` as something (not ""), of each reading one; a few."""
    known = set[str]()
    for text in texts:
        shown = read(text)
        if shown and shown not in known:
            known.add(shown)
            yield text
            if len(known) == MOST_SUGGESTED:
                return


def _parts(question: Question, text: str) -> Iterator[str]:
    if question.form is Form.CHOICE:
        yield from _choices(question, text)
    if question.form is Form.SKETCH:
        return
    if _GROUPED.search(text):
        yield _GROUPED.sub(r"\1.\2", text)
        yield _GROUPED.sub(r"\1\2", text)
    pieces = [piece for piece in _EQUALS.split(text) if piece.strip()]
    yield from reversed(pieces[1:])
    for piece in (*reversed(pieces[1:]), text):
        yield from _BETWEEN.split(piece)
    if question.form is Form.COUNT:
        yield from _COUNT.findall(text)
    elif question.form not in (Form.CHOICE, Form.FORMULA):
        yield from (figure[0] for figure in _FIGURE.finditer(text))


def _choices(question: Question, text: str) -> Iterator[str]:
    """The words of the choices that a text is like, the nearest first."""
    words = Words.load()
    typed, found = text.casefold(), list[tuple[float, str]]()
    for choice in question.choices:
        shown = words.choice(question, choice)
        likeness = SequenceMatcher(None, typed, shown.casefold()).ratio()
        plain = choice.id.replace("-", "")
        if plain in re.sub(r"[\W_]", "", typed):
            likeness = 1.0
        if likeness >= _LEAST_LIKE:
            found.append((likeness, shown))
    for _, shown in sorted(found, key=lambda one: -one[0]):
        yield shown
