"""What is said of a group of alike answers, line by line, on the screen and in plain lines."""

from __future__ import annotations

from fractions import Fraction

from ....problems.circuits.write import write_circuit
from ....problems.grading.choices import LETTERS
from ....problems.questions.model import Form
from ...language.texts import Words, speaker
from .marks import QuestionMark, QuestionOutcome, SuggestedAnswer
from .settled import READ, SettledRow, read_points, told
from .settling import AskedAlike, Settling
from .tables import decimal
from .waiting import AlikeAnswers, comes_to_text

MOST_WHO = 12
"""Students named."""

say = speaker("settling")


def asked_text(group: AlikeAnswers, asked: AskedAlike | None) -> str:
    """The question of a ``group``, ``asked`` as the first of its students was."""
    number = group.questions(3)
    if asked is None:
        return say("say.question", number=number, asked=group.title)
    words, question = Words.load(), asked.question
    prompt = words.prompt(question)
    if question.form is Form.CHOICE:
        shown = (words.choice(question, choice) for choice in question.choices)
        choices = "  ".join(
            f"{letter}) {text}" for letter, text in zip(LETTERS, shown, strict=False)
        )
        prompt = say("say.choices", asked=prompt, choices=choices)
    return say("say.question", number=number, asked=prompt)


def circuit_text(asked: AskedAlike) -> str:
    """The circuit that was ``asked`` about, in one line."""
    return "; ".join(write_circuit(asked.item.problem.ladder).split("\n")).strip("; ")


def about_lines(settling: Settling, group: AlikeAnswers) -> list[tuple[str, str]]:
    """(name, text) of what there is to see of a ``group`` of the class ``settling``."""
    points = say("say.of", of=decimal(group.of)) if group.of != 1 else say("say.of-one")
    who = say("say.who", students=group.students(MOST_WHO), sheets=group.sheets(MOST_WHO))
    lines = [
        (say("name.right"), f"{group.first.answer}  {points}"),
        (say("name.typed"), group.typed),
        (say("name.by"), who),
    ]
    if group.first.trouble:
        lines.append((say("name.why"), group.first.trouble))
    decided = settling.decided(group)
    if decided is not None:
        lines.append((say("name.decided"), decided_text(settling, group, decided)))
    elif not settling.is_open(group):
        lines.append((say("name.decided"), say("say.by-sheet")))
    return lines


def decided_text(settling: Settling, group: AlikeAnswers, decided: SettledRow) -> str:
    """What was ``decided`` about a ``group`` of the class ``settling``, and what it comes to."""
    text = told(decided)
    if not decided.points:
        mark = settling.judge(group, decided.text)
        text = say("say.reads", told=text, comes=mark_text(mark)) if mark else text
    if decided.every:
        text = say("say.every", told=text)
    return text


def mark_text(mark: QuestionMark) -> str:
    """What a reading comes to, in a few words; why it can't be read."""
    if mark.verdict is QuestionOutcome.UNCLEAR:
        return mark.trouble
    return comes_to_text(SuggestedAnswer("?", mark.understood, mark.points, mark.verdict), mark.of)


def suggestion_text(suggested: SuggestedAnswer, of: Fraction) -> str:
    """What is ``suggested`` and what it comes to, ``of`` so many points."""
    shown = f"{READ}{suggested.text}" if suggested.text else ""
    comes = comes_to_text(suggested, of)
    key = "say.before" if suggested.before else "say.suggested"
    if not shown:
        return say(f"{key}-points", comes=comes)
    return say(key, read=shown, comes=comes)


def list_text(settling: Settling, place: int) -> str:
    """The group at a ``place`` of the class ``settling``, in one line."""
    group = settling.groups[place]
    decided = settling.decided(group)
    state = say("list.open") if settling.is_open(group) else say("list.decided")
    if decided is not None and not settling.is_open(group):
        state = told(decided)
    asked = {"question": group.questions(2), "asked": group.title}
    answers = {"typed": group.typed[:60], "right": group.first.answer, "count": len(group.members)}
    return say("list.row", **asked, **answers, state=state)


def points_of(text: str, of: Fraction) -> Fraction | None:
    """Points as a ``text``: "half", "1/2", "0,5"; ``None`` where it is none of ``of`` points."""
    typed = " ".join(text.casefold().split())
    shares = {"half": of / 2, "full": of}
    found = shares[typed] if typed in shares else read_points(typed)
    return found if found is not None and found <= of else None
