"""What a look is: one circuit (or a pair) and one question, answered with one key, cold.

A look is a plain frozen value: ``generate.look`` makes it, ``hints.counterfact`` says why a wrong
answer cannot be right, ``generate.contrast`` finds the circuits next to it.  The kinds are rows
(:data:`LOOK_KINDS`); what a row does not say no table elsewhere knows.  Words stand in
``content/looks.toml`` under the kind's value.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from ..catalogue.groups import SkillGroup
from ..circuits.model import Ladder
from .model import Values

LOOK_FORMAT = 2
"""The newest meaning of the seeds of looks; golden files hold each format to it."""


class LookKind(StrEnum):
    """What a look asks, in the order of a first acquaintance."""

    TYPE = "type"
    LOW_END = "low-end"
    HIGH_END = "high-end"
    FED = "fed"
    POLES = "poles"
    ORIGIN_ZEROS = "origin-zeros"
    LOW_SLOPE = "low-slope"
    HIGH_SLOPE = "high-slope"
    WHICH_RESPONSE = "which-response"  # four stick plots to one circuit
    WHICH_MAP = "which-map"  # four pole-zero maps to one circuit
    WHICH_CIRCUIT = "which-circuit"  # four circuits to one stick plot
    SAME_TYPE = "same-type"  # two circuits side by side
    WHICH_ONE = "which-one"  # two circuits: which is the band-pass?
    CHANGE_CORNER = "change-corner"  # a part doubles: what does f0 do?
    CHANGE_Q = "change-q"
    DC_OUTPUT = "dc-output"  # 1 V of DC at the input: what of it is at the output?
    CORNER_PHASE = "corner-phase"
    LARGER_OUTPUT = "larger-output"  # two circuits: at DC, very high, or at f0
    CHANGE_BANDWIDTH = "change-bandwidth"
    CHANGE_GAIN = "change-gain"
    LOAD_CORNER = "load-corner"  # the load is taken off: what does f0 do?
    LOAD_Q = "load-q"
    TAP_CORNER = "tap-corner"  # the output is moved to another part: what does f0 do?
    TAP_Q = "tap-q"
    GAIN_OF_Q = "gain-of-q"  # four curves of gain: which has this Q?
    PHASE_OF_Q = "phase-of-q"
    STEP_OF_Q = "step-of-q"
    STEP_OF_MAP = "step-of-map"  # four step responses to one pole-zero map
    STEP_OF_CIRCUIT = "step-of-circuit"
    SAME_TRANSFER = "same-transfer"  # four circuits: which can have the same H(s)?


class Facing(StrEnum):
    """What stands on the screen while a look asks."""

    CIRCUIT = "circuit"  # one circuit
    PAIR = "pair"  # two circuits side by side
    RESPONSES = "responses"  # one circuit, four stick plots
    MAPS = "maps"  # one circuit, four pole-zero maps
    CIRCUITS = "circuits"  # one stick plot, four circuits
    GAINS = "gains"  # four curves of gain
    PHASES = "phases"  # four curves of phase
    STEPS = "steps"  # four step responses
    MAP_STEPS = "map-steps"  # one pole-zero map, four step responses
    CIRCUIT_STEPS = "circuit-steps"  # one circuit, four step responses
    TWINS = "twins"  # one circuit, four circuits

    @property
    def plotted(self) -> bool:
        """Whether no circuit stands there: curves or maps alone."""
        return self in (Facing.GAINS, Facing.PHASES, Facing.STEPS, Facing.MAP_STEPS)

    @property
    def of_circuits(self) -> bool:
        """Whether the choices are circuits, or two of them are compared."""
        return self in (Facing.PAIR, Facing.CIRCUITS, Facing.TWINS)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRow:
    """One kind of look.

    Args:
        kind: which kind it is.
        answers: the ids of its choices, always in this order, so that keys stay where they are.
        first_key: the digit of the first choice; the next ones follow (0 where a count is its own
            key, else 1).
        facing: what stands on the screen.
        weight: how often a mixed round asks it, relative to the others; the type is half.
        since: the format of seeds that the kind came with; its seeds mean the same in all later.
        ends: whether an error is followed by the two ends of the same circuit.
    """

    kind: LookKind
    answers: tuple[str, ...]
    first_key: int = 1
    facing: Facing = Facing.CIRCUIT
    weight: int = 1
    since: int = 1
    ends: bool = True

    @property
    def keys(self) -> tuple[str, ...]:
        """The key of each choice, in order: digits."""
        return tuple(str(self.first_key + i) for i in range(len(self.answers)))


TYPES = ("low-pass", "high-pass", "band-pass", "notch", "flat")
_COUNTS = ("0", "1", "2", "3", "4")
_LOW = ("0", "+20", "+40", "+60", "+80")
_HIGH = ("0", "-20", "-40", "-60", "-80")
_FOUR = ("first", "second", "third", "fourth")
_WAYS = ("up", "down", "same")


def _new(
    kind: LookKind, answers: tuple[str, ...], facing: Facing = Facing.CIRCUIT, *, ends: bool = False
) -> LookRow:
    """A row of the second format."""
    return LookRow(kind=kind, answers=answers, facing=facing, since=2, ends=ends)


LOOK_KINDS: tuple[LookRow, ...] = (
    LookRow(kind=LookKind.TYPE, answers=TYPES, weight=14),
    LookRow(kind=LookKind.LOW_END, answers=("passes", "blocked")),
    LookRow(kind=LookKind.HIGH_END, answers=("passes", "blocked")),
    LookRow(kind=LookKind.FED, answers=("series", "shunt")),
    LookRow(kind=LookKind.POLES, answers=_COUNTS, first_key=0),
    LookRow(kind=LookKind.ORIGIN_ZEROS, answers=_COUNTS, first_key=0),
    LookRow(kind=LookKind.LOW_SLOPE, answers=_LOW, first_key=0),
    LookRow(kind=LookKind.HIGH_SLOPE, answers=_HIGH, first_key=0),
    LookRow(kind=LookKind.WHICH_RESPONSE, answers=_FOUR, facing=Facing.RESPONSES),
    LookRow(kind=LookKind.WHICH_MAP, answers=_FOUR, facing=Facing.MAPS),
    LookRow(kind=LookKind.WHICH_CIRCUIT, answers=_FOUR, facing=Facing.CIRCUITS, ends=False),
    LookRow(kind=LookKind.SAME_TYPE, answers=("same", "different"), facing=Facing.PAIR, ends=False),
    LookRow(kind=LookKind.WHICH_ONE, answers=("first", "second"), facing=Facing.PAIR, ends=False),
    LookRow(kind=LookKind.CHANGE_CORNER, answers=_WAYS),
    LookRow(kind=LookKind.CHANGE_Q, answers=_WAYS),
    _new(LookKind.DC_OUTPUT, ("all", "part", "nothing"), ends=True),
    _new(LookKind.CORNER_PHASE, ("-90", "-45", "0", "+45", "+90")),
    _new(LookKind.LARGER_OUTPUT, ("first", "second", "same"), Facing.PAIR),
    _new(LookKind.CHANGE_BANDWIDTH, _WAYS),
    _new(LookKind.CHANGE_GAIN, _WAYS),
    _new(LookKind.LOAD_CORNER, _WAYS),
    _new(LookKind.LOAD_Q, _WAYS),
    _new(LookKind.TAP_CORNER, _WAYS, Facing.PAIR),
    _new(LookKind.TAP_Q, _WAYS, Facing.PAIR),
    _new(LookKind.GAIN_OF_Q, _FOUR, Facing.GAINS),
    _new(LookKind.PHASE_OF_Q, _FOUR, Facing.PHASES),
    _new(LookKind.STEP_OF_Q, _FOUR, Facing.STEPS),
    _new(LookKind.STEP_OF_MAP, _FOUR, Facing.MAP_STEPS),
    _new(LookKind.STEP_OF_CIRCUIT, _FOUR, Facing.CIRCUIT_STEPS, ends=True),
    _new(LookKind.SAME_TRANSFER, _FOUR, Facing.TWINS),
)

_BY_KIND: Mapping[LookKind, LookRow] = MappingProxyType({row.kind: row for row in LOOK_KINDS})


def look_row(kind: LookKind) -> LookRow:
    """The row of a kind of look."""
    return _BY_KIND[kind]


AT_SIGHT = tuple(row.kind for row in LOOK_KINDS if row.since == 1)
"""What recognition is made of: what a circuit is, and what can be counted in it."""
PREDICTED = tuple(row.kind for row in LOOK_KINDS if row.since > 1)
"""What builds upon it: what a circuit puts out, from the curve back, and what a change does."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look.

    ``ladder`` carries values (exact facts follow from them); it is drawn with its letters alone
    unless ``valued``.  ``truth`` is the id of the right choice in its kind's row.  ``shown`` holds
    the circuits behind four pictures, choice by choice (``ladder`` is one of them), for a pair the
    two circuits, and of twins the four to choose from (``ladder`` is none of them).  ``structure``
    is the same for looks that show the same but for names and values.  ``values`` fills the
    question's sentence (which part doubles, which type or Q is asked for, at which frequency).
    """

    kind: LookKind
    seed: int
    ladder: Ladder
    truth: str
    structure: str
    group: SkillGroup
    shown: tuple[Ladder, ...] = ()
    values: Values = ()
    valued: bool = False

    @property
    def format(self) -> int:
        """The format that its seed belongs to: that of its kind, of which no later one changed."""
        return self.row.since

    @property
    def row(self) -> LookRow:
        """The row of its kind."""
        return look_row(self.kind)

    @property
    def answers(self) -> tuple[str, ...]:
        """The ids of its choices, in the order of the keys."""
        return self.row.answers
