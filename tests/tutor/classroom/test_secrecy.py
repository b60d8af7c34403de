"""What a student or a marker holds leads to no other key: neither by inversion nor by guessing."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from rungwise.problems.chance import Chance
from rungwise.problems.grading.grade import right_text
from rungwise.problems.sheets.documents import key_document, key_of, sealed_document
from rungwise.problems.sheets.keyed_chance import lot_seed, whose_chance
from rungwise.problems.sheets.lots import draft, families_of
from rungwise.problems.sheets.model import (
    LEAST_SEED,
    OLD_PLAN_FORMAT,
    PLAN_FORMAT,
    PLAN_FORMATS,
    Plan,
    PlanSection,
    SheetError,
    Student,
)
from rungwise.problems.sheets.plan import plan_of
from rungwise.problems.sheets.problems import pool, problem_of
from rungwise.tutor.classroom.handins.files import Answers
from rungwise.tutor.classroom.making.make import MakingJob as Making
from rungwise.tutor.classroom.making.make import make
from rungwise.tutor.classroom.making.workers import Here
from rungwise.tutor.classroom.marking.jobs import MarkingJob, mark_one
from rungwise.tutor.cli.sheet import sheet as command
from rungwise.tutor.language.errors import worded

from tests.tutor.classroom.old_plan.make import FORMS, HERE, digests, given

from .plans import example

SECRET = 2**61 + 987_654_321_012_345
SECTION = PlanSection(levels=(2,), count=2)
NEW = Plan("Filters", SECRET, (SECTION,))
OLD = replace(NEW, format=OLD_PLAN_FORMAT)
MASK = 2**64 - 1
WEAK = 100_000
"""The dictionary: seeds below this, as a hand types them."""


@pytest.mark.parametrize("form", FORMS)
def test_an_old_plan_makes_the_bytes_that_it_always_made(form: str) -> None:
    assert digests(form) == given(form)


# ------------------------------------------------------------------------------- inversion


def back(word: int) -> int:
    """The state of SplitMix64 before it gave this word."""
    word ^= word >> 31 ^ word >> 62
    word = word * pow(0x94D049BB133111EB, -1, 2**64) & MASK
    word ^= word >> 27 ^ word >> 54
    word = word * pow(0xBF58476D1CE4E5B9, -1, 2**64) & MASK
    word ^= word >> 30 ^ word >> 60
    return word - 0x9E3779B97F4A7C15 & MASK


def inverted(lot: int, *path: str | int) -> Iterator[int]:
    """The seeds that could have led to a lot's seed along a path; its lowest bit was dropped."""
    mixed = "".join(f"{part}/" for part in path).encode()
    for low in (0, 1):
        state = back(lot << 1 | low)
        for byte in reversed(mixed):
            state = back(state ^ byte)
        yield state


def test_a_chance_is_inverted() -> None:
    given = Chance(SECRET, "lot", 3, 1, 4, 15).bits()
    assert SECRET in set(inverted(given >> 1, "lot", 3, 1, 4, 15))


@pytest.mark.parametrize(("plan", "found"), [(OLD, True), (NEW, False)], ids=["old", "new"])
def test_no_lot_gives_the_plans_seed_back(plan: Plan, found: bool) -> None:
    """The attack on one student's lots; in an old key they stand written."""
    drawn = draft(plan, Student(3))
    if found:
        assert [item.problem.seed for item in drawn.variant.key.items] == [
            lot.seed for lot in drawn.lots
        ]
    candidates = {
        seed
        for place, lot in enumerate(drawn.lots)
        for attempt in range(20)
        for seed in inverted(lot.seed, "lot", 0, place, 3, attempt)
    }
    assert (SECRET in candidates) is found


# ------------------------------------------------------------------------------- guessing


def test_a_weak_seed_is_found_and_a_drawn_one_is_not() -> None:
    """Few guesses are tried where the order of families rules most of them out."""
    section = PlanSection(families=pool(PlanSection(levels=(2, 3)))[:8], count=8)
    for form in PLAN_FORMATS:
        weak = Plan("Filters", 2027, (section,), format=form)
        assert found(weak) == 2027, form
    assert found(replace(NEW, sections=(section,))) is None


def found(plan: Plan) -> int | None:
    """The seed below :data:`WEAK` that makes a plan's sheet, going by what is printed on it.

    The families can be told from the circuits; then the values decide.
    """
    drawn, whose = draft(plan, Student(3)), whose_chance(plan, Student(3))
    told = [item.problem.family for item in drawn.variant.key.items]
    first = drawn.variant.sheet.items[0].ladder
    section = plan.sections[0]
    for seed in range(WEAK):
        tried = replace(plan, seed=seed)
        if list(families_of.__wrapped__(tried, 0, whose)) == told:
            lot = lot_seed(tried, 0, 0, whose, 0)
            if problem_of(section, told[0], lot).ladder == first:
                return seed
    return None


# ------------------------------------------------------------------------------- what is refused


def least(**keys: object) -> dict[str, object]:
    return {"format": PLAN_FORMAT, "title": "T", "sections": [{"problems": 1}], **keys}


@pytest.mark.parametrize("seed", [0, 1, 2027, LEAST_SEED - 1])
def test_a_weak_seed_is_refused(seed: int) -> None:
    with pytest.raises(SheetError) as caught:
        plan_of(least(seed=seed))
    (trouble,) = caught.value.troubles
    assert trouble.path == "seed" and trouble.value == str(seed)
    remedy = worded(trouble.remedy)
    assert "`rungwise sheet start`" in remedy and "practice = true" in remedy
    with pytest.raises(SheetError):
        plan_of(least(seed=seed, practice=False))
    assert plan_of(least(seed=seed, practice=True)).seed == seed
    assert plan_of(least(seed=seed, format=OLD_PLAN_FORMAT)).seed == seed


def test_a_seed_of_its_own_is_taken() -> None:
    assert plan_of(least(seed=LEAST_SEED)) == plan_of(least(seed=LEAST_SEED, practice=True))


def test_practice_is_none_of_an_old_plan() -> None:
    with pytest.raises(SheetError, match="practice"):
        plan_of(least(seed=3, format=OLD_PLAN_FORMAT, practice=True))


def test_the_example_cannot_be_used_as_it_was_shipped() -> None:
    """Its seed is in every copy: start draws another."""
    with pytest.raises(SheetError, match="seed"):
        plan_of(example() | {"seed": 0})


def test_start_draws_a_seed_that_cannot_be_guessed(tmp_path: Path) -> None:
    seeds = set()
    for name in ("a.toml", "b.toml"):
        done = CliRunner().invoke(command, ["start", str(tmp_path / name)])
        assert done.exit_code == 0, done.output
        plan = plan_of(tomllib.loads((tmp_path / name).read_text(encoding="utf-8")))
        assert plan.format == PLAN_FORMAT and plan.seed >= LEAST_SEED
        seeds.add(plan.seed)
    assert len(seeds) == 2


# ------------------------------------------------------------------------------- what is written


def test_no_file_holds_a_seed(tmp_path: Path) -> None:
    """Neither what students get nor what a marker needs."""
    plan = plan_of(example())
    make(Making(plan, (Student(1, "Ann"), Student(2, "Bob")), tmp_path, ("json", "text", "html")),
         Here())  # fmt: skip
    lots = [lot.seed for n in (1, 2) for lot in draft(plan, Student(n)).lots if lot.seed]
    assert len(lots) == 12
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert len(files) > 12
    for path in files:
        data = path.read_text(encoding="utf-8-sig")
        for secret in (plan.seed, *lots):
            assert str(secret) not in data and f"{secret:x}" not in data, path
        if path.name == "key.json":
            assert '"seed"' not in data


def test_another_seed_is_another_plan_to_a_folder_though_it_holds_none() -> None:
    assert sealed_document(NEW) != sealed_document(replace(NEW, seed=SECRET + 1))
    assert str(SECRET) not in json.dumps(sealed_document(NEW))


# ------------------------------------------------------------------------------- marking


def test_keys_without_seeds_mark_and_so_do_old_ones() -> None:
    for data in (
        (HERE / "key.json").read_bytes(),
        json.dumps(key_document(draft(NEW, Student(1)).variant.key)).encode(),
    ):
        key = key_of(json.loads(data))
        assert key_document(key) == json.loads(data)
        answers = {
            f"{item.number}.{place}": right_text(question)
            for item in key.items
            for place, question in enumerate(item.problem.questions, 1)
        }
        handed = Answers(answers=tuple((number, (text,)) for number, text in answers.items()))
        result = mark_one(MarkingJob(1, data, handed))
        assert not result.trouble
        assert sum(p.points for p in result.problems) == sum(p.of for p in result.problems) > 0


def test_a_new_key_with_a_seed_is_not_as_it_was_made() -> None:
    document = key_document(draft(NEW, Student(1)).variant.key)
    document["items"][1]["problem"]["seed"] = 5
    with pytest.raises(SheetError, match=r"items\[1\]\.problem\.seed"):
        key_of(document)
