"""From hand-ins that were really marked to the report, the follow-up and the exports."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from rungwise.problems.sheets.lots import check
from rungwise.problems.sheets.model import Paper, Symbols
from rungwise.problems.sheets.plan import plan_of
from rungwise.problems.sketches.model import GainSketch
from rungwise.problems.sketches.write import write
from rungwise.tutor.classroom.marking.marks import QuestionOutcome, marks_of
from rungwise.tutor.cli.sheet import sheet

from .handed_in import PLAN, as_csv, folder_of, hand_in_all, key_for, make_class, typed

STUDENTS = 6


def run(*words: str | Path) -> str:
    result = CliRunner().invoke(sheet, [str(word) for word in words])
    assert result.exit_code == 0, result.output
    return result.output


def nearly(number: int) -> dict[str, str]:
    """A gain sketch of a student's sheet, 5 dB too high: all but its level."""
    for item in key_for(number).items:
        for place, question in enumerate(item.problem.questions, 1):
            if isinstance(question.truth, GainSketch):
                high = replace(question.truth, level=question.truth.level + 5)
                return {f"{item.number}.{place}": write(high)}
    raise AssertionError("no gain is sketched")


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out, back = tmp_path_factory.mktemp("out"), tmp_path_factory.mktemp("back")
    make_class(out, STUDENTS + 1)
    hand_in_all(back, STUDENTS)
    (back / folder_of(1) / "answers.csv").write_bytes(as_csv(1, typed(1, 1) | nearly(1)))
    run("mark", out, back, "--workers", "1")
    run("report", out / "marks")
    return out


def test_the_report_counts_what_was_marked(out: Path) -> None:
    marks = marks_of(json.loads((out / "marks" / "marks.json").read_bytes()))
    told = json.loads((out / "marks" / "report.json").read_bytes())
    assert (told["handed_in"], told["expected"]) == (STUDENTS, STUDENTS + 1)
    questions = [q for s in marks.students for p in s.problems for q in p.questions]
    for outcome in QuestionOutcome:
        counted = sum(item[outcome.value] for item in told["items"])
        assert counted == sum(q.verdict is outcome for q in questions)
    named = sum(q.verdict is QuestionOutcome.WRONG and bool(q.slips) for q in questions)
    assert sum(slip["times"] for slip in told["slips"]) == named > 5
    points = {one["number"]: Fraction(one["points"]) for one in told["students"]}
    assert points == {s.number: s.points for s in marks.students if s.problems}
    # Sketches have parts of their points.
    assert any(p.denominator > 1 for p in points.values())


def test_the_plan_that_follows_can_be_made(out: Path) -> None:
    plan = plan_of(tomllib.loads((out / "marks" / "follow-up.toml").read_text("utf-8")))
    check(plan)
    assert plan.course == "EE 201"


def test_what_is_exported_is_of_the_same_class(out: Path, tmp_path: Path) -> None:
    run("export", out, "--each", "--to", tmp_path / "package")
    folders = sorted(p.name for p in (tmp_path / "package").iterdir() if p.is_dir())
    assert folders == [f"sheet-{n:02d}" for n in range(1, STUDENTS + 2)]
    run("export", out, "--xapi", "--to", tmp_path / "results.jsonl")
    lines = (tmp_path / "results.jsonl").read_text("utf-8").splitlines()
    scored = [json.loads(line) for line in lines if "/verbs/scored" in line]
    report = json.loads((out / "marks" / "report.json").read_bytes())
    raw = [float(Fraction(one["points"])) for one in report["students"]]
    assert [one["result"]["score"]["raw"] for one in scored] == raw


def test_the_report_is_told_no_key(out: Path) -> None:
    """What may be shown to the class holds no seed and no right answer."""
    run("report", out / "marks", "--anonymous", "--out", out / "shown", "--formats", "html,json")
    seal = json.loads((out / "keys" / "class.json").read_bytes())["plan"]["seed"]
    key = json.loads((out / "keys" / folder_of(1) / "key.json").read_bytes())
    for file in (out / "shown").iterdir():
        text = file.read_text("utf-8")
        assert seal not in text and str(PLAN.seed) not in text
        for item in key["items"]:
            assert "seed" not in item["problem"]
            for question in item["problem"]["questions"]:
                truth = str(question["truth"])
                assert len(truth) < 12 or truth not in text


def test_a_report_with_names_does_not_go_among_the_students_files(out: Path) -> None:
    place = out / "students" / folder_of(1) / "new"
    result = CliRunner().invoke(sheet, ["report", str(out / "marks"), "--out", str(place)])
    assert result.exit_code == 2
    assert "students' files" in result.output
    assert not place.exists()
    run("report", out / "marks", "--anonymous", "--out", place, "--formats", "html")
    assert [path.name for path in place.iterdir()] == ["report-anonymous.html"]


def test_symbols_and_paper_go_on_to_the_plan_that_follows(tmp_path: Path) -> None:
    plan = replace(PLAN, symbols=Symbols.IEC, paper=Paper.LETTER)
    out, back = tmp_path / "out", tmp_path / "back"
    make_class(out, 3, plan)
    hand_in_all(back, 3, plan=plan)
    run("mark", out, back, "--workers", "1")
    run("report", out / "marks", "--formats", "json")
    found = plan_of(tomllib.loads((out / "marks" / "follow-up.toml").read_text("utf-8")))
    assert (found.symbols, found.paper) == (Symbols.IEC, Paper.LETTER)
