"""Looks in plain lines: what stands there, and what an answer, a hint and an end do."""

from __future__ import annotations

import io

import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.learning.rounds import ROUND_LENGTH, Round
from rungwise.tutor.phrases import looks as phrases
from rungwise.tutor.plain.inspect import PlainInspection, choice_of


def asked(going: Round, *typed: str) -> str:
    """What is printed while these lines are typed."""
    output = io.StringIO()
    typing = io.StringIO("".join(f"{line}\n" for line in typed))
    PlainInspection(typing, output, echo=True).run(going)
    return output.getvalue()


def key(going: Round, *, right: bool) -> str:
    """The digit of the right answer, or of a wrong one, of the look that is asked."""
    assert going.step is not None
    look = going.step.look
    found = next(answer for answer in look.answers if (answer == look.truth) is right)
    return look.row.keys[look.answers.index(found)]


def squeezed(text: str) -> str:
    return " ".join(text.split())


def test_a_round_to_its_end_and_what_it_came_to() -> None:
    """Wrong at the first look: its ends follow, it returns by its number, and a pair is shown."""
    typed, rehearsed = [], Round(7, 6, (LookKind.TYPE,))
    first = rehearsed.step
    assert first is not None
    while rehearsed.step is not None:
        typed.append(key(rehearsed, right=rehearsed.step is not first))
        rehearsed.answer(choice_of(rehearsed.step.look, typed[-1]) or "")
        rehearsed.next()
    output = asked(Round(7, 6, (LookKind.TYPE,)), *typed)
    assert output.count("Wrong:") == 1 and output.count("Right: ") == len(typed)  # and the score
    for kind in LookKind.LOW_END, LookKind.HIGH_END:
        assert output.count(f"The same circuit: {phrases.title(kind)}\n") == 1
    back = next(event.number for event in rehearsed.events if event.again) + 1
    assert f"Look {back} of 6, asked before: Type" in output
    assert "Right: 5 of 6." in output and "Two circuits to compare:" in output
    assert "seconds" not in output  # over a pipe nobody looks at a clock


def test_a_circuit_stands_there_as_text_that_can_be_read_back() -> None:
    going = Round(9, 1, (LookKind.POLES,))
    assert going.step is not None
    look = going.step.look
    lines = asked(going, key(going, right=True)).splitlines()
    (shown,) = [line.strip() for line in lines if line.startswith("  ")]
    read = read_circuit(shown)
    assert [e.name for e in read.reactive()] == [e.name for e in look.ladder.reactive()]
    assert "0   1   2   3   4" in lines  # a number is its own key, and stands there once


def test_a_first_error_of_a_placing_is_worked_step_by_step() -> None:
    going = Round(3, ROUND_LENGTH, placing=True)
    assert going.step is not None
    look = going.step.look
    output = asked(going, key(going, right=False))
    assert squeezed(f"Step by step: {phrases.worked(look)}") in squeezed(output)


def test_three_hints_and_then_the_answer_with_its_reason() -> None:
    going = Round(5, 1, (LookKind.TYPE,))
    assert going.step is not None
    look = going.step.look
    output = squeezed(asked(going, "?", "?", "?", "?", "."))
    for level in 1, 2, 3:
        assert squeezed(f"Hint {level}: {phrases.hint(look, level)}") in output
    assert "There is no further hint" in output
    assert squeezed(f"Answer: {phrases.choice(look, look.truth)}. {phrases.why(look)}") in output
    assert going.events[0].hints == 3 and not going.events[0].cold


@pytest.mark.parametrize("typed", ["zz", "9", "\u0661", "ab", "{x}"])
def test_what_is_no_choice_is_asked_about_and_never_wrong(typed: str) -> None:
    going = Round(5, 1, (LookKind.TYPE,))
    output = asked(going, typed)
    assert "Not understood: type one of a, b, c, d, e." in output and "Wrong" not in output
    assert "End of input." in output and not going.events


def test_letters_and_digits_are_the_same_choices() -> None:
    going = Round(5, 1, (LookKind.TYPE,))
    assert going.step is not None
    look = going.step.look
    for letter, digit in zip("abcde", look.row.keys, strict=True):
        assert choice_of(look, letter) == choice_of(look, letter.upper()) == choice_of(look, digit)
