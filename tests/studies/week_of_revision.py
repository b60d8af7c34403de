"""A week of daily revision before an exam, looked at.

``python -m tests.studies.week_of_revision FOLDER`` makes it.

Made-up learners sit down at the real tutor day by day and press its keys: ten minutes, until
done, only the weak spots, a rehearsal in the end.  Their clock is frozen between keys, their
luck is seeded.  Pictures of what they see go into FOLDER, a sheet a day and learner, and a line
on each day is printed.
"""

from __future__ import annotations

import asyncio
import math
import random
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import count
from pathlib import Path
from unittest import mock

from rungwise.problems.analysis.response import facts
from rungwise.problems.chance import Chance
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.model import Form, Problem, Question, Verdict
from rungwise.problems.slips.engine import predictions
from rungwise.tutor.coach import planner
from rungwise.tutor.learning.skill_map import skill_of
from rungwise.tutor.screens.answers.answering import AnswerControls
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.drill.screen import DrillPhase, DrillScreen
from rungwise.tutor.screens.drill.session_end import SummingUpScreen
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.opening.screen import OpeningScreen
from rungwise.tutor.screens.rehearsal.review import ReviewScreen
from rungwise.tutor.screens.rehearsal.screen import RehearsalPhase as ExamPhase
from rungwise.tutor.screens.rehearsal.screen import RehearsalScreen
from textual import events
from textual.pilot import Pilot

from tests.tutor.screens.clockwork import Clock, clockwork, tutor
from tests.tutor.screens.gallery import without_fonts
from tests.tutor.screens.learners import NOW
from tests.tutor.screens.stage import past_looks, past_their_page, settled

from .slips_simulation import typed

SIZE = (120, 40)
LONGEST = 25
"""Problems that nobody sits through in a day."""


@dataclass
class Person:
    """Somebody who revises.

    ``learns`` is the chance that practising a skill teaches it, ``careful`` that somebody who
    knows it is right.  ``slips`` are made wherever they lead anywhere, until they were named to
    this person often enough (``named``).  ``plan`` is the key of each day's sitting; "" is a day
    off.
    """

    name: str
    seed: int
    plan: tuple[str, ...]
    learns: float = 0.5
    careful: float = 0.95
    slips: tuple[str, ...] = ()
    enough: int = 3
    known: set[str] = field(default_factory=set)
    named: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.rng = random.Random(self.seed)

    def answer(self, problem: Problem, question: Question) -> str:
        """What this person answers."""
        slip = self._slip(problem, question)
        if slip is not None:
            return slip
        skill = skill_of(problem.family, question.rung)
        if skill in self.known and self.rng.random() < self.careful:
            return right_text(question)
        if skill not in self.known and self.rng.random() < self.learns:
            self.known.add(skill)
        return self._guess(question)

    def _slip(self, problem: Problem, question: Question) -> str | None:
        known = facts(problem.ladder)
        mine = [slip for slip in self.slips if self.named.get(slip, 0) < self.enough]
        for guess in predictions(problem.ladder, known, question):
            if guess.slip in mine and guess.in_play and guess.value != question.truth:
                text = typed(question, guess)
                if grade(problem, question, text, known).verdict is Verdict.WRONG:
                    self.named[guess.slip] = self.named.get(guess.slip, 0) + 1
                    return text
        return None

    def _guess(self, question: Question) -> str:
        match question.form:
            case Form.CHOICE:
                return self.rng.choice(question.choices).id
            case Form.COUNT:
                return str(self.rng.randint(0, 3))
            case Form.SLOPE:
                return str(self.rng.choice((-40, -20, 0, 20, 40)))
            case Form.ANGLE:
                return str(self.rng.choice((-180, -90, 0, 90, 180)))
            case Form.LEVEL:
                return str(self.rng.choice((-20, -6, -3, 0, 3)))
            case Form.SKETCH | Form.FORMULA:
                return ""
        return f"{float(question.truth) * self.rng.choice((1, 2, 0.5, 2 * math.pi)):.4g}"


@dataclass
class Day:
    """What one day came to."""

    person: str
    number: int
    sitting: str
    due: int
    weak: int
    new: int
    climbed: int = 0
    asked: int = 0
    minutes: float = 0.0
    ended: bool = False
    """Whether the tutor itself ended the sitting."""

    def line(self) -> str:
        """The day in a line."""
        return (
            f"{self.person:10} day {self.number}  {self.sitting or 'off':11} "
            f"due {self.due:3}  weak {self.weak:3}  new {self.new:3}   "
            f"climbed {self.climbed:2}, asked {self.asked:3}, {self.minutes:4.0f} min"
            f"{'' if self.ended or not self.climbed else '  (left)'}"
        )


Picture = Callable[[str], None]


async def week(
    person: Person,
    home: Path,
    shoot: Callable[[Rungwise, str], None] = lambda app, name: None,
    *,
    days: int = 7,
    most: int = LONGEST,
    rehearse: bool = True,
) -> list[Day]:
    """Revise for a week with an exam on the day after its last.

    Args:
        person: who.
        home: the folder of the record.
        shoot: makes a picture of the screen.
        days: of the week.
        most: problems a day.
        rehearse: whether the last day ends with a rehearsal.
    """
    found = []
    begin = NOW.replace(hour=18)
    draws = count()

    def draw() -> Chance:
        return Chance(person.seed, "week", next(draws))

    with clockwork(Clock(begin)) as clock, mock.patch.object(planner, "new_chance", draw):
        for number in range(days):
            clock.now = begin + timedelta(days=number)
            key = person.plan[number % len(person.plan)]
            app = tutor(home, clock)
            assert app.keeper is not None
            if not number:
                exam = (begin + timedelta(days=days)).date()
                app.keeper.set("exam", exam.isoformat())
            async with app.run_test(size=SIZE) as pilot:
                await settled(pilot)
                found.append(await _day(person, number, key, pilot, clock, shoot, most))
                if rehearse and number == days - 1:
                    await _rehearse(person, pilot, clock, shoot)
            app.let_go()
    return found


async def _day(
    person: Person,
    number: int,
    key: str,
    pilot: Pilot[None],
    clock: Clock,
    shoot: Callable[[Rungwise, str], None],
    most: int,
) -> Day:
    app = pilot.app
    assert isinstance(app, Rungwise)
    opening = app.screen
    assert isinstance(opening, OpeningScreen) and opening.board is not None
    board = opening.board
    shoot(app, f"{person.name}-{number + 1}-opening")
    await pilot.press("p")
    await settled(pilot)
    shoot(app, f"{person.name}-{number + 1}-progress")
    progress = getattr(app.screen, "progress", None)
    new = len(progress.outlook.standing.new) if progress is not None else 0
    await pilot.press("escape")
    await settled(pilot)
    names = {"n": "until done", "t": "ten minutes", "w": "weak spots", "": ""}
    day = Day(person.name, number + 1, names[key], len(board.due), len(board.weak), new)
    if not key:
        return day
    if key == "w" and not board.weak:
        key = "n"
    began = clock.now
    await pilot.press(key)
    await settled(pilot)
    while day.climbed < most and isinstance(app.screen, DrillScreen):
        day.asked += await _climb(person, pilot, clock)
        day.climbed += 1
        if day.climbed == 2:
            shoot(app, f"{person.name}-{number + 1}-drill")
        await pilot.press("enter")  # the whole picture
        await settled(pilot)
        if not isinstance(app.screen, SummitScreen):
            break
        clock.on(seconds=30)
        await pilot.press("enter")
        await settled(pilot)
    day.minutes = (clock.now - began).total_seconds() / 60
    day.ended = isinstance(app.screen, SummingUpScreen)
    if day.ended:
        shoot(app, f"{person.name}-{number + 1}-sum")
    await pilot.press("escape")
    await settled(pilot)
    return day


async def _climb(person: Person, pilot: Pilot[None], clock: Clock) -> int:
    """Climb the problem on the screen; how many questions were asked."""
    drill = pilot.app.screen
    assert isinstance(drill, DrillScreen) and drill.climb is not None
    climb, asked = drill.climb, 0
    while not climb.done:
        question = climb.current.question
        if climb.example:
            clock.on(seconds=12)
            await pilot.press("enter")
            continue
        if drill.phase is DrillPhase.ONWARD:
            await pilot.press("enter")
            continue
        asked += not climb.current.marks
        clock.on(seconds=18 + person.rng.randrange(20))
        first = climb.current.wrong_tries == 0
        text = person.answer(climb.problem, question) if first else right_text(question)
        before = len(climb.current.marks)
        await _give(pilot, drill.query_one(AnswerControls), question, text)
        if (
            not climb.done
            and climb.current.question is question
            and (len(climb.current.marks) == before)
        ):
            await pilot.press("f3")
    if drill.phase is DrillPhase.ONWARD and drill.body.asked is not None:
        await pilot.press("enter")
    await settled(pilot)
    return asked


async def _give(
    pilot: Pilot[None], answering: AnswerControls, question: Question, text: str
) -> None:
    """Answer by keyboard; a sketch by what its pad submits; nothing for an empty text."""
    if not text:
        return
    if question.form is Form.CHOICE:
        place = [choice.id for choice in question.choices].index(text)
        await pilot.press("abcdefghij"[place], "enter")
    elif question.form is Form.SKETCH:
        answering.post_message(AnswerControls.Given(text, answering.serial))
        await pilot.pause()
    else:
        focused = pilot.app.screen.focused
        assert focused is not None
        if getattr(focused, "value", ""):
            await pilot.press("escape")
        focused.post_message(events.Paste(text))
        await pilot.pause()
        await pilot.press("enter")


async def _rehearse(
    person: Person,
    pilot: Pilot[None],
    clock: Clock,
    shoot: Callable[[Rungwise, str], None],
) -> None:
    """Rehearse the exam from the opening screen, and look at the review."""
    app = pilot.app
    assert isinstance(app, Rungwise)
    await pilot.press("r")
    await settled(pilot)
    await pilot.press("up", "enter")  # the short one
    await settled(pilot)
    await past_looks(pilot)
    screen = app.screen
    assert isinstance(screen, RehearsalScreen)
    while screen.phase is ExamPhase.ANSWER:
        assert screen.going is not None and screen.body.asked is not None
        exam = screen.going.rehearsal
        clock.on(seconds=15 + person.rng.randrange(15))
        before = exam.at
        text = person.answer(exam.problem, screen.body.asked)
        await _give(pilot, screen.query_one(AnswerControls), screen.body.asked, text)
        if exam.at == before and screen.phase is ExamPhase.ANSWER:
            await pilot.press("f4")
        if exam.at == 3:
            shoot(app, f"{person.name}-rehearsal")
    await settled(pilot)
    while isinstance(app.screen, RehearsalScreen):
        await pilot.press("enter")
        await settled(pilot)
    await past_their_page(pilot)
    assert isinstance(app.screen, ReviewScreen)
    shoot(app, f"{person.name}-review")
    await pilot.press("escape")
    await settled(pilot)
    shoot(app, f"{person.name}-after")


def people() -> list[Person]:
    """Who revises."""
    return [
        Person("newcomer", 1, ("n",), learns=0.6),
        Person(
            "hurried", 2, ("t", "t", "", "t", "w", "t", "t"), learns=0.5,
            slips=("radians-as-hertz", "load-ignored"),
        ),
        Person("sure", 3, ("n", "n", "", "n"), learns=1.0, careful=0.99,
               slips=("two-pi-twice",), enough=6),
    ]  # fmt: skip


def main() -> None:
    """Revise, and make the pictures."""
    from .make_screenshots import to_png

    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    wanted = sys.argv[2:]
    for person in people():
        if wanted and person.name not in wanted:
            continue
        if person.name == "sure":  # who has seen it all before, and passes most of it at once
            from rungwise.tutor.learning.skill_map import skills

            person.known |= set(skills())
        shots: dict[str, str] = {}

        def shoot(app: Rungwise, name: str, shots: dict[str, str] = shots) -> None:
            shots[name] = without_fonts(app.export_screenshot())

        with tempfile.TemporaryDirectory() as home:
            for day in asyncio.run(week(person, Path(home), shoot)):
                print(day.line())
        sheets: dict[str, list[str]] = {}
        for name, svg in shots.items():
            sheets.setdefault(name.rpartition("-")[0], []).append(svg)
        for name, svgs in sheets.items():
            to_png(svgs, folder / f"{name}.png")


if __name__ == "__main__":
    main()
