"""Hints for current sources and duals; of a tank on a current source see ``energy.py``."""

from __future__ import annotations

from ..analysis.arms import arm_text
from ..circuits.dual import dual
from ..circuits.model import Ladder, merged
from ..quantities.units import Quantity
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.sources import ends_product
from ..questions.values import text_of, value_of
from .fill import HINTS, Hint, Named, Scene, Text, clauses, phrase

_LETTERS = "abcd"


@HINTS(Rung.SOURCE_CURRENT)
def source_current(scene: Scene) -> Hint:
    """What the source gives into a short."""
    source = scene.ladder.source
    assert source is not None
    volts = value_of(scene.question.values, "volts", Quantity)
    values: Named = (
        ("source", source.name),
        ("amplitude", text_of(volts)),
        ("ohms", write_quantity(source.amount, "Ω")),
        ("result", write_quantity(scene.question.figure, "A")),
    )
    return Hint("any", "any", "any", values, (source.name,))


@HINTS(Rung.DUAL_VALUE)
def dual_value(scene: Scene) -> Hint:
    """R²/Z of one element."""
    given = scene.question.values
    name, kind = value_of(given, "element", str), scene.question.asked
    part = scene.ladder.part(name)
    values: Named = (
        ("element", name),
        ("value", write_quantity(part.amount, part.kind.unit)),
        ("ohms", text_of(value_of(given, "ohms", Quantity))),
        ("result", write_quantity(scene.question.figure, scene.question.unit)),
    )
    return Hint("any", kind, kind, values, (name,))


@HINTS(Rung.WHICH_DUAL)
def which_dual(scene: Scene) -> Hint:
    """What each arm becomes."""
    choice = scene.question.choice(str(scene.question.truth))
    letter = _LETTERS[scene.question.choices.index(choice)]
    values: Named = (
        ("names", scene.reactive),
        ("turned", clauses(_turned(scene.ladder))),
        ("letter", letter),
    )
    return Hint("any", "any", "any", values, scene.reactive)


def _turned(ladder: Ladder) -> list[Text]:
    """Each arm and what it becomes."""
    drawn = merged(ladder)
    stages = zip(drawn.stages, dual(drawn, ends_product(ladder)).stages, strict=True)
    return [
        phrase(f"turned-{old.place.value}", old=arm_text(old.arm), new=arm_text(new.arm))
        for old, new in stages
        if old.arm is not None and new.arm is not None
    ]
