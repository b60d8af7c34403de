"""Scenes of answers being settled."""

from __future__ import annotations

from collections.abc import Callable

from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form
from rungwise.problems.sheets.documents import key_document
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Key, Student
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.classroom.handins.files import Answers
from rungwise.tutor.classroom.making.jobs import json_bytes
from rungwise.tutor.classroom.marking.decided import Decisions
from rungwise.tutor.classroom.marking.keeping import DecidedFile
from rungwise.tutor.classroom.marking.mark import mark_answers
from rungwise.tutor.classroom.marking.marks import HandInState, StudentMarks
from rungwise.tutor.classroom.marking.settled import SettledRow
from rungwise.tutor.classroom.marking.settling import Settling
from rungwise.tutor.classroom.marking.waiting import alike_answers
from rungwise.tutor.screens.settle_app import SettleApp
from textual.pilot import Pilot

from tests.tutor.classroom.plans import example

from .stage import settled

NAMES = ("Ann Tenna", "Bo Wire", "Cas Code", "Dee Coupling", "Ed Current", "Fay Nor")
UNREAD = {
    Form.CHOICE: ("band pass I gues", "low or band-pass"),
    Form.COUNT: ("one or two", "some"),
    Form.QUANTITY: ("1k6 or 2k6", "T = 1.6 kHz", "f0 = 1/RC ~ 1,591"),
}
"""Answers that can't be read, by the form of the question."""


class Nowhere(DecidedFile):
    """Decisions that are kept in memory alone."""

    def __init__(self) -> None:
        self.decisions = Decisions()

    @property
    def lines(self) -> int:
        """None of them was there before."""
        return 0

    def add(
        self, rows: list[SettledRow], unless: Callable[[Decisions], bool] = lambda _: False
    ) -> bool:
        """Keep decisions."""
        for row in rows:
            self.decisions.add(row._replace(line=1))
        return True


def _answers(key: Key) -> Answers:
    """Right answers but for those that can't be read."""
    found = []
    for item in key.items:
        for place, question in enumerate(item.problem.questions, 1):
            unread = UNREAD.get(question.form, ())
            odd = (key.student.number + place) % (len(unread) + 2)
            text = unread[odd] if odd < len(unread) else right_text(question)
            found.append((f"{item.number}.{place}", (text,)))
    return Answers(answers=tuple(found))


def waiting() -> SettleApp:
    """A class of six with the example that the project ships."""
    plan, students, keys = plan_of(example()), [], {}
    for number, name in enumerate(NAMES, 1):
        key = draft(plan, Student(number, name)).variant.key
        folder = f"{number:02d}-x"
        keys[folder] = json_bytes(key_document(key))
        students.append(
            StudentMarks(
                number=number,
                folder=folder,
                name=name,
                state=HandInState.MARKED,
                problems=mark_answers(key, _answers(key)),
            )
        )
    return SettleApp(Settling(alike_answers(students), Nowhere(), keys.get, plan.title))


async def reading(pilot: Pilot[None]) -> None:
    """Some are decided; of another it is typed how it should read."""
    await settled(pilot)
    app = pilot.app
    assert isinstance(app, SettleApp)
    await pilot.press("enter", "h", "n")
    settling = app.settling
    place = next(
        place
        for place, group in enumerate(settling.groups)
        if group.first.form == "quantity" and group.typed == "1k6 or 2k6"
    )
    while settling.at != place:
        await pilot.press("n")
    await pilot.press("r", *"1.6k")
    await settled(pilot)


async def listed(pilot: Pilot[None]) -> None:
    """The list of all groups, narrowed."""
    await settled(pilot)
    await pilot.press("enter", "h", "l", *"f0")
    await settled(pilot)
