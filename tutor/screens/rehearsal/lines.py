"""The review of a rehearsal as lines of text: the score, every question and its mark."""

from __future__ import annotations

from ....problems.questions.model import Form
from ...documents.progress import blocks
from ...documents.progress.blocks import QUIET
from ...figures.canvas.styled import StyledLine
from ...language.dates import lasting
from ...language.texts import Words
from ...learning.rehearsal_result import RehearsalItem, RehearsalResult
from ...phrases import answer_text as saying
from ...phrases.redrawn import hinted_lines
from ...phrases.rehearsal import explained, family, given, say
from ...phrases.skills import skill_parts
from ..common import answer_notes as drill_notes

LOOKS = {True: ("✓", "$ink-verdigris"), False: ("✗", "$ink-rust")}
OPEN = ("–", "$ink-quiet")


def look(item: RehearsalItem) -> tuple[str, str]:
    """The sign of a question, and its colour."""
    return LOOKS[item.right] if item.answered else OPEN


def head(result: RehearsalResult, width: int) -> list[StyledLine]:
    """How much of a ``result`` was right, and the time used, in ``width`` columns."""
    count = len(result.items)
    share = f"{say('review.score', right=result.right, count=count)}"
    time = say("review.time-of", used=lasting(result.used), allowed=lasting(result.allowed))
    lines = []
    for title, part, whole, said, ink in (
        ("right", result.right, count, share, "$ink-verdigris"),
        ("time", result.used, result.allowed, time, "$ink-brass"),
    ):
        name = say(f"review.{title}").ljust(15)
        gauge = max(4, width - len(name) - 18)
        lines.append(
            StyledLine.of(
                (name, QUIET),
                blocks.bar(part / max(whole, 1e-9), gauge, ink),
                (said.rjust(18), "bold $foreground"),
            )
        )
    return lines


def questions(result: RehearsalResult, spot: int, width: int, height: int) -> list[StyledLine]:
    """Every question below its problem.

    Args:
        result: what the rehearsal came to.
        spot: which question is picked, from 0; it is in sight.
        width: columns of the room.
        height: its rows; no more lines are made.
    """
    words, lines, here = Words.load(), list[StyledLine](), 0
    before = -1
    for place, item in enumerate(result.items):
        if item.number != before:
            before = item.number
            mine = [i for i in result.items if i.number == before]
            score = say("review.score", right=sum(i.right for i in mine), count=len(mine))
            if lines:
                lines.append(StyledLine())
            title = say("review.problem", number=before + 1, family=family(result.climbs[before]))
            room = width - len(score) - 1
            lines.append(
                StyledLine.of((blocks.cut(title, room), "bold $ink-copper"), " ", (score, QUIET))
            )
        sign, ink = look(item)
        title = words.title(item.state.question.rung)
        spent = lasting(item.seconds) if item.seconds else ""
        name = blocks.cut(title, width - 4 - len(spent) - 1)
        if place == spot:
            here = len(lines)
            text = f"▸ {sign} {name}{spent} "
            lines.append(StyledLine.of((text, "bold $ink-reversed on $ink-copper")))
        else:
            lines.append(
                StyledLine.of(
                    "  ", (f"{sign} ", f"bold {ink}"), (name, "$foreground"), (f"{spent} ", QUIET)
                )
            )
    first = max(0, min(here - height // 2, len(lines) - height))
    if here <= height // 2:
        first = 0
    return lines[first : first + height]


def detail(
    result: RehearsalResult, item: RehearsalItem, width: int, *, drawn: bool = True
) -> list[StyledLine]:
    """One question: what was asked and answered, what is right, and which slip it was.

    Args:
        result: what the rehearsal came to.
        item: the question.
        width: columns of the room.
        drawn: whether the circuit is drawn beside it.
    """
    question = item.state.question
    prompt = drill_notes.prompt(question)
    sign, ink = look(item)
    lines = [*blocks.prose(prompt, width, "bold $foreground"), StyledLine()]
    mine = given(item) or say("review.none")
    lines += _told(say("review.given"), mine, width, sign, ink)
    if not item.right:
        lines += _told(say("review.answer"), saying.right_words(question), width, "○", "$ink-brass")
    said = explained(result, item)
    if said:
        mark = item.state.last
        several = mark is not None and len(mark.slips) > 1
        key = "sketch" if question.form is Form.SKETCH else "slips" if several else "slip"
        lines += [StyledLine(), StyledLine.of((say(f"review.{key}"), "bold $ink-copper"))]
        for sentence in said:
            lines += blocks.prose(sentence, width)
    if not item.right:
        problem = result.climbs[item.number].problem
        lines += [StyledLine(), StyledLine.of((say("review.why"), "bold $ink-copper"))]
        for text in saying.reason(problem, question).splitlines():
            lines += blocks.prose(text, width)
        if not drawn:
            for text in hinted_lines(problem, question):
                lines += blocks.prose(text, width)
    lines.append(StyledLine())
    lines += blocks.prose(say("review.solution"), width, QUIET)
    return lines


def _told(title: str, text: str, width: int, sign: str, ink: str) -> list[StyledLine]:
    """Something said of an answer, under its heading where it does not fit behind it."""
    head = StyledLine.of((f"{sign} ", f"bold {ink}"), (f"{title}  ", QUIET))
    room = width - head.width
    if len(text) <= room and "\n" not in text:
        return [StyledLine.of(head, (text, "$foreground"))]
    return [head, *(StyledLine.of("  ", line) for line in blocks.prose(text, width - 2))]


def scores(result: RehearsalResult, width: int, rows: int) -> list[StyledLine]:
    """The score of every skill, the worst first.

    Args:
        result: what the rehearsal came to.
        width: columns of the room.
        rows: so many skills at most.
    """
    found = result.scores
    lines = [blocks.heading(say("review.skills"), width)]
    shown = found if len(found) <= rows else found[: max(1, rows - 1)]
    gauge = 6 if width < 60 else 12
    for score in shown:
        rung, group = skill_parts(score.skill)
        said = say("review.score", right=score.right, count=score.asked).rjust(9)
        name = width - gauge - 1 - blocks.GROUPS - len(said) - 2
        lines.append(
            StyledLine.of(
                blocks.bar(score.right / score.asked, gauge, "$ink-verdigris"),
                " ",
                (blocks.cut(rung, name), "$foreground"),
                " ",
                (group[: blocks.GROUPS].ljust(blocks.GROUPS), QUIET),
                " ",
                (said, "$foreground"),
            )
        )
    return lines + blocks.more(len(found) - len(shown))
