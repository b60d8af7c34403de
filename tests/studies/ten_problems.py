"""Ten problems climbed in a real terminal, the eleventh left half way and gone on with.

Run it alone with ``python -m tests.studies.ten_problems [SEED]`` to watch what it does.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Task
from rungwise.tutor.language.texts import Words, table
from rungwise.tutor.learning.full_circuit import spared
from rungwise.tutor.learning.request import ProblemRequest

from tests.support.sketch_keys import keys_of
from tests.support.tmux_stage import Terminal

LEVEL = 2
LEARNER = "Ann O'Rourke"
DRAFT = "12.3"
PADS = {Rung(name): said for name, said in table("sketch")["prompt"].items() if name != "roots"}


def place(position: int, problem: Problem) -> str:
    """What the top line says while a rung is asked."""
    return Words.load().ui("drill.place", number=position + 1, count=len(problem.questions))


def answer(terminal: Terminal, question: Question) -> None:
    """Give the right answer by the keys that a learner would press."""
    if question.form is Form.SKETCH:
        terminal.wait_for(PADS[question.rung])
        terminal.press(*keys_of(question), "enter")
        terminal.wait_for(table("sketch")["legend"]["right"])  # laid over it, to be looked at
        terminal.press("enter")
    elif question.form is Form.CHOICE:
        ids = [choice.id for choice in question.choices]
        terminal.press("abcdefghij"[ids.index(str(question.truth))], "enter")
    else:
        terminal.type(right_text(question))
        terminal.press("enter")


def climb(terminal: Terminal, problem: Problem, rungs: int | None = None) -> None:
    """Climb a problem that is on the screen, all of it or its first rungs.

    The type is answered right at once, so that the ends are spared.
    """
    ends = spared(problem)
    for position, question in enumerate(problem.questions[:rungs]):
        if question.rung in ends:
            continue
        terminal.wait_for(place(position, problem))
        answer(terminal, question)


def whole(terminal: Terminal, problem: Problem) -> None:
    """Climb a problem and go on to the next one by way of the summit."""
    climb(terminal, problem)
    terminal.wait_for(Words.load().ui("drill.top"))
    terminal.press("enter")
    terminal.wait_for(table("screens")["keys"]["next"])
    terminal.press("n")


def session(
    home: Path, seed: int, size: tuple[int, int] = (120, 40), count: int = 10
) -> Counter[Task]:
    """The whole session; returns how many problems of each task were climbed.

    ``count`` problems are climbed, and one more is gone on with.
    """
    wish = ProblemRequest(LEVEL, None, seed, None)
    problems = [wish.next(i).problem() for i in range(count + 1)]
    with Terminal(size, home) as terminal:
        words = ("--task", "mixed", "--level", str(LEVEL), "--seed", str(seed))
        terminal.start("drill", "--learner", LEARNER, *words)
        for problem in problems[:count]:
            whole(terminal, problem)
        last = problems[count]
        typed = next(i for i, q in enumerate(last.questions) if i and q.form is not Form.CHOICE)
        climb(terminal, last, typed)
        terminal.wait_for(place(typed, last))
        terminal.type(DRAFT)
        terminal.wait_for(DRAFT)
        terminal.press("ctrl+q")
        terminal.wait_for_end()
    with Terminal(size, home) as terminal:
        terminal.start("--learner", LEARNER)
        terminal.wait_for(table("opening")["goal"]["go-on"])
        terminal.press("g")
        terminal.wait_for(place(typed, last), DRAFT)
        for _ in DRAFT:
            terminal.press("backspace")
        for position, question in enumerate(last.questions[typed:], typed):
            terminal.wait_for(place(position, last))
            answer(terminal, question)
        terminal.wait_for(Words.load().ui("drill.top"))
    return Counter(problem.task for problem in problems[:count])


def main() -> None:
    """Climb, and say what was climbed."""
    seed = int(sys.argv[1]) if sys.argv[1:] else 2027
    with tempfile.TemporaryDirectory() as home:
        print(dict(session(Path(home), seed)))


if __name__ == "__main__":
    main()
