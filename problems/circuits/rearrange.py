"""The same parts, arranged otherwise: the output tap moved, stages swapped, arms exchanged.

Every move gives another ladder, or nothing where it is not possible.  No value changes,
and names stay, so that two circuits can be compared part by part.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import accumulate, combinations, groupby
from operator import attrgetter

from .model import (
    Arm,
    CircuitError,
    Element,
    Group,
    Joint,
    Ladder,
    Place,
    Stage,
    join,
    leaves,
    mapped,
)

MOST_TAPS = 24
"""Most places for the output; a loop of many parts has more subsets than anybody wants."""


def _arm(stage: Stage) -> Arm:
    assert stage.arm is not None
    return stage.arm


def stage_of(ladder: Ladder, name: str) -> int:
    """The index of the stage of ``ladder`` that holds the element called ``name``.

    Source and load belong to the first and the last stage.
    """
    for index, stage in enumerate(ladder.stages):
        if stage.arm is not None and any(e.name == name for e in leaves(stage.arm)):
            return index
    return 0 if ladder.source is not None and ladder.source.name == name else _last(ladder)


def _last(ladder: Ladder) -> int:
    return len(ladder.stages) - 1


def output_arm(ladder: Ladder) -> Arm | None:
    """What the output is taken across: the last shunt arms and the load; else nothing."""
    arms: list[Arm] = []
    for stage in reversed(ladder.stages):
        if stage.place is not Place.SHUNT:
            break
        arms.insert(0, _arm(stage))
    if ladder.load is not None:
        arms.append(ladder.load)
    return join(Joint.PARALLEL, *arms) if arms else None


def output_names(ladder: Ladder) -> tuple[str, ...]:
    """The names of the parts that the output is taken across, without the load; in order."""
    arm = output_arm(replace(ladder, load=None))
    return () if arm is None else tuple(element.name for element in leaves(arm))


# --- the output tap ----------------------------------------------------------------------


def taps(ladder: Ladder) -> tuple[Ladder, ...]:
    """The ladder with its output in every place, this one first.

    Two kinds of place: across other parts of the last loop (in a series R-L-C: across C,
    L, R, L + C …), and across earlier shunt arms, what follows then hanging beside them.
    """
    found = [ladder]
    for other in (*_loop_taps(ladder), *_inner_taps(ladder)):
        if other not in found:
            found.append(other)
        if len(found) == MOST_TAPS:
            break
    return tuple(found)


def _built(stages: Iterable[Stage], ladder: Ladder, load: bool) -> Iterator[Ladder]:
    try:
        yield Ladder(tuple(stages), ladder.source, ladder.load if load else None)
    except CircuitError:
        return  # nested too deep: this place is left out


def _loop_taps(ladder: Ladder) -> Iterator[Ladder]:
    """The output across other parts of the loop at the output end, the load with it."""
    stages = list(ladder.stages)
    shunts: list[Arm] = []
    while stages and stages[-1].place is Place.SHUNT:
        shunts.insert(0, _arm(stages.pop()))
    rails: list[Arm] = []
    while stages and stages[-1].place is Place.SERIES:
        rails.insert(0, _arm(stages.pop()))
    if not shunts or not rails:
        return
    foot = join(Joint.PARALLEL, *shunts)
    parts = [part for arm in (*rails, foot) for part in _in_series(arm)]
    # From the output backwards; small subsets first.
    numbers = range(len(parts) - 1, -1, -1)
    for size in range(1, len(parts)):
        for chosen in combinations(numbers, size):
            rest = [Stage(Place.SERIES, p) for n, p in enumerate(parts) if n not in chosen]
            across = join(Joint.SERIES, *(parts[n] for n in sorted(chosen)))
            yield from _built([*stages, *rest, Stage(Place.SHUNT, across)], ladder, load=True)


def _in_series(arm: Arm) -> tuple[Arm, ...]:
    if isinstance(arm, Group) and arm.joint is Joint.SERIES:
        return arm.parts
    return (arm,)


def _inner_taps(ladder: Ladder) -> Iterator[Ladder]:
    """The output across each earlier shunt arm."""
    for index in range(_last(ladder) - 1, -1, -1):
        here, after = ladder.stages[index], ladder.stages[index + 1]
        if here.place is not Place.SHUNT or after.place is Place.SHUNT:
            continue
        rest = folded(ladder.stages[index + 1 :], ladder.load)
        kept = ladder.stages[:index]
        arms = [_arm(here)] + ([rest] if rest is not None else [])
        yield from _built([*kept, Stage(Place.SHUNT, join(Joint.PARALLEL, *arms))], ladder, False)


def folded(stages: tuple[Stage, ...], load: Element | None) -> Arm | None:
    """The ``stages`` after a node and the ``load`` as one arm to ground.

    ``None`` where no current flows into it.
    """
    arm: Arm | None = load
    for number, stage in enumerate(stages):
        if stage.place is Place.BUFFER:  # a buffer draws no current
            stages, arm = stages[:number], None
            break
    for stage in reversed(stages):
        own = _arm(stage)
        if stage.place is Place.SHUNT:
            arm = own if arm is None else join(Joint.PARALLEL, own, arm)
        elif arm is not None:
            arm = join(Joint.SERIES, own, arm)
    return arm


# --- the order of the stages ---------------------------------------------------------------


def _runs(stages: Iterable[Stage]) -> list[list[Stage]]:
    """Neighbours of the same place belong together: their order means nothing."""
    return [list(run) for _, run in groupby(stages, attrgetter("place"))]


def _halves(ladder: Ladder) -> list[list[Stage]]:
    """The sections between buffers; without buffers, the L-sections, if there are several."""
    found: list[list[Stage]] = [[]]
    for stage in ladder.stages:
        if stage.place is Place.BUFFER:
            found.append([])
        else:
            found[-1].append(stage)
    if len(found) > 1:
        return [half for half in found if half]
    runs = _runs(ladder.stages)
    if len(runs) < 4 or len(runs) % 2:
        return [list(ladder.stages)]
    return [[*runs[n], *runs[n + 1]] for n in range(0, len(runs), 2)]


def swapped(ladder: Ladder, index: int) -> Ladder | None:
    """The stage of ``ladder`` at ``index`` changes places with the next (the last goes back one).

    Neighbours of the same place move together, since their order among themselves means
    nothing; across a buffer nothing moves.
    """
    runs = _runs(ladder.stages)
    ends = list(accumulate(len(run) for run in runs))
    n = next((n for n, end in enumerate(ends) if index < end), len(runs) - 1)
    for first, second in ((n, n + 1), (n - 1, n)):
        if first < 0 or second >= len(runs):
            continue
        if Place.BUFFER in (runs[first][0].place, runs[second][0].place):
            continue
        runs[first], runs[second] = runs[second], runs[first]
        return Ladder(tuple(s for run in runs for s in run), ladder.source, ladder.load)
    return None


def sections_swapped(ladder: Ladder, index: int) -> Ladder | None:
    """The section of the stage at ``index`` changes places with the next (the last goes back one).

    Sections are what lies between the buffers of ``ladder``; without buffers, the L-sections.
    """
    halves = _halves(ladder)
    if len(halves) < 2:
        return None
    buffered = any(s.place is Place.BUFFER for s in ladder.stages)
    wanted = ladder.stages[index]
    mine = next((n for n, half in enumerate(halves) if any(s is wanted for s in half)), 0)
    first = min(mine, len(halves) - 2)
    halves[first], halves[first + 1] = halves[first + 1], halves[first]
    stages: list[Stage] = []
    for half in halves:
        if stages and buffered:
            stages.append(Stage(Place.BUFFER))
        stages.extend(half)
    return Ladder(tuple(stages), ladder.source, ladder.load)


def exchanged(ladder: Ladder, index: int) -> Ladder | None:
    """The arm of ``ladder`` at ``index`` trades places with the next one in the other place.

    A series arm becomes the shunt arm and the reverse: low-pass and high-pass change.
    """
    stages = list(ladder.stages)
    here = stages[index]
    if here.arm is None:
        return None
    for other in (*range(index + 1, len(stages)), *range(index - 1, -1, -1)):
        there = stages[other]
        if there.arm is not None and there.place is not here.place:
            stages[index] = Stage(here.place, there.arm)
            stages[other] = Stage(there.place, here.arm)
            return Ladder(tuple(stages), ladder.source, ladder.load)
    return None


def rebuffered(ladder: Ladder, index: int) -> Ladder | None:
    """Take the buffer of ``ladder`` nearest to the stage at ``index`` away.

    Without any, put one behind the nearest shunt arm that others follow.
    """
    stages = list(ladder.stages)
    buffers = [n for n, s in enumerate(stages) if s.place is Place.BUFFER]
    if buffers:
        del stages[min(buffers, key=lambda n: abs(n - index))]
        return Ladder(tuple(stages), ladder.source, ladder.load) if stages else None
    places = [
        n + 1
        for n in range(len(stages) - 1)
        if stages[n].place is Place.SHUNT and stages[n + 1].place is Place.SERIES
    ]
    if not places:
        return None
    stages.insert(min(places, key=lambda n: abs(n - 1 - index)), Stage(Place.BUFFER))
    return Ladder(tuple(stages), ladder.source, ladder.load)


# --- one arm, two parts ----------------------------------------------------------------------


def turned_over(ladder: Ladder, index: int) -> Ladder | None:
    """The arm of ``ladder`` at ``index`` turned from series to shunt, or back; no buffer turns."""
    stages = list(ladder.stages)
    here = stages[index]
    if here.arm is None:
        return None
    stages[index] = Stage(here.place.opposite, here.arm)
    return Ladder(tuple(stages), ladder.source, ladder.load)


def parts_swapped(ladder: Ladder, first: str, second: str) -> Ladder:
    """``ladder`` with two parts, called ``first`` and ``second``, in each other's place.

    Each keeps its value.

    Raises:
        CircuitError: a coil or a capacitor would become the source's or the load's resistance.
    """
    by_name = {element.name: element for element in ladder.elements()}
    other = {first: by_name[second], second: by_name[first]}
    return mapped(ladder, lambda element: other.get(element.name, element))


def with_loss(ladder: Ladder, name: str, loss: Element) -> Ladder:
    """``ladder`` with a ``loss`` in series with the part ``name``, as a coil's winding has it.

    Raises:
        CircuitError: there are too many parts, or groups nested too deep.
    """

    def arm_of(arm: Arm) -> Arm:
        if isinstance(arm, Element):
            return join(Joint.SERIES, arm, loss) if arm.name == name else arm
        return join(arm.joint, *(arm_of(part) for part in arm.parts))

    stages = (Stage(s.place, s.arm and arm_of(s.arm)) for s in ladder.stages)
    return Ladder(tuple(stages), ladder.source, ladder.load)
