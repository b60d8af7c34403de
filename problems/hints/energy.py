"""Hints for energy at resonance, the rise of voltages and currents, and the cost of a load."""

from __future__ import annotations

import math

from ..analysis.resonator import resonator_of
from ..quantities.write import write_quantity
from ..questions.energy import RINGING
from ..questions.model import Rung
from ..questions.values import text_of
from .fill import HINTS, Hint, Scene, Text


def told(scene: Scene) -> dict[str, Text]:
    """What fills the hints about a resonator: its parts, its figures, and what was given."""
    found, given = resonator_of(scene.ladder), dict(scene.question.values)
    figures = {
        "henries": write_quantity(found.henries, "H"),
        "farads": write_quantity(found.farads, "F"),
        "reactance": write_quantity(found.reactance, "Ω"),
        "ohms": write_quantity(found.ohms(), "Ω"),
        "q": write_quantity(found.q(), ""),
        "f0": write_quantity(found.omega / math.tau, "Hz"),
        "period": write_quantity(math.tau / found.omega, "s"),
        "result": write_quantity(scene.question.figure, scene.question.unit),
    }
    texts = {key: text_of(value) for key, value in given.items()}
    amplitude = next((texts[key] for key in ("amps", "volts") if key in texts), "")
    names: dict[str, Text] = {
        "inductor": found.inductor.name,
        "capacitor": found.capacitor.name,
        "resistors": tuple(r.name for r in found.resistances),
        "amplitude": amplitude,
    }
    return {**figures, **texts, **names}


def _hint(scene: Scene, values: dict[str, Text]) -> Hint:
    """The variants of a loop and of a tank, where there are two."""
    found = resonator_of(scene.ladder)
    way = RINGING[found.series]
    principle, look, step = (
        way if scene.question.rung in rungs else "any" for rungs in _IN_TWO_WAYS
    )
    focus = (found.inductor.name, found.capacitor.name, *(r.name for r in found.resistances))
    return Hint(principle, look, step, tuple(values.items()), focus)


_QS = (Rung.Q_WITHOUT_LOAD, Rung.Q_WITH_LOAD)
_ENERGIES = (Rung.STORED_ENERGY, Rung.LOST_ENERGY)
_IN_TWO_WAYS = (
    (Rung.Q_WITHOUT_LOAD,),
    (*_ENERGIES, *_QS, Rung.BAND_WITH_LOAD, Rung.LOAD_SHARE),
    (*_ENERGIES, *_QS),
)
"""Which principles, looks and steps differ between a loop and a tank."""


@HINTS(
    *_ENERGIES, Rung.ENERGY_Q, Rung.RESONANT_VOLTAGE, Rung.Q_WITH_LOAD, Rung.BAND_WITH_LOAD,
    Rung.SEEN_RESISTANCE, Rung.CURRENT_OUTPUT, Rung.PARALLEL_Q, Rung.PARALLEL_BAND,
)  # fmt: skip
def whole(scene: Scene) -> Hint:
    """What is worked out with all resistances."""
    return _hint(scene, told(scene))


@HINTS(Rung.RESONANT_CURRENT)
def current(scene: Scene) -> Hint:
    """The rise of the current, with what lies behind the line."""
    found = resonator_of(scene.ladder)
    ohms = write_quantity(found.ohms(found.behind), "Ω")
    q = write_quantity(found.q(found.behind), "")
    behind = tuple(r.name for r in found.behind)
    return _hint(scene, {**told(scene), "ohms": ohms, "q": q, "behind": behind})


@HINTS(Rung.Q_WITHOUT_LOAD)
def without_load(scene: Scene) -> Hint:
    """Q with what is left without the load."""
    found = resonator_of(scene.ladder)
    return _hint(
        scene, {**told(scene), "ohms": write_quantity(found.ohms(found.without_load), "Ω")}
    )


@HINTS(Rung.LOAD_SHARE)
def load_share(scene: Scene) -> Hint:
    """The load's part of all resistance that one current flows through."""
    found = resonator_of(scene.ladder)
    assert found.load is not None
    total = sum(float(r.amount) for r in found.resistances)
    shares = {
        "part": write_quantity(found.load.amount, "Ω"),
        "total": write_quantity(total, "Ω"),
    }
    return _hint(scene, {**told(scene), **shares})
