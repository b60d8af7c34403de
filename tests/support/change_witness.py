"""Truths about changes, outputs and tuning found another way: eigenvalues and nodal analysis.

Every changed circuit is made here anew from what the question's sentence says, and measured by
``slip_witness``; small circuits are divided with complex numbers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from rungwise.problems.circuits.model import Element, Ladder, mapped
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.questions.model import Rung
from rungwise.problems.questions.values import texts

from tests.support.predicted import Asked, Witness, figure
from tests.support.resonance_witness import ENERGY
from tests.support.slip_witness import Across, Solved, changed, same, solved

NEAR = 1e-4
"""Relative: what is looked for on a response is found so nearly."""
FACTORS = {
    "halved": 0.5,
    "by-root-half": math.sqrt(0.5),
    "kept": 1.0,
    "by-root-two": math.sqrt(2),
    "doubled": 2.0,
}


def told(asked: Asked) -> dict[str, str]:
    """What fills the question's sentence."""
    return dict(texts(asked.question.values))


# ------------------------------------------------------------------- what a change does


def after(ladder: Ladder, said: Mapping[str, str]) -> Solved:
    """The circuit after the change that is told."""
    match said["change"]:
        case "double":
            return solved(changed(ladder, {said["part"]: 2}))
        case "half":
            return solved(changed(ladder, {said["part"]: 0.5}))
        case "unload":
            assert ladder.load is not None and ladder.load.name == said["part"]
            return solved(replace(ladder, load=None))
        case "tap":
            return Across(ladder, said["part"].split(" and "))
    by_name = {e.name: e for e in ladder.elements()}
    pair = {said["part"]: by_name[said["partner"]], said["partner"]: by_name[said["part"]]}

    def swap(element: Element) -> Element:
        return pair.get(element.name, element)

    return solved(mapped(ladder, swap))


def measured(circuit: Solved, what: str) -> float:
    """A figure of a circuit, in hertz or plain."""
    match what:
        case "f0":
            return circuit.f0
        case "q":
            return circuit.q
        case "band":
            low, high = circuit.edges
            return high - low
        case "gain-f0":
            return abs(circuit.at_hz(circuit.f0))
    return circuit.level


def factor(asked: Asked) -> float:
    """By what the figure asked about is multiplied."""
    said = told(asked)
    before, now = solved(asked.problem.ladder), after(asked.problem.ladder, said)
    return measured(now, said["asked"]) / measured(before, said["asked"])


def way(asked: Asked) -> bool:
    found = factor(asked)
    direction = "same" if same(found, 1, NEAR) else "up" if found > 1 else "down"
    return asked.question.truth == direction


def chosen_factor(asked: Asked) -> bool:
    return same(factor(asked), FACTORS[str(asked.question.truth)], NEAR)


def typed_factor(asked: Asked) -> bool:
    return same(factor(asked), figure(asked), NEAR)


def new_type(asked: Asked) -> bool:
    return after(asked.problem.ladder, told(asked)).type == asked.question.truth


CHANGES: Mapping[Rung, Witness] = {
    Rung.CHANGED_TYPE: new_type,
    Rung.CHANGED_F0: way,
    Rung.CHANGED_Q: way,
    Rung.CHANGED_BAND: way,
    Rung.CHANGED_GAIN: way,
    Rung.CHANGE_FACTOR: chosen_factor,
    Rung.CHANGE_RATIO: typed_factor,
}


# ------------------------------------------------------------------- outputs compared

NOTHING = 1e-3


def at_end(asked: Asked) -> bool:
    circuit, high = solved(asked.problem.ladder), asked.question.rung is Rung.HIGH_OUTPUT
    gain = circuit.end(high=high)
    share = "nothing" if circuit.slope(high=high) else "all" if same(gain, 1, NEAR) else "part"
    return asked.question.truth == share


def order(levels: list[float]) -> str:
    """The order of three levels in words, those that vanish taken as equal."""
    tidy = [0.0 if level < NOTHING else level for level in levels]
    left, groups = [0, 1, 2], []
    while left:
        largest = max(tidy[i] for i in left)
        alike = [i for i in left if same(tidy[i], largest, NEAR)]
        groups.append("".join("abc"[i] for i in alike))
        left = [i for i in left if i not in alike]
    return "all-equal" if len(groups) == 1 else "-then-".join(groups)


TIMES = {"tenth": 0.1, "f0": 1.0, "ten": 10.0, "dc": 1e-7, "high": 1e7}


def taps(asked: Asked) -> bool:
    said, ladder = told(asked), asked.problem.ladder
    f0 = solved(ladder).f0
    levels = [abs(Across(ladder, [said[one]]).at_hz(f0 * TIMES[said["asked"]])) for one in "abc"]
    return asked.question.truth == order(levels)


def circuits(asked: Asked) -> bool:
    said = told(asked)
    values = {e.name: float(e.value or 0) for e in asked.problem.ladder.elements()}
    omega = 1.0
    if said["asked"] == "f0":
        omega = 1 / math.sqrt(values[said["inductor"]] * values[said["capacitor"]])
    elif said["asked"] == "dc":
        omega = 1e-9
    else:
        omega = 1e20

    def impedance(name: str) -> complex:
        value = values[name]
        return {"R": value, "L": 1j * omega * value, "C": 1 / (1j * omega * value)}[name[0]]

    levels = []
    for one in "abc":
        out = impedance(said[f"across-{one}"])
        levels.append(abs(out / (out + sum(map(impedance, said[f"series-{one}"].split(" + "))))))
    return asked.question.truth == order(levels)


OUTPUTS: Mapping[Rung, Witness] = {
    Rung.DC_OUTPUT: at_end,
    Rung.HIGH_OUTPUT: at_end,
    Rung.TAPS_RANKED: taps,
    Rung.CIRCUITS_RANKED: circuits,
    Rung.RESONANT_VOLTAGE: ENERGY[Rung.RESONANT_VOLTAGE],
}


# ------------------------------------------------------------------- tuning


def hertz(said: Mapping[str, str], key: str) -> float:
    return float(read_quantity(said[key], "Hz").value)


def tuning_ratio(asked: Asked) -> bool:
    """With the part so many times smaller f0 is as many times higher as the band is wide."""
    said, ladder = told(asked), asked.problem.ladder
    turned = changed(ladder, {said["part"]: 1 / figure(asked)})
    return same(solved(turned).f0 / solved(ladder).f0, hertz(said, "f2") / hertz(said, "f1"))


def ends(asked: Asked) -> dict[str, Solved]:
    """The circuit at both ends of its band, the other found by its f0."""
    said, ladder = told(asked), asked.problem.ladder
    ratio = float(said["ratio"]) if said["here"] == "lower" else 1 / float(said["ratio"])
    there = solved(changed(ladder, {said["part"]: ratio**-2}))
    assert same(there.f0, solved(ladder).f0 * ratio)
    return {said["here"]: solved(ladder), said["there"]: there}


def tuned_q(asked: Asked) -> bool:
    return same(ends(asked)[told(asked)["there"]].q, figure(asked))


def tuned_band(asked: Asked) -> bool:
    return same(measured(ends(asked)[told(asked)["there"]], "band"), figure(asked), NEAR)


def tuned_end(asked: Asked) -> bool:
    what = told(asked)["asked"]
    found = {end: measured(c, "q" if what == "sharp" else "band") for end, c in ends(asked).items()}
    if same(*found.values(), NEAR):
        return asked.question.truth == "same"
    best = min if what == "narrow" else max
    return asked.question.truth == best(found, key=lambda end: found[end])


def half_in(asked: Asked) -> bool:
    """L·C goes with 1/f²: the mean of both, and back."""
    low, high = (hertz(told(asked), key) for key in ("f1", "f2"))
    return same((0.5 * low**-2 + 0.5 * high**-2) ** -0.5, figure(asked))


def stray_range(asked: Asked) -> bool:
    said, ladder = told(asked), asked.problem.ladder
    farads = {key: float(read_quantity(said[key], "F").value) for key in ("least", "most", "stray")}
    own = next(float(e.value or 0) for e in ladder.elements() if e.name == said["part"])
    f0 = [
        solved(changed(ladder, {said["part"]: (farads[key] + farads["stray"]) / own})).f0
        for key in ("least", "most")
    ]
    return same(f0[0] / f0[1], figure(asked))


TUNING: Mapping[Rung, Witness] = {
    Rung.TUNING_RATIO: tuning_ratio,
    Rung.TUNED_Q: tuned_q,
    Rung.TUNED_BAND: tuned_band,
    Rung.TUNED_END: tuned_end,
    Rung.HALF_IN: half_in,
    Rung.STRAY_RANGE: stray_range,
}
