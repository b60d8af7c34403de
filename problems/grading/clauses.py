"""An answer with its derivation, taken apart: what is called what, and what follows from what.

``ω0 = 1/(RC) = 10 krad/s, so f0 = 1.59 kHz`` are two clauses; the first has the name ω0 and the
expressions 1/(RC) and 10 krad/s.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from .reading import Unclear
from .said import bare

MOST_PIECES = 16
"""More of them are no answer to one question."""

# What ends a clause; what joins two expressions that are equal; in this order.
_JOINT = re.compile(
    r"(?P<why>(?<=[\s,)])(?:because|since|as|from|by|due to)(?=\s))"
    r"|(?P<then>→|⇒|⟹|⟶|=>|->|;|\n|,(?=\s)"
    r"|(?<=[\s,)])(?:so|thus|hence|therefore|giving|gives|using|via|i\.?e\.?|that is|or|and|with"
    r"|where|for)(?=[\s,]))"
    r"|(?P<equal>[=≈≅≃≡∼≙]|:(?=\s)|(?<=[\s)])(?:(?:is|equals|are)(?=\s)|(?:of|at)(?=\s[\d.+−-])))",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Clause:
    """Expressions that are said to be equal, in their order; names are among them.

    A clause that only gives a ``reason`` may be words alone.
    """

    pieces: tuple[str, ...]
    reason: bool = False


def clauses_of(text: str) -> tuple[Clause, ...]:
    """The clauses of a text; each has an expression at least.

    Raises:
        Unclear: there are more pieces than an answer has.
    """
    found: list[list[str]] = [[]]
    reasons = {0: False}
    start = count = 0
    text = bare(text)
    for match in (*_JOINT.finditer(text), None):
        piece = text[start : match.start() if match else len(text)].strip()
        if piece:
            count += 1
            if count > MOST_PIECES:
                raise Unclear("answer.too-many-figures")
            found[-1].append(bare(piece))
        if match is None:
            break
        if match["then"] or match["why"]:
            reasons[len(found)] = bool(match["why"])
            found.append([])
        start = match.end()
    return tuple(
        Clause(tuple(pieces), reasons[place]) for place, pieces in enumerate(found) if pieces
    )
