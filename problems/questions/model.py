"""What a problem is: a circuit and the questions (rungs) asked about it, and what a mark is.

These are plain frozen values.  The modules beside this one make questions, ``generate`` makes
problems, ``grading`` makes marks.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Protocol

from ..circuits.model import Ladder
from ..formulas.tree import Formula
from ..quantities.errors import Wording
from ..quantities.units import Quantity
from ..sketches.model import Sketch, SketchPart
from .exhibit import Exhibit

Value = str | int | Quantity | Ladder | Formula
"""A name or word as it stands, a count, a figure with its unit, a circuit, a formula."""

Values = tuple[tuple[str, Value], ...]
"""Named values that fill the placeholders of a sentence in ``content/``; see ``values.py``."""

Answer = str | int | float | Formula | Sketch
"""A truth, or what an answer is read as; its type goes with the question's :class:`Form`."""

TOLERANCE = Fraction(2, 100)

FORMAT = 4
"""The newest meaning of seeds.

Whatever changes the problems that seeds mean raises it; a new family or kind of question says
since which format it is there.  Earlier formats stay as they are: golden files hold them to it.
"""

TASK_SINCE: dict[str, int] = {"predict": 4}
"""The format of seeds that a task came with, where that is not the first."""

GAIN_NAMES = 3
"""The format since which a type is named by what the gain does, and nothing borderline is asked.

Those before it name it by exact zeros at the ends.
"""

PLACES = ("first", "second", "third", "fourth")
"""The ids of four choices that are pictures or circuits, in the order in which they are shown."""


class Form(StrEnum):
    """What an answer looks like; decides how typed text is read."""

    CHOICE = "choice"  # truth: the id of the right choice
    COUNT = "count"  # truth: int
    QUANTITY = "quantity"  # truth: float, in the question's unit
    RATIO = "ratio"  # truth: float, a plain number (Q)
    GAIN = "gain"  # truth: float, a voltage ratio; dB is read too
    SLOPE = "slope"  # truth: int, dB/decade; dB/octave is read too
    ANGLE = "angle"  # truth: int, degrees; radians are read too
    LEVEL = "level"  # truth: float, in dB or degrees, of either sign; off by so much at most
    FORMULA = "formula"  # truth: a formula in the circuit's letters
    SKETCH = "sketch"  # truth: the right sketch


class Task(StrEnum):
    """What a problem asks for."""

    ANALYSE = "analyse"  # from the circuit to what it does
    SKETCH = "sketch"  # from the circuit to its straight-line plots and its pole-zero map
    REVERSE = "reverse"  # from what is wanted, or from a response, back to the circuit
    PREDICT = "predict"  # from a picture to its figures, and from a change to its effect


class Face(StrEnum):
    """What is shown of a circuit while it is what is asked for."""

    CIRCUIT = "circuit"  # the whole circuit
    GAIN = "gain"  # its gain against frequency
    MAP = "map"  # its poles and zeros
    BLANK = "blank"  # the circuit with an arm or a value missing
    NONE = "none"  # nothing: the pictures that are asked about stand with their questions


class Rung(StrEnum):
    """The kinds of question, in the order of a climb."""

    FED = "fed"
    LOW_END = "low-end"
    LOW_END_REASON = "low-end-reason"
    HIGH_END = "high-end"
    HIGH_END_REASON = "high-end-reason"
    TYPE = "type"
    TYPE_REASON = "type-reason"
    SHELF_NAME = "shelf-name"
    INDEPENDENT = "independent"
    NO_POLE = "no-pole"
    POLES = "poles"
    ZEROS = "zeros"
    ORIGIN_ZEROS = "origin-zeros"
    LOW_SLOPE = "low-slope"
    HIGH_SLOPE = "high-slope"
    LOW_PHASE = "low-phase"
    HIGH_PHASE = "high-phase"
    GAIN = "gain"
    TRANSFER = "transfer"
    CORNER = "corner"
    CORNER_REASON = "corner-reason"
    CORNER_PHASE = "corner-phase"
    Q = "q"
    UNLOADED_Q = "unloaded-q"
    LOADED_Q = "loaded-q"
    POLE_NATURE = "pole-nature"
    BANDWIDTH = "bandwidth"
    LOWER_EDGE = "lower-edge"
    UPPER_EDGE = "upper-edge"
    INSERTION_LOSS = "insertion-loss"
    NOTCH_DEPTH = "notch-depth"
    GAIN_SKETCH = "gain-sketch"
    PHASE_SKETCH = "phase-sketch"
    MAP_SKETCH = "map-sketch"
    WHICH_CIRCUIT = "which-circuit"
    LOOKALIKE_REASON = "lookalike-reason"
    MISSING_ARM = "missing-arm"
    ELEMENT_VALUE = "element-value"
    LEAST_VALUE = "least-value"
    MOST_VALUE = "most-value"
    # gain and phase at a frequency, and decibels
    GAIN_AT = "gain-at"
    PHASE_AT = "phase-at"
    CASCADE_LEVEL = "cascade-level"
    LEVEL_OF_RATIO = "level-of-ratio"
    RATIO_OF_LEVEL = "ratio-of-level"
    HALF_POWER = "half-power"
    # design: scaling, tolerances, the standard form
    STANDARD_FORM = "standard-form"
    WHICH_FORM = "which-form"
    SCALED_VALUE = "scaled-value"
    PROTOTYPE_VALUE = "prototype-value"
    SCALING_EFFECT = "scaling-effect"
    TOLERANCE_F0 = "tolerance-f0"
    TOLERANCE_Q = "tolerance-q"
    SENSITIVITY = "sensitivity"
    # read off a curve
    READ_CORNER = "read-corner"
    READ_Q = "read-q"
    READ_BANDWIDTH = "read-bandwidth"
    READ_LOWER_EDGE = "read-lower-edge"
    READ_UPPER_EDGE = "read-upper-edge"
    READ_PEAK = "read-peak"
    READ_PEAK_PLACE = "read-peak-place"
    READ_PASS_BAND = "read-pass-band"
    READ_SLOPE = "read-slope"
    READ_POLES = "read-poles"
    READ_TURN = "read-turn"
    # which of four curves, and peaks
    WHICH_GAIN_CURVE = "which-gain-curve"
    WHICH_PHASE_CURVE = "which-phase-curve"
    GAIN_OF_Q = "gain-of-q"
    PEAK_OF_Q = "peak-of-q"
    PEAK_PLACE_OF_Q = "peak-place-of-q"
    Q_LIMIT = "q-limit"
    # places of poles
    POLE_RADIUS = "pole-radius"
    POLE_ANGLE = "pole-angle"
    POLE_Q = "pole-q"
    POLE_DECAY = "pole-decay"
    POLE_RINGING = "pole-ringing"
    POLE_CORNER = "pole-corner"
    MAP_STEP = "map-step"
    POLE_PLACE = "pole-place"
    WHICH_MAP = "which-map"
    # the step response
    STEP_FIRST = "step-first"
    STEP_LAST = "step-last"
    WHICH_STEP = "which-step"
    TIME_CONSTANT = "time-constant"
    RISE_TIME = "rise-time"
    OVERSHOOT = "overshoot"
    STEP_RINGING = "step-ringing"
    SWINGS = "swings"
    READ_OVERSHOOT = "read-overshoot"
    READ_RINGING = "read-ringing"
    READ_STEP_Q = "read-step-q"
    READ_TAU = "read-tau"
    # what a change does
    CHANGED_TYPE = "changed-type"
    CHANGED_F0 = "changed-f0"
    CHANGED_Q = "changed-q"
    CHANGED_BAND = "changed-band"
    CHANGED_GAIN = "changed-gain"
    CHANGE_FACTOR = "change-factor"
    CHANGE_RATIO = "change-ratio"
    # outputs compared
    DC_OUTPUT = "dc-output"
    HIGH_OUTPUT = "high-output"
    TAPS_RANKED = "taps-ranked"
    CIRCUITS_RANKED = "circuits-ranked"
    # energy, and resonance with a load
    STORED_ENERGY = "stored-energy"
    LOST_ENERGY = "lost-energy"
    ENERGY_Q = "energy-q"
    RESONANT_VOLTAGE = "resonant-voltage"
    RESONANT_CURRENT = "resonant-current"
    Q_WITHOUT_LOAD = "q-without-load"
    Q_WITH_LOAD = "q-with-load"
    BAND_WITH_LOAD = "band-with-load"
    LOAD_SHARE = "load-share"
    # current sources and duals
    SOURCE_CURRENT = "source-current"
    SEEN_RESISTANCE = "seen-resistance"
    CURRENT_OUTPUT = "current-output"
    PARALLEL_Q = "parallel-q"
    PARALLEL_BAND = "parallel-band"
    DUAL_VALUE = "dual-value"
    WHICH_DUAL = "which-dual"
    # tuning
    TUNING_RATIO = "tuning-ratio"
    TUNED_Q = "tuned-q"
    TUNED_BAND = "tuned-band"
    TUNED_END = "tuned-end"
    HALF_IN = "half-in"
    STRAY_RANGE = "stray-range"


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice; its words are ``content`` entries under the question's kind and this id."""

    id: str
    values: Values = ()


class Posed(Protocol):
    """A question as it is put, whether or not its answer is at hand.

    What words a question, draws its choices or reads an answer to it needs no more than this;
    the fields are those of :class:`Question`.
    """

    @property
    def rung(self) -> Rung:
        """The kind of question."""

    @property
    def form(self) -> Form:
        """What an answer looks like."""

    @property
    def choices(self) -> tuple[Choice, ...]:
        """What there is to choose from, in the order shown."""

    @property
    def unit(self) -> str:
        """The unit asked for."""

    @property
    def tolerance(self) -> Fraction:
        """The relative tolerance (of a level: in its unit); zero for forms that are exact."""

    @property
    def values(self) -> Values:
        """What fills its sentences."""

    @property
    def exhibit(self) -> Exhibit | None:
        """The picture that it is asked about, if any."""


@dataclass(frozen=True, slots=True)
class Question:
    """One rung.

    ``truth`` is typed by ``form``.  ``unit`` is the unit asked for ("Hz", "dB/decade", "°"
    or "").  ``tolerance`` is relative, of a level in its unit, and is zero for forms that are
    exact.  ``values`` fills the placeholders of the prompt and hints; ``exhibit`` is the picture
    that it is asked about, drawn beside it.
    """

    rung: Rung
    form: Form
    truth: Answer
    choices: tuple[Choice, ...] = ()
    unit: str = ""
    tolerance: Fraction = Fraction(0)
    values: Values = ()
    exhibit: Exhibit | None = None

    @property
    def figure(self) -> float:
        """The truth of a question that asks for a number.

        Raises:
            TypeError: it asks for something else.
        """
        return figure_of(self.truth)

    @property
    def asked(self) -> str:
        """Which of several things it asks for, or of which sort; "" where there is one only."""
        return str(dict(self.values).get("asked", ""))

    def choice(self, id_: str) -> Choice:
        """The choice with an id, ``id_``.

        Raises:
            LookupError: there is none.
        """
        for choice in self.choices:
            if choice.id == id_:
                return choice
        raise LookupError(f"{id_} is no choice")

    @property
    def slack(self) -> float:
        """By how much a figure may be off, in the unit asked for."""
        share = float(self.tolerance)
        return share if self.form is Form.LEVEL else share * abs(self.figure)

    def off(self, figure: float) -> float:
        """How far a ``figure`` lies from the truth, in the unit asked for."""
        return self.apart(figure, self.figure)

    def apart(self, one: float, other: float) -> float:
        """How far two figures lie apart; angles that differ by whole turns are one.

        Args:
            one: a figure, in the unit asked for.
            other: another.
        """
        if self.form is Form.LEVEL and self.unit == "°":
            return abs((one - other + 180) % 360 - 180)
        return abs(one - other)


def figure_of(answer: Answer) -> float:
    """An answer that is a number.

    Raises:
        TypeError: it is none.
    """
    if isinstance(answer, int | float):
        return float(answer)
    raise TypeError(f"{type(answer).__name__} is no number")


def formula_of(answer: Answer) -> Formula:
    """An answer that is a formula.

    Raises:
        TypeError: it is none.
    """
    if isinstance(answer, Formula):
        return answer
    raise TypeError(f"{type(answer).__name__} is no formula")


def sketch_of(answer: Answer) -> Sketch:
    """An answer that is a sketch.

    Raises:
        TypeError: it is none.
    """
    if isinstance(answer, Sketch):
        return answer
    raise TypeError(f"{type(answer).__name__} is no sketch")


@dataclass(frozen=True, slots=True)
class Problem:
    """A certified problem.  ``family`` is a row of the catalogue ("" for a typed circuit).

    A seed means a problem together with its task: the same seed asks other questions for
    another task.

    ``face`` is what stands in the circuit's place while a question asks for (part of) the
    circuit itself; ``blank`` names the elements that are then left out (one arm), or whose
    values are.  ``kinds.face_of`` and ``kinds.blank_of`` tell what a question may show.

    ``format`` is the meaning of seeds that it was made under: :data:`FORMAT` or an earlier one,
    which is made as it always was.
    """

    format: int
    family: str
    level: int
    seed: int
    ladder: Ladder
    questions: tuple[Question, ...]
    task: Task = Task.ANALYSE
    face: Face = Face.CIRCUIT
    blank: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Earlier:
    """A right answer known from earlier in a climb: ``said`` by the learner, or only shown."""

    rung: Rung
    truth: Answer
    said: bool = True


class Verdict(StrEnum):
    """What a mark says of an answer."""

    RIGHT = "right"
    ROUGH = "rough"  # within the tolerance but badly rounded
    WRONG = "wrong"
    UNCLEAR = "unclear"  # not understood: never counted as wrong


@dataclass(frozen=True, slots=True)
class SlipHit:
    """A slip that predicts the typed answer, with the texts that fill its sentence.

    ``says`` is the key of the sentence about it that is true of this circuit.
    """

    slip: str
    values: Values = ()
    says: str = "sentence"


@dataclass(frozen=True, slots=True)
class Mark:
    """The verdict on one typed answer.

    ``understood`` echoes how the text was read ("4.7 kHz"), ``value`` is what it was read as
    (a choice's id, a sketch), and ``trouble`` says why it could not be read.  ``answer`` is the
    exact answer as text: callers show it only after a right
    answer or a surrender.  ``slips`` is empty unless the verdict is WRONG; likeliest first.
    ``parts`` are the pieces a sketch was graded by, none of which says what would be right.
    """

    rung: Rung
    verdict: Verdict
    typed: str
    understood: str
    answer: str
    slips: tuple[SlipHit, ...] = ()
    trouble: Wording | None = None
    parts: tuple[SketchPart, ...] = ()
    value: Answer | None = None

    @property
    def passed(self) -> bool:
        """Whether the climb goes on: right, or within the tolerance."""
        return self.verdict in (Verdict.RIGHT, Verdict.ROUGH)
