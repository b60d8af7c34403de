"""Hints for what is calculated: gain, H(s), corner, Q, bandwidth and edges."""

from __future__ import annotations

import math

from ..analysis.arms import End, arm_text, limbs_of
from ..analysis.letters import impedance
from ..analysis.response import FilterType, PoleNature
from ..analysis.two_poles import one_sided_edge
from ..circuits.model import Arm, Element, Joint
from ..quantities.write import write_quantity
from ..questions.model import Rung, formula_of
from .fill import HINTS, Hint, InLetters, Named, Scene, by_place, in_letters, numbered, put_in

SAME = 1e-9


def calculated(scene: Scene, figure: str, result: float, unit: str) -> tuple[str, Named]:
    """(variant, values): a formula in letters, with the numbers put in, and its value.

    Where there is no formula worth reading, only the value.

    Args:
        scene: the circuit and its question.
        figure: the field of ``analysis.letters.Formulas`` that holds the formula.
        result: the value.
        unit: the value's unit.
    """
    value: Named = (("result", write_quantity(result, unit)),)
    letters = _letters(scene, figure)
    return "formula" if letters else "number", (*letters, *value)


def _letters(scene: Scene, figure: str) -> Named:
    """The formula of a figure, and the same with the numbers put in; nothing without one."""
    formula = scene.formula(figure)
    if formula is None:
        return ()
    numbers = put_in(formula, scene.ladder)
    return ("formula", in_letters(formula)), ("numbers", in_letters(numbers))


def _truth(scene: Scene) -> float:
    return scene.question.figure


def _all(scene: Scene) -> tuple[str, ...]:
    return (*scene.working, *scene.resistors)


def _parts(scene: Scene) -> Named:
    return (
        ("names", scene.working),
        ("resistors", scene.resistors),
        ("parts", _all(scene)),
    )


def _structure(scene: Scene) -> str:
    """What sort of two-pole circuit it is, as far as hints tell them apart."""
    if len(scene.sections) > 1:
        return "cascade"
    return "resonant" if len({name[0] for name in scene.kept}) == 2 else "alike"


def _ratio(gain: float) -> str:
    """A gain as a ratio and in decibels."""
    level = 0.0 if abs(gain - 1) < SAME else 20 * math.log10(gain)
    return f"{write_quantity(gain, '')} ({write_quantity(level, 'dB')})"


@HINTS(Rung.GAIN)
def gain(scene: Scene) -> Hint:
    """The pass-band gain: a divider at the end or at the resonance where the band lies."""
    kind = scene.facts.type
    truth = _truth(scene)
    values: Named = (*_parts(scene), ("arms", scene.arms), ("result", _ratio(truth)))
    end = End.HIGH if kind is FilterType.HIGH_PASS else End.LOW
    if kind is FilterType.BAND_PASS:
        peaks = [r for r in scene.reactive_rails if r.makes_peak]
        if peaks:
            look = "resonance"
            values += (("peaks", by_place(peaks, "peaks", "peaks")),)
        else:
            look = "cascade" if len(scene.sections) > 1 else "alike"
    elif not scene.reactive_rails:
        look = "resistive" if scene.resistors else "bare"
    elif scene.stopping(end):
        look = "ratio"
    else:
        look = end.value
        values += (("changes", scene.changes(end)),)
    letters = _letters(scene, "gain")
    if abs(truth - 1) < SAME:
        step = "unity"
    elif letters:
        step = "formula"
        values += letters
    else:
        step = "end"
    ends = (end,) if look == end.value else ()
    return Hint(kind.value, look, step, values, _all(scene), ends)


def impedance_text(arm: Arm) -> InLetters:
    """The impedance of ``arm`` in letters."""
    if isinstance(arm, Element):
        return in_letters(impedance(arm))
    parts = [impedance_text(part) for part in arm.parts]
    sign, other = (" + ", " ∥ ") if arm.joint is Joint.SERIES else (" ∥ ", " + ")
    text = sign.join(f"({part})" if other in part else part for part in parts)
    return InLetters(impedance(arm), text)


@HINTS(Rung.TRANSFER)
def transfer(scene: Scene) -> Hint:
    """H(s) by voltage division."""
    right = in_letters(formula_of(scene.question.truth))
    values: Named = (("formula", right), ("names", scene.working))
    limbs = limbs_of(scene.sections[0]) if len(scene.sections) == 1 else []
    if len(limbs) == 2:
        series, shunt = (limb.arm for limb in limbs)
        look = step = "divider"
        values += (
            ("series", arm_text(series)),
            ("shunt", arm_text(shunt)),
            ("upper", impedance_text(series)),
            ("lower", impedance_text(shunt)),
        )
    elif len(scene.sections) > 1:
        look = step = "cascade"
    else:
        look = step = "ladder"
        last = scene.rails[-1]
        values += (("last", last.text), ("first", scene.rails[0].text))
    return Hint("any", look, step, values, tuple(e.name for e in scene.ladder.elements()))


@HINTS(Rung.CORNER, Rung.CORNER_REASON)
def corner(scene: Scene) -> Hint:
    """Corner frequency of one or two poles."""
    f0 = scene.facts.corner_hz
    assert f0 is not None
    step, worked = calculated(scene, "corner_hz", f0, "Hz")
    if scene.facts.transfer.order == 2:
        principle = "two-pole"
        look = "cascade" if len(scene.sections) > 1 else "two-pole"
    else:
        principle = look = "one-pole"
        if len(scene.kept) == 1 and scene.resistors:
            look = "capacitor" if scene.kept[0].startswith("C") else "inductor"
            if len(scene.resistors) == 1:
                look = "one-resistor"
    values = (*_parts(scene), ("seeing", numbered("sees", scene.working)), *worked)
    return Hint(principle, look, step, values, _all(scene))


@HINTS(Rung.Q)
def q(scene: Scene) -> Hint:
    """The quality factor of a pair of poles."""
    step, worked = calculated(scene, "q", _truth(scene), "")
    if step == "formula" and scene.facts.pole_nature is PoleNature.DOUBLE:
        step = "formula-critical"
    elif step == "formula" and scene.facts.maximally_flat:
        step = "formula-flat"
    look = _structure(scene)
    if look == "resonant" and len(scene.resistors) == 1:
        look = "resonant-one"
    return Hint("any", look, step, (*_parts(scene), *worked), _all(scene))


@HINTS(Rung.POLE_NATURE)
def pole_nature(scene: Scene) -> Hint:
    """Real, double or complex, by Q against one half."""
    nature = scene.facts.pole_nature
    assert nature is not None
    values = _parts(scene)
    if scene.facts.q is None:
        step = "undamped"
    else:
        step = nature.value
        values += (("q", write_quantity(scene.facts.q, "")),)
    look = "damped" if scene.resistors else "lossless"
    return Hint("any", look, step, values, _all(scene))


@HINTS(Rung.BANDWIDTH)
def bandwidth(scene: Scene) -> Hint:
    """f0/Q of a two-pole band-pass or notch."""
    f = scene.facts
    assert f.corner_hz is not None and f.q is not None
    step, worked = calculated(scene, "bandwidth_hz", _truth(scene), "Hz")
    values: Named = (
        *_parts(scene),
        ("f0", write_quantity(f.corner_hz, "Hz")),
        ("q", write_quantity(f.q, "")),
        *worked,
    )
    return Hint("any", _structure(scene), step, values, _all(scene))


@HINTS(Rung.LOWER_EDGE, Rung.UPPER_EDGE)
def edge(scene: Scene) -> Hint:
    """Either −3 dB edge."""
    f = scene.facts
    assert f.corner_hz is not None and f.q is not None
    kind = "band" if f.type.banded else f.type.value
    a = 1 - 1 / (2 * f.q * f.q)
    values: Named = (
        *_parts(scene),
        ("f0", write_quantity(f.corner_hz, "Hz")),
        ("q", write_quantity(f.q, "")),
        ("half", write_quantity(1 / (2 * f.q), "")),
        ("a", write_quantity(a, "")),
        ("root", write_quantity(one_sided_edge(f.q), "")),
        ("result", write_quantity(_truth(scene), "Hz")),
    )
    return Hint(kind, kind, kind, values, _all(scene))
