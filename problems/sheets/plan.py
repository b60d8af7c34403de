"""A plan file's values → a Plan.

Everything that is wrong is found in one reading, each thing with where it is, what was found
and what mends it.  Whether circuits can be drawn for it all is :func:`~.sheets_lots.check`'s.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import fields as dataclass_fields
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from typing import Any, TypeAlias

from ..catalogue import families
from ..catalogue.families import UnknownFamily
from ..catalogue.groups import LEVELS, LOOKED_AT, SkillGroup
from ..circuits.model import CircuitError, Ladder
from ..circuits.statement import NotationError
from ..circuits.text import read_circuit
from ..quantities.errors import Wording, wording
from ..questions.model import TOLERANCE, Rung, Task
from ..sketches.weights import EVEN, SketchWeights
from ..slips.order import SLIPS
from .inspection import LOOKED, NO_VALUES, ON_PAGE
from .marking_table import marking_rules
from .model import (
    LEAST_SEED,
    MOST_POINTS,
    MOST_PROBLEMS,
    MOST_SECTIONS,
    MOST_STUDENTS,
    MOST_VARIANTS,
    OLD_PLAN_FORMAT,
    PLAN_FORMAT,
    PLAN_FORMATS,
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
    ValueRefused,
    VariantsBy,
)
from .printing_table import print_options
from .problems import ASKABLE, EXPLAINED, WAYS
from .reading import PlanFields, choice, decimal_to, flag, one_of, read_of, shown, whole_of

LANGUAGES = ("en",)
"""Languages that there are words in."""

MOST_CIRCUITS = 20
MOST_TITLE, MOST_INSTRUCTIONS, MOST_CIRCUIT = 200, 4000, 2000
MOST_NAME = 1000
"""Characters of what a student is called by."""
MOST_LABEL = 20
"""Characters of a variant's name."""
HOME_PAGE = re.compile(r"https?://[A-Za-z0-9.-]+(:[0-9]{1,5})?(/[!-~]*)?")
"""The address of a system, as xAPI has it for the home page of an account."""
_LEAST_TOLERANCE, _MOST_TOLERANCE = Fraction(1, 1000), Fraction(1, 10)
_PERCENT = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,3})?) ?%")

PLAN_KEYS = (
    *("format", "title", "course", "date", "instructions", "language", "seed", "practice"),
    *("symbols", "paper", "unshared_values", "tolerance", "series", "points"),
    *("sketch_weights", "variants", "variants_by", "marking", "print", "home_page"),
    "sections",
)
SINCE_THIRD = ("variants", "variants_by", "marking", "home_page")
"""Keys that plans of the forms before the third can't have."""
SECTIONS_SINCE_THIRD = ("slips", "students", "others")
"""Keys that sections of such plans can't have."""
SECTION_KEYS = (
    *("title", "instructions", "task", "families", "levels", "problems", "ask", "points"),
    *("sketch_weights", "tolerance", "series", "same_families", "circuits"),
    *("by_inspection", "groups", "values", "slips", "students", "others"),
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
    weights = top.read("sketch_weights", _weights, EVEN)
    tolerance = top.read("tolerance", _tolerance, TOLERANCE)
    series = top.read("series", _series, None)
    plan = Plan(
        title=top.need("title", _title, ""),
        seed=top.need("seed", _seed, 0),
        sections=(),
        course=top.read("course", _title, ""),
        date=top.read("date", _date, ""),
        instructions=top.read("instructions", _prose, ""),
        language=top.read("language", lambda value: choice(value, LANGUAGES), "en"),
        symbols=top.read("symbols", _symbols, Symbols.IEEE),
        unshared=top.read("unshared_values", flag, True),
        paper=top.read("paper", _paper, Paper.A4),
        format=form,
        variants=top.read("variants", _variants, ()),
        variants_by=top.read("variants_by", _variants_by, None),
        marking=marking_rules(top),
        printing=print_options(top),
        home_page=top.read("home_page", _home_page, ""),
    )
    for trouble in _too_new(plan, top):
        top.trouble(*trouble)
    for trouble in _secrecy(plan, top, top.read("practice", flag, False)):
        top.trouble(*trouble)
    sections: list[PlanSection] = []
    for fields in top.tables("sections", SECTION_KEYS, MOST_SECTIONS):
        sections.append(_section(fields, points, weights, tolerance, series))
        for trouble in _section_too_new(plan, fields):
            fields.trouble(*trouble)
    if not sections and not any(t.path.startswith("sections") for t in troubles):
        troubles.append(
            PlanTrouble("sections", "", wording("plan.no-sections"), wording("plan.begin"))
        )
    if troubles:
        raise SheetError(*troubles)
    return replace(plan, sections=tuple(sections))


_Clash: TypeAlias = tuple[str, object, Wording, Wording]
"""(key, value, what, remedy)."""


def _too_new(plan: Plan, top: PlanFields) -> Iterator[_Clash]:
    """(key, value, what, remedy) of keys that the form of a plan doesn't know."""
    if plan.is_numbered:
        remedy = wording("plan.newer-form", form=_quoted(PLAN_FORMAT))
        for key in SINCE_THIRD:
            if top.has(key):
                yield key, "", wording("plan.key-too-new"), remedy
    elif plan.variants_by is not None and not plan.variants and "variants" not in top.spoilt:
        remedy = wording("document.add", key="variants")
        yield "variants_by", plan.variants_by.value, wording("plan.no-variants"), remedy


def _section_too_new(plan: Plan, fields: PlanFields) -> Iterator[_Clash]:
    """(key, value, what, remedy) of a section's keys that do not go with its plan."""
    for key in SECTIONS_SINCE_THIRD:
        if plan.is_numbered and fields.has(key):
            remedy = wording("plan.newer-form", form=_quoted(PLAN_FORMAT))
            yield key, "", wording("plan.key-too-new"), remedy
    if plan.variants:
        for key in ("students", "others"):
            if fields.has(key):
                yield key, "", wording("plan.for-variants"), wording("plan.leave-out")


def _secrecy(plan: Plan, top: PlanFields, practice: bool) -> Iterator[_Clash]:
    """(key, value, what, remedy) where the seed of a plan is none that stays a secret."""
    if {"format", "seed", "practice"} & top.spoilt:
        return
    if plan.format == OLD_PLAN_FORMAT:
        if top.has("practice"):
            remedy = wording("plan.newer-form", form=_quoted(PLAN_FORMAT))
            yield "practice", practice, wording("plan.key-too-new"), remedy
    elif top.has("seed") and plan.seed < LEAST_SEED and not practice:
        yield "seed", plan.seed, wording("plan.seed-guessed"), wording("plan.seed-drawn")


def _section(
    fields: PlanFields,
    points: PointsRule,
    weights: SketchWeights,
    tolerance: Fraction,
    series: Series | None,
) -> PlanSection:
    task = fields.read("task", _task, Task.ANALYSE)
    by_inspection = fields.read("by_inspection", _by_inspection, 0)
    made = PlanSection(
        title=fields.read("title", _title, ""),
        instructions=fields.read("instructions", _prose, ""),
        task=task,
        families=fields.read("families", _families, ()),
        levels=fields.read("levels", _levels, ()),
        count=fields.read("problems", _count, by_inspection),
        ask=fields.read("ask", _ask, ()),
        points=fields.read("points", _points, points),
        weights=fields.read("sketch_weights", _weights, weights),
        tolerance=fields.read("tolerance", _tolerance, tolerance),
        series=fields.read("series", _series, series),
        same_families=fields.read("same_families", flag, True),
        circuits=tuple(_circuits(fields)),
        by_inspection=by_inspection,
        groups=fields.read("groups", _groups, ()),
        values=fields.read("values", flag, False),
        slips=fields.read("slips", _slips, ()),
        students=fields.read("students", _students, ()),
        others=fields.read("others", flag, False),
    )
    for trouble in _clashes(made, fields):
        fields.trouble(*trouble)
    return made


def _clashes(made: PlanSection, fields: PlanFields) -> Iterator[_Clash]:
    """(key, value, what, remedy) of what does not fit together in a section."""
    if not made.count and not fields.has("circuits") and "problems" not in fields.spoilt:
        yield "", "", wording("plan.nothing-asked"), wording("plan.ask-something")
    yield from _inspection_clashes(made, fields)
    if fields.has("families") and fields.has("levels"):
        yield "levels", made.levels, wording("plan.families-too"), wording("plan.either")
    if made.circuits and made.task is Task.REVERSE:
        tasks = (_quoted(Task.ANALYSE), _quoted(Task.SKETCH))
        remedy = wording("plan.typed-elsewhere", tasks=tasks)
        yield "circuits", "", wording("plan.typed-reverse"), remedy
    if made.circuits and made.task is Task.PREDICT and not made.ask:
        yield "circuits", "", wording("plan.typed-predict"), wording("plan.say-what")
    askable = ASKABLE[made.task]
    for rung in made.ask:
        parent = EXPLAINED.get(rung)
        if rung not in askable:
            can = ", ".join(r.value for r in Rung if r in askable)
            what = wording("plan.not-of-task", task=made.task.value)
            yield "ask", rung.value, what, wording("plan.task-asks", rungs=can)
        elif parent and parent not in made.ask:
            remedy = wording("plan.ask-parent", rung=_quoted(parent))
            yield "ask", rung.value, wording("plan.reason-alone"), remedy
    ways = [WAYS[rung] for rung in made.ask if rung in WAYS]
    if ways and not frozenset.intersection(*ways):
        asked = " and ".join(rung.value for rung in made.ask if rung in WAYS)
        yield "ask", asked, wording("plan.one-way"), wording("plan.section-each")


NOT_INSPECTED = ("task", "families", "levels", "series", "same_families", "circuits", "slips")
"""Keys that sections by inspection have no use for: their circuits are of all kinds."""


def _inspection_clashes(made: PlanSection, fields: PlanFields) -> Iterator[_Clash]:
    """(key, value, what, remedy) of what does not go with ``by_inspection``, or needs it."""
    if not made.by_inspection:
        for key in ("groups", "values"):
            if fields.has(key):
                yield key, "", wording("plan.only-inspected"), wording("plan.inspect")
        return
    for key in NOT_INSPECTED:
        if fields.has(key):
            yield key, "", wording("plan.never-inspected"), wording("plan.leave-out")
    if made.values and made.by_inspection == NO_VALUES:
        yield "values", True, wording("plan.no-room"), wording("plan.fewer-circuits")
    for rung in made.ask:
        if rung not in LOOKED:
            can = ", ".join(rung.value for rung in LOOKED)
            what = wording("plan.not-by-inspection")
            yield "ask", rung.value, what, wording("plan.task-asks", rungs=can)


def _circuits(fields: PlanFields) -> Iterator[FixedCircuit]:
    for circuit in fields.tables("circuits", CIRCUIT_KEYS, MOST_CIRCUITS):
        title = circuit.read("title", _title, "")
        ladder = circuit.need("circuit", _circuit_text, None)
        if ladder is not None:
            yield FixedCircuit(ladder, title)


# ------------------------------------------------------------------------- one value each
#
# Each raises ValueRefused where a value does not do.


def _quoted(text: str) -> str:
    """A text as TOML writes it, in an example."""
    return f'"{text}"'


def _format(value: object) -> str:
    if isinstance(value, str) and value in PLAN_FORMATS:
        return value
    raise ValueRefused("plan.other-form", wording("plan.set-form", form=_quoted(PLAN_FORMAT)))


def _text(most: int, lines: bool) -> Callable[[object], str]:
    def read(value: object) -> str:
        if not isinstance(value, str):
            raise ValueRefused("plan.no-text", wording("plan.quote", quoted=_quoted("…")))
        if len(value) > most:
            raise ValueRefused(
                "plan.too-long", wording("document.most", most=most), count=len(value)
            )
        for sign in value:
            if ord(sign) < 32 and not (lines and sign in "\n\t\r"):
                raise ValueRefused("plan.control", wording("plan.leave-out"))
        return value.strip()

    return read


_prose = _text(MOST_INSTRUCTIONS, lines=True)
_line = _text(MOST_TITLE, lines=False)


def _not_empty(read: Callable[[object], str]) -> Callable[[object], str]:
    def reading(value: object) -> str:
        found = read(value)
        if not found:
            raise ValueRefused("document.empty", wording("plan.write-something"))
        return found

    return reading


_title = _not_empty(_line)
_called = _not_empty(_text(MOST_NAME, lines=False))
_seed = whole_of(range(SEEDS), "plan.no-whole-number", wording("plan.seeds", last=SEEDS - 1))
_count = whole_of(
    range(1, MOST_PROBLEMS + 1), "plan.no-count", wording("plan.counts", most=MOST_PROBLEMS)
)
_by_inspection = whole_of(
    ON_PAGE, "plan.no-page", wording("plan.pages", sizes=", ".join(map(str, ON_PAGE)))
)
_number_of_points = decimal_to(
    MOST_POINTS, 2, "plan.no-points", wording("plan.points", most=MOST_POINTS)
)


def _home_page(value: object) -> str:
    found = _line(value)
    if not HOME_PAGE.fullmatch(found):
        raise ValueRefused(
            "plan.no-home-page",
            wording("plan.home-page", example=_quoted("https://learn.example.edu")),
        )
    return found


def _date(value: object) -> str:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    try:
        return date.fromisoformat(value if isinstance(value, str) else "").isoformat()
    except ValueError:
        raise ValueRefused("plan.no-date", wording("plan.date")) from None


_symbols, _paper = one_of(Symbols), one_of(Paper)
_series, _task = one_of(Series), one_of(Task)
_variants_by = one_of(VariantsBy)
_label = _text(MOST_LABEL, lines=False)


def _variants(value: object) -> tuple[str, ...]:
    found = tuple(_label(one) for one in _listed(value, MOST_VARIANTS))
    if len(found) < 2 or not all(found):
        raise ValueRefused(
            "plan.few-variants",
            wording("plan.variants", example=f"[{_quoted('A')}, {_quoted('B')}]"),
        )
    if len({label.casefold() for label in found}) < len(found):
        raise ValueRefused("plan.same-variants", wording("plan.once"))
    return found


def _tolerance(value: object) -> Fraction:
    match = _PERCENT.fullmatch(value) if isinstance(value, str) else None
    found = Fraction(match[1]) / 100 if match else None
    if found is None or not _LEAST_TOLERANCE <= found <= _MOST_TOLERANCE:
        raise ValueRefused(
            "plan.no-percentage",
            wording("plan.percentages", least=_quoted("0.1 %"), most=_quoted("10 %")),
        )
    return found


def _points(value: object) -> PointsRule:
    if not isinstance(value, Mapping):
        return PointsRule(_number_of_points(value))
    kinds: list[tuple[Rung, Fraction]] = []
    each = Fraction(1)
    for name, points in value.items():
        if name == "each":
            each = read_of(name, _number_of_points, points)
        else:
            rung = Rung(choice(name, ["each", *(r.value for r in Rung)]))
            kinds.append((rung, read_of(name, _number_of_points, points)))
    return PointsRule(each, tuple(kinds))


def _weights(value: object) -> SketchWeights:
    names = [one.name for one in dataclass_fields(SketchWeights)]
    if not isinstance(value, Mapping):
        raise ValueRefused("plan.no-weights", wording("plan.weights", names=", ".join(names)))
    found = {
        choice(name, names): read_of(name, _number_of_points, weight)
        for name, weight in value.items()
    }
    return SketchWeights(**found)


def _listed(value: object, most: int) -> list[Any]:
    if not isinstance(value, list) or not value:
        raise ValueRefused(
            "plan.no-list", wording("plan.lists", examples=("[2, 3]", f"[{_quoted('type')}]"))
        )
    if len(value) > most:
        raise ValueRefused("plan.long-list", wording("document.most", most=most))
    seen: list[object] = []
    for one in value:
        if one in seen:
            raise ValueRefused("plan.twice", wording("plan.once"), value=shown(one))
        seen.append(one)
    return value


def _levels(value: object) -> tuple[int, ...]:
    found = _listed(value, len(LEVELS))
    for level in found:
        if isinstance(level, bool) or not isinstance(level, int) or level not in LEVELS:
            remedy = wording("plan.levels", last=LEVELS[-1])
            if isinstance(level, str):
                raise ValueRefused("plan.quoted-level", remedy, level=_quoted(shown(level)))
            raise ValueRefused("plan.no-level", remedy, level=shown(level))
    return tuple(found)


def _families(value: object) -> tuple[str, ...]:
    found = _listed(value, len(families.FAMILIES))
    for name in found:
        try:
            families.find(name if isinstance(name, str) else "")
        except UnknownFamily as error:
            near = wording("document.near", near=error.near)
            remedy = near if error.near else wording("plan.families")
            raise ValueRefused("plan.no-family", remedy, name=shown(name)) from None
    return tuple(found)


def _slips(value: object) -> tuple[str, ...]:
    names = sorted({slip.id for slip in SLIPS})
    return tuple(choice(one, names) for one in _listed(value, len(names)))


def _students(value: object) -> tuple[str, ...]:
    return tuple(_called(one) for one in _listed(value, MOST_STUDENTS))


def _groups(value: object) -> tuple[SkillGroup, ...]:
    names = [group.value for group in LOOKED_AT]
    wanted = [SkillGroup(choice(one, names)) for one in _listed(value, len(names))]
    return tuple(group for group in LOOKED_AT if group in wanted)


def _ask(value: object) -> tuple[Rung, ...]:
    names = [rung.value for rung in Rung]
    wanted: Collection[Rung] = {Rung(choice(one, names)) for one in _listed(value, len(names))}
    return tuple(rung for rung in Rung if rung in wanted)


def _circuit_text(value: object) -> Ladder | None:
    text = _text(MOST_CIRCUIT, lines=True)(value)
    try:
        ladder = read_circuit(text)
    except (CircuitError, NotationError) as error:
        raise ValueRefused(
            "plan.circuit-text", wording("plan.circuit-help"), trouble=error.wording
        ) from None
    for element in ladder.elements():
        if element.value is None:
            raise ValueRefused("plan.no-value", wording("plan.every-value"), name=element.name)
    return ladder
