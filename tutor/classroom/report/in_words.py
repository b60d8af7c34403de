"""Figures of a class report as they are written, their names, and the tables they stand in."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction

from ....problems.catalogue.groups import SkillGroup
from ...documents.pages_form import Cell, Paragraph, Table
from ...language.texts import speaker
from ...phrases.skills import skill_parts

say = speaker("report")
DASH = "–"
TableCells = tuple[str | Cell, ...]


def points(value: Fraction | float) -> str:
    """Points as they are written: 2, 2.5, 2.33."""
    return f"{float(value):.2f}".rstrip("0").rstrip(".").replace("-", "−")


def percent(share: float | Fraction | None) -> str:
    """A share from 0 to 1 in whole percent, without the sign."""
    return DASH if share is None else f"{float(share) * 100:.0f}"


def signed(value: float | None) -> str:
    """A correlation to two places, with a real minus."""
    if value is None:
        return DASH
    text = f"{value:.2f}".replace("-", "−")
    return "0.00" if text == "−0.00" else text


def skill_name(group: str, rung: str) -> str:
    """The skill ``rung`` of a ``group`` in words; what this version does not know as it is."""
    kind, circuits = skill_parts(f"{group}/{rung}")
    if group == SkillGroup.OTHER:  # of these marks say no more
        circuits = say("skills.other")
    return say("skills.skill", kind=kind, group=circuits) if circuits else kind


def rung_name(rung: str) -> str:
    """A kind of question in words."""
    return skill_parts(f"other/{rung}")[0].removeprefix("other/")


def some(texts: Sequence[str], most: int) -> str:
    """The first of some ``texts``, ``most`` of them, and how many more there are."""
    more = len(texts) - most
    listed = "; ".join(texts[:most])
    return say("head.more", listed=listed, count=more) if more > 0 else listed


def line(key: str, tone: str = "", **values: object) -> Paragraph:
    """The text of a ``key``, filled with ``values``, as a paragraph of a ``tone``."""
    return Paragraph(say(key, **values), tone=tone)


def table(
    name: str,
    keys: Sequence[str],
    rows: Iterable[TableCells],
    texts: Collection[str] = (),
    wide: Sequence[str] = (),
    caption: str = "",
) -> Table:
    """A table whose heads are the texts ``name.key``.

    Args:
        name: of the section that the words stand in.
        keys: of the columns, in order.
        rows: cells in the order of the keys.
        texts: the columns that hold no numbers.
        wide: the columns that take the room that is left; the first where none is named.
        caption: the key of what the table is; without one ``name.title``.
    """
    return Table(
        say(caption or f"{name}.title"),
        tuple(say(f"{name}.{key}") for key in keys),
        tuple(rows),
        tuple(key not in texts for key in keys),
        tuple(map(list(keys).index, wide)) or (0,),
    )
