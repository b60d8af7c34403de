"""What happens to the signal at an end of the frequency axis, and which parts see to it.

At an end the circuit is redrawn, every reactive part an open or a short.  Either some arm stops the
signal then (a series arm opens, a shunt arm is a short), or a path survives.  Every part named here
is named because the redrawn circuit says so; what is said is exact, whatever the values.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..circuits.model import CircuitError, Kind, Ladder, Place, leaves
from ..formulas.tree import letters_of
from .arms import (
    ArmSection,
    ArmState,
    End,
    PlacedArm,
    blocks,
    conducting,
    idle_arms,
    making,
    sections,
    state,
)
from .letters import figures


class EndCause(StrEnum):
    """Why the signal is stopped at an end, or why it is not."""

    OPEN = "open"  # a series arm is open
    SHORT_OUTPUT = "short-output"  # a short lies across the output
    SHORT_PATH = "short-path"  # a short to ground lies on the way
    TOGETHER = "together"  # arms that stop it only together
    PATH = "path"  # what could stop it is a short in the way, or an open beside it
    DIVIDES = "divides"  # parts of one kind divide the voltage in a ratio that stays
    RESISTANCES = "resistances"  # nothing reactive is in the way


@dataclass(frozen=True, slots=True)
class EndFact:
    """What happens at one end.

    Args:
        end: the end.
        passes: whether anything gets through, however little.
        cause: why.
        parts: names of the parts that stop the signal, or of the path that survives.
        shorts: of the path, the reactive parts that are shorts.
        opens: the reactive parts beside it that are open.
        idle: names of parts that would stop the signal here if they affected the output.
    """

    end: End
    passes: bool
    cause: EndCause
    parts: tuple[str, ...]
    shorts: tuple[str, ...] = ()
    opens: tuple[str, ...] = ()
    idle: tuple[str, ...] = ()


def end_fact(ladder: Ladder, end: End) -> EndFact:
    """What happens to the signal of ``ladder`` at ``end``, and by which parts."""
    cut = sections(ladder)
    return _blocked(cut, end) if blocks(cut, end) else _passed(ladder, cut, end)


def end_facts(ladder: Ladder) -> tuple[EndFact, EndFact]:
    """Both ends, DC first."""
    return end_fact(ladder, End.LOW), end_fact(ladder, End.HIGH)


def passes(ladder: Ladder, end: End) -> bool:
    """Whether anything gets through ``ladder`` at ``end``, whatever the values."""
    return not blocks(sections(ladder), end)


def stoppers(ladder: Ladder, end: End) -> tuple[PlacedArm, ...]:
    """The arms of ``ladder`` that stop the signal at ``end``, each even if it were alone."""
    cut = sections(ladder)
    arms = [rail for section in cut for rail in section.rails if rail.stops(end)]
    return tuple(rail for rail in arms if blocks(cut, end, [rail]))


def _blocked(cut: Sequence[ArmSection], end: End) -> EndFact:
    arms = [rail for section in cut for rail in section.rails if rail.stops(end)]
    alone = [rail for rail in arms if blocks(cut, end, [rail])]
    if not alone:
        names = tuple(name for rail in arms for name in making(rail.arm, end))
        return EndFact(end, False, EndCause.TOGETHER, names)
    # What the output is taken across, if it is an arm.
    across = [rail for rail in cut[-1].rails[-1:] if rail.place is Place.SHUNT]
    # A short across the output is seen at once; else the arm with the fewest parts.
    chosen = min(alone, key=lambda rail: (len(making(rail.arm, end)), rail not in across))
    cause = EndCause.OPEN
    if chosen.place is Place.SHUNT:
        cause = EndCause.SHORT_OUTPUT if chosen in across else EndCause.SHORT_PATH
    return EndFact(end, False, cause, making(chosen.arm, end))


def _passed(ladder: Ladder, cut: Sequence[ArmSection], end: End) -> EndFact:
    rails = [rail for section in cut for rail in section.rails]
    if any(rail.stops(end) for rail in rails):
        return EndFact(end, True, EndCause.DIVIDES, _dividing(ladder, rails, end))
    path = [name for r in rails if r.place is Place.SERIES for name in conducting(r.arm, end)]
    if not path and cut[0].source is not None:
        path = [cut[0].source.name]
    reactive = {e.name: state(e, end) for r in rails for e in leaves(r.arm) if e.kind is not Kind.R}
    shorts = tuple(name for name in path if reactive.get(name) is ArmState.SHORT)
    opens = tuple(
        name
        for rail in rails
        if rail.place is Place.SHUNT
        for name in (e.name for e in leaves(rail.arm))
        if reactive.get(name) is ArmState.OPEN
    )
    idle = tuple(
        name for arm in idle_arms(ladder) if arm.stops(end) for name in making(arm.arm, end)
    )
    cause = EndCause.PATH if shorts or opens else EndCause.RESISTANCES
    return EndFact(end, True, cause, tuple(path), shorts, opens, idle)


def _dividing(ladder: Ladder, rails: Sequence[PlacedArm], end: End) -> tuple[str, ...]:
    """The reactive parts whose ratio is left as the gain at an end."""
    reactive = [e.name for rail in rails for e in leaves(rail.arm) if e.kind.reactive]
    try:
        known = letters_of(figures(ladder)["gain_low" if end is End.LOW else "gain_high"])
    except CircuitError:
        return tuple(reactive)  # too large for letters
    return tuple(name for name in reactive if name in known) or tuple(reactive)
