"""(seed, kind of look) → a certified look."""

from __future__ import annotations

from collections.abc import Collection

from ..analysis.response import facts
from ..catalogue.draw_values import draw
from ..catalogue.families import FAMILIES
from ..catalogue.groups import GROUP_OF, SkillGroup
from ..chance import Chance
from ..questions.looks import TYPES, Look, LookKind


def make_look(
    seed: int,
    kind: LookKind = LookKind.TYPE,
    *,
    group: SkillGroup | None = None,
    wanted: str | None = None,
    avoid: Collection[str] = (),
) -> Look:
    """A certified look: one right answer, proved.

    Args:
        seed: from 0 up to 2⁶³.
        kind: what it asks.
        group: circuits of this group alone.
        wanted: circuits of this type alone.
        avoid: structures that are not to come again, as long as there are others.

    Raises:
        LookupError: no circuit of that group and type can be asked that.
    """
    chance = Chance(seed, "look", kind)
    rows = [
        row
        for row in FAMILIES
        if row.type.value in TYPES
        and (group is None or GROUP_OF[row.group] is group)
        and wanted in (None, row.type.value)
    ]
    if not rows:
        raise LookupError(f"no circuit of {group} is a {wanted}")
    new = [row for row in rows if row.name not in avoid] or rows
    ladder = None
    while ladder is None:
        row = chance.pick(new)
        ladder = draw(row, chance)
    known = facts(ladder)
    return Look(kind, seed, ladder, known.type.value, row.name, GROUP_OF[row.group])
