"""Learners with a past, for screens that tell it: a record in memory, and a way to fill it."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache

from rungwise.problems.catalogue.families import FAMILIES, find
from rungwise.problems.chance import Chance
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.looks import LookKind
from rungwise.problems.questions.model import Form, Task
from rungwise.tutor.learning.climb import Event, Listener
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.evidence import Evidence
from rungwise.tutor.learning.looks import LookEvent, LookListener
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.rounds import Round
from rungwise.tutor.learning.skill_map import skill_of
from rungwise.tutor.learning.skills import SkillState, advance
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.store.events import LeftOff
from rungwise.tutor.store.looks import SeenLook

NOW = datetime.fromisoformat("2026-11-25T18:00:00+00:00")  # a Wednesday


class Memory:
    """As much of a keeper as the screens ask of it, in memory."""

    def __init__(self, kept: list[Evidence] | None = None, **settings: str) -> None:
        self.trouble = self.notice = self.learner = ""
        self.path = None
        self.changed = None
        self.parting = None
        self.kept = kept or []
        self.settings = settings
        self.left: LeftOff | None = None
        self.begun: list[ProblemRequest] = []
        self.events: list[Event] = []
        self.looked: list[SeenLook] = []
        self._states: dict[str, SkillState] = {}
        self._summed_up = 0

    def begin(self, wish: ProblemRequest) -> Listener:
        self.begun.append(wish)
        return self.events.append

    def place(self) -> LeftOff | None:
        return self.left

    def draft(self, text: str, position: int) -> None:
        pass

    def states(self) -> dict[str, SkillState]:
        for piece in self.kept[self._summed_up :]:
            skill = skill_of(piece.family, piece.rung)
            self._states[skill] = advance(self._states.get(skill), piece)
        self._summed_up = len(self.kept)
        return dict(self._states)

    def evidence(self, since: datetime | None = None) -> list[Evidence]:
        return [piece for piece in self.kept if since is None or piece.when >= since]

    def recent(self, count: int) -> list[Evidence]:
        return self.kept[-count:]

    def round_left(self) -> None:
        return None

    def begin_round(self, length: int = 0) -> tuple[str, LookListener]:
        def told(look: LookEvent) -> None:
            self.looked.append(SeenLook(NOW, look))

        return "", told

    def looks(self) -> list[SeenLook]:
        return list(self.looked)

    def setting(self, key: str) -> str:
        return self.settings.get(key, "")

    def set(self, key: str, value: str) -> None:
        self.settings[key] = value

    def close(self) -> None:
        pass

    def _write(self, *entries: object) -> None:
        pass

    def look(self, job: object, otherwise: None) -> None:
        pass

    def change(self, job: object) -> None:
        pass


def returning(keeper: Memory) -> Rungwise:
    """The tutor as somebody with a past opens it, always at the same moment."""
    return Rungwise(
        keeper=keeper,  # type: ignore[arg-type]
        fresh=not keeper.kept,
        clock=lambda: NOW,
    )


def past(days: int = 40, seed: int = 1, slips: tuple[str, ...] = ()) -> list[Evidence]:
    """What somebody showed who climbed two or three problems a day, the levels one by one.

    Under the first meaning of seeds, so that what pictures show of it stays what it is.
    """
    return list(_past(days, seed, slips))


@cache
def _past(days: int, seed: int, slips: tuple[str, ...]) -> list[Evidence]:
    chance, kept = Chance(seed, "past"), []
    for ago in range(days, 0, -1):
        when = NOW - timedelta(days=ago)
        level = 1 + min(4, (days - ago) * 5 // days)
        names = [row.name for row in FAMILIES if row.level <= level and row.since == 1]
        for _ in range(2 + chance.below(2)):
            name = chance.pick(names)
            practised = (days - ago) / days
            for question in generate(chance.below(50), family=name, format=1).questions:
                known = chance.below(100) < 60 + 38 * practised - 6 * find(name).level
                choices = len(question.choices) if question.form is Form.CHOICE else 0
                made = (chance.pick(slips),) if slips and not known and not choices else ()
                kept.append(
                    Evidence(
                        when,
                        name,
                        find(name).level,
                        7,
                        Task.ANALYSE,
                        question.rung,
                        choices,
                        Outcome.CLEAN if known else Outcome.RIGHT,
                        1 if known else 2,
                        0,
                        made,
                        12.0 + chance.below(40),
                    )
                )
                when += timedelta(seconds=40)
    return kept


def revising() -> Rungwise:
    """The tutor of somebody who has climbed for weeks, with the exam in sight."""
    kept = past(40, 1, ("radians-as-hertz", "two-pi-twice", "prefix-lost", "load-ignored"))
    return returning(Memory(kept, exam="2026-12-14"))


def inspecting() -> Rungwise:
    """The tutor of the same learner, who takes one type for another now and then."""
    kept = past(40, 1, ("radians-as-hertz", "two-pi-twice", "prefix-lost", "load-ignored"))
    keeper = Memory(kept, exam="2026-12-14")
    for seed in range(3):
        asked, number = Round(seed, listener=keeper.begin_round()[1], today=NOW.date()), 0
        while asked.step is not None:
            look, number = asked.step.look, number + 1
            wrong = look.kind is LookKind.TYPE and not number % 4
            others = [one for one in TAKEN_FOR if one != look.truth]
            asked.answer(others[0] if wrong else look.truth, 4.2)
            asked.next()
    return returning(keeper)


TAKEN_FOR = "band-pass", "low-pass"
