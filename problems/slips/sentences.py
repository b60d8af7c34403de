"""Which sentences there are about a slip, and what each claims of the circuit.

A row holds the sentences of one slip in ``content/slips.toml``, the first that fits first: of
these kinds of question, and with every claim true of this circuit and this answer.  Where none
fits the slip is not named: a mistake that is explained falsely is worse than one left to the
counter-facts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ..questions.kinds import SKETCHES
from ..questions.model import Rung
from .claims import SlipClaim as Says
from .claims import SlipSaying, holds


@dataclass(frozen=True, slots=True)
class SlipSentence:
    """One sentence about a slip.

    ``key`` is where it stands in ``content/slips.toml`` under the slip; ``claims`` is what must
    be true for it to be said; ``rungs`` are the kinds of question it is for, all if empty.
    """

    key: str
    claims: tuple[Says, ...] = ()
    rungs: frozenset[Rung] = frozenset()

    def fits(self, said: SlipSaying) -> bool:
        """Whether it may be said here."""
        asked = not self.rungs or said.case.rung in self.rungs
        return asked and all(holds(claim, said) for claim in self.claims)


def sentence_for(slip: str, said: SlipSaying) -> str | None:
    """The key of the sentence about a slip that is true here; ``None`` where none is.

    Args:
        slip: the slip's id.
        said: the case, the answer that the slip leads to, and what fills the sentence.
    """
    return next((row.key for row in SENTENCES.get(slip, ()) if row.fits(said)), None)


def _plain(*claims: Says) -> tuple[SlipSentence, ...]:
    """A slip with a single sentence."""
    return (SlipSentence("sentence", claims),)


def _also_sketched(*claims: Says) -> tuple[SlipSentence, ...]:
    """A slip with one sentence for sketches, which claims nothing, and one for all else."""
    return (_SKETCH, SlipSentence("sentence", claims))


def _on(*rungs: Rung) -> frozenset[Rung]:
    return frozenset(rungs)


_SKETCHED = frozenset(SKETCHES)
_SKETCH = SlipSentence("sketch", (), _SKETCHED)
_PAIR = (Says.INDUCTOR, Says.CAPACITOR)
_READ_EDGES = _on(Rung.READ_LOWER_EDGE, Rung.READ_UPPER_EDGE)

_CLAIM_NOTHING = (
    # read and predict
    "level-power-decibels", "level-sign", "level-without-twenty", "corner-on-the-lines",
    "octave-for-the-decade", "phase-of-the-other-sign", "end-for-the-place", "levels-multiplied",
    "levels-subtracted", "one-stage-only", "voltages-added", "power-ratio-for-voltage",
    "ratio-upside-down", "level-over-twenty", "ten-log-of-voltage", "twenty-log-of-power",
    "numerator-of-another-type", "hertz-for-radians", "impedance-not-scaled",
    "impedance-the-wrong-way", "impedance-moves-the-corner", "scaling-moves-q",
    "all-scaling-changes-nothing", "tolerance-without-effect", "tolerance-the-other-way",
    "tolerance-without-root", "per-cents-taken-over", "sensitivity-of-the-other-sign",
    "sensitivity-without-root", "sensitivity-with-a-root", "no-part-of-the-figure",
    "dc-always-passes",
    # off a curve, and what Q does to it
    "peak-level-as-q", "f0-level-for-peak", "counted-from-edge", "level-of-edge",
    "peak-for-pass-band", "loss-unsigned", "one-end-counted", "share-of-a-pole", "q-for-damping",
    "flat-at-any-q", "f0-in-pass-band", "peak-for-f0-level", "q-as-decibels", "peak-other-side",
    "limit-of-complex", "limit-of-peak", "limit-at-f0", "no-limit",
    # places of poles
    "turn-in-decay",
    # the step response
    "start-and-end-exchanged", "output-cannot-jump", "step-is-all-there", "settles-to-nothing",
    "start-not-compared", "end-not-compared", "pace-not-compared", "percent-left-out", "whole-peak",
    # read and predict: changes, outputs, tuning
    "change-has-no-say", "all-in-proportion", "no-root-in-factor", "root-imagined",
    "change-upside-down", "keeps-its-type", "new-ends-exchanged", "factor-of-the-part",
    "factor-of-one", "high-always-passes", "divider-overlooked", "resistor-always-costs",
    "other-end-ranked", "resonance-leaves-nothing", "first-gets-most", "one-current-one-voltage",
    "series-part-read", "source-on-all", "ranked-at-dc", "tuning-not-squared", "tuning-root",
    "q-kept-over-band", "q-other-way", "q-by-the-square", "band-kept-over-band", "band-as-f0",
    "tuned-band-other-way", "same-over-band", "ends-of-band-exchanged", "tuning-changes-all",
    "middle-of-band", "geometric-middle", "least-value-forgotten", "stray-forgotten",
    "stray-at-one-end",
    # energy, and resonance with a load
    "amplitude-not-squared", "power-for-energy", "lost-over-stored", "rise-upside-down",
    "peak-to-effective",
    # current sources and duals
    "voltage-times-resistance", "dual-not-squared", "dual-upside-down", "dual-same-number",
    "arms-kept", "parts-kept", "joints-kept", "one-part-kept",
    # frequencies
    "rounded-too-far",
    # losses
    "ends-not-compared",
    # gain
    "ten-log", "gain-at-corner",
    # slopes and phases
    "slope-sign", "octave-for-decade", "other-end", "phase-sign", "phase-folded", "phase-at-corner",
    "asymptote-at-corner",
    # feed, ends, type
    "first-arm-feeds", "fed-from-load", "passive-always-passes", "stopper-misplaced",
    "divided-to-nothing", "no-signal-there", "any-two-band-pass", "part-decides",
    "resistor-filters", "too-small-to-matter", "passive-is-flat",
    # sketches
    "turn-not-centred", "curve-for-line", "poles-zeros-swapped",
    # H(s)
    "transfer-inverted",
    # back to the circuit
    "ends-exchanged", "slopes-not-compared", "only-the-type", "one-end-only", "wrong-end-blamed",
    "circuits-exchanged", "no-such-difference", "l-for-c", "pair-joined-wrongly", "one-end-stopped",
    "resonance-unwanted", "resistor-for-reactive", "reactive-for-resistor", "frequency-for-omega",
)  # fmt: skip
"""Slips whose one sentence speaks of the answer and of the rule: it is true of any circuit."""

_ROWS: dict[str, tuple[SlipSentence, ...]] = {
    **dict.fromkeys(_CLAIM_NOTHING, _plain()),
    # read and predict
    "always-three-decibels": (
        SlipSentence("band", (Says.BAND_PASS,)),
        SlipSentence("sentence", (Says.PLAIN_SHAPE,)),
    ),
    "twenty-for-each-filter": _plain(Says.TWO_POLES),
    "forty-for-each-skirt": _plain(Says.BAND_PASS, Says.TWO_POLES),
    "counted-from-the-pass-band": _plain(Says.BELOW_SOURCE),
    "forty-five-for-each-corner": _plain(Says.TWO_POLES),
    "turn-of-the-zeros-missed": _plain(Says.ORIGIN_ZEROS),
    "q-multiplies-damping": _plain(Says.TWO_POLES),
    "pass-band-gain-left-out": _plain(Says.BELOW_SOURCE),
    # off a curve, and what Q does to it
    "band-over-centre": _plain(Says.RECIPROCAL_TRUE),
    "peak-from-zero": _plain(Says.BELOW_SOURCE),
    "corner-for-peak": (
        SlipSentence("given", (), _on(Rung.PEAK_PLACE_OF_Q)),
        SlipSentence("sentence", (Says.IS_F0,)),
    ),
    "edge-for-peak": _plain(Says.IS_EDGE),
    "pass-band-at-zero": _plain(Says.BELOW_SOURCE),
    # places of poles
    "height-for-radius": (
        SlipSentence("sentence", (Says.COMPLEX_PAIR, Says.IS_DAMPED), _on(Rung.POLE_RADIUS)),
        SlipSentence("quality", (Says.COMPLEX_PAIR,), _on(Rung.POLE_Q)),
    ),
    "radius-for-height": _plain(Says.COMPLEX_PAIR, Says.IS_F0),
    "decay-for-frequency": _plain(Says.COMPLEX_PAIR, Says.IS_DECAY),
    "coordinates-added": _plain(Says.COMPLEX_PAIR),
    "angle-from-axis": _plain(Says.COMPLEX_PAIR),
    "angle-of-both": _plain(Says.COMPLEX_PAIR),
    "half-forgotten": _plain(Says.TWO_POLES),
    "sine-for-cosine": _plain(Says.COMPLEX_PAIR),
    "q-for-reciprocal": _plain(Says.TWO_POLES),
    "height-over-decay": _plain(Says.COMPLEX_PAIR),
    "q-upside-down": _plain(Says.COMPLEX_PAIR, Says.RECIPROCAL_TRUE),
    "radius-for-decay": _plain(Says.COMPLEX_PAIR),
    "height-for-decay": _plain(Says.COMPLEX_PAIR),
    "energy-decay": _plain(Says.COMPLEX_PAIR, Says.TWICE_TRUE),
    "other-pole": _plain(Says.REAL_APART, Says.IS_POLE),
    "mean-of-poles": _plain(Says.REAL_APART),
    # the step response
    "overshoot-in-volts": _plain(Says.BELOW_SOURCE),
    "whole-period-to-peak": _plain(Says.COMPLEX_PAIR),
    "q-for-damping-ratio": _plain(Says.COMPLEX_PAIR),
    "half-forgotten-in-damping": _plain(Says.COMPLEX_PAIR),
    "root-left-out-of-overshoot": _plain(Says.COMPLEX_PAIR),
    "resonance-peak-for-overshoot": _plain(Says.PLAIN_SHAPE, Says.TWO_POLES),
    "half-swings-counted": _plain(Says.COMPLEX_PAIR),
    "one-time-constant": _plain(Says.COMPLEX_PAIR),
    "swings-by-thumb": _plain(Says.COMPLEX_PAIR, Says.IS_Q),
    "damping-for-swings": _plain(Says.COMPLEX_PAIR),
    "half-period-read": _plain(Says.COMPLEX_PAIR),
    "two-periods-read": _plain(Says.COMPLEX_PAIR, Says.TWICE_TRUE),
    "overshoot-for-q": _plain(Says.COMPLEX_PAIR, Says.PLAIN_SHAPE),
    "period-in-decrement": _plain(Says.COMPLEX_PAIR),
    "rise-for-time-constant": _plain(Says.ONE_POLE),
    "settled-for-time-constant": _plain(Says.ONE_POLE),
    "half-value-time": _plain(Says.ONE_POLE),
    "wrong-third": _plain(Says.ONE_POLE),
    "time-constant-for-rise": _plain(Says.ONE_POLE),
    "turn-in-rise": _plain(Says.ONE_POLE),
    "corner-for-time": _plain(Says.ONE_POLE, Says.RECIPROCAL_TRUE),
    # read and predict: changes, outputs, tuning
    "comes-too-late": _plain(Says.NO_BUFFER),
    "damping-other-way": _plain(*_PAIR, Says.RESONANCE),
    "band-goes-with-q": _plain(Says.BAND_IS_F0_OVER_Q),
    "factor-squared": _plain(Says.ROOT_TRUE),
    "stray-root-forgotten": _plain(Says.ROOT_TRUE),
    "resistance-moves-resonance": _plain(*_PAIR, Says.NO_R_IN_F0),
    "capacitor-blocks-dc": _plain(Says.CAPACITOR),
    "coil-takes-dc": _plain(Says.INDUCTOR),
    "capacitor-takes-high": _plain(Says.CAPACITOR),
    "coil-blocks-high": _plain(Says.INDUCTOR),
    "factor-inverted": _plain(Says.RECIPROCAL_TRUE),
    "tuning-inverted": _plain(Says.RECIPROCAL_TRUE),
    "tuned-band-in-radians": _plain(Says.OVER_TWO_PI_TRUE),
    # energy, and resonance with a load
    "half-of-energy": (
        SlipSentence("sentence", (Says.PAIR_IN_SERIES,), _on(Rung.STORED_ENERGY)),
        SlipSentence("tank", (Says.PAIR_IN_PARALLEL,), _on(Rung.STORED_ENERGY)),
        SlipSentence("lost", (), _on(Rung.LOST_ENERGY)),
    ),
    "effective-for-peak": _plain(Says.TWICE_TRUE),
    "other-store": (
        SlipSentence("sentence", (Says.PAIR_IN_SERIES,)),
        SlipSentence("tank", (Says.PAIR_IN_PARALLEL,)),
    ),
    "energy-per-radian": _plain(Says.TIMES_TWO_PI_TRUE),
    "two-pi-in-energy-q": _plain(Says.TIMES_TWO_PI_TRUE),
    "no-rise": (
        SlipSentence("sentence", (Says.PAIR_IN_SERIES,), _on(Rung.RESONANT_VOLTAGE)),
        SlipSentence("tank", (Says.PAIR_IN_PARALLEL,), _on(Rung.RESONANT_CURRENT)),
    ),
    "shared-by-two": (
        SlipSentence("sentence", (Says.PAIR_IN_SERIES,), _on(Rung.RESONANT_VOLTAGE)),
        SlipSentence("tank", (Says.PAIR_IN_PARALLEL,), _on(Rung.RESONANT_CURRENT)),
    ),
    "source-behind-line": _plain(Says.PAIR_IN_PARALLEL),
    "load-left-on": _plain(Says.LOADED),
    "load-costs-nothing": _plain(Says.RESONANCE, Says.OTHERS_IN_Q),
    "half-of-power": _plain(Says.TERMINATED),
    "lost-share": _plain(Says.TERMINATED),
    "share-squared": _plain(Says.TERMINATED, Says.ROOT_TRUE),
    "part-to-part": _plain(Says.TERMINATED),
    # current sources and duals
    "current-through-load": _plain(Says.TERMINATED),
    "load-for-source": _plain(Says.TERMINATED),
    "source-resistance-dropped": _plain(Says.SOURCE_MATTERS),
    "reactance-for-tank": _plain(Says.PAIR_IN_PARALLEL),
    # frequencies
    "radians-as-hertz": _also_sketched(Says.OVER_TWO_PI_TRUE),
    "hertz-as-radians": _plain(Says.TIMES_TWO_PI_TRUE),
    "two-pi-twice": _also_sketched(Says.TIMES_TWO_PI_TRUE),
    "prefix-lost": (
        SlipSentence("sketch", (Says.WHOLE_PREFIXES,), _SKETCHED),
        SlipSentence("sketch-root", (Says.HALF_PREFIXES,), _SKETCHED),
        SlipSentence("sentence", (Says.WHOLE_PREFIXES,)),
        SlipSentence("root", (Says.HALF_PREFIXES,)),
    ),
    "load-ignored": (
        SlipSentence("sketch", (Says.LOADED,), _SKETCHED),
        SlipSentence("sentence", (Says.LOADED,)),
    ),
    "source-ignored": (
        SlipSentence("sketch", (Says.SOURCE_MATTERS,), _SKETCHED),
        SlipSentence("sentence", (Says.SOURCE_MATTERS,)),
    ),
    "load-cannot-matter": (
        SlipSentence("sentence", (Says.IS_BARE_LC, Says.RESONANCE, Says.R_IN_F0, Says.F0_IS_ASKED)),
        SlipSentence("buffered", (Says.IS_BARE_LC, Says.BUFFER_BETWEEN, Says.F0_IS_ASKED)),
    ),
    "across-source-counted": _plain(Says.ACROSS_SOURCE),
    "dangling-counted": _plain(Says.NO_CURRENT),
    # the corner of one pole
    "series-for-parallel": (
        SlipSentence("sentence", (Says.IN_PARALLEL,)),
        SlipSentence("asked", (Says.RESISTANCE,)),
    ),
    "parallel-for-series": (
        SlipSentence("sentence", (Says.IN_SERIES,)),
        SlipSentence("asked", (Says.RESISTANCE,)),
    ),
    "capacitors-combined-wrongly": _plain(Says.CAPACITOR, Says.ALIKE),
    "inductors-combined-wrongly": _plain(Says.INDUCTOR, Says.ALIKE),
    "one-part-only": _plain(Says.COMBINE),
    "rc-form-on-rl": _plain(Says.ONE_POLE, Says.INDUCTOR),
    "rl-form-on-rc": _plain(Says.ONE_POLE, Says.CAPACITOR),
    "l-over-r": _plain(Says.ONE_POLE, Says.INDUCTOR, Says.NO_CAPACITOR),
    "corner-inverted": _plain(Says.ONE_POLE),
    "half-power-from-input": _plain(Says.BELOW_SOURCE, Says.IS_HALF_POWER_OF_SOURCE),
    # two poles
    "root-forgotten": (
        SlipSentence("square", (Says.ROOT_TRUE, Says.Q_IS_ASKED), _on(Rung.Q)),
        SlipSentence("sentence", (Says.TWO_POLES,)),
    ),
    "period-reported": _plain(Says.TWO_POLES, Says.RECIPROCAL_TRUE),
    "resistance-in-f0": (
        SlipSentence(
            "sentence", (*_PAIR, Says.RESISTANCE_NOT_IN_F0, Says.RESISTANCE_IN_Q, Says.RESONANCE)
        ),
        SlipSentence("units", (*_PAIR, Says.F0_IS_ASKED)),
    ),
    "one-pole-form": _plain(Says.F0_IS_ASKED),
    "one-real-pole": _plain(Says.REAL_APART, Says.IS_POLE, Says.F0_IS_ASKED),
    "l-over-c": _plain(Says.PRODUCT_IN_F0),
    "sections-added": _plain(Says.F0_IS_ASKED),
    "damped-frequency": (
        SlipSentence("given", (), _on(Rung.PEAK_PLACE_OF_Q)),
        SlipSentence(
            "sentence", (Says.COMPLEX_PAIR, Says.IS_DAMPED, Says.NO_R_IN_F0, Says.F0_IS_ASKED)
        ),
        SlipSentence(
            "resistive", (Says.COMPLEX_PAIR, Says.IS_DAMPED, Says.R_IN_F0, Says.F0_IS_ASKED)
        ),
    ),
    "decay-for-corner": _plain(Says.COMPLEX_PAIR, Says.IS_DECAY, Says.F0_IS_ASKED),
    "tap-peak": (
        SlipSentence("read", (Says.IS_PEAK,), _on(Rung.READ_CORNER)),
        SlipSentence("sentence", (Says.IS_PEAK, Says.F0_IS_ASKED)),
    ),
    "edge-as-corner": (
        SlipSentence("read", (Says.IS_EDGE,), _on(Rung.READ_CORNER)),
        SlipSentence("sentence", (Says.IS_EDGE, Says.F0_IS_ASKED)),
    ),
    "arithmetic-centre": (
        SlipSentence("read", (Says.EDGES_ABOUT_F0,), _on(Rung.READ_CORNER)),
        SlipSentence("sentence", (Says.EDGES_ABOUT_F0, Says.F0_IS_ASKED)),
    ),
    "double-pole-three-db": _plain(Says.DOUBLE_POLE, Says.PLAIN_SHAPE, Says.IS_F0),
    "three-db-at-f0": (
        SlipSentence("level", (), _on(Rung.GAIN_OF_Q)),
        SlipSentence("read", (Says.TWO_POLES, Says.PLAIN_SHAPE, Says.IS_F0), _READ_EDGES),
        SlipSentence("sentence", (Says.TWO_POLES, Says.PLAIN_SHAPE, Says.IS_F0)),
    ),
    "arithmetic-edges": _plain(Says.EDGES_ABOUT_F0, Says.BAND_IS_F0_OVER_Q),
    "other-edge": _plain(Says.IS_EDGE),
    "centre-for-edge": _plain(Says.IS_F0, Says.EDGES_ABOUT_F0),
    "half-voltage-edge": (
        SlipSentence("q", (Says.BAND_IS_F0_OVER_Q, Says.IS_HALF_VOLTAGE_BAND), _on(Rung.READ_Q)),
        SlipSentence("band", (Says.BAND_IS_F0_OVER_Q, Says.IS_HALF_VOLTAGE_BAND)),
        SlipSentence("sentence", (Says.IS_HALF_VOLTAGE,)),
    ),
    "edge-by-q": (
        SlipSentence("band", (Says.IS_F0_BY_Q, Says.BAND_IS_F0_OVER_Q)),
        SlipSentence("sentence", (Says.IS_F0_BY_Q, Says.TWO_POLES)),
    ),
    "unbuffered-as-buffered": (
        SlipSentence("sentence", (Says.NO_BUFFER, Says.CROSS_TERM)),
        SlipSentence("plain", (Says.NO_BUFFER,)),
    ),
    "buffered-as-unbuffered": _plain(Says.BUFFER),
    # Q and bandwidth
    "tank-source-alone": _plain(Says.PAIR_IN_PARALLEL, Says.OTHERS_IN_Q),
    "one-resistance": (
        SlipSentence("sentence", (Says.RESONANCE, Says.OTHERS_IN_Q)),
        SlipSentence("buffered", (Says.BUFFER_BETWEEN, Says.OTHERS_IN_Q, Says.Q_IS_ASKED)),
        SlipSentence("plain", (Says.OTHERS_IN_Q, Says.Q_IS_ASKED), _on(Rung.Q)),
        SlipSentence("band", (Says.OTHERS_IN_Q, Says.BAND_IS_F0_OVER_Q), _on(Rung.BANDWIDTH)),
    ),
    "q-inverted": _plain(Says.TRUE_JOINT, Says.RECIPROCAL_TRUE),
    "l-c-swapped": _plain(Says.RESONANCE),
    "damping-ratio": _plain(Says.Q_IS_ASKED),
    "q-in-decibels": (
        SlipSentence("read", (), _on(Rung.READ_Q)),
        SlipSentence("sentence", (Says.Q_IS_ASKED,)),
    ),
    "hertz-in-reactance": _plain(Says.RESONANCE),
    "peak-as-q": (
        SlipSentence("read", (Says.PLAIN_SHAPE, Says.HIGHER_THAN_Q), _on(Rung.READ_Q)),
        SlipSentence("sentence", (Says.PLAIN_SHAPE, Says.HIGHER_THAN_Q, Says.Q_IS_ASKED)),
    ),
    "gain-for-q": _plain(Says.IS_PASS_BAND_GAIN, Says.Q_IS_ASKED),
    "more-r-more-q": (
        SlipSentence("nature", (Says.PAIR_IN_SERIES, Says.ALL_R_IN_Q), _on(Rung.POLE_NATURE)),
        SlipSentence("sentence", (Says.PAIR_IN_SERIES, Says.ALL_R_IN_Q), _on(Rung.Q)),
    ),
    "series-band-on-parallel": _plain(Says.PAIR_IN_PARALLEL),
    "parallel-band-on-series": _plain(Says.PAIR_IN_SERIES),
    "bandwidth-times-q": _plain(Says.BAND_IS_F0_OVER_Q, Says.IS_F0_BY_Q),
    "half-band": (
        SlipSentence("q", (), _on(Rung.READ_Q)),
        SlipSentence("sentence", (Says.TWICE_TRUE,)),
    ),
    "centre-for-bandwidth": (
        SlipSentence("read", (Says.IS_F0,), _on(Rung.READ_BANDWIDTH)),
        SlipSentence("sentence", (Says.IS_F0, Says.BAND_IS_F0_OVER_Q)),
    ),
    "edge-for-bandwidth": _plain(Says.IS_EDGE),
    # losses
    "unloaded-for-loaded": _plain(Says.ENDS_IN_Q),
    "loaded-for-unloaded": _plain(Says.IS_Q, Says.ENDS_IN_Q),
    "coil-loss-ignored": _plain(Says.LOSSES_IN_Q),
    "loss-upside-down": _plain(Says.RECIPROCAL_TRUE),
    "loss-root-forgotten": _plain(*_PAIR, Says.ROOT_TRUE),
    "loss-damping-ratio": _plain(Says.HALF_RECIPROCAL_TRUE),
    "power-decibels": _plain(Says.TWICE_TRUE),
    "ratio-for-decibels": _plain(Says.LEVEL_TRUE),
    "loss-from-source": _plain(Says.TERMINATED),
    "depth-from-source": _plain(Says.NOTCH, Says.LOWER_END_BELOW),
    "step-direction": _plain(Says.STEP_OTHER_WAY),
    "step-order": _plain(Says.STEP_THIS_WAY),
    # gain
    "unity-gain": (
        SlipSentence("sentence", (Says.BELOW_SOURCE, Says.DIVIDER_AT_END)),
        SlipSentence("series", (Says.BELOW_SOURCE, Says.PAIR_IN_SERIES, Says.DIVIDER_AT_F0)),
        SlipSentence("tank", (Says.BELOW_SOURCE, Says.PAIR_IN_PARALLEL, Says.DIVIDER_AT_F0)),
        SlipSentence("chain", (Says.BELOW_SOURCE, Says.NO_PICTURE_AT_F0, Says.GAIN_AT_F0_IS_ASKED)),
    ),
    "divider-inverted": _plain(Says.BELOW_SOURCE, Says.ONE_SERIES_LIMB),
    "loss-as-gain": _plain(Says.BELOW_SOURCE),
    "gain-q-at-resistor": (
        SlipSentence(
            "sentence", (Says.IS_Q, Says.BAND_PASS, Says.PAIR_IN_SERIES, Says.OUTPUT_ACROSS_R)
        ),
        SlipSentence("tank", (Says.IS_Q, Says.BAND_PASS, Says.PAIR_IN_PARALLEL)),
        SlipSentence("width", (Says.IS_Q, Says.BAND_IS_F0_OVER_Q, Says.GAIN_AT_F0_IS_ASKED)),
    ),
    "q-for-gain": _plain(Says.IS_Q, Says.PLAIN_SHAPE, Says.TWO_POLES),
    # counts
    "combinable-counted": _plain(Says.COMBINE),
    "loop-counted": (
        SlipSentence("corner", (Says.ADDS_NO_POLE, Says.HAS_A_SAY), _on(Rung.CORNER_REASON)),
        SlipSentence("sentence", (Says.TIED_BY_LOOP,)),
        SlipSentence("cut", (Says.TIED_BY_CUT,)),
    ),
    "kin-merged": _plain(Says.BOTH_STORE, Says.NOT_ONE),
    "held-by-source": (
        SlipSentence("sentence", (Says.FREE,)),
        SlipSentence("tied", (Says.HAS_A_SAY,)),
    ),
    "leads-nowhere": _plain(Says.LEADS_ON),
    "pair-for-one-pole": _plain(Says.BOTH_STORE),
    "pair-counted-once": _plain(Says.COMPLEX_PAIR, Says.DEGREE_IS_ASKED),
    "resistors-counted": _plain(Says.RESISTANCE),
    "zeros-at-infinity": _plain(Says.FEWER_ZEROS, Says.NUMERATOR_IS_ASKED),
    "origin-zeros-missed": _plain(Says.ORIGIN_ZEROS),
    "axis-zeros-missed": _plain(Says.AXIS_ZEROS, Says.NUMERATOR_IS_ASKED),
    "axis-zeros-at-origin": _plain(Says.AXIS_ZEROS),
    # slopes and phases
    "band-pass-skirts": _plain(Says.BAND_PASS, Says.TWO_POLES),
    "twenty-for-forty": _also_sketched(),
    "zeros-left-out": _plain(Says.FINITE_ZEROS, Says.COUNTS_ARE_ASKED),
    "high-pass-starts-at-zero": _plain(Says.HIGH_PASS, Says.ENDS_IN_PHASE, Says.ORIGIN_ZEROS),
    "band-pass-as-low-pass": _plain(Says.BAND_PASS, Says.ORIGIN_ZEROS),
    "notch-jump-missed": _plain(Says.AXIS_ZEROS),
    "ninety-for-two": _also_sketched(),
    "half-for-two": _plain(Says.TWO_POLES),
    "zeros-left-out-of-phase": _plain(Says.ORIGIN_ZEROS),
    # feed, ends, type
    "c-blocks-dc-in-shunt": _plain(Says.CAPACITOR, Says.ARM_IN_SHUNT, Says.ARM_OPEN_AT_DC),
    "shunt-passes-to-output": _plain(Says.ARM_IN_SHUNT),
    "open-shunt-blocks": _plain(Says.ARM_IN_SHUNT, Says.ARM_OPEN),
    "open-arm-holds": _plain(Says.END_PASSES),
    "resonance-at-the-ends": _plain(*_PAIR),
    "load-pulls": _plain(Says.END_PASSES),
    "roles-swapped": (
        SlipSentence("sentence", _PAIR),
        SlipSentence("capacitors", (Says.CAPACITOR, Says.NO_INDUCTOR)),
        SlipSentence("inductors", (Says.INDUCTOR, Says.NO_CAPACITOR)),
    ),
    "series-pair-in-shunt": _plain(Says.ARM_IN_SHUNT, Says.ARM_MAKES_NULL),
    "tank-in-series": _plain(Says.ARM_IN_SERIES, Says.ARM_MAKES_NULL),
    "resonance-maximum": (
        SlipSentence("sentence", (Says.RESONANT_ARM,)),
        SlipSentence("apart", (*_PAIR, Says.DIFFERENT_ARMS)),
    ),
    "resonance-minimum": _plain(Says.RESONANT_ARM),
    "resonance-reversed": _plain(Says.RESONANT_ARM),
    "any-lc-band-pass": _plain(*_PAIR),
    "any-lc-notch": _plain(*_PAIR),
    "section-order": (
        SlipSentence("sentence", (Says.BUFFER,)),
        SlipSentence("loaded", (Says.NO_BUFFER,)),
    ),
    "wide-band-as-notch": _plain(Says.BAND_PASS),
    "null-overlooked": _plain(Says.NOTCH, *_PAIR),
    "one-end-tested": (
        SlipSentence("sentence", (Says.BOTH_PASS,)),
        SlipSentence("blocked", (Says.BOTH_BLOCKED,)),
    ),
    "notch-for-one-end": _plain(Says.ONE_END_BLOCKED),
    "chain-for-notch": _plain(Says.NOTCH),
    "complementary-tap": _plain(Says.ARM_IN_SERIES),
    "flat-cause-mistaken": _plain(Says.FLAT),
    "two-poles-always-complex": (
        SlipSentence("one-kind", (Says.NO_COMPLEX, Says.NO_INDUCTOR)),
        SlipSentence("one-kind", (Says.NO_COMPLEX, Says.NO_CAPACITOR)),
        SlipSentence("sentence", (Says.NO_COMPLEX,)),
    ),
    "no-peak-no-pair": _plain(Says.PLAIN_SHAPE, Says.BUTTERWORTH_AT_MOST),
    "critical-at-any-overlap": _plain(Says.REAL_APART),
    "pair-taken-for-double": _plain(Says.COMPLEX_PAIR),
    "double-taken-for-two": _plain(Says.DOUBLE_POLE),
    # sketches
    "real-poles-merged": _plain(Says.REAL_APART),
    "edges-as-breaks": _plain(Says.COMPLEX_PAIR),
    "pass-band-at-first-break": _plain(Says.HIGH_PASS),
    "pair-placed-real": _plain(Says.COMPLEX_PAIR, Says.TWO_POLES),
    "pair-undamped": _plain(Says.RESISTANCE, Says.STABLE),
    "right-half-plane": (
        SlipSentence("sentence", (Says.STABLE, Says.POLES_RIGHT)),
        SlipSentence("zeros", (Says.LEFT_ZEROS,)),
    ),
    # H(s)
    "divider-sum-missing": _plain(Says.ONE_DIVIDER),
    "middle-term-missing": _plain(Says.TWO_POLES),
    # back to the circuit
    "idle-part-counted": _plain(Says.CHOSEN_IDLE),
    "peak-for-null": _plain(Says.CHOSEN_RESONATES),
    "two-pi-not-squared": _plain(Says.TWO_POLES),
    "root-not-undone": _plain(Says.TWO_POLES),
    "companion-ignored": _plain(Says.COMPANION_JOINED),
    "other-extreme": _plain(Says.ELEMENT_REACTIVE),
    "ratio-not-squared": _plain(Says.TWO_POLES, Says.ELEMENT_UNDER_ROOT),
    "q-formula-exchanged": _plain(Says.TRUE_JOINT),
    "damping-for-q": _plain(Says.TWO_POLES),
    "whole-resistance": _plain(Says.RESONANCE),
    "rc-form-exchanged": _plain(Says.ONE_POLE),
}

SENTENCES: Mapping[str, tuple[SlipSentence, ...]] = MappingProxyType(_ROWS)
"""By slip, its sentences; see :func:`sentence_for`."""
