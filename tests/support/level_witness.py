"""Truths about levels, standard forms, scaling and tolerances found another way.

Responses are nodal analysis's, f0 and Q those of eigenvalues (``slip_witness``); scaled filters are
built anew and measured.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from rungwise.problems.circuits.model import Kind, Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.formulas.tree import Formula
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.questions.model import Rung

from tests.support.change_witness import told
from tests.support.oracle import response
from tests.support.predicted import Asked, Witness, figure
from tests.support.slip_witness import Solved, changed, same, solved

NEAR = 1e-4
"""Relative, and in decibels."""
TIMES = {"hundredth": 0.01, "tenth": 0.1, "corner": 1, "ten": 10, "hundred": 100}
PROBES = (0.31, 0.77, 1.0, 1.9, 4.3)
"""Multiples of f0 at which responses are compared."""


def quantity(text: str, unit: str) -> float:
    return float(read_quantity(text, unit).value)


def at_place(asked: Asked) -> complex:
    """H at the place asked about."""
    f0 = solved(asked.problem.ladder).f0
    return complex(response(asked.problem.ladder, [f0 * TIMES[told(asked)["asked"]]])[0])


def gain(asked: Asked) -> bool:
    return abs(20 * math.log10(abs(at_place(asked))) - figure(asked)) < 0.01


def phase(asked: Asked) -> bool:
    off = math.degrees(float(np.angle(at_place(asked)))) - figure(asked)
    return abs((off + 180) % 360 - 180) < 0.02


def cascade(asked: Asked) -> bool:
    """The ratios multiplied, and the decibels taken at the end."""
    said = told(asked)
    given = [10 ** (quantity(said[key], "dB") / 20) for key in said if key.endswith("_level")]
    if said["asked"] == "given":
        total = given[0] * given[1]
    else:
        own = abs(at_place(asked))
        total = own * (given[0] if given else own)
    return abs(20 * math.log10(total) - figure(asked)) < 0.01


def level(asked: Asked) -> bool:
    times = quantity(told(asked)["times"], "")
    size = 20 * math.log(times) / math.log(10)
    return same(figure(asked), size if told(asked)["asked"] == "up" else -size)


def ratio(asked: Asked) -> bool:
    return same(20 * math.log10(figure(asked)), quantity(told(asked)["first_level"], "dB"))


LEFT = {
    "root": (0.5**0.5, 0.5),
    "half": (0.5, 0.25),
    "third": (0.1**0.5, 0.1),
    "tenth": (0.1, 0.01),
}
"""What choices say is left of voltage and power."""


def left(asked: Asked) -> bool:
    voltage, power = LEFT[str(asked.question.truth)]
    wanted = quantity(told(asked)["first_level"], "dB")
    return all(abs(wanted + by * math.log10(of)) < 0.03 for by, of in ((20, voltage), (10, power)))


LEVELS: Mapping[Rung, Witness] = {
    Rung.GAIN_AT: gain,
    Rung.PHASE_AT: phase,
    Rung.CASCADE_LEVEL: cascade,
    Rung.LEVEL_OF_RATIO: level,
    Rung.RATIO_OF_LEVEL: ratio,
    Rung.HALF_POWER: left,
}


# ------------------------------------------------------------------- the standard form


def pass_band(ladder: Ladder, circuit: Solved) -> float:
    """The gain far down, far up or at f0, whichever is the largest."""
    places = [circuit.f0 * times for times in (1e-6, 1, 1e6)]
    ends = [abs(h) for h in response(ladder, places)]
    return max(ends[0], ends[2]) if max(ends[0], ends[2]) > 1e-3 else ends[1]


def is_response(asked: Asked, formula: Formula) -> bool:
    """Whether a formula in ω0, Q and K is what the circuit does."""
    ladder = asked.problem.ladder
    circuit = solved(ladder)
    known = {"ω0": math.tau * circuit.f0, "Q": circuit.q, "K": pass_band(ladder, circuit)}
    places = [circuit.f0 * times for times in PROBES]
    for f, h in zip(places, response(ladder, places), strict=True):
        if abs(evaluate(formula, {**known, "s": 2j * math.pi * f}) - h) > 1e-3 * known["K"]:
            return False
    return True


def form(asked: Asked) -> bool:
    truth = asked.question.truth
    return isinstance(truth, Formula) and is_response(asked, truth)


def which_form(asked: Asked) -> bool:
    """One of the four is what the circuit does, and no other."""
    found = []
    for choice in asked.question.choices:
        formula = dict(choice.values)["formula"]
        assert isinstance(formula, Formula)
        if is_response(asked, formula):
            found.append(choice.id)
    return found == [asked.question.truth]


# ------------------------------------------------------------------- scaling and tolerances


def scaled_value(asked: Asked) -> bool:
    """The filter built for its own impedance does at f what the prototype does at f/f0 rad/s."""
    said = told(asked)
    ohms, hertz = quantity(said["ohms"], "Ω"), quantity(said["f0"], "Hz")
    omega = math.tau * hertz
    coil, capacitor = quantity(said["henries"], "H"), quantity(said["farads"], "F")
    load = quantity(said["load"], "Ω")
    values = {said["inductor"]: coil * ohms / omega, said["capacitor"]: capacitor / ohms / omega}
    values[said["element"]] = figure(asked)
    order = "LC" if said["asked"] == "inductor-first" else "CL"

    def built(source: float, l: float, c: float, load: float) -> Ladder:  # noqa: E741
        arms = {"L": f"series L = {l!r} H", "C": f"shunt C = {c!r} F"}
        parts = "; ".join(arms[each] for each in order)
        return read_circuit(f"source {source!r} Ω; {parts}; load {load!r} Ω")

    own = built(ohms, values[said["inductor"]], values[said["capacitor"]], load * ohms)
    prototype = built(1.0, coil, capacitor, load)
    here = response(own, [hertz * times for times in PROBES])
    there = response(prototype, [times / math.tau for times in PROBES])
    return bool(np.allclose(here, there, rtol=1e-6, atol=1e-9))


def prototype_value(asked: Asked) -> bool:
    """With every part scaled alike the corner is at 1 rad/s, Q is what it was, R is 1 Ω."""
    said, ladder = told(asked), asked.problem.ladder
    parts = {e.name: e for e in ladder.elements()}
    ohms, omega = float(parts[said["resistor"]].value or 0), math.tau * solved(ladder).f0
    by = {Kind.R: 1 / ohms, Kind.L: omega / ohms, Kind.C: omega * ohms}
    own = changed(ladder, {name: by[e.kind] for name, e in parts.items()})
    values = {e.name: float(e.value or 0) for e in own.elements()}
    return (
        same(solved(own).f0 * math.tau, 1, NEAR)
        and same(solved(own).q, solved(ladder).q, NEAR)
        and same(values[said["element"]], figure(asked), NEAR)
    )


MADE = {
    "impedance": {Kind.R: 10, Kind.L: 10, Kind.C: 0.1},
    "frequency": {Kind.L: 0.1, Kind.C: 0.1},
    "reactance": {Kind.L: 10, Kind.C: 0.1},
}
EFFECTS = {"both-stay": (1, 1), "f0-up": (10, 1), "q-up": (1, 10), "q-down": (1, 0.1)}


def scaling_effect(asked: Asked) -> bool:
    ladder, by = asked.problem.ladder, MADE[told(asked)["asked"]]
    own = changed(ladder, {e.name: by.get(e.kind, 1) for e in ladder.elements()})
    f0, q = EFFECTS[str(asked.question.truth)]
    before, after = solved(ladder), solved(own)
    return same(after.f0 / before.f0, f0, NEAR) and same(after.q / before.q, q, NEAR)


def off(asked: Asked) -> float:
    """By what the part is multiplied: "20 % too small" is 0.8."""
    percent, _, _, way = told(asked)["off"].split()
    return 1 + (1 if way == "large" else -1) * int(percent) / 100


def tolerance(asked: Asked) -> bool:
    own = solved(changed(asked.problem.ladder, {told(asked)["part"]: off(asked)}))
    return same(own.f0 if asked.question.unit == "Hz" else own.q, figure(asked), NEAR)


POWERS = {"minus-one": -1, "minus-half": -0.5, "none": 0, "plus-half": 0.5, "plus-one": 1}


def sensitivity(asked: Asked) -> bool:
    """Per cent of the figure for one of the part, the way that the sentence says."""
    said, ladder = told(asked), asked.problem.ladder
    way = 1 if said["worded"].endswith("grows") else -1
    own = [solved(changed(ladder, {said["part"]: 1 + step})) for step in (-0.01, 0.01)]
    one, other = ((c.f0 if said["asked"] == "f0" else c.q) for c in own)
    found = way * math.log(other / one) / math.log(1.01 / 0.99)
    return abs(found - POWERS[str(asked.question.truth)]) < 0.03


DESIGN: Mapping[Rung, Witness] = {
    Rung.STANDARD_FORM: form,
    Rung.WHICH_FORM: which_form,
    Rung.SCALED_VALUE: scaled_value,
    Rung.PROTOTYPE_VALUE: prototype_value,
    Rung.SCALING_EFFECT: scaling_effect,
    Rung.TOLERANCE_F0: tolerance,
    Rung.TOLERANCE_Q: tolerance,
    Rung.SENSITIVITY: sensitivity,
}
