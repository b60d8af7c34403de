"""A plan file's values → a Plan.

Everything that is wrong is found in one reading, each thing with where it is, what was found
and what mends it.  Whether circuits can be drawn for it all is :func:`~.sheets_lots.check`'s.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime
from enum import StrEnum
from fractions import Fraction
from typing import Any, TypeVar

from ..catalogue import families
from ..catalogue.families import UnknownFamily
from ..catalogue.groups import LEVELS
from ..circuits.model import CircuitError, Ladder
from ..circuits.statement import NotationError
from ..circuits.text import read_circuit
from ..quantities.errors import wording
from ..quantities.spelling import listed
from ..questions.kinds import REASON_OF
from ..questions.model import TOLERANCE, Rung, Task
from .model import (
    LEAST_SEED,
    MOST_POINTS,
    MOST_PROBLEMS,
    MOST_SECTIONS,
    OLD_PLAN_FORMAT,
    PLAN_FORMAT,
    SEEDS,
    FixedCircuit,
    Paper,
    Plan,
    PlanSection,
    PlanTrouble,
    PointsRule,
    Series,
    SheetError,
    Symbols,
)
from .problems import ASKABLE, WAYS
from .reading import PlanFields, choice, shown

S = TypeVar("S", bound=StrEnum)

LANGUAGES = ("en",)
"""Languages that there are words in."""

MOST_CIRCUITS = 20
MOST_TITLE, MOST_INSTRUCTIONS, MOST_CIRCUIT = 200, 4000, 2000
_LEAST_TOLERANCE, _MOST_TOLERANCE = Fraction(1, 1000), Fraction(1, 10)
_PERCENT = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,3})?) ?%")

PLAN_KEYS = (
    *("format", "title", "course", "date", "instructions", "language", "seed", "practice"),
    *("symbols", "paper", "unshared_values", "tolerance", "series", "points", "sections"),
)
SECTION_KEYS = (
    *("title", "instructions", "task", "families", "levels", "problems", "ask", "points"),
    *("tolerance", "series", "same_families", "circuits"),
)
CIRCUIT_KEYS = ("title", "circuit")


def plan_of(data: Mapping[str, object]) -> Plan:
    """The plan of a plan file's values, as a TOML reader gives them.

    Raises:
        SheetError: with everything that is wrong.
    """
    troubles: list[PlanTrouble] = []
    top = PlanFields(data, "", PLAN_KEYS, troubles)
    form = top.need("format", _format, PLAN_FORMAT)
    points = top.read("points", _points, PointsRule())
    tolerance = top.read("tolerance", _tolerance, TOLERANCE)
    series = top.read("series", _series, None)
    plan = Plan(
        title=top.need("title", _title, ""),
        seed=top.need("seed", _seed, 0),
        sections=(),
        course=top.read("course", _title, ""),
        date=top.read("date", _date, ""),
        instructions=top.read("instructions", _prose, ""),
        language=top.read("language", _language, "en"),
        symbols=top.read("symbols", _symbols, Symbols.IEEE),
        unshared=top.read("unshared_values", _flag, True),
        paper=top.read("paper", _paper, Paper.A4),
        format=form,
    )
    for trouble in _secrecy(plan, top, top.read("practice", _flag, False)):
        top.trouble(*trouble)
    sections = tuple(
        _section(fields, points, tolerance, series)
        for fields in top.tables("sections", SECTION_KEYS, MOST_SECTIONS)
    )
    if not sections and not any(t.path.startswith("sections") for t in troubles):
        troubles.append(
            PlanTrouble("sections", "", "there are no sections", "begin one with [[sections]]")
        )
    if troubles:
        raise SheetError(*troubles)
    return replace(plan, sections=sections)


def _secrecy(plan: Plan, top: PlanFields, practice: bool) -> Iterator[tuple[str, object, str, str]]:
    """(key, value, what, remedy) where the seed of a plan is none that stays a secret."""
    if {"format", "seed", "practice"} & top.spoilt:
        return
    if plan.format == OLD_PLAN_FORMAT:
        if top.has("practice"):
            remedy = f'set format = "{PLAN_FORMAT}"; its sheets are then others'
            yield "practice", practice, "plans of this form have no such key", remedy
    elif top.has("seed") and plan.seed < LEAST_SEED and not practice:
        yield (
            "seed",
            plan.seed,
            "whoever has a sheet can guess this, and with it every key",
            "take the one of a plan that `rungwise sheet start` writes, which draws it at random; "
            "or set practice = true, where keys need not be secret",
        )


def _section(
    fields: PlanFields, points: PointsRule, tolerance: Fraction, series: Series | None
) -> PlanSection:
    task = fields.read("task", _task, Task.ANALYSE)
    made = PlanSection(
        title=fields.read("title", _title, ""),
        instructions=fields.read("instructions", _prose, ""),
        task=task,
        families=fields.read("families", _families, ()),
        levels=fields.read("levels", _levels, ()),
        count=fields.read("problems", _count, 0),
        ask=fields.read("ask", _ask, ()),
        points=fields.read("points", _points, points),
        tolerance=fields.read("tolerance", _tolerance, tolerance),
        series=fields.read("series", _series, series),
        same_families=fields.read("same_families", _flag, True),
        circuits=tuple(_circuits(fields)),
    )
    for trouble in _clashes(made, fields):
        fields.trouble(*trouble)
    return made


def _clashes(made: PlanSection, fields: PlanFields) -> Iterator[tuple[str, object, str, str]]:
    """(key, value, what, remedy) of what does not fit together in a section."""
    if not made.count and not fields.has("circuits") and "problems" not in fields.spoilt:
        yield "", "", "nothing is asked here", "set problems = 3, say, or add [[sections.circuits]]"
    if fields.has("families") and fields.has("levels"):
        yield "levels", made.levels, "families are named as well", "name either of the two"
    if made.circuits and made.task is Task.REVERSE:
        yield (
            "circuits",
            "",
            "a circuit that is typed can't be led back to",
            'put it into a section with task = "analyse" or "sketch"',
        )
    askable = ASKABLE[made.task]
    for rung in made.ask:
        parent = _PARENTS.get(rung)
        if rung not in askable:
            can = ", ".join(r.value for r in Rung if r in askable)
            yield "ask", rung.value, f"the task {made.task.value} can't ask this", f"it asks {can}"
        elif parent and parent not in made.ask:
            yield (
                "ask",
                rung.value,
                "this is the reason for an answer that is not asked",
                f'ask "{parent.value}" as well',
            )
    ways = [WAYS[rung] for rung in made.ask if rung in WAYS]
    if ways and not frozenset.intersection(*ways):
        asked = " and ".join(rung.value for rung in made.ask if rung in WAYS)
        yield "ask", asked, "one problem leads back in one way only", "use a section for each"


_PARENTS = {reason: rung for rung, reason in REASON_OF.items()}


def _circuits(fields: PlanFields) -> Iterator[FixedCircuit]:
    for circuit in fields.tables("circuits", CIRCUIT_KEYS, MOST_CIRCUITS):
        title = circuit.read("title", _title, "")
        ladder = circuit.need("circuit", _circuit_text, None)
        if ladder is not None:
            yield FixedCircuit(ladder, title)


# ------------------------------------------------------------------------- one value each
#
# Each raises ValueError(what, remedy) where a value does not do.


def _format(value: object) -> str:
    if isinstance(value, str) and value in (PLAN_FORMAT, OLD_PLAN_FORMAT):
        return value
    raise ValueError("this version reads another form of plan", f'set it to "{PLAN_FORMAT}"')


def _text(most: int, lines: bool) -> Callable[[object], str]:
    def read(value: object) -> str:
        if not isinstance(value, str):
            raise ValueError("this has to be a text", 'put it in quotes: "…"')
        if len(value) > most:
            raise ValueError(f"{len(value)} characters are too many", f"{most} are the most")
        for sign in value:
            if ord(sign) < 32 and not (lines and sign in "\n\t\r"):
                raise ValueError("there is a control character in it", "leave it out")
        return value.strip()

    return read


_prose = _text(MOST_INSTRUCTIONS, lines=True)
_line = _text(MOST_TITLE, lines=False)


def _title(value: object) -> str:
    found = _line(value)
    if not found:
        raise ValueError("there is nothing in it", "write something, or leave the key out")
    return found


def _seed(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < SEEDS:
        raise ValueError("this has to be a whole number", "from 0 to 9223372036854775807")
    return value


def _date(value: object) -> str:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    try:
        return date.fromisoformat(value if isinstance(value, str) else "").isoformat()
    except ValueError:
        raise ValueError("this has to be a date", "such as 2026-12-03") from None


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError("this has to be true or false", "without quotes")
    return value


def _language(value: object) -> str:
    return choice(value, LANGUAGES)


def _one_of(kind: type[S]) -> Callable[[object], S]:
    return lambda value: kind(choice(value, [member.value for member in kind]))


_symbols, _paper = _one_of(Symbols), _one_of(Paper)
_series, _task = _one_of(Series), _one_of(Task)


def _tolerance(value: object) -> Fraction:
    match = _PERCENT.fullmatch(value) if isinstance(value, str) else None
    found = Fraction(match[1]) / 100 if match else None
    if found is None or not _LEAST_TOLERANCE <= found <= _MOST_TOLERANCE:
        raise ValueError("this has to be a percentage", 'from "0.1 %" to "10 %", in quotes')
    return found


def _number_of_points(value: object) -> Fraction:
    if isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= MOST_POINTS:
        points = Fraction(str(value))  # the decimal number that was written, 1.1 too
        if (points * 100).denominator == 1:
            return points
    raise ValueError(
        "these have to be points", f"a number from 0 to {MOST_POINTS}, with two decimals at most"
    )


def _points_of(name: str, value: object) -> Fraction:
    try:
        return _number_of_points(value)
    except ValueError as error:
        what, remedy = error.args
        raise ValueError(f"{name} = {shown(value)}: {what}", remedy) from None


def _points(value: object) -> PointsRule:
    if not isinstance(value, Mapping):
        return PointsRule(_number_of_points(value))
    kinds: list[tuple[Rung, Fraction]] = []
    each = Fraction(1)
    for name, points in value.items():
        if name == "each":
            each = _points_of(name, points)
        else:
            rung = Rung(choice(name, ["each", *(r.value for r in Rung)]))
            kinds.append((rung, _points_of(name, points)))
    return PointsRule(each, tuple(kinds))


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_PROBLEMS:
        raise ValueError("this has to be a number of problems", f"from 1 to {MOST_PROBLEMS}")
    return value


def _listed(value: object, most: int) -> list[Any]:
    if not isinstance(value, list) or not value:
        raise ValueError("this has to be a list", 'such as [2, 3] or ["type"]')
    if len(value) > most:
        raise ValueError("the list is too long", f"{most} are the most")
    seen: list[object] = []
    for one in value:
        if one in seen:
            raise ValueError(f"{shown(one)} is in it twice", "once will do")
        seen.append(one)
    return value


def _levels(value: object) -> tuple[int, ...]:
    found = _listed(value, len(LEVELS))
    for level in found:
        if isinstance(level, bool) or not isinstance(level, int) or level not in LEVELS:
            last = LEVELS[-1]
            told = f"there is no level {shown(level)}"
            if isinstance(level, str):
                told = f'"{shown(level)}" in quotes is no number'
            raise ValueError(told, f"levels go from 1 to {last}")
    return tuple(found)


def _families(value: object) -> tuple[str, ...]:
    found = _listed(value, len(families.FAMILIES))
    for name in found:
        try:
            families.find(name if isinstance(name, str) else "")
        except UnknownFamily as error:
            near = f"did you mean {listed(error.near)}?" if error.near else ""
            raise ValueError(
                f"there is no family {shown(name)}", near or "rungwise families lists them"
            ) from None
    return tuple(found)


def _ask(value: object) -> tuple[Rung, ...]:
    names = [rung.value for rung in Rung]
    wanted: Collection[Rung] = {Rung(choice(one, names)) for one in _listed(value, len(names))}
    return tuple(rung for rung in Rung if rung in wanted)


def _circuit_text(value: object) -> Ladder | None:
    text = _text(MOST_CIRCUIT, lines=True)(value)
    try:
        ladder = read_circuit(text)
    except (CircuitError, NotationError) as error:
        what = wording("plan.circuit-text", trouble=error.wording)
        raise ValueError(what, "see rungwise solve --help") from None
    for element in ladder.elements():
        if element.value is None:
            raise ValueError(f"{element.name} has no value", "every element needs one")
    return ladder
