"""The plain drill: each answer marked by a line with a fixed first word, some over real pipes."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from collections.abc import Iterator

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.generate.analyse import generate
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.model import Form, Problem, Question, SlipHit
from rungwise.problems.slips.engine import Prediction, predictions
from rungwise.tutor.language.texts import Words
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.plain.drill import PlainDrill

from tests.support.commands import run_here
from tests.tutor.learning.test_climb import wrong_text

MARKS = {
    "Right:": "right",
    "Right, roughly:": "rough",
    "Wrong:": "wrong",
    "Not understood:": "unclear",
    "Answer:": "shown",
    "Skipped.": "skipped",
}
NONSENSE = "⌘ three bananas"


def drill(answers: str, *options: str) -> subprocess.CompletedProcess[str]:
    """``rungwise drill --plain``, run here."""
    return run_here("drill", "--plain", *options, stdin=answers)


def piped(answers: str, *options: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """The same in a process of its own, fed through a pipe."""
    return subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", "drill", "--plain", *options],
        input=answers,
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "COLUMNS": "80", **environment},
        timeout=120,
    )


def marks(output: str) -> list[str]:
    """The marks, by the fixed words that begin their lines."""
    found = (
        next((mark for word, mark in MARKS.items() if line.startswith(word)), None)
        for line in output.splitlines()
    )
    return [mark for mark in found if mark]


def squeezed(text: str) -> str:
    return " ".join(text.split())


def slip_text(question: Question, guess: Prediction) -> str:
    """A slip's wrong answer as a learner types it."""
    if isinstance(guess.value, str):
        return guess.value
    return f"{float(guess.value):.6g} {guess.typed_unit or question.unit}".strip()


def script(problem: Problem) -> Iterator[tuple[str, str, tuple[SlipHit, ...]]]:
    """(typed line, mark to expect, slips one of which must be named) for a whole problem."""
    known = facts(problem.ladder)
    for question in problem.questions:
        yield NONSENSE, "unclear", ()
        guesses = [p for p in predictions(problem.ladder, known, question) if p.in_play]
        if guesses and question.form is not Form.FORMULA:
            same = {p.slip for p in guesses if p.value == guesses[0].value}
            text = slip_text(question, guesses[0])
            hits = grade(problem, question, text).slips
            yield text, "wrong", tuple(hit for hit in hits if hit.slip in same)
        yield wrong_text(question), "wrong", ()
        yield right_text(question), "right", ()


@pytest.mark.parametrize("seed", [7, 8, 9])
@pytest.mark.parametrize("level", [1, 3, 4])
def test_every_answer_is_marked_as_it_deserves(level: int, seed: int) -> None:
    lines = list(script(ProblemRequest(level, None, seed).problem()))
    answers = "".join(f"{typed}\n" for typed, _, _ in lines)
    done = drill(answers, "--level", str(level), "--seed", str(seed))
    assert done.returncode == 0, done.stderr
    assert marks(done.stdout) == [mark for _, mark, _ in lines]
    said, words = squeezed(done.stdout), Words.load()
    for typed, _, guesses in lines:
        if guesses:
            sentences = [squeezed(words.slip(hit)) for hit in guesses]
            assert any(s in said for s in sentences), (typed, sentences)


def test_three_problems_from_one_seed() -> None:
    lines = [line for i in range(3) for line in script(ProblemRequest(1, None, 7 + i).problem())]
    answers = "".join(f"{typed}\n" for typed, _, _ in lines)
    done = drill(answers, "--seed", "7", "--count", "3")
    assert marks(done.stdout) == [mark for _, mark, _ in lines]
    assert done.stdout.count("Summary:") == 3
    assert piped(answers, "--seed", "7", "--count", "3").stdout == done.stdout


def test_hints_surrender_and_skips() -> None:
    done = drill("?\n?\n?\n?\n.\n\n", "--seed", "7")
    assert re.findall(r"^Hint (\d):", done.stdout, re.M) == ["1", "2", "3"]
    assert "no further hint" in done.stdout
    assert marks(done.stdout) == ["shown", "skipped"]
    question = ProblemRequest(1, None, 7).problem().questions[0]
    choice = next(c for c in question.choices if c.id == question.truth)
    assert f"Answer: {Words.load().choice(question, choice)}" in done.stdout


def test_the_end_of_the_input_ends_politely_with_a_summary() -> None:
    done = piped("", "--seed", "7")
    assert done.returncode == 0 and done.stderr == ""
    assert "End of input." in done.stdout and "Summary: 0 of" in done.stdout


def test_no_key_before_an_answer_or_a_surrender() -> None:
    for seed in range(20):
        problem = generate(seed, level=3)
        output = drill_here(problem, f"{NONSENSE}\n?\n?\n")
        for question in problem.questions:
            if question.form in (Form.QUANTITY, Form.RATIO, Form.FORMULA):
                assert right_text(question) not in output


def drill_here(problem: Problem, answers: str, **options: object) -> str:
    out = io.StringIO()
    PlainDrill(io.StringIO(answers), out, echo=True, **options).run(
        lambda _: problem, 1, problem.seed
    )  # type: ignore[arg-type]
    return out.getvalue()


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("level", range(1, 7))
def test_forty_columns_hold_every_sentence(level: int, seed: int) -> None:
    problem = generate(seed, level=level)
    answers = "".join("?\n?\n?\n7\nx\n.\n" for _ in problem.questions)
    output = drill_here(problem, answers, width=40)
    assert "The worked solution:" in output
    assert [line for line in output.splitlines() if len(line) > 40] == []


def test_everything_is_ascii_where_nothing_else_can_be_written() -> None:
    problem = generate(7, level=4)
    answers = "".join("?\n?\n?\n7\n.\n" for _ in problem.questions)
    done = piped(answers, "--seed", "7", "--level", "4", "--draw", PYTHONIOENCODING="ascii")
    assert done.returncode == 0, done.stderr
    assert done.stdout.isascii() and "ohm" in done.stdout


def test_no_escape_sequence_is_ever_written() -> None:
    done = drill("\x1b[31mred\n\x07\n\x9b2J\n.\n", "--seed", "7")
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]", done.stdout)


def test_an_endless_line_is_one_unclear_answer() -> None:
    done = piped("9" * 1_000_000 + "\n.\n", "--seed", "7")
    assert marks(done.stdout) == ["unclear", "shown"]


def test_bytes_that_are_no_text_are_not_understood() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", "drill", "--plain", "--seed", "7"],
        input=b"\xff\xfe\x80\n",
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        timeout=60,
    )
    assert done.returncode == 0 and b"Not understood:" in done.stdout


def test_without_a_seed_it_says_which_it_drew() -> None:
    done = drill(".\n")
    seed = re.search(r"Seed: (\d+)", done.stdout)
    assert seed
    assert drill(".\n", "--seed", seed[1]).stdout == done.stdout
