"""What looks say: questions, choices, counter-facts, hints and reasons, chosen from ``looks.toml``.

The full screen and the plain lines say the same sentences; only how a circuit is shown differs.
"""

from __future__ import annotations

from ...problems.circuits.model import Ladder, valueless
from ...problems.circuits.write import write_circuit
from ...problems.hints.counterfact_ends import CounterFact
from ...problems.hints.fill import Named
from ...problems.hints.look import look_hint, right_because
from ...problems.questions.looks import Facing, Look, LookKind
from ..language.texts import fill, render, said, sentence_case, table

_FILE = "looks"


def title(kind: LookKind) -> str:
    """The short name of a kind of look."""
    return fill(_FILE, f"{kind.value}.title")


def prompt(look: Look, *, seen: bool = False) -> str:
    """The question of a ``look``; ``seen``: beside a picture, whose signs it may explain."""
    key = "prompt-seen" if seen and "prompt-seen" in table(_FILE)[look.kind.value] else "prompt"
    return fill(_FILE, f"{look.kind.value}.{key}", _values(look).items())


def choice(look: Look, answer: str) -> str:
    """The words of the choice ``answer`` of ``look``."""
    return fill(_FILE, f"{look.kind.value}.choices.{answer}")


def offered(look: Look) -> dict[str, str]:
    """The words of every choice of a look, by its key."""
    words = (choice(look, answer) for answer in look.answers)
    return dict(zip(look.row.keys, words, strict=True))


def counter(look: Look, fact: CounterFact) -> str:
    """Why a wrong answer to ``look`` cannot be right, by ``fact``: one sentence or two."""
    words = LookKind.WHICH_CIRCUIT if look.kind is LookKind.SAME_TRANSFER else look.kind
    return _sentence(f"{words.value}.counter.{fact.key}", fact.values)


def curves(look: Look, answered: str) -> tuple[str, str]:
    """What stands above the right one of the curves of ``look``, and above the one ``answered``."""
    right = fill(_FILE, f"{look.kind.value}.right", _values(look).items())
    return right, alike(look, answered).removesuffix(":")


def alike(look: Look, answered: str) -> str:
    """What the look-alike is that stands beside ``look`` after the wrong answer ``answered``."""
    kind = look.kind.value
    key = f"{kind}.alike"
    if "alike" not in table(_FILE)[kind]:
        key = f"{key}-{answered}"
    values: dict[str, str] = {**_values(look), "answer": choice(look, answered)}
    if look.kind is LookKind.TYPE:
        values["answer"] = fill(_FILE, f"phrases.article-{answered}")
    elif look.kind in (LookKind.POLES, LookKind.ORIGIN_ZEROS):
        for what in "poles", "zeros":
            number = {"0": "none", "1": "one"}.get(answered, "many")
            values[what] = fill(_FILE, f"phrases.{what}-{number}", [("count", answered)])
    return fill(_FILE, key, values.items())


def _values(look: Look) -> dict[str, str]:
    """What fills the question's sentence."""
    values = said(look.values)
    for key, table_ in ("asked", "article-"), ("type", "article-"), ("where", "where."):
        if key in values:
            values[key] = fill(_FILE, f"phrases.{table_}{values[key]}")
    return values


def why(look: Look) -> str:
    """In one sentence, why the right answer is right."""
    key, values = right_because(look)
    return _sentence(f"{look.kind.value}.{key}", values)


def hint(look: Look, level: int) -> str:
    """A hint of ``look``: ``level`` 1 the principle, 2 where to look in it, 3 this step worked.

    Raises:
        ValueError: there is no such level.
    """
    found = look_hint(look)
    return _sentence(f"{look.kind.value}.hints.{found.variant(level)}", found.values)


def circuit(ladder: Ladder, *, valued: bool = False) -> str:
    """``ladder`` in one line, from source to output; with its letters alone unless ``valued``."""
    return write_circuit(ladder if valued else valueless(ladder), "; ")


def circuits(look: Look) -> tuple[str, ...]:
    """The circuits that a look shows, a line each; none where it shows curves alone."""
    facing = look.row.facing
    ladders = () if facing.plotted else look.shown if facing.of_circuits else (look.ladder,)
    if facing is Facing.TWINS:
        ladders = (look.ladder, *look.shown)
    return tuple(circuit(ladder, valued=look.valued) for ladder in ladders)


def worked(look: Look) -> str:
    """``look`` worked step by step: its hints from the principle to the answer, in one text."""
    return " ".join(hint(look, level) for level in (1, 2, 3))


def _sentence(key: str, values: Named) -> str:
    text = fill(_FILE, key, [(name, render(value, _FILE)) for name, value in values])
    return sentence_case(text)
