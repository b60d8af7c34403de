"""What looks say: questions, choices, counter-facts, hints and reasons, chosen from ``looks.toml``.

The full screen and the plain lines say the same sentences; only how a circuit is shown differs.
"""

from __future__ import annotations

import re

from ...problems.circuits.model import Ladder, valueless
from ...problems.circuits.write import write_circuit
from ...problems.hints.counterfact import CounterFact
from ...problems.hints.fill import Named, Phrase, Text
from ...problems.hints.look import look_hint, right_because
from ...problems.questions.looks import Look, LookKind
from ..language.texts import entry, fill, said

_FILE = "looks"
_SENTENCE = re.compile(r"(?:^|(?<=[.?!] ))[a-z](?=[a-zA-Z])")
"""The first letter of a sentence; "f₀" stays what it is."""


def title(kind: LookKind) -> str:
    """The short name of a kind of look."""
    return fill(_FILE, f"{kind.value}.title")


def prompt(look: Look) -> str:
    """The question itself."""
    values = said(look.values)
    if "asked" in values:
        values["asked"] = fill(_FILE, f"phrases.article-{values['asked']}")
    return fill(_FILE, f"{look.kind.value}.prompt", values.items())


def choice(look: Look, answer: str) -> str:
    """The words of one choice, by its id."""
    return fill(_FILE, f"{look.kind.value}.choices.{answer}")


def counter(look: Look, fact: CounterFact) -> str:
    """Why a wrong answer cannot be right: one sentence or two."""
    return _sentence(f"{look.kind.value}.counter.{fact.key}", fact.values)


def why(look: Look) -> str:
    """In one sentence, why the right answer is right."""
    key, values = right_because(look)
    return _sentence(f"{look.kind.value}.{key}", values)


def hint(look: Look, level: int) -> str:
    """A hint: 1 the principle, 2 where to look in this circuit, 3 this step worked.

    Raises:
        ValueError: there is no such level.
    """
    found = look_hint(look)
    return _sentence(f"{look.kind.value}.hints.{found.variant(level)}", found.values)


def circuit(ladder: Ladder, *, valued: bool = False) -> str:
    """A circuit in one line, from source to output; with its letters alone unless ``valued``."""
    return write_circuit(ladder if valued else valueless(ladder), "; ")


def circuits(look: Look) -> tuple[str, ...]:
    """The circuits that a look shows, a line each; none where it shows a response alone."""
    ladders = look.shown if look.row.facing.value in ("pair", "circuits") else (look.ladder,)
    return tuple(circuit(ladder, valued=look.valued) for ladder in ladders)


def _sentence(key: str, values: Named) -> str:
    text = fill(_FILE, key, [(name, _render(value)) for name, value in values])
    return _SENTENCE.sub(lambda match: match[0].upper(), text)


def _render(text: Text) -> str:
    """Phrases are looked up, lists joined as a sentence joins them."""
    if isinstance(text, str):
        return text
    if isinstance(text, Phrase):
        values = [(name, _render(part)) for name, part in text.values]
        return fill(_FILE, f"phrases.{text.key}", values)
    *most, last = [_render(part) for part in text] or [""]
    comma, conjunction = entry(_FILE, "phrases.comma"), entry(_FILE, "phrases.and")
    return comma.join(most) + conjunction + last if most else last
