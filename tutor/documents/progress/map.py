"""The map of all skills: a row for each kind of circuit, a column for each kind of question.

What there is to read and predict is one rule for all circuits, each: it stands below, by what it
is about, two of these in a row.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache

from ....problems.catalogue.groups import SkillGroup
from ....problems.questions.model import Rung
from ...coach.progress import Line, Progress
from ...figures.canvas.styled import StyledLine
from ...language.dates import ahead, lasting, short_day
from ...learning.skill_map import BANDS, RULES, parts_of, skill_name, skills
from ...phrases.skills import skill_parts
from . import blocks
from .blocks import QUIET, opening

LABEL, GAP = 16, 4
_STEPS = {"begun": "▂▄▆", "weak": "░▒▓"}
"""How far a skill has come, in thirds."""
SIGNS = {"new": "·", "known": "█", "due": "◆"}
INKS = {
    "new": "$ink-line",
    "begun": "$ink-copper",
    "weak": "$ink-rust",
    "known": "$ink-verdigris",
    "due": "$ink-brass",
}

_HERE = "bold $ink-reversed on $ink-copper"

Spot = tuple[int, int]
"""A row and a column of the map; rows of what is predicted are below those of the circuits."""


@cache
def bands() -> tuple[tuple[str, tuple[Rung, ...]], ...]:
    """The kinds of question in the order of the columns, by the bands that they make."""
    every = list(Rung)
    return tuple(
        (name, tuple(every[every.index(first) : every.index(last) + 1]))
        for name, first, last in BANDS
    )


@cache
def columns() -> tuple[Rung, ...]:
    """The kinds of question, in the order of the columns."""
    return tuple(rung for _, rungs in bands() for rung in rungs)


@cache
def rows() -> tuple[SkillGroup, ...]:
    """The circuits, in the order of teaching."""
    present = {parts_of(skill)[0] for skill in skills()}
    return tuple(group for group in SkillGroup if group in present)


@cache
def _pairs() -> tuple[tuple[str, ...], ...]:
    """What is predicted, two a row: one column of them, then the other."""
    ways = tuple(RULES)
    half = -(-len(ways) // 2)
    return tuple(ways[row::half] for row in range(half))


@cache
def _room() -> int:
    """Kinds of the way that has most."""
    return max(map(len, RULES.values()))


def _rule_at(spot: Spot) -> Rung | None:
    """What is predicted at a place below the circuits; ``None`` where nothing is."""
    row, column = spot
    pair = _pairs()[row - len(rows())]
    side, place = divmod(column, _room())
    rungs = RULES[pair[side]] if side < len(pair) else ()
    return rungs[place] if place < len(rungs) else None


def skill_at(spot: Spot) -> str | None:
    """The skill at a place of the map; ``None`` where there is none.

    Of what is predicted, one rule for all circuits, it is that of the first group asked it.
    """
    row, column = spot
    if row < len(rows()):
        name = skill_name(rows()[row], columns()[column])
        return name if name in _known_skills() else None
    rung = _rule_at(spot)
    return None if rung is None else _first_of(rung)


@cache
def _first_of(rung: Rung) -> str:
    return next(skill for skill in skills() if parts_of(skill)[1] is rung)


@cache
def _known_skills() -> frozenset[str]:
    return frozenset(skills())


def moved(spot: Spot, down: int, right: int) -> Spot:
    """The next place from ``spot``, ``down`` or to the ``right``, that holds a skill, if any."""
    row, column = spot
    while True:
        row, column = row + down, column + right
        if not (0 <= row < len(rows()) + len(_pairs()) and 0 <= column < len(columns())):
            return spot
        if down > 0 and row >= len(rows()):  # fewer columns there: the last that has something
            column = next((c for c in range(column, -1, -1) if skill_at((row, c))), column)
        if skill_at((row, column)) is not None:
            return row, column


def first_spot(found: Progress) -> Spot:
    """Where to begin: at the weakest skill, else at the first."""
    weakest = found.outlook.weakest
    if weakest:
        group, rung = parts_of(weakest[0].skill)
        return rows().index(group), columns().index(rung)
    return next(
        (row, column)
        for row in range(len(rows()))
        for column in range(len(columns()))
        if skill_at((row, column))
    )


def _sign(line: Line) -> str:
    return SIGNS.get(line.state) or _STEPS[line.state][min(2, int(line.known * 3))]


def _cells(width: int) -> tuple[int, list[int]]:
    """Columns of text for each column of the map, and after each band."""
    spare = width - LABEL - GAP * (len(BANDS) - 1) - 6
    if spare >= 2 * len(columns()):
        return 2, [*[GAP] * (len(BANDS) - 1), 2]
    # A band's name needs room, and a blank after it.
    named = ((len(opening(f"band.{band}")), len(rungs)) for band, rungs in bands()[:-1])
    gaps = [max(1, wide + 1 - count) for wide, count in named]
    for _ in range(width - LABEL - len(columns()) - 2 - sum(gaps)):
        least = min(range(len(gaps)), key=gaps.__getitem__)
        if gaps[least] >= GAP:
            break
        gaps[least] += 1
    return 1, [*gaps, 2]


def lines(
    found: Progress, spot: Spot | None, width: int, height: int | None = None
) -> list[StyledLine]:
    """The map of what is ``found``, and what is known of the spot.

    Args:
        found: where the learner stands.
        spot: the place that is picked, if any.
        width: columns.
        height: rows that there are; where the map is taller, only the part of it is shown that
            the spot lies in: the circuits, or what is predicted.
    """
    by_skill = {line.skill: line for line in found.lines}
    cell, gaps = _cells(width)
    # In the narrowest window the names of circuits give way, not a column; the last band's name
    # is a letter longer than its columns.
    label = min(LABEL, width - cell * len(columns()) - sum(gaps[:-1]) - 1)
    heads: list[tuple[str, str]] = [(" " * label, QUIET)]
    points: list[tuple[str, str]] = [(" " * label, QUIET)]
    body: list[list[StyledLine | tuple[str, str]]] = []
    for row, group in enumerate(rows()):
        name = blocks.cut(opening(f"group.{group.value}"), label - 1) + " "
        body.append([(name, "bold $ink-copper" if spot and row == spot[0] else "$foreground")])
    column = 0
    for place, (band, rungs) in enumerate(bands()):
        gap = " " * gaps[place]
        room = len(rungs) * cell + len(gap)
        heads.append((opening(f"band.{band}")[:room].ljust(room), QUIET))
        for _ in rungs:
            points.append(
                (("▾" if spot and column == spot[1] else " ").ljust(cell), "bold $ink-copper")
            )
            for row in range(len(rows())):
                skill = skill_at((row, column))
                if skill is None:
                    body[row].append((" " * cell, QUIET))
                    continue
                line = by_skill[skill]
                body[row].append(
                    (_sign(line), _HERE if (row, column) == spot else INKS[line.state])
                )
                if cell > 1:
                    body[row].append((" " * (cell - 1), QUIET))
            column += 1
        points.append((gap, QUIET))
        for row in range(len(rows())):
            body[row].append((gap, QUIET))
    known = len(found.outlook.standing.mastered)
    share = opening("map.share", known=known, all=len(skills()))
    circuits = [
        StyledLine.of(*heads),
        StyledLine.of(*points),
        *(StyledLine.of(*parts) for parts in body),
    ]
    below = StyledLine.of((opening("map.predicted"), QUIET))
    foretold = list(_predictions(found, spot, cell, width))
    about = [StyledLine(), *told(found, by_skill, spot, width)] if spot else []
    title, foot = blocks.heading(opening("map.title"), width, share), [StyledLine(), _legend()]
    whole = [title, *circuits, below, *foretold, *foot, *about]
    if spot is None or height is None or len(whole) <= height:
        return whole
    if spot[0] < len(rows()):
        return [title, *circuits, StyledLine.of((opening("map.below"), QUIET)), *foot, *about]
    return [title, StyledLine(), below, *foretold, *foot, *about]


def best_of(lines: Iterable[Line]) -> dict[Rung, Line]:
    """Of each kind of question, that one of ``lines`` which is known best."""
    best: dict[Rung, Line] = {}
    for line in lines:
        rung = parts_of(line.skill)[1]
        if rung not in best or (line.known, line.asked) > (best[rung].known, best[rung].asked):
            best[rung] = line
    return best


def _predictions(found: Progress, spot: Spot | None, cell: int, width: int) -> Iterator[StyledLine]:
    """What there is to read and predict, two ways a row, and each rule as well as it is known."""
    best = best_of(found.lines)
    label = min(LABEL, width // 2 - cell * _room() - 2)
    for number, pair in enumerate(_pairs()):
        row = len(rows()) + number
        parts: list[StyledLine | tuple[str, str]] = []
        for side, way in enumerate(pair):
            here = spot is not None and spot[0] == row and spot[1] // _room() == side
            name = blocks.cut(opening(f"way.{way}"), label - 1).ljust(label)
            parts.append((name, "bold $ink-copper" if here else "$foreground"))
            for place, rung in enumerate(RULES[way]):
                line = best[rung]
                at = (row, side * _room() + place) == spot
                parts.append((_sign(line), _HERE if at else INKS[line.state]))
                parts.append((" " * (cell - 1), QUIET))
            parts.append((" " * (cell * (_room() - len(RULES[way])) + 2), QUIET))
        yield StyledLine.of(*parts)


def _legend() -> StyledLine:
    parts: list[tuple[str, str]] = []
    for state, sign in (
        ("new", "·"), *_STEPS.items(), ("known", "█"), ("due", "◆"),
    ):  # fmt: skip
        parts += [(sign, INKS[state]), (f" {opening(f'map.{state}')}   ", QUIET)]
    return StyledLine.of(*parts)


def told(found: Progress, by_skill: dict[str, Line], spot: Spot, width: int) -> list[StyledLine]:
    """What is known of the skill at a spot, in three lines.

    Args:
        found: where the learner stands.
        by_skill: its lines, by their skills.
        spot: the place.
        width: columns of a line at most.
    """
    skill = skill_at(spot)
    if skill is None:
        return [StyledLine()] * 3
    line, today = by_skill[skill], found.outlook.now.date()
    rung, group = skill_parts(skill)
    head = StyledLine.of((rung, "bold $foreground"), (f"  {group}", QUIET))
    if not line.asked:
        return [head, StyledLine.of((opening("map.unasked"), QUIET)), StyledLine()]
    tally = opening(
        "map.tally",
        right=line.right,
        asked=line.asked,
        time=lasting(line.seconds),
        state=opening(f"map.{line.state}"),
    )
    last = ahead(line.last, today) if line.last else ""
    second = opening("map.last", ago=last)
    if line.review is not None and line.review > today:
        second = opening("map.review", ago=last, date=short_day(line.review))
    elif line.review is not None:
        second = opening("map.review-now", ago=last)
    return [head, StyledLine.of(tally[:width]), StyledLine.of((second[:width], QUIET))]
