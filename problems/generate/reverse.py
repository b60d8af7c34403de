"""(seed, family or level) → a certified problem that leads back to the circuit.

The circuit is drawn as for a problem of analysis, from the same streams of chance; where a
value is asked, that value then follows from round figures wanted of the circuit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from ..analysis.response import Facts, FilterType
from ..catalogue.families import Family
from ..chance import Chance
from ..circuits.model import Ladder
from ..questions.analyse import pass_band_gain, questions_for
from ..questions.model import FORMAT, Face, Problem, Question, Rung, Task
from ..questions.reverse import (
    ReverseDraw,
    missing_arm,
    q_has_a_name,
    tuning_range,
    value_for_both,
    value_for_corner,
    value_for_named_q,
    value_for_q,
    which_circuit,
)
from .analyse import drawn_circuit, family_of, first_certified, first_way, known_by

_STREAM = 1
"""Names the streams that what is asked is drawn from: the same in every format."""

KINDS = ("which-gain", "which-map", "arm", "corner", "q", "both", "range")
"""The ways back to a circuit."""

_GROUPS = (("which-gain", "which-gain", "which-map"), ("arm",), ("corner", "q", "both"), ("range",))

NAMED_Q = 3
"""The first format in which a Q that has a name is asked for by it."""

_TUNED = "tanks"
"""The group of families that are there to be tuned."""

_MOST_MORE = 2

_NEXT: dict[str, tuple[tuple[Rung, ...], ...]] = {
    "which": (
        (Rung.POLES, Rung.ZEROS, Rung.LOW_SLOPE, Rung.HIGH_SLOPE),
        (Rung.CORNER, Rung.GAIN),
    ),
    "arm": (
        (Rung.TYPE_REASON,),
        (Rung.POLES, Rung.ZEROS, Rung.LOW_SLOPE, Rung.HIGH_SLOPE, Rung.HIGH_PHASE, Rung.LOW_PHASE),
    ),
    "value": (
        (Rung.CORNER_REASON, Rung.BANDWIDTH, Rung.Q, Rung.CORNER),
        (Rung.BANDWIDTH, Rung.GAIN, Rung.Q, Rung.HIGH_SLOPE, Rung.LOW_SLOPE, Rung.POLE_NATURE),
    ),
    "range": ((Rung.Q, Rung.BANDWIDTH, Rung.CORNER_REASON, Rung.HIGH_SLOPE),),
}
"""What may be asked further on: one of each."""


def generate(
    seed: int,
    *,
    family: str | None = None,
    level: int | None = None,
    format: int = FORMAT,  # noqa: A002
) -> Problem:
    """The certified problem of a seed, of a family, of a level, or of any family.

    ``seed``, ``family``, ``level`` and ``format`` are those of an analysing problem.

    Raises:
        UnknownFamily: there is no such family.
        SeedError: there is no such level or format, the family is of another level, or it came
            with a later format.
        GenerationError: no attempt could be certified.
    """
    row = family_of(seed, family=family, level=level, format=format)
    tried = partial(attempt, format=format)
    return first_certified(row, seed, tried, "nothing can be asked of it")


def attempt(
    family: Family,
    seed: int,
    number: int,
    format: int = FORMAT,  # noqa: A002
) -> Problem | None:
    """Attempt ``number`` at the ``seed`` of a ``family``, in a ``format``.

    It is the first way back to the drawn circuit that certifies.

    Raises:
        CertificationError: none does.
    """
    circuit = drawn_circuit(family, seed, number, format=format)
    if circuit is None:
        return None
    stream = (seed, "reverse", _STREAM, family.name, number)
    return first_way(
        made(family, seed, kind, *circuit, Chance(*stream, kind), format)
        for kind in kinds(family, Chance(*stream))
    )


def kinds(family: Family, chance: Chance) -> Iterator[str]:
    """All ways back to a circuit of ``family``, as ``chance`` orders them for trying."""
    groups = chance.shuffled(_GROUPS)
    if family.group == _TUNED and chance.below(2):
        groups.sort(key=lambda group: group != ("range",))
    seen: set[str] = set()
    for group in groups:
        for kind in chance.shuffled(group):
            if kind not in seen:
                seen.add(kind)
                yield kind


def made(
    family: Family,
    seed: int,
    kind: str,
    ladder: Ladder,
    known: Facts,
    chance: Chance,
    format: int = FORMAT,  # noqa: A002
) -> Problem | None:
    """The problem of one way back, not yet certified; ``None`` where there is none.

    Args:
        family: the circuit's.
        seed: the problem's.
        kind: the way back.
        ladder: the drawn circuit, which the way back may change.
        known: its facts.
        chance: what draws the question.
        format: the format of problems.
    """
    if kind == "q" and format >= NAMED_Q and q_has_a_name(known):
        drawn = value_for_named_q(ladder, known, chance)
    else:
        drawn = _MAKERS[kind](family, ladder, known, chance)
    if drawn is None:
        return None
    now = known if drawn.ladder == ladder else known_by(drawn.ladder, format)
    further = _further(kind, drawn, now, chance, format)
    return Problem(
        format,
        family.name,
        family.level,
        seed,
        drawn.ladder,
        (*drawn.questions, *further),
        Task.REVERSE,
        drawn.face,
        drawn.blank,
    )


_Maker = Callable[[Family, Ladder, Facts, Chance], ReverseDraw | None]

_MAKERS: dict[str, _Maker] = {
    "which-gain": lambda f, ladder, k, c: which_circuit(ladder, k, Face.GAIN, f.level, c),
    "which-map": lambda f, ladder, k, c: _mapped(f, ladder, k, c),
    "arm": lambda f, ladder, k, c: missing_arm(ladder, k, c),
    "corner": lambda f, ladder, k, c: value_for_corner(ladder, k, c),
    "q": lambda f, ladder, k, c: value_for_q(ladder, k, c),
    "both": lambda f, ladder, k, c: value_for_both(ladder, k, c),
    "range": lambda f, ladder, k, c: tuning_range(ladder, k, c, broadcast=f.group == _TUNED),
}


def _mapped(family: Family, ladder: Ladder, known: Facts, chance: Chance) -> ReverseDraw | None:
    """From the map; without poles there is nothing on it."""
    if not known.transfer.order or known.type_exact is FilterType.FLAT:
        return None
    return which_circuit(ladder, known, Face.MAP, family.level, chance)


def _further(
    kind: str,
    drawn: ReverseDraw,
    known: Facts,
    chance: Chance,
    format: int,  # noqa: A002
) -> tuple[Question, ...]:
    """What is asked of the whole circuit, once it is known."""
    sort = {"which-gain": "which", "which-map": "which", "arm": "arm", "range": "range"}
    asked = {q.rung: q for q in questions_for(known, chance, format)}
    shut = {*drawn.settled, *(q.rung for q in drawn.questions)}
    if pass_band_gain(known) == 1:
        shut.add(Rung.GAIN)  # nothing to work out
    found: list[Question] = []
    for group in _NEXT[sort.get(kind, "value")]:
        fit = [r for r in group if r in asked and r not in shut]
        if fit and len(found) < _MOST_MORE:
            rung = chance.pick(fit)
            shut.add(rung)
            found.append(asked[rung])
    return tuple(found)
