"""The pages of the lessons: a circuit, what is changed in it, and what is foretold of each change.

They stand in ``content/lesson-pages.toml``, their words in ``content/lessons.toml``; what is right
is worked out by the engine (``generate/foretell.py``).  Changes are written as a list of changes
for a bench is (``script.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, cached_property
from types import MappingProxyType
from typing import Any

from ...problems.analysis.arms import End
from ...problems.catalogue.groups import SkillGroup
from ...problems.circuits.text import read_circuit
from ...problems.generate.foretell import Foretold
from ...problems.questions.looks import LookKind
from ..language.texts import table
from .bench import BenchMoment
from .script import read_script


class LessonChart(StrEnum):
    """What stands beside the circuit of a page."""

    BODE = "bode"
    MAP = "map"
    STEP = "step"


class Turn(StrEnum):
    """What a learner may change freely on a page, besides the values of its parts."""

    TAP = "tap"
    END = "end"  # drawn at DC, at high frequency, as it is
    SWAP = "swap"
    TURN_OVER = "turn-over"
    LOAD = "load"
    LOSS = "loss"
    BUFFER = "buffer"


@dataclass(frozen=True, slots=True)
class LessonMove:
    """A change of a page's circuit, and what is foretold of it.

    Args:
        asked: what is foretold.
        change: the change, in the words of a bench's list; "" where only the end is another.
        end: the end of the frequency axis at which the circuit is drawn afterwards.
        chart: what stands beside the circuit from this question on, where that is another.
    """

    asked: Foretold
    change: str = ""
    end: End | None = None
    chart: LessonChart | None = None


@dataclass(frozen=True, slots=True)
class Glance:
    """One of the looks that a page ends with.

    Args:
        kind: what is asked.
        group: circuits of this group alone.
        wanted: circuits of this type alone, if of one.
    """

    kind: LookKind
    group: SkillGroup
    wanted: str | None = None


@dataclass(frozen=True)
class LessonPage:
    """A page of a lesson.

    Args:
        level: of the lesson, from 1.
        name: where its words are, under its level.
        circuit: the circuit that it begins with.
        moves: what is changed, one after the other.
        looks: the two looks at its end.
        turns: what may be changed freely afterwards, besides values.
        chart: what stands beside the circuit.
        veiled: whether the chart would tell, and comes only when all has been foretold.
        cautious: whether parts of this kind can hurt somebody, so that a caution stands below.
    """

    level: int
    name: str
    circuit: str
    moves: tuple[LessonMove, ...]
    looks: tuple[Glance, Glance]
    turns: tuple[Turn, ...] = ()
    chart: LessonChart = LessonChart.BODE
    veiled: bool = False
    cautious: bool = False

    @property
    def key(self) -> str:
        """Names it in a record: "2.taps"."""
        return f"{self.level}.{self.name}"

    @cached_property
    def moments(self) -> tuple[BenchMoment, ...]:
        """What lies on a bench at first, and after each of the moves."""
        lines = [f"ask {move.change}" for move in self.moves if move.change]
        ladder = read_circuit(self.circuit)
        if not lines:  # the same circuit, seen at its ends
            return (read_script("keep", ladder).start,) * (len(self.moves) + 1)
        script = read_script("\n".join(lines), ladder)
        steps, found = iter(script.steps), [script.start]
        found += [next(steps).moment if move.change else found[-1] for move in self.moves]
        return tuple(found)


_KINDS: Mapping[str, Callable[[Any], object]] = MappingProxyType(
    {
        "asked": Foretold,
        "change": str,
        "chart": LessonChart,
        "circuit": str,
        "cautious": bool,
        "end": End,
        "looks": lambda rows: tuple(
            Glance(LookKind(kind), SkillGroup(group), *wanted) for kind, group, *wanted in rows
        ),
        "moves": lambda rows: tuple(LessonMove(**_typed(row)) for row in rows),
        "turns": lambda names: tuple(map(Turn, names)),
        "veiled": bool,
    }
)
"""What each entry of ``content/lesson-pages.toml`` becomes."""


def _typed(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _KINDS[name](value) for name, value in row.items()}


@cache
def every_page() -> tuple[LessonPage, ...]:
    """Every page, in the order of the levels."""
    return tuple(
        LessonPage(int(level), name, **_typed(row))
        for level, rows in table("lesson-pages").items()
        for name, row in rows.items()
    )


def pages_of(level: int) -> tuple[LessonPage, ...]:
    """The pages of a level's lesson."""
    return tuple(page for page in every_page() if page.level == level)
