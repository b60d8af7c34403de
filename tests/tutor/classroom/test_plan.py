"""Plan files: what is read, and that everything wrong is told with its place and remedy."""

from __future__ import annotations

import copy
import datetime
from fractions import Fraction
from typing import Any

import jsonschema
import pytest
from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Rung, Task
from rungwise.problems.sheets.documents import plan_document, plan_from
from rungwise.problems.sheets.lots import check, draft
from rungwise.problems.sheets.model import (
    Paper,
    Plan,
    PlanTrouble,
    PointsRule,
    Series,
    SheetError,
    Student,
    Symbols,
)
from rungwise.problems.sheets.plan import PLAN_KEYS, SECTION_KEYS, plan_of
from rungwise.problems.sketches.weights import SketchWeights
from rungwise.tutor.language.errors import worded

from tests.golden.make_schema import FILE, text
from tests.golden.plan_schema import schema

from .plans import example

SEED = 2**48 + 3
LEAST: dict[str, Any] = {
    "format": "rungwise.plan/3",
    "title": "A sheet",
    "seed": SEED,
    "sections": [{"levels": [1], "problems": 2}],
}


def changed(**keys: object) -> dict[str, Any]:
    return copy.deepcopy({**LEAST, **keys})


def section(**keys: object) -> dict[str, Any]:
    return changed(sections=[{"problems": 2, **keys}])


def troubles(data: dict[str, Any]) -> list[PlanTrouble]:
    with pytest.raises(SheetError) as caught:
        plan_of(data)
    return list(caught.value.troubles)


def test_the_example_says_what_it_says() -> None:
    plan = plan_of(example())
    assert plan.title == "Two-pole filters by inspection"
    assert plan.date == "2026-12-03"
    assert plan.symbols is Symbols.IEEE
    assert plan.unshared
    inspection, crossover, sketches, *back = plan.sections
    assert inspection.count == 3
    assert inspection.ask == (
        Rung.FED, Rung.TYPE, Rung.TYPE_REASON, Rung.POLES, Rung.HIGH_SLOPE
    )  # fmt: skip
    assert inspection.tolerance == Fraction(2, 100)
    assert inspection.points.of(Rung.CORNER) == 2
    assert crossover.tolerance == Fraction(5, 100)
    assert crossover.circuits[0].title == "To the tweeter"
    assert sketches.task is Task.SKETCH
    assert sketches.points.of(Rung.GAIN_SKETCH) == 4
    assert {section.task for section in back} == {Task.REVERSE}
    check(plan)
    # Nobody can have more points than others.
    sheets = [draft(plan, Student(number)).variant.sheet for number in range(1, 9)]
    assert {sheet.points for sheet in sheets} == {Fraction(32)}


def test_the_example_names_every_key() -> None:
    from .plans import EXAMPLE

    words = EXAMPLE.read_text(encoding="utf-8")
    for key in (*PLAN_KEYS, *SECTION_KEYS):
        assert key in words, key


def test_the_example_draws_what_it_says() -> None:
    """So many problems and points, for whomever it is."""
    from .plans import EXAMPLE

    said = " ".join(EXAMPLE.read_text(encoding="utf-8").replace("#", " ").split())
    for student in (Student(1, "Ann"), Student(2, "Bo")):
        sheet = draft(plan_of(example()), student).variant.sheet
        assert f"{len(sheet.items)} problems with {sheet.points} points in all" in said
    levels = [section.get("levels") for section in example()["sections"]]
    assert levels == [[2, 3], None, [3], [2, 3, 4], [2, 3, 4]]  # whose families it names


def test_what_is_left_out() -> None:
    plan = plan_of(LEAST)
    assert plan == Plan("A sheet", SEED, plan.sections)
    assert plan.sections[0].ask == ()
    assert plan.sections[0].points == PointsRule()
    assert plan.sections[0].series is None


def test_the_paper_is_the_plans() -> None:
    assert plan_of(LEAST).paper is Paper.A4
    plan = plan_of(changed(paper="us-letter"))
    assert draft(plan, Student(1)).variant.sheet.heading.paper is Paper.LETTER
    assert plan_from(plan_document(plan)) == plan


@pytest.mark.parametrize("written", ["1.1", "0.29", "0.57", "0.07", "2.2", "999.99"])
def test_points_are_the_decimal_number_that_is_written(written: str) -> None:
    """Many a decimal times a hundred is no whole number in binary."""
    assert plan_of(changed(points=float(written))).sections[0].points.each == Fraction(written)


def test_sections_have_what_the_plan_has() -> None:
    weights = {"breaks": 0, "lines": 1.5}
    plan = plan_of(changed(tolerance="3 %", series="E24", points=2, sketch_weights=weights))
    assert plan.sections[0].tolerance == Fraction(3, 100)
    assert plan.sections[0].series is Series.E24
    assert plan.sections[0].points == PointsRule(Fraction(2))
    assert plan.sections[0].weights == SketchWeights(Fraction(3, 2), Fraction(0), Fraction(1))
    assert plan_from(plan_document(plan)) == plan
    assert "weights" not in str(plan_document(plan_of(LEAST)))
    [variant] = [draft(plan, Student(1)).variant]
    assert {item.weights for item in variant.key.items} == {plan.sections[0].weights}


@pytest.mark.parametrize(
    ("data", "path", "says"),
    [
        (changed(titel="x"), "titel", "did you mean title?"),
        (changed(format="rungwise.plan/9"), "format", "rungwise.plan/3"),
        (changed(title=" "), "title", "write something"),
        (changed(title="a\x1b[2J"), "title", "control character"),
        (changed(title="x" * 201), "title", "at most 200"),
        (changed(seed="7"), "seed", "whole number"),
        (changed(seed=2**63), "seed", "whole number"),
        (changed(seed=True), "seed", "whole number"),
        (changed(date="tomorrow"), "date", "2026-12-03"),
        (changed(date=datetime.datetime(2026, 1, 1)), "date", "a date"),
        (changed(language="de"), "language", "it is one of en"),
        (changed(symbols="iec"), "symbols", "iec-60617"),
        (changed(paper="letter"), "paper", "us-letter"),
        (changed(unshared_values="yes"), "unshared_values", "true or false"),
        (changed(tolerance=2), "tolerance", "in quotes"),
        (changed(tolerance="20 %"), "tolerance", "10 %"),
        (changed(tolerance="0.01 %"), "tolerance", "0.1 %"),
        (changed(series="E48"), "series", "E24"),
        (changed(points=-1), "points", "from 0"),
        (changed(points={"corners": 2}), "points", "did you mean corner"),
        (changed(points=0.123), "points", "two decimals"),
        (changed(sketch_weights=2), "sketch_weights", "{ lines = 2, breaks = 1, level = 1 }"),
        (changed(sketch_weights={"line": 2}), "sketch_weights", "did you mean lines"),
        (changed(sketch_weights={"lines": -2}), "sketch_weights", "lines = -2"),
        (changed(points={"corner": {"a": 1}}), "points", "corner = {"),
        (changed(seed=16**9999), "seed", "thousands of digits"),
        (changed(points=16**9999), "points", "thousands of digits"),
        (changed(unshared_values=16**9999), "unshared_values", "true or false"),
        (changed(points=float("nan")), "points", "a number"),
        (changed(sections=[]), "sections", "[[sections]]"),
        (changed(sections={"levels": [1]}), "sections", "[[sections]]"),
        (changed(sections=[3]), "sections[0]", "table"),
        (changed(sections=[{}]), "sections[0]", "problems = 3"),
        (section(level=[1]), "sections[0].level", "did you mean levels?"),
        (section(levels=[8]), "sections[0].levels", "from 1 to 7"),
        (section(levels=[]), "sections[0].levels", "such as [2, 3]"),
        (section(levels=[2, 2]), "sections[0].levels", "twice"),
        (section(levels=3), "sections[0].levels", "a list"),
        (section(families=["rc-low-pas"]), "sections[0].families", "did you mean rc-low-pass"),
        (section(families=[{}]), "sections[0].families", "no family"),
        (section(families=["rc-low-pass"], levels=[1]), "sections[0].levels", "either"),
        (section(problems=51), "sections[0].problems", "1 to 50"),
        (section(problems="3"), "sections[0].problems", '(found "3")'),
        (section(ask=["typ"]), "sections[0].ask", "did you mean type?"),
        (section(ask=["type-reason"]), "sections[0].ask", 'ask "type" as well'),
        (section(ask=["gain-sketch"]), "sections[0].ask", "cannot ask this"),
        (
            section(task="reverse", ask=["which-circuit", "missing-arm"]),
            "sections[0].ask",
            "only one of these",
        ),
        (section(task="sketching"), "sections[0].task", "did you mean sketch?"),
        (section(circuits=[{"circuit": "series Q"}]), "sections[0].circuits[0].circuit", "R1"),
        (section(circuits=[{"circuit": "shunt C1"}]), "sections[0].circuits[0].circuit", "C1 has"),
        (section(circuits=[{"title": "x"}]), "sections[0].circuits[0].circuit", "missing"),
        (
            section(task="reverse", circuits=[{"circuit": "series R 1 kΩ; shunt C 1 nF"}]),
            "sections[0].circuits",
            "asked for by its response",
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told(data: dict[str, Any], path: str, says: str) -> None:
    found = troubles(data)
    assert [t.path for t in found] == [path]
    told = worded(found[0].wording)
    assert says in told
    assert found[0].remedy
    assert told.isprintable()


def test_everything_wrong_is_told_at_once() -> None:
    found = troubles(changed(title="", seed=-1, sections=[{"problems": 0}, {"levels": [9]}]))
    assert [t.path for t in found] == [
        *("title", "seed", "sections[0].problems", "sections[1].levels", "sections[1]"),
    ]


def test_what_can_not_be_asked_is_refused_before_anything_is_made() -> None:
    plan = plan_of(
        changed(
            sections=[
                {"families": ["rc-low-pass"], "ask": ["q"], "problems": 1},
                {"levels": [1], "ask": ["bandwidth"], "problems": 1},
                {"circuits": [{"circuit": "series R 1 kΩ; shunt C 1 nF"}], "ask": ["q"]},
            ]
        )
    )
    with pytest.raises(SheetError) as caught:
        check(plan)
    assert [t.path for t in caught.value.troubles] == [
        *("sections[0].families", "sections[1].ask", "sections[2].circuits[0]"),
    ]


def typed_plan(circuit: str, *ask: str) -> Plan:
    keys = {"ask": list(ask)} if ask else {}
    return plan_of(changed(sections=[{"circuits": [{"circuit": circuit}], **keys}]))


STEP = "series R1 = {} kΩ; shunt R2 = 1 kΩ + C1 = 100 nF"
TRAP = "source 1 kΩ; shunt L1 = 10 mH + R1 = {} Ω + C1 = 1 nF; load 1 kΩ"


@pytest.mark.parametrize(
    ("circuit", "ask", "told"),
    [
        (
            STEP.format(10),
            ("type",),
            ("0.8 dB from a limit", "20.8 dB below", "blocked from 20 dB"),
        ),
        (STEP.format(8), ("low-end",), ("0.9 dB from a limit", "19.1 dB below", "blocked from")),
        (STEP.format(1.2), ("low-end",), ("0.8 dB from", "6.8 dB below", "passed up to 6 dB")),
        (TRAP.format(50), ("type",), ("0.8 dB from", "20.8 dB deep", "counts as a notch from 20")),
        (STEP.format(10), (), ("0.8 dB from a limit", "type")),
    ],
)
def test_a_borderline_circuit_is_told_before_a_key_is_made(
    circuit: str, ask: tuple[str, ...], told: tuple[str, ...]
) -> None:
    with pytest.raises(SheetError) as caught:
        check(typed_plan(circuit, *ask))
    (trouble,) = caught.value.troubles
    assert trouble.path == "sections[0].circuits[0]"
    words = worded(trouble.wording)
    for part in (*told, "borderline", "change a value so that it is 3 dB or more away", *ask):
        assert part in words, words


@pytest.mark.parametrize("circuit", [STEP.format(10), STEP.format(1.2), TRAP.format(50)])
def test_a_borderline_circuit_may_be_asked_what_its_name_has_no_part_in(circuit: str) -> None:
    check(typed_plan(circuit, "poles", "zeros", "corner"))


def test_a_circuit_that_is_far_from_every_limit_is_keyed_by_what_its_gain_does() -> None:
    crystal_set = "source 100 kΩ; shunt (L1 = 250 µH + R1 = 5 Ω) || C1 = 100 pF; load 1 MΩ"
    plan = typed_plan(crystal_set, "type", "fed", "corner", "q")
    check(plan)
    (problem,) = (item.problem for item in draft(plan, Student(1)).variant.key.items)
    assert {q.rung: q.truth for q in problem.questions}[Rung.TYPE] == "band-pass"


def test_what_an_older_sheet_asked_of_a_typed_circuit_can_still_be_marked() -> None:
    """Of an end that is neither passed nor blocked nothing is asked any more."""
    plan = typed_plan(STEP.format(3.3), "high-end")
    with pytest.raises(SheetError, match="no-answer"):
        check(plan)
    (problem,) = (item.problem for item in draft(plan, Student(1)).variant.key.items)
    assert [q.truth for q in problem.questions] == ["passes"]


def test_the_shipped_schema_is_the_tables() -> None:
    assert FILE.read_text(encoding="utf-8") == text()
    jsonschema.Draft202012Validator.check_schema(schema())


def plain(data: Any) -> Any:
    """TOML's values as JSON has them."""
    if isinstance(data, dict):
        return {key: plain(value) for key, value in data.items()}
    if isinstance(data, list):
        return [plain(one) for one in data]
    return data.isoformat() if isinstance(data, datetime.date) else data


VALUES: tuple[object, ...] = (
    *(0, -1, 3, 2.5, 10**30, True, None, "", " ", "x" * 5000, "\x1b[31m", "2 %", "E12", "sketch"),
    *([], [1], ["type"], ["type", "type"], [[]], {}, {"each": 2}, {"a": {"b": []}}, "‮évil", "type"),
    *(float("inf"), datetime.date(2026, 1, 2), [{"circuit": "series R 1 kΩ; shunt C 1 nF"}]),
)  # fmt: skip


def places(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The paths to everything in some values."""
    found = [path] if path else []
    inside = (
        data.items()
        if isinstance(data, dict)
        else enumerate(data)
        if isinstance(data, list)
        else ()
    )
    for key, value in inside:
        found += places(value, (*path, key))
    return found


def mutated(chance: Chance) -> dict[str, Any]:
    """The example with one to three things in it changed."""
    data = example()
    for _ in range(1 + chance.below(3)):
        *way, last = chance.pick(places(data))
        inner = data
        for step in way:
            inner = inner[step]
        match chance.below(4):
            case 0:
                del inner[last]
            case 1 if isinstance(inner, dict):
                inner[str(last) + chance.pick(("s", "", "x"))] = inner.pop(last)
            case 2 if isinstance(inner, list):
                inner.append(copy.deepcopy(inner[last]))
            case _:
                inner[last] = copy.deepcopy(chance.pick(VALUES))
    return data


def test_a_thousand_mutated_plans_are_plans_or_told_what_is_wrong() -> None:
    checker = jsonschema.Draft202012Validator(schema(), format_checker=jsonschema.FormatChecker())
    plans = 0
    for number in range(1000):
        data = mutated(Chance(number, "mutants"))
        try:
            plan_of(data)
        except SheetError as error:
            for trouble in error.troubles:
                assert trouble.what
                assert trouble.remedy
                assert worded(trouble.wording).isprintable(), trouble
        else:
            plans += 1
            # Whatever is read as a plan fits the schema.
            checker.validate(plain(data))
    assert 50 < plans < 950


def test_damaged_plan_files_are_plans_or_told_what_is_wrong() -> None:
    """In small; ``python -m tests.studies.mutants plans`` makes a thousand."""
    from .mutant_plans import survey

    outcomes = survey(60, seed=2)
    assert outcomes["refused"] > 10
    assert outcomes["made"] > 5
