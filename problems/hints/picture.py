"""Hints for what is seen by redrawing the circuit: feed, the two ends, the type or its name.

The reason rungs share the looks and steps of the rung they follow: the step *is* the reason.
"""

from __future__ import annotations

from ..analysis.arms import End, arm_text, is_reactive
from ..analysis.response import FilterType
from ..circuits.model import Arm, Element, Ladder, Place, leaves
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.naming import named_by_levels
from .fill import HINTS, Hint, Named, Scene, Text, by_place, numbered, phrase


def _walk(ladder: Ladder) -> list[tuple[Place, Element | Arm]]:
    """The arms met from the source on, resistances of source and load left out."""
    return [(s.place, s.arm) for s in ladder.stages if s.arm is not None]


@HINTS(Rung.FED)
def fed(scene: Scene) -> Hint:
    """Series-fed or shunt-fed: the first reactive arm met from the source."""
    source, load = scene.ladder.source, scene.ladder.load
    walk = _walk(scene.ladder)
    names = [arm_text(arm) for _, arm in walk]
    if source is not None:
        names.insert(0, source.name)
    if load is not None:
        names.append(load.name)
    place, arm = next((p, a) for p, a in walk if is_reactive(a))
    before = tuple(names[: names.index(arm_text(arm))])
    step = "series" if place is Place.SERIES else "shunt"
    values: Named = (
        ("walk", tuple(names)),
        ("arm", arm_text(arm)),
        ("before", numbered("resists", before)),
    )
    return Hint(
        "any",
        "any",
        f"{step}-after" if before else step,
        values,
        tuple(e.name for _, a in walk for e in leaves(a)),
    )


@HINTS(Rung.LOW_END, Rung.LOW_END_REASON, Rung.HIGH_END, Rung.HIGH_END_REASON)
def ends(scene: Scene) -> Hint:
    """What the circuit does at DC, or at high frequency."""
    low = scene.question.rung in (Rung.LOW_END, Rung.LOW_END_REASON)
    end = End.LOW if low else End.HIGH
    if not scene.reactive_rails:
        step = "none"
    elif scene.stopping(end):
        step = "stops"  # nothing is asked about ends where such an arm stops nothing
    else:
        step = "divides" if scene.divides(end) else "straight"
    values: Named = (
        ("arms", scene.arms),
        ("changes", scene.changes(end)),
        ("deeds", scene.deeds(end)),
        ("left", scene.left(end)),
        ("names", scene.reactive),
    )
    names = scene.working or scene.reactive
    return Hint("any", _look(scene, "any"), step, values, names, (end,) if names else ())


def _look(scene: Scene, working: str) -> str:
    """Which look: at arms that work, at parts that lie idle, or at no such part at all."""
    if scene.reactive_rails:
        return working
    return "idle" if scene.reactive else "none"


def _verdict(scene: Scene, end: End) -> Text:
    """What happens at an end, as a phrase."""
    return phrase("comes-through") if scene.passes(end) else scene.deeds(end)


@HINTS(Rung.TYPE, Rung.TYPE_REASON)
def filter_type(scene: Scene) -> Hint:
    """Low-pass, high-pass, band-pass, notch or flat."""
    rails = scene.reactive_rails
    resonant = [r for r in rails if r.makes_null or r.makes_peak]
    values: Named = (("low", _verdict(scene, End.LOW)), ("high", _verdict(scene, End.HIGH)))
    names = scene.working
    if resonant:
        look = "resonance"
        names = tuple(name for rail in resonant for name in rail.names)
        values += (("resonant", by_place(resonant, "arm", "arm")),)
    else:
        look, names = _look(scene, "ends"), names or scene.reactive
        values += (("names", names),)
    levels = named_by_levels(scene.facts)
    if levels is not None:
        values = (*values, ("reactive", scene.reactive), *levels[1].items())
        return Hint("any", "levels", levels[0], values, scene.reactive, tuple(End))
    step = scene.facts.type.value
    peaks = [r for r in rails if r.makes_peak]
    if scene.facts.type is FilterType.NOTCH:
        values += (("nulls", by_place((r for r in rails if r.makes_null), "nulls", "nulls")),)
    elif (
        scene.facts.type is FilterType.BAND_PASS
        and peaks
        and scene.stopping(End.LOW) == scene.stopping(End.HIGH)
    ):
        step += "-resonance"
        values += (("peaks", by_place(peaks, "peaks", "peaks")),)
    return Hint("any", look, step, values, names, tuple(End) if scene.reactive else ())


@HINTS(Rung.SHELF_NAME)
def shelf_name(scene: Scene) -> Hint:
    """The gain at DC, at the high-frequency end, and how many poles lie between."""
    known = scene.facts
    values: Named = (
        ("names", scene.working),
        ("arms", scene.arms),
        ("low", write_quantity(known.gain_low, "")),
        ("high", write_quantity(known.gain_high, "")),
        ("order", str(known.transfer.order)),
    )
    return Hint("any", "any", str(scene.question.truth), values, scene.working)
