"""The rows of what is read off and predicted: one partial a way."""

from __future__ import annotations

from functools import partial

from ..catalogue.groups import SkillGroup
from .kind_row import (
    EVERYWHERE,
    GUESS_FEW,
    GUESS_TYPED,
    IDEAL,
    NAMED,
    REAL,
    TO_TWO_POLES,
    TWO_POLES,
    Band,
    QuestionKind,
)
from .model import Form, Rung, Task

_PAIRED = TWO_POLES - {SkillGroup.CASCADES}
"""Where a pair of poles can be complex."""
_OVERSHOOTING = frozenset({SkillGroup.L_SECTIONS, SkillGroup.TAPS})
"""Where there are low-passes of such a pair without a zero."""
_OF_ONE_POLE = frozenset({SkillGroup.ONE_POLE, SkillGroup.LOADED, SkillGroup.DECOYS})
_SHARP = frozenset({SkillGroup.TAPS, SkillGroup.L_SECTIONS, SkillGroup.LC_ARMS})
"""The groups whose Q is often high enough to be read off a curve."""
_CHANGED = TO_TWO_POLES - REAL
_CHANGED_TWO = TWO_POLES - REAL
_IN_A_LOOP = frozenset({SkillGroup.TAPS, SkillGroup.LC_ARMS, SkillGroup.DECOYS})
_TANKS = frozenset({SkillGroup.LC_ARMS})
_LOADED_TANKS = _TANKS | REAL
_TUNED = _TANKS | {SkillGroup.TAPS}
_WITH_RESONATOR = _TUNED | REAL
_FED = frozenset({SkillGroup.LOADED, SkillGroup.L_SECTIONS, SkillGroup.LC_ARMS, SkillGroup.LADDERS})
"""The circuits between a source's resistance and a load."""

_GUESS_HALF_VOLTAGE = 0.35
"""Between equal resistances a pass band lies at −6 dB: so often whoever always says so is right."""

_PEAKED = ("low-pass", "high-pass")

_PREDICTED = partial(QuestionKind, task=Task.PREDICT, band=Band.PREDICT, since=4, guess=GUESS_TYPED)
_LEVELS = partial(_PREDICTED, ways=frozenset({"levels"}))
_DESIGN = partial(_PREDICTED, ways=frozenset({"design"}))
_CURVE = partial(_PREDICTED, ways=frozenset({"curve"}))
_WHICH = partial(_PREDICTED, ways=frozenset({"which-curve"}), orders=(2,))
_MAP = partial(_PREDICTED, ways=frozenset({"map"}))
_POLES = partial(_PREDICTED, ways=frozenset({"poles"}), orders=(2,))
_STEP = partial(_PREDICTED, ways=frozenset({"step"}))
_STEP_CURVE = partial(_PREDICTED, ways=frozenset({"step-curve"}))
_CHANGE = partial(_PREDICTED, ways=frozenset({"change"}))
_OUTPUTS = partial(_PREDICTED, ways=frozenset({"outputs"}))
_ENERGY = partial(_PREDICTED, ways=frozenset({"energy"}), orders=(2,))
_SOURCE = partial(_PREDICTED, ways=frozenset({"source"}))
_TUNING = partial(
    _PREDICTED, ways=frozenset({"tuning"}), asked_of=_TUNED, orders=(2,),
    types=("band-pass", "notch"),
)  # fmt: skip

PREDICTED: tuple[QuestionKind, ...] = (
    # gain and phase at a frequency, and decibels
    _LEVELS(
        rung=Rung.GAIN_AT, form=Form.LEVEL, guess=GUESS_FEW, asked_of=TO_TWO_POLES,
        needs=(Rung.GAIN, Rung.CORNER), orders=(1, 2), types=NAMED,
    ),
    _LEVELS(
        rung=Rung.PHASE_AT, form=Form.LEVEL, guess=GUESS_FEW, asked_of=TO_TWO_POLES,
        needs=(Rung.HIGH_PHASE, Rung.CORNER), orders=(1, 2), types=NAMED,
    ),
    _LEVELS(
        rung=Rung.CASCADE_LEVEL, form=Form.LEVEL, guess=GUESS_FEW, asked_of=EVERYWHERE,
        needs=(Rung.GAIN_AT,),
    ),
    _LEVELS(
        rung=Rung.LEVEL_OF_RATIO, form=Form.LEVEL, guess=GUESS_FEW, asked_of=EVERYWHERE,
        needs=(Rung.GAIN,),
    ),
    _LEVELS(
        rung=Rung.RATIO_OF_LEVEL, form=Form.RATIO, guess=GUESS_FEW, asked_of=EVERYWHERE,
        needs=(Rung.GAIN,),
    ),
    _LEVELS(
        rung=Rung.HALF_POWER, form=Form.CHOICE, guess=1 / 4, asked_of=EVERYWHERE,
        needs=(Rung.GAIN,),
    ),
    # design: scaling, tolerances, the standard form
    _DESIGN(
        rung=Rung.STANDARD_FORM, form=Form.FORMULA, asked_of=TWO_POLES - REAL,
        needs=(Rung.TRANSFER, Rung.Q), orders=(2,), types=NAMED,
    ),
    _DESIGN(
        rung=Rung.WHICH_FORM, form=Form.CHOICE, guess=1 / 4, asked_of=TWO_POLES - REAL,
        needs=(Rung.TYPE, Rung.Q), orders=(2,), types=NAMED,
    ),
    _DESIGN(rung=Rung.SCALED_VALUE, form=Form.QUANTITY, asked_of=EVERYWHERE, needs=(Rung.CORNER,)),
    _DESIGN(
        rung=Rung.PROTOTYPE_VALUE, form=Form.QUANTITY, asked_of=TWO_POLES, needs=(Rung.CORNER,),
        orders=(2,),
    ),
    _DESIGN(
        rung=Rung.SCALING_EFFECT, form=Form.CHOICE, guess=1 / 4, asked_of=TWO_POLES,
        needs=(Rung.CORNER, Rung.Q), orders=(2,),
    ),
    _DESIGN(
        rung=Rung.TOLERANCE_F0, form=Form.QUANTITY, asked_of=TO_TWO_POLES, needs=(Rung.CORNER,),
        orders=(1, 2),
    ),
    _DESIGN(
        rung=Rung.TOLERANCE_Q, form=Form.RATIO, asked_of=TWO_POLES, needs=(Rung.Q,), orders=(2,),
    ),
    _DESIGN(
        rung=Rung.SENSITIVITY, form=Form.CHOICE, guess=1 / 5, asked_of=TO_TWO_POLES,
        needs=(Rung.CORNER,), orders=(1, 2),
    ),
    # read off a curve
    _CURVE(
        rung=Rung.READ_CORNER, form=Form.QUANTITY, types=NAMED[:4], asked_of=TO_TWO_POLES - REAL,
        needs=(Rung.TYPE,), orders=(1, 2),
    ),
    _CURVE(
        rung=Rung.READ_Q, form=Form.RATIO, types=NAMED[:4], asked_of=_SHARP,
        needs=(Rung.READ_CORNER,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_BANDWIDTH, form=Form.QUANTITY, types=("band-pass", "notch"),
        asked_of=_SHARP - {SkillGroup.L_SECTIONS}, needs=(Rung.READ_CORNER,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_LOWER_EDGE, form=Form.QUANTITY, types=("high-pass", "band-pass", "notch"),
        asked_of=TWO_POLES - REAL, needs=(Rung.TYPE,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_UPPER_EDGE, form=Form.QUANTITY, types=("low-pass", "band-pass", "notch"),
        asked_of=TWO_POLES - REAL, needs=(Rung.TYPE,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_PEAK, form=Form.LEVEL, guess=GUESS_FEW, types=_PEAKED,
        asked_of=_SHARP - {SkillGroup.LC_ARMS}, needs=(Rung.TYPE,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_PEAK_PLACE, form=Form.QUANTITY, types=_PEAKED,
        asked_of=_SHARP - {SkillGroup.LC_ARMS}, needs=(Rung.READ_PEAK,), orders=(2,),
    ),
    _CURVE(
        rung=Rung.READ_PASS_BAND, form=Form.LEVEL, guess=_GUESS_HALF_VOLTAGE, types=NAMED[:4],
        asked_of=IDEAL - {SkillGroup.ONE_POLE, SkillGroup.TAPS, SkillGroup.DECOYS},
        needs=(Rung.TYPE,),
    ),
    _CURVE(
        rung=Rung.READ_SLOPE, form=Form.SLOPE, guess=GUESS_FEW, types=NAMED[:3], asked_of=IDEAL,
        needs=(Rung.TYPE,),
    ),
    _CURVE(
        rung=Rung.READ_POLES, form=Form.COUNT, guess=GUESS_FEW, types=NAMED[:3], asked_of=IDEAL,
        needs=(Rung.READ_SLOPE,),
    ),
    _CURVE(
        rung=Rung.READ_TURN, form=Form.COUNT, guess=GUESS_FEW, types=NAMED[:3], asked_of=IDEAL,
        needs=(Rung.TYPE,),
    ),
    # which of four curves, and peaks
    _WHICH(
        rung=Rung.WHICH_GAIN_CURVE, form=Form.CHOICE, guess=1 / 4, types=NAMED[:3],
        asked_of=TWO_POLES, needs=(Rung.TYPE,),
    ),
    _WHICH(
        rung=Rung.WHICH_PHASE_CURVE, form=Form.CHOICE, guess=1 / 4, types=NAMED[:3],
        asked_of=TWO_POLES, needs=(Rung.WHICH_GAIN_CURVE,),
    ),
    _WHICH(
        rung=Rung.PEAK_OF_Q, form=Form.LEVEL, types=_PEAKED,
        asked_of=TWO_POLES - {SkillGroup.LC_ARMS}, needs=(Rung.GAIN_OF_Q,),
    ),
    _WHICH(
        rung=Rung.PEAK_PLACE_OF_Q, form=Form.QUANTITY, types=_PEAKED,
        asked_of=TWO_POLES - {SkillGroup.LC_ARMS}, needs=(Rung.PEAK_OF_Q,),
    ),
    _WHICH(
        rung=Rung.GAIN_OF_Q, form=Form.LEVEL, types=_PEAKED,
        asked_of=TWO_POLES - {SkillGroup.LC_ARMS}, needs=(Rung.TYPE,),
    ),
    _WHICH(
        rung=Rung.Q_LIMIT, form=Form.CHOICE, guess=1 / 4, types=NAMED[:3], asked_of=TWO_POLES,
        needs=(Rung.TYPE,),
    ),
    # places of poles
    _MAP(
        rung=Rung.POLE_RADIUS, form=Form.QUANTITY, asked_of=_PAIRED, needs=(Rung.POLE_NATURE,),
        orders=(2,),
    ),
    _MAP(
        rung=Rung.POLE_ANGLE, form=Form.LEVEL, guess=GUESS_FEW, asked_of=_PAIRED,
        needs=(Rung.POLE_NATURE,), orders=(2,),
    ),
    _MAP(
        rung=Rung.POLE_Q, form=Form.RATIO, asked_of=_PAIRED, needs=(Rung.POLE_NATURE,), orders=(2,),
    ),
    _MAP(
        rung=Rung.POLE_DECAY, form=Form.QUANTITY, asked_of=_PAIRED, needs=(Rung.POLE_NATURE,),
        orders=(2,),
    ),
    _MAP(
        rung=Rung.POLE_RINGING, form=Form.QUANTITY, asked_of=_PAIRED, needs=(Rung.POLE_NATURE,),
        orders=(2,),
    ),
    _MAP(
        rung=Rung.POLE_CORNER, form=Form.QUANTITY, asked_of=TO_TWO_POLES - {SkillGroup.LC_ARMS},
        needs=(Rung.CORNER,), orders=(1, 2),
    ),
    _MAP(
        rung=Rung.MAP_STEP, form=Form.CHOICE, guess=1 / 4, asked_of=TO_TWO_POLES - REAL,
        needs=(Rung.TYPE,), orders=(1, 2), types=NAMED[:4],
    ),
    _POLES(rung=Rung.POLE_PLACE, form=Form.QUANTITY, asked_of=_PAIRED, needs=(Rung.Q,)),
    _POLES(
        rung=Rung.WHICH_MAP, form=Form.CHOICE, guess=1 / 4, asked_of=TWO_POLES, needs=(Rung.Q,),
    ),
    # the step response
    _STEP(
        rung=Rung.STEP_FIRST, form=Form.CHOICE, guess=1 / 3, asked_of=EVERYWHERE,
        needs=(Rung.HIGH_END,),
    ),
    _STEP(
        rung=Rung.STEP_LAST, form=Form.CHOICE, guess=1 / 3, asked_of=EVERYWHERE,
        needs=(Rung.LOW_END,),
    ),
    _STEP(
        rung=Rung.WHICH_STEP, form=Form.CHOICE, guess=1 / 4, asked_of=TO_TWO_POLES - REAL,
        needs=(Rung.TYPE,), orders=(1, 2), types=NAMED[:4],
    ),
    _STEP(
        rung=Rung.TIME_CONSTANT, form=Form.QUANTITY, asked_of=_OF_ONE_POLE | REAL,
        needs=(Rung.CORNER,), orders=(1,),
    ),
    _STEP(
        rung=Rung.RISE_TIME, form=Form.QUANTITY, asked_of=_OF_ONE_POLE, needs=(Rung.CORNER,),
        orders=(1,), types=("low-pass",),
    ),
    _STEP(
        rung=Rung.OVERSHOOT, form=Form.RATIO, asked_of=_OVERSHOOTING, needs=(Rung.Q,),
        orders=(2,), types=("low-pass",),
    ),
    _STEP(
        rung=Rung.STEP_RINGING, form=Form.QUANTITY, asked_of=_PAIRED, needs=(Rung.Q,), orders=(2,),
    ),
    _STEP(rung=Rung.SWINGS, form=Form.RATIO, asked_of=_PAIRED, needs=(Rung.Q,), orders=(2,)),
    _STEP_CURVE(
        rung=Rung.READ_OVERSHOOT, form=Form.RATIO, guess=GUESS_FEW, asked_of=_OVERSHOOTING,
        needs=(Rung.POLE_NATURE,), orders=(2,), types=("low-pass",),
    ),
    _STEP_CURVE(
        rung=Rung.READ_RINGING, form=Form.QUANTITY, asked_of=_OVERSHOOTING,
        needs=(Rung.POLE_NATURE,), orders=(2,), types=("low-pass",),
    ),
    _STEP_CURVE(
        rung=Rung.READ_STEP_Q, form=Form.RATIO, asked_of=_OVERSHOOTING, needs=(Rung.Q,),
        orders=(2,), types=("low-pass",),
    ),
    _STEP_CURVE(
        rung=Rung.READ_TAU, form=Form.QUANTITY, asked_of=_OF_ONE_POLE, needs=(Rung.CORNER,),
        orders=(1,), types=("low-pass", "high-pass"),
    ),
    # what a change does
    _CHANGE(
        rung=Rung.CHANGED_TYPE, form=Form.CHOICE, guess=1 / 5,
        asked_of=_CHANGED - {SkillGroup.LC_ARMS}, needs=(Rung.TYPE,), orders=(1, 2), types=NAMED,
    ),
    _CHANGE(
        rung=Rung.CHANGED_F0, form=Form.CHOICE, guess=1 / 3, asked_of=_CHANGED,
        needs=(Rung.CORNER,), orders=(1, 2), types=NAMED,
    ),
    _CHANGE(
        rung=Rung.CHANGED_Q, form=Form.CHOICE, guess=1 / 3, asked_of=_CHANGED_TWO, needs=(Rung.Q,),
        orders=(2,), types=NAMED,
    ),
    _CHANGE(
        rung=Rung.CHANGED_BAND, form=Form.CHOICE, guess=1 / 3,
        asked_of=_CHANGED_TWO - {SkillGroup.L_SECTIONS}, needs=(Rung.BANDWIDTH,), orders=(2,),
        types=("band-pass", "notch"),
    ),
    _CHANGE(
        rung=Rung.CHANGED_GAIN, form=Form.CHOICE, guess=1 / 3,
        asked_of=_CHANGED - {SkillGroup.ONE_POLE}, needs=(Rung.GAIN,), orders=(1, 2), types=NAMED,
    ),
    _CHANGE(
        rung=Rung.CHANGE_FACTOR, form=Form.CHOICE, guess=1 / 5, asked_of=_CHANGED,
        needs=(Rung.CORNER,), orders=(1, 2), types=NAMED,
    ),
    _CHANGE(
        rung=Rung.CHANGE_RATIO, form=Form.RATIO, asked_of=_CHANGED - {SkillGroup.ONE_POLE},
        needs=(Rung.CORNER,), orders=(1, 2), types=NAMED,
    ),
    # outputs compared
    _OUTPUTS(
        rung=Rung.DC_OUTPUT, form=Form.CHOICE, guess=1 / 3, asked_of=EVERYWHERE,
        needs=(Rung.LOW_END,),
    ),
    _OUTPUTS(
        rung=Rung.HIGH_OUTPUT, form=Form.CHOICE, guess=1 / 3, asked_of=EVERYWHERE,
        needs=(Rung.HIGH_END,),
    ),
    _OUTPUTS(
        rung=Rung.TAPS_RANKED, form=Form.CHOICE, guess=1 / 5,
        asked_of=_IN_A_LOOP | {SkillGroup.LOADED} | REAL, needs=(Rung.CORNER,), orders=(1, 2),
    ),
    _OUTPUTS(
        rung=Rung.CIRCUITS_RANKED, form=Form.CHOICE, guess=1 / 5,
        asked_of=TWO_POLES | {SkillGroup.LOADED, SkillGroup.LADDERS},
        needs=(Rung.LOW_END, Rung.HIGH_END),
    ),
    # energy, and resonance with a load
    _ENERGY(rung=Rung.STORED_ENERGY, form=Form.QUANTITY, asked_of=_WITH_RESONATOR),
    _ENERGY(
        rung=Rung.LOST_ENERGY, form=Form.QUANTITY, asked_of=_WITH_RESONATOR, needs=(Rung.CORNER,),
    ),
    _ENERGY(rung=Rung.ENERGY_Q, form=Form.RATIO, asked_of=_WITH_RESONATOR),
    _ENERGY(
        rung=Rung.RESONANT_VOLTAGE, form=Form.QUANTITY, asked_of=_WITH_RESONATOR, needs=(Rung.Q,),
        ways=frozenset({"energy", "outputs"}),
    ),
    _ENERGY(rung=Rung.RESONANT_CURRENT, form=Form.QUANTITY, asked_of=_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.Q_WITHOUT_LOAD, form=Form.RATIO, asked_of=_LOADED_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.Q_WITH_LOAD, form=Form.RATIO, asked_of=_LOADED_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.BAND_WITH_LOAD, form=Form.QUANTITY, asked_of=_LOADED_TANKS, needs=(Rung.Q,)),
    _ENERGY(rung=Rung.LOAD_SHARE, form=Form.RATIO, asked_of=_LOADED_TANKS),
    # current sources and duals
    _SOURCE(rung=Rung.SOURCE_CURRENT, form=Form.QUANTITY, asked_of=_FED | REAL),
    _SOURCE(rung=Rung.SEEN_RESISTANCE, form=Form.QUANTITY, asked_of=_TANKS, orders=(2,)),
    _SOURCE(rung=Rung.CURRENT_OUTPUT, form=Form.QUANTITY, asked_of=_TANKS, orders=(2,)),
    _SOURCE(rung=Rung.PARALLEL_Q, form=Form.RATIO, asked_of=_TANKS, needs=(Rung.Q,), orders=(2,)),
    _SOURCE(
        rung=Rung.PARALLEL_BAND, form=Form.QUANTITY, asked_of=_TANKS, needs=(Rung.Q,), orders=(2,),
    ),
    _SOURCE(rung=Rung.DUAL_VALUE, form=Form.QUANTITY, asked_of=_FED | REAL),
    _SOURCE(
        rung=Rung.WHICH_DUAL, form=Form.CHOICE, guess=1 / 4, needs=(Rung.TYPE,),
        asked_of=_FED - {SkillGroup.LOADED},
    ),
    # tuning
    _TUNING(rung=Rung.TUNING_RATIO, form=Form.RATIO, needs=(Rung.CORNER,)),
    _TUNING(rung=Rung.TUNED_Q, form=Form.RATIO, needs=(Rung.Q,)),
    _TUNING(rung=Rung.TUNED_BAND, form=Form.QUANTITY, needs=(Rung.BANDWIDTH,)),
    _TUNING(rung=Rung.TUNED_END, form=Form.CHOICE, guess=1 / 3, needs=(Rung.BANDWIDTH,)),
    _TUNING(rung=Rung.HALF_IN, form=Form.QUANTITY, needs=(Rung.CORNER,)),
    _TUNING(rung=Rung.STRAY_RANGE, form=Form.RATIO, needs=(Rung.TUNING_RATIO,)),
)  # fmt: skip
"""Their rows, in the order in which their questions are made."""
