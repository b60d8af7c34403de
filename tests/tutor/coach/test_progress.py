"""Progress as plain values: counted anew from the evidence, and written for other programs."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

import pytest
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Rung
from rungwise.tutor.coach.progress import COLUMNS, FORMAT, WEEKS, as_csv, as_object, progress_now
from rungwise.tutor.documents.progress import map as progress_map
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.skill_map import RULES, parts_of, skill_of, skills
from rungwise.tutor.store.keeper import Keeper

from tests.tutor.cli.test_command import modules, run
from tests.tutor.screens.learners import NOW, Memory, past

KEPT = past(20, 3, ("radians-as-hertz", "two-pi-twice"))


def memory() -> Memory:
    return Memory(KEPT, exam="2026-12-14")


def test_counts_are_those_of_the_evidence() -> None:
    found = progress_now(memory(), NOW)  # type: ignore[arg-type]
    asked = Counter(skill_of(piece.family, piece.rung) for piece in KEPT)
    right = Counter(
        skill_of(piece.family, piece.rung) for piece in KEPT if piece.outcome is Outcome.CLEAN
    )
    assert {line.skill for line in found.lines} == set(skills())
    for line in found.lines:
        assert (line.asked, line.right) == (asked[line.skill], right[line.skill])
        assert line.asked == 0 or line.state != "new"
        # What was never asked of a circuit may be known all the same: it is one rule for all.
        assert line.asked or line.state in ("new", "known", "due")
        assert 0 <= line.known <= 1 and line.asked == line.right + line.wrong + line.aided
    seconds = Counter[str]()
    for piece in KEPT:
        seconds[skill_of(piece.family, piece.rung)] += piece.seconds  # type: ignore[assignment]
    for line in found.lines:
        if line.asked:
            assert line.seconds == pytest.approx(seconds[line.skill] / line.asked)


def test_slips_week_by_week() -> None:
    found = progress_now(memory(), NOW)  # type: ignore[arg-type]
    for course in found.slips:
        for ago, count in enumerate(reversed(course.weeks)):
            last = NOW.date() - timedelta(days=7 * ago)
            days = {last - timedelta(days=n) for n in range(7)}
            assert count == sum(
                piece.slips[:1] == (course.slip,) and piece.when.date() in days for piece in KEPT
            )
        assert len(course.weeks) == WEEKS and sum(course.weeks)
    totals = [sum(course.weeks) for course in found.slips]
    assert totals == sorted(totals, reverse=True) and totals


def test_the_json_is_plain_and_complete() -> None:
    found = progress_now(memory(), NOW)  # type: ignore[arg-type]
    read = json.loads(json.dumps(as_object(found, "Ada")))
    assert read["format"] == FORMAT and read["learner"] == "Ada"
    assert read["exam"] == "2026-12-14" and read["days_to_exam"] == 19
    assert read["asked"] == len(KEPT)
    assert all(set(skill) == set(COLUMNS) for skill in read["skills"])
    assert all(date.fromisoformat(review["day"]) < date(2026, 12, 14) for review in read["reviews"])


def test_the_csv_reads_back() -> None:
    found = progress_now(memory(), NOW)  # type: ignore[arg-type]
    text = as_csv(found)
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == COLUMNS and len(rows) == len(found.lines)
    assert sum(int(row["asked"]) for row in rows) == len(KEPT)
    assert text.endswith("\r\n") and text.count("\n") == text.count("\r\n")
    assert not any(cell[:1] in ("=", "+", "-", "@") for row in rows for cell in row.values())


def test_the_map_has_a_place_for_every_skill() -> None:
    predicted = {rung for rungs in RULES.values() for rung in rungs}
    assert sorted(progress_map.columns()) == sorted(set(Rung) - predicted)
    shown = {
        progress_map.skill_at((row, column))
        for row in range(len(progress_map.rows()) + len(RULES) // 2 + 1)
        for column in range(len(progress_map.columns()))
    }
    by_group = {skill for skill in skills() if parts_of(skill)[1] not in predicted}
    assert by_group < shown - {None} < set(skills())
    assert {parts_of(skill)[1] for skill in shown - {None} - by_group} == predicted


def test_moving_about_the_map_reaches_every_skill() -> None:
    found = progress_now(memory(), NOW)  # type: ignore[arg-type]
    seen, todo = set[progress_map.Spot](), [progress_map.first_spot(found)]
    while todo:
        spot = todo.pop()
        if spot not in seen:
            seen.add(spot)
            assert progress_map.skill_at(spot) is not None
            todo += [progress_map.moved(spot, *way) for way in ((0, 1), (1, 0), (0, -1), (-1, 0))]
    predicted = {rung for rungs in RULES.values() for rung in rungs}
    by_group = [skill for skill in skills() if parts_of(skill)[1] not in predicted]
    assert len(seen) == len(by_group) + len(predicted)


# The command


@pytest.fixture
def climbed(tmp_path: Path) -> str:
    keeper, wish = Keeper("", tmp_path), ProblemRequest(1, None, 3)
    climb = Climb(wish.problem(), keeper.begin(wish))
    while not climb.done:
        if climb.position % 2:
            climb.answer("77")
        climb.answer(right_text(climb.current.question))
    keeper.set("exam", "2099-01-01")
    keeper.close()
    return str(tmp_path)


def test_the_command_prints_a_page_json_and_csv(climbed: str) -> None:
    page = run("progress", RUNGWISE_HOME=climbed)
    assert page.returncode == 0 and "All skills" in page.stdout and "One pole" in page.stdout
    assert max(map(len, page.stdout.splitlines())) <= 80
    read = json.loads(run("progress", "--json", RUNGWISE_HOME=climbed).stdout)
    assert read["format"] == FORMAT and read["asked"] > 5 and read["exam"] == "2099-01-01"
    rows = list(csv.reader(io.StringIO(run("progress", "--csv", RUNGWISE_HOME=climbed).stdout)))
    assert tuple(rows[0]) == COLUMNS


@pytest.mark.parametrize("form", ["", "--json", "--csv", "--html"])
def test_no_form_of_it_needs_a_screen(
    climbed: str, form: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RUNGWISE_HOME", climbed)
    words = ["rungwise", "progress", *filter(None, [form])]
    loaded = modules(
        f"import sys\nsys.argv = {words}\nfrom rungwise.tutor.cli.main import main\nmain()",
        whole=True,
    )
    assert "rungwise.tutor.coach.progress" in loaded
    assert not [name for name in loaded if name.split(".")[0] in ("textual", "rich")]
    assert not [name for name in loaded if name.startswith("rungwise.tutor.screens")]


def test_the_command_without_a_record(tmp_path: Path) -> None:
    done = run("progress", RUNGWISE_HOME=str(tmp_path / "none"))
    assert done.returncode == 0 and "No circuit has been answered in full yet" in done.stdout
    assert not (tmp_path / "none").exists()
    read = json.loads(run("progress", "--json", RUNGWISE_HOME=str(tmp_path)).stdout)
    assert read["asked"] == 0 and len(read["skills"]) == len(skills())


def test_bad_usage_and_a_record_that_is_none(climbed: str, tmp_path: Path) -> None:
    both = run("progress", "--json", "--csv", RUNGWISE_HOME=climbed)
    assert both.returncode == 2 and "not both" in both.stderr
    (tmp_path / "bad").mkdir()
    (tmp_path / "bad" / "record.sqlite3").write_bytes(b"no database at all" * 100)
    done = run("progress", RUNGWISE_HOME=str(tmp_path / "bad"))
    assert "Traceback" not in done.stderr
