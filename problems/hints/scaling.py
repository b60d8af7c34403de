"""Hints for design: the standard form, scaling, tolerances."""

from __future__ import annotations

from ..circuits.model import Kind
from ..formulas.tree import Formula
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.scaling import OFF, SENSITIVITIES, figure_of, sensitivity
from ..questions.values import text_of, value_of
from .fill import HINTS, Hint, Named, Scene, in_letters


@HINTS(Rung.STANDARD_FORM, Rung.WHICH_FORM)
def standard_form(scene: Scene) -> Hint:
    """Numerator by the ends, denominator by ω0 and Q."""
    formula: object = scene.question.truth
    if isinstance(formula, str):  # the id of a choice
        formula = dict(scene.question.choice(formula).values)["formula"]
    assert isinstance(formula, Formula)
    values: Named = (("names", scene.working), ("result", in_letters(formula)))
    return Hint("any", "any", "any", values, scene.working)


@HINTS(Rung.SCALED_VALUE)
def scaled_value(scene: Scene) -> Hint:
    """A coil times R/ω0, a capacitor over R·ω0."""
    given, unit = dict(scene.question.values), scene.question.unit
    asked, coil = "coil" if unit == "H" else "capacitor", unit == "H"
    values: Named = (
        ("element", str(given["element"])),
        ("start", str(given["henries" if coil else "farads"])),
        ("ohms", text_of(given["ohms"])),
        ("f0", text_of(given["f0"])),
        ("result", write_quantity(scene.question.figure, unit)),
    )
    return Hint("any", asked, asked, values)


@HINTS(Rung.PROTOTYPE_VALUE)
def prototype_value(scene: Scene) -> Hint:
    """The way back: a coil times ω0/R, a capacitor times ω0·R."""
    given, unit = dict(scene.question.values), scene.question.unit
    asked = "coil" if unit == "H" else "capacitor"
    names = str(given["element"]), str(given["resistor"])
    values: Named = (
        ("element", names[0]),
        ("resistor", names[1]),
        ("result", write_quantity(scene.question.figure, unit)),
    )
    return Hint("any", asked, asked, values, names)


@HINTS(Rung.SCALING_EFFECT)
def scaling_effect(scene: Scene) -> Hint:
    """What becomes of L·C, and of the reactance at f0 against the resistances."""
    how = scene.question.asked
    kinds = {e.kind for e in scene.ladder.reactive()}
    look = "both" if {Kind.L, Kind.C} <= kinds else "one"
    return Hint("any", look, how, (("names", scene.working),), scene.working)


@HINTS(Rung.TOLERANCE_F0, Rung.TOLERANCE_Q)
def tolerance(scene: Scene) -> Hint:
    """The formula with the changed part in it."""
    which, unit = ("f0", "Hz") if scene.question.rung is Rung.TOLERANCE_F0 else ("q", "")
    part = value_of(scene.question.values, "part", str)
    factor = 1 + OFF[value_of(scene.question.values, "off", str)] / 100
    before = figure_of(scene.facts, which)
    assert before is not None
    values: Named = (
        ("part", part),
        ("factor", write_quantity(factor, "")),
        ("before", write_quantity(before, unit)),
        ("share", write_quantity(scene.question.figure / before, "")),
        ("result", write_quantity(scene.question.figure, unit)),
    )
    return Hint("any", "any", "any", values, (part,))


@HINTS(Rung.SENSITIVITY)
def per_cent_for_each(scene: Scene) -> Hint:
    """The power with which the part stands in the formula."""
    which = scene.question.asked
    part = value_of(scene.question.values, "part", str)
    exact = sensitivity(scene.facts, which, part)
    assert exact is not None
    step = SENSITIVITIES[min(SENSITIVITIES, key=lambda power: abs(power - exact))]
    return Hint("any", which, step, (("part", part),), (part,))
