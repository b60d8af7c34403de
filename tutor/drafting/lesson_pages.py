"""The pages of the lessons: a circuit, what is changed in it, and what is foretold of each change.

Rows alone: words stand in ``content/lessons.toml`` under the level and the page's name, what is
right is worked out by the engine (``generate/foretell.py``).  Changes are written as a list of
changes for a bench is (``script.py``).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from ...problems.analysis.arms import End
from ...problems.catalogue.groups import SkillGroup
from ...problems.circuits.text import read_circuit
from ...problems.generate.foretell import Foretold
from ...problems.questions.looks import LookKind
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
        wanted: circuits of this type alone.
        circuits: circuits to choose from, instead of drawn ones.
    """

    kind: LookKind
    group: SkillGroup | None = None
    wanted: str | None = None
    circuits: tuple[str, ...] = ()


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


_M, _A = LessonMove, Foretold
_ONE_POLE, _TAPS = SkillGroup.ONE_POLE, SkillGroup.TAPS
_SECTIONS, _ARMS = SkillGroup.L_SECTIONS, SkillGroup.LC_ARMS
_LADDERS, _CASCADES = SkillGroup.LADDERS, SkillGroup.CASCADES
_LOADED, _DECOYS = SkillGroup.LOADED, SkillGroup.DECOYS

PAGES: tuple[LessonPage, ...] = (
    # Level 1: one pole
    LessonPage(
        1,
        "ends",
        "series R1 = 1 kΩ; shunt C1 = 100 nF",
        (
            _M(_A.LOW_END, end=End.LOW),
            _M(_A.HIGH_END, end=End.HIGH),
            _M(_A.TYPE, "swap R1 C1"),
        ),
        (Glance(LookKind.LOW_END, _ONE_POLE), Glance(LookKind.TYPE, _ONE_POLE)),
        (Turn.END, Turn.SWAP),
        veiled=True,
    ),
    LessonPage(
        1,
        "corner",
        "series R1 = 1 kΩ; shunt C1 = 100 nF",
        (
            _M(_A.CORNER, "C1 doubles"),
            _M(_A.TYPE, "circuit: series L1 = 100 mH; shunt R1 = 1 kΩ"),
            _M(_A.CORNER, "R1 doubles"),
        ),
        (
            Glance(LookKind.CHANGE_CORNER, _ONE_POLE),
            Glance(LookKind.CHANGE_CORNER, _ONE_POLE),
        ),
        (Turn.SWAP,),
    ),
    LessonPage(
        1,
        "pole",
        "series R1 = 1 kΩ; shunt C1 = 100 nF",
        (
            _M(_A.HIGH_SLOPE, "C1 doubles"),
            _M(_A.ORIGIN_ZEROS, "swap R1 C1"),
            _M(_A.LOW_SLOPE, "R1 doubles"),
        ),
        (Glance(LookKind.HIGH_SLOPE, _ONE_POLE), Glance(LookKind.ORIGIN_ZEROS, _ONE_POLE)),
        (Turn.SWAP,),
        chart=LessonChart.MAP,
    ),
    # Level 2: one loop, four outputs
    LessonPage(
        2,
        "taps",
        "series R1 = 220 Ω; series L1 = 10 mH; shunt C1 = 100 nF",
        (
            _M(_A.TYPE, "tap L1"),
            _M(_A.TYPE, "tap R1"),
            _M(_A.TYPE, "tap L1 + C1"),
        ),
        (Glance(LookKind.TYPE, _TAPS), Glance(LookKind.TYPE, _TAPS)),
        (Turn.TAP,),
    ),
    LessonPage(
        2,
        "q",
        "series R1 = 200 Ω; series L1 = 10 mH; shunt C1 = 100 nF",
        (
            _M(_A.Q, "R1 = 100 Ω"),
            _M(_A.AT_CORNER, "R1 = 50 Ω"),
            _M(_A.OVERSHOOT, "R1 = 25 Ω", chart=LessonChart.STEP),
        ),
        (Glance(LookKind.CHANGE_Q, _TAPS), Glance(LookKind.CHANGE_Q, _TAPS)),
        (Turn.TAP,),
    ),
    LessonPage(
        2,
        "poles",
        "series R1 = 500 Ω; series L1 = 10 mH; shunt C1 = 1 uF",
        (
            _M(_A.NATURE, "R1 = 100 Ω"),
            _M(_A.NATURE, "R1 doubles"),
            _M(_A.ORIGIN_ZEROS, "tap L1"),
        ),
        (Glance(LookKind.WHICH_MAP, _TAPS), Glance(LookKind.ORIGIN_ZEROS, _TAPS)),
        (Turn.TAP,),
        chart=LessonChart.MAP,
    ),
    # Level 3: loaded L-sections
    LessonPage(
        3,
        "feed",
        "source 600 Ω; series L1 = 100 mH; shunt C1 = 100 nF; load 600 Ω",
        (
            _M(
                _A.TYPE,
                "circuit: source 600 Ω; shunt C1 = 100 nF; series L1 = 100 mH; load 600 Ω",
            ),
            _M(_A.TYPE, "swap L1 C1"),
        ),
        (Glance(LookKind.FED, _SECTIONS), Glance(LookKind.TYPE, _SECTIONS)),
        (Turn.SWAP, Turn.TURN_OVER),
    ),
    LessonPage(
        3,
        "damping",
        "series L1 = 10 mH; shunt C1 = 100 nF; load 620 Ω",
        (
            _M(_A.Q, "RL doubles"),
            _M(_A.Q, "source 100 Ω"),
            _M(_A.CORNER, "Rs doubles"),
        ),
        (Glance(LookKind.CHANGE_Q, _SECTIONS), Glance(LookKind.CHANGE_Q, _SECTIONS)),
        (Turn.LOAD,),
    ),
    LessonPage(
        3,
        "source",
        "source 600 Ω; shunt C1 = 100 nF; series L1 = 100 mH; load 600 Ω",
        (
            _M(_A.CORNER, "Rs / 3"),
            _M(_A.POLES, "no source"),
            _M(_A.HIGH_SLOPE, "swap L1 C1"),
        ),
        (Glance(LookKind.POLES, _DECOYS), Glance(LookKind.HIGH_SLOPE, _SECTIONS)),
        (Turn.SWAP, Turn.TURN_OVER),
        chart=LessonChart.MAP,
    ),
    # Level 4: band-pass and notch
    LessonPage(
        4,
        "arms",
        "source 600 Ω; series L1 = 100 mH + C1 = 100 nF; load 600 Ω",
        (
            _M(_A.TYPE, "turn L1"),
            _M(_A.TYPE, "circuit: source 600 Ω; shunt L1 = 10 mH || C1 = 1 uF; load 600 Ω"),
            _M(_A.TYPE, "turn L1"),
        ),
        (Glance(LookKind.TYPE, _ARMS), Glance(LookKind.WHICH_ONE, _ARMS)),
        (Turn.TURN_OVER, Turn.END),
        veiled=True,
    ),
    LessonPage(
        4,
        "bandwidth",
        "series L1 = 2 H + C1 = 5 uF; load 100 Ω",
        (
            _M(_A.BANDWIDTH, "RL doubles"),
            _M(_A.BANDWIDTH, "C1 / 4"),
            _M(_A.BANDWIDTH, "L1 doubles"),
        ),
        (Glance(LookKind.CHANGE_Q, _ARMS), Glance(LookKind.CHANGE_CORNER, _ARMS)),
        (Turn.LOAD,),
    ),
    LessonPage(
        4,
        "notch-poles",
        "series L1 = 10 mH || C1 = 1 uF; load 400 Ω",
        (
            _M(_A.BANDWIDTH, "RL / 2"),
            _M(_A.NATURE, "RL = 25 Ω"),
            _M(_A.NATURE, "RL doubles"),
        ),
        (Glance(LookKind.WHICH_MAP, _ARMS), Glance(LookKind.CHANGE_Q, _ARMS)),
        (),
        chart=LessonChart.MAP,
    ),
    LessonPage(
        4,
        "tuning-c",
        "source 100 kΩ; shunt L1 = 238 uH || C1 = 365 pF; load 100 kΩ",
        (
            _M(_A.RATIO, "C1 = 41.575 pF"),
            _M(_A.Q, "C1 = 365 pF"),
            _M(_A.BANDWIDTH, "C1 = 41.575 pF"),
        ),
        (Glance(LookKind.CHANGE_CORNER, _ARMS), Glance(LookKind.CHANGE_Q, _ARMS)),
        (Turn.LOAD, Turn.LOSS),
        cautious=True,
    ),
    # Level 5: loading, cascades, counting
    LessonPage(
        5,
        "loading",
        "series R1 = 500 Ω; shunt C1 = 7 uF",
        (
            _M(_A.CORNER, "load 1 kΩ"),
            _M(_A.GAIN, "RL / 4"),
        ),
        (Glance(LookKind.CHANGE_CORNER, _LOADED), Glance(LookKind.TYPE, _LOADED)),
        (Turn.LOAD,),
    ),
    LessonPage(
        5,
        "cascade",
        "series C1 = 100 nF; shunt R1 = 10 kΩ; buffer; series R2 = 1 kΩ; shunt C2 = 100 nF",
        (
            _M(
                _A.TYPE,
                "circuit: series R2 = 1 kΩ; shunt C2 = 100 nF; buffer; "
                "series C1 = 100 nF; shunt R1 = 10 kΩ",
            ),
            _M(
                _A.CORNER,
                "circuit: series R2 = 1 kΩ; shunt C2 = 100 nF; series C1 = 100 nF; "
                "shunt R1 = 10 kΩ",
            ),
            _M(
                _A.Q,
                "circuit: series R2 = 1 kΩ; shunt C2 = 100 nF; buffer; "
                "series C1 = 100 nF; shunt R1 = 10 kΩ",
            ),
        ),
        (Glance(LookKind.TYPE, _CASCADES), Glance(LookKind.WHICH_RESPONSE, _CASCADES)),
        (Turn.BUFFER,),
    ),
    LessonPage(
        5,
        "above",
        "series C1 = 100 nF; shunt R1 = 10 kΩ; buffer; series R2 = 1 kΩ; shunt C2 = 10 nF",
        (
            _M(_A.PEAK, "C1 = 1 nF"),
            _M(_A.PEAK, "C2 = 1 uF"),
            _M(
                _A.Q,
                "circuit: series C1 = 100 nF; shunt R1 = 10 kΩ; buffer; "
                "series R2 = 1 kΩ; shunt C2 = 10 nF",
            ),
        ),
        (Glance(LookKind.TYPE, _CASCADES), Glance(LookKind.WHICH_ONE, _CASCADES)),
        (Turn.BUFFER,),
    ),
    LessonPage(
        5,
        "combined",
        "source 1 kΩ; shunt C1 = 100 nF; load 10 kΩ",
        (
            _M(_A.POLES, "circuit: source 1 kΩ; shunt C1 = 100 nF; shunt C2 = 220 nF; load 10 kΩ"),
            _M(
                _A.POLES,
                "circuit: source 1 kΩ; shunt C1 = 100 nF; series R1 = 1 kΩ; shunt C2 = 220 nF; "
                "load 10 kΩ",
            ),
            _M(
                _A.POLES,
                "circuit: series R1 = 1 kΩ; series L1 = 10 mH; series L2 = 22 mH; "
                "shunt C2 = 220 nF",
            ),
        ),
        (Glance(LookKind.POLES, _DECOYS), Glance(LookKind.POLES, _DECOYS)),
        (Turn.LOAD, Turn.TURN_OVER),
        chart=LessonChart.MAP,
    ),
    # Level 6: three and four poles
    LessonPage(
        6,
        "steeper",
        "source 600 Ω; series L1 = 100 mH; shunt C1 = 330 nF; load 600 Ω",
        (
            _M(
                _A.HIGH_SLOPE,
                "circuit: source 600 Ω; series L1 = 100 mH; shunt C1 = 330 nF; "
                "series L2 = 100 mH; load 600 Ω",
            ),
            _M(
                _A.LOW_SLOPE,
                "circuit: source 600 Ω; series C1 = 330 nF; shunt L1 = 100 mH; "
                "series C2 = 330 nF; load 600 Ω",
            ),
        ),
        (Glance(LookKind.HIGH_SLOPE, _LADDERS), Glance(LookKind.LOW_SLOPE, _LADDERS)),
        (Turn.TURN_OVER, Turn.SWAP),
    ),
    LessonPage(
        6,
        "shared",
        "source 600 Ω; series L1 = 100 mH + C1 = 100 nF; load 600 Ω",
        (
            _M(
                _A.POLES,
                "circuit: source 600 Ω; series L1 = 100 mH + C1 = 100 nF; "
                "shunt L2 = 10 mH || C2 = 1 uF; load 600 Ω",
            ),
            _M(_A.HIGH_SLOPE, "C2 doubles"),
            _M(_A.ORIGIN_ZEROS, "turn L1"),
        ),
        (Glance(LookKind.POLES, _LADDERS), Glance(LookKind.ORIGIN_ZEROS, _LADDERS)),
        (Turn.TURN_OVER,),
    ),
    LessonPage(
        6,
        "tied",
        "source 1 kΩ; shunt C1 = 100 nF; series R1 = 1 kΩ; shunt C3 = 100 nF; load 10 kΩ",
        (
            _M(
                _A.POLES,
                "circuit: source 1 kΩ; shunt C1 = 100 nF; series C2 = 220 nF; "
                "shunt C3 = 100 nF; load 10 kΩ",
            ),
            _M(
                _A.POLES,
                "circuit: source 1 kΩ; series L1 = 10 mH; shunt L2 = 22 mH; "
                "series L3 = 10 mH; load 10 kΩ",
            ),
        ),
        (Glance(LookKind.POLES, _DECOYS), Glance(LookKind.POLES, _LADDERS)),
        (Turn.TURN_OVER, Turn.LOAD),
        chart=LessonChart.MAP,
    ),
    # Level 7: real parts
    LessonPage(
        7,
        "lossy",
        "source 100 kΩ; shunt L1 = 250 uH || C1 = 100 pF; load 100 kΩ",
        (
            _M(_A.TYPE, "loss L1 10 Ω"),
            _M(_A.Q, "R_L1 doubles"),
            _M(_A.PEAK, "R_L1 doubles"),
        ),
        (Glance(LookKind.TYPE, _ARMS, "band-pass"), Glance(LookKind.CHANGE_Q, _ARMS)),
        (Turn.LOAD, Turn.LOSS),
        cautious=True,
    ),
    LessonPage(
        7,
        "trap",
        "series L1 = 10 mH; shunt C1 = 100 nF; load 330 Ω",
        (
            _M(_A.TYPE, "circuit: series L1 = 10 mH || C2 = 4.7 nF; shunt C1 = 100 nF; load 330 Ω"),
            _M(
                _A.TYPE,
                "circuit: source 600 Ω; shunt L1 = 10 mH + C1 = 10 nF; load 600 Ω",
            ),
            _M(_A.TYPE, "loss L1 20 Ω"),
        ),
        (Glance(LookKind.TYPE, _ARMS, "notch"), Glance(LookKind.TYPE, _SECTIONS)),
        (Turn.LOSS,),
    ),
    LessonPage(
        7,
        "lag",
        "series R1 = 10 kΩ; shunt C1 = 100 nF",
        (
            _M(_A.TYPE, "circuit: series R1 = 10 kΩ; shunt R2 = 3.3 kΩ + C1 = 100 nF"),
            _M(_A.HIGH_SLOPE, "R2 doubles"),
            _M(_A.TYPE, "R2 = 100 Ω"),
        ),
        (Glance(LookKind.HIGH_SLOPE, _ONE_POLE), Glance(LookKind.TYPE, _ONE_POLE)),
        (Turn.SWAP,),
    ),
    LessonPage(
        7,
        "tuning-l",
        "source 100 kΩ; shunt L1 = 1 mH || C1 = 100 pF; load 100 kΩ",
        (
            _M(_A.RATIO, "L1 / 4"),
            _M(_A.Q, "L1 / 2"),
            _M(_A.BANDWIDTH, "L1 / 2"),
        ),
        (Glance(LookKind.CHANGE_CORNER, _ARMS), Glance(LookKind.CHANGE_Q, _ARMS)),
        (Turn.LOAD, Turn.LOSS),
        cautious=True,
    ),
)
"""Every page, in the order of the levels."""


def pages_of(level: int) -> tuple[LessonPage, ...]:
    """The pages of a level's lesson."""
    return tuple(page for page in PAGES if page.level == level)
