"""The rehearsal without a screen: order, clock, result; and its plain lines."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from rungwise.problems.catalogue.families import find
from rungwise.problems.chance import Chance
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Task
from rungwise.tutor.coach.rehearsal_run import RehearsalRun, begin
from rungwise.tutor.language.texts import fill
from rungwise.tutor.learning.choice import made
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.rehearsal import ASLEEP, MINUTES_EACH, Rehearsal, minutes_for, mixed
from rungwise.tutor.learning.skill_map import skill_of
from rungwise.tutor.phrases.rehearsal import left
from rungwise.tutor.plain.drill import PlainDrill
from rungwise.tutor.plain.rehearsal import PlainRehearsal
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.rehearsals import latest

from tests.tutor.screens.learners import NOW
from tests.tutor.store.climbing import wrong_text

ROOT = Path(__file__).parents[3]


def rehearsal(count: int = 3, minutes: float = 10, seed: int = 5) -> Rehearsal:
    wishes = mixed(count, Chance(seed))
    return Rehearsal(wishes, [made(wish) for wish in wishes], NOW, minutes)


# Order


def test_questions_come_in_order_and_what_was_left_is_left_for_good() -> None:
    exam = rehearsal()
    seen = []
    while not exam.complete:
        seen.append(exam.places[exam.at])
        number, at = seen[-1]
        assert exam.reached[number] == at
        exam.leave()
    assert seen == list(exam.places) and exam.open == len(exam.places)
    assert all(not exam.waits(number) for number in range(3))


def test_one_turns_between_problems_but_never_back_to_a_question() -> None:
    exam = rehearsal()
    exam.leave()
    exam.turn(1)
    assert exam.places[exam.at] == (1, 0)
    exam.turn(-1)
    assert exam.places[exam.at] == (0, 1)
    exam.turn(-1)
    assert exam.places[exam.at] == (2, 0)
    while exam.waits(2):
        exam.leave()
    assert exam.places[exam.at] == (0, 1)  # round again, to the first that has questions
    exam.turn(-1)
    assert exam.places[exam.at] == (1, 0)


def test_problems_are_of_several_levels_and_of_every_task() -> None:
    for seed in range(6):
        wishes = mixed(8, Chance(seed))
        tasks = [wish.task for wish in wishes]
        assert all(tasks.count(task) == 2 for task in Task)
        assert len({wish.level for wish in wishes}) >= 3
        kinds = [find(wish.family or "").type for wish in wishes]
        assert not any(a is b is c for a, b, c in zip(kinds, kinds[1:], kinds[2:], strict=False))


def test_minutes_follow_the_questions() -> None:
    spans = [minutes_for(rehearsal(6, seed=seed).problems) for seed in range(8)]
    assert min(spans) >= 3 * MINUTES_EACH and max(spans) <= 9 * MINUTES_EACH
    exam = rehearsal(2)
    sketches = sum(q.form is Form.SKETCH for p in exam.problems for q in p.questions)
    assert minutes_for(exam.problems) >= 2 * sketches


# The clock


def test_time_is_counted_for_the_question_in_hand() -> None:
    exam = rehearsal()
    for second in range(1, 31):
        exam.tick(NOW + timedelta(seconds=second))
        if second == 20:
            exam.leave()
    assert exam.spent[0, 0] == 20 and exam.spent[0, 1] == 10
    assert exam.used(NOW + timedelta(seconds=30)) == 30


def test_a_machine_that_slept_and_a_clock_put_back_take_no_time() -> None:
    exam = rehearsal()
    exam.tick(NOW + timedelta(seconds=30))
    before = exam.left(NOW + timedelta(seconds=30))
    awake = NOW + timedelta(hours=8)
    exam.tick(awake)
    assert exam.left(awake) == before
    back = awake - timedelta(hours=1)
    exam.tick(back)
    assert exam.left(back) == before and exam.spent[0, 0] == 30
    exam.tick(back + ASLEEP)
    assert exam.left(back + ASLEEP) == before - ASLEEP
    # Plain lines cannot look while they wait for a line.
    exam.tick(back + 3 * ASLEEP, awake=True)
    assert exam.left(back + 3 * ASLEEP) == before - 3 * ASLEEP


def test_time_is_told_in_begun_minutes_and_by_the_second_in_the_end() -> None:
    assert left(timedelta(minutes=9, seconds=1)) == "10 min left"
    assert left(timedelta(seconds=121)) == "3 min left"
    assert left(timedelta(seconds=120)) == "2:00 left"
    assert left(timedelta(seconds=9.5)) == "0:10 left"


# What it comes to


def done(exam: Rehearsal) -> RehearsalRun:
    """Every third question right, every third wrong, every third left open."""
    going, now = RehearsalRun(exam, None), NOW
    while not exam.complete:
        now += timedelta(seconds=5)
        turn = exam.at % 3
        question = exam.question
        if turn == 2 or (turn == 1 and question.form is Form.SKETCH):
            going.leave_open(now)
        else:
            text = wrong_text(question) if turn else right_text(question)
            given = going.give(text, now)
            assert given is not None and not given.trouble
    return going


def test_the_result_counts_what_was_given() -> None:
    going = done(rehearsal(4, minutes=30))
    exam = going.rehearsal
    result = going.hand_in(exam.looked)
    for place, item in enumerate(result.items):
        assert (item.number, item.at) == exam.places[place]
        if place % 3 == 0:
            assert item.right and item.answered
        elif place % 3 == 2:
            assert not item.answered and item.state.outcome is Outcome.SKIPPED
        else:
            assert not item.right
    assert result.right == len(range(0, len(result.items), 3))
    tally: dict[str, list[int]] = {}
    for item in result.items:
        problem = exam.problems[item.number]
        skill = skill_of(problem.family, problem.questions[item.at].rung)
        tally.setdefault(skill, []).append(item.right)
    assert {s.skill: (s.right, s.asked) for s in result.scores} == {
        skill: (sum(rights), len(rights)) for skill, rights in tally.items()
    }
    shares = [score.right / score.asked for score in result.scores]
    assert shares == sorted(shares)
    assert result.used == 5 * len(result.items) and result.allowed == 1800


# Plain lines


def say(key: str, **values: object) -> str:
    return fill("rehearsal", f"plain.{key}", values.items())


def plainly(going: RehearsalRun, answers: str, seconds: float = 0) -> str:
    out, now = io.StringIO(), [NOW]

    def clock():  # type: ignore[no-untyped-def]
        now[0] += timedelta(seconds=seconds)
        return now[0]

    lines = PlainDrill(io.StringIO(answers), out, width=100)
    PlainRehearsal(lines, going, clock).run()
    return out.getvalue()


def test_in_plain_lines_nothing_is_marked_before_it_is_handed_in() -> None:
    exam = rehearsal(2)
    texts = [right_text(q) for p in exam.problems for q in p.questions]
    texts[1], texts[2] = "", "nonsense ?!"
    shown = plainly(RehearsalRun(exam, None), "\n".join([*texts[:3], "", *texts[3:]]) + "\n")
    before, found, after = shown.partition(say("handed-in"))
    assert found
    for mark in ("Right", "Wrong", "Answer:", "Summary"):
        assert mark not in before
    assert before.count("Noted:") == len(texts) - 2 and say("open") in before
    assert "Not understood:" in before
    assert say("score", right=len(texts) - 2, count=len(texts)) in after
    assert after.count(say("none")) == 2 and after.count("The worked solution:") == 2
    assert fill("screens", "plain.hint", [("level", 1)]) not in shown


def test_a_hint_cannot_be_had() -> None:
    shown = plainly(RehearsalRun(rehearsal(1), None), "?\n.\n!\n")
    assert "Hint" not in shown.partition(say("handed-in"))[0]
    assert shown.partition(say("handed-in"))[0].count("Not understood:") == 2


def test_time_that_is_up_hands_in_what_is_there() -> None:
    exam = rehearsal(2, minutes=3)
    answers = "\n".join(right_text(q) for p in exam.problems for q in p.questions) + "\n"
    shown = plainly(RehearsalRun(exam, None), answers, seconds=16)
    assert say("late") in shown and say("up") in shown
    assert 0 < len(exam.answers) < len(exam.places)
    assert say("score", right=len(exam.answers), count=len(exam.places)) in shown
    assert say("used", used="3 min", allowed="3 min") in shown


def run(home: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "RUNGWISE_HOME": str(home), "COLUMNS": "90", "PYTHONUTF8": "1"}
    command = [sys.executable, "-m", "rungwise.tutor", "rehearse", *words]
    return subprocess.run(
        command,
        input=typed,
        capture_output=True,
        text=True,
        env=env,
        encoding="utf-8",
        timeout=300,
    )


def test_the_command_rehearses_and_the_record_has_it(tmp_path: Path) -> None:
    first = run(tmp_path, "--plain", "--problems", "1", "--seed", "4", typed="!\n")
    assert first.returncode == 0 and not first.stderr
    assert "1 problems" in first.stdout and say("handed-in") in first.stdout
    again = run(tmp_path / "2", "--plain", "--problems", "1", "--seed", "4", typed="!\n")
    assert again.stdout == first.stdout
    result = latest(Keeper("", tmp_path))
    assert result is not None and result.left_open == len(result.items)


def test_the_command_goes_on_with_what_was_begun(tmp_path: Path) -> None:
    keeper = Keeper("", tmp_path)
    going = begin(keeper, NOW, 2, 10, 3)
    given = going.give(right_text(going.rehearsal.question), NOW)
    assert given is not None
    going.draft("", NOW + timedelta(minutes=4))
    going.let_go()
    keeper.close()
    shown = run(tmp_path, "--plain", typed="!\n").stdout
    to_go = len(going.rehearsal.places) - 1
    assert say("again", questions=to_go, left="6 min left") in " ".join(shown.split())
    assert say("score", right=1, count=to_go + 1) in shown


@pytest.mark.parametrize(
    ("words", "why"),
    [(("--plain", "--problems", "0"), "0"), (("--draw",), "--plain"), (("--minutes", "x"), "x")],
)
def test_bad_usage(tmp_path: Path, words: tuple[str, ...], why: str) -> None:
    done = run(tmp_path, *words)
    assert done.returncode == 2 and why in done.stderr and "Traceback" not in done.stderr
