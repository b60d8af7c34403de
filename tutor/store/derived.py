"""What follows from the events of a record, in tables of its own that can be made anew.

Which climbs are over, what each rung that was left has shown, and what is known of each skill.
All of it is carried on in the transaction that appends an event.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from hashlib import blake2b
from typing import TYPE_CHECKING, Any

from ...problems.questions.model import Rung, Task
from ..learning.course import Other, Outcome
from ..learning.evidence import Evidence
from . import states
from .events import BadEvent, ClimbEvents, EventRow, read_at, read_move, to_micros, to_moment
from .looks import Begin, RoundStart

if TYPE_CHECKING:
    from ..learning.skills import SkillState

ROUND_OVER = 2
"""What ``climbs.over`` says of a round of looks: nobody goes on with one of yesterday."""
STATES_FORM = "states"
"""The key under which the form of the derived states is kept; no setting of the learner's."""
_BATCH = 2000


class Derived:
    """The tables of a record that follow from its events.

    Args:
        connection: to the record; transactions are its owner's.
    """

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._db = connection

    # Reading

    def states(self) -> dict[str, str]:
        """The row of each skill."""
        return dict(self._db.execute("SELECT skill, state FROM skills"))

    @property
    def outdated(self) -> bool:
        """Whether the states were made by a release that made others of the same evidence."""
        query = "SELECT value FROM about WHERE key = ?"
        row = self._db.execute(query, (STATES_FORM,)).fetchone()
        return bool(row != (states.FORM,))

    def evidence(
        self,
        since: int | None = None,
        latest: int | None = None,
        *,
        after: int = 0,
        up_to: int = 2**63 - 1,
    ) -> Iterator[Evidence]:
        """What rungs showed, in the order of time.

        Args:
            since: Nothing before this moment (microseconds since 1970).
            latest: No more than so many, the latest.
            after: Nothing of this event or those before it.
            up_to: Nothing of events after this one.
        """
        columns = "at, family, level, seed, task, rung, choices, outcome, tries, hints, slips"
        query = f"SELECT {columns}, seconds FROM evidence WHERE at >= ?"  # noqa: S608
        if latest is not None:
            query = (
                f"SELECT * FROM (SELECT {columns}, seconds, id FROM evidence"  # noqa: S608
                " WHERE at >= ? ORDER BY id DESC LIMIT ?) ORDER BY at, id"
            )
            rows = self._db.execute(query, (since or 0, latest))
        else:
            rows = self._db.execute(
                f"{query} AND id > ? AND id <= ? ORDER BY at, id", (since or 0, after, up_to)
            )
        while batch := rows.fetchmany(_BATCH):
            for row in batch:
                found = _read(row)
                if found is not None:
                    yield found

    # Carrying on

    def add(self, event: int, found: Evidence) -> None:
        """Keep what was ``found`` of the rung that an ``event`` left, and carry its skill on."""
        self._keep(event, found)
        name = states.skill(found)
        row = self._db.execute("SELECT state FROM skills WHERE skill = ?", (name,)).fetchone()
        state = states.advanced(row[0] if row else None, found)
        self._db.execute("INSERT OR REPLACE INTO skills VALUES (?, ?)", (name, state))

    def _keep(self, event: int, found: Evidence) -> None:
        row = (
            event,
            to_micros(found.when),
            found.family,
            found.level,
            found.seed,
            found.task.value,
            found.rung.value,
            found.choices,
            found.outcome.value,
            found.tries,
            found.hints,
            json.dumps(found.slips),
            found.seconds,
        )
        self._db.execute("INSERT INTO evidence VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", row)

    # Making anew

    def anew(self, climbs: Iterable[tuple[int, Begin, list[tuple[int, EventRow]]]]) -> None:
        """Make everything anew from the ``climbs`` of the record, as ``Record.climbs`` has them."""
        for name in ("climbs", "evidence", "skills"):
            self._db.execute(f"DELETE FROM {name}")  # noqa: S608 - names of ours
        for climb, start, rows in climbs:
            last = rows[-1][0] if rows else climb
            if isinstance(start, RoundStart):
                over = ROUND_OVER
            else:
                course = ClimbEvents(start)
                for number, row in rows:
                    with suppress(BadEvent):  # what cannot be read shows nothing
                        found = course.take(read_move(row.kind, row.body), read_at(row.at))
                        if found is not None:
                            self._keep(number, found)
                over = course.done or any(row.kind == Other.LEFT.value for _, row in rows)
            self._db.execute(
                "INSERT INTO climbs VALUES (?, ?, ?, ?)", (climb, start.uid, last, over)
            )
        known: dict[str, SkillState] = {}
        states.fold(known, self.evidence())
        self.put_states(known)

    def put_states(self, found: Mapping[str, SkillState]) -> None:
        """Put other states in the place of all that are there."""
        self._db.execute("DELETE FROM skills")
        self._db.executemany(
            "INSERT INTO skills VALUES (?, ?)",
            ((name, states.write(state)) for name, state in found.items()),
        )
        self._db.execute("INSERT OR REPLACE INTO about VALUES (?, ?)", (STATES_FORM, states.FORM))

    def check_sum(self) -> str:
        """A check sum of everything that is derived."""
        found = blake2b()
        for query in (
            "SELECT * FROM climbs ORDER BY id",
            "SELECT * FROM evidence ORDER BY id",
            "SELECT * FROM skills ORDER BY skill",
            f"SELECT value FROM about WHERE key = '{STATES_FORM}'",  # noqa: S608 - a name of ours
        ):
            for row in self._db.execute(query):
                found.update(repr(row).encode("utf-8", "replace"))
        return found.hexdigest()


def _slips(text: Any) -> tuple[str, ...]:
    return tuple(map(str, json.loads(str(text))))


_FIELDS: tuple[Callable[[Any], Any], ...] = (
    to_moment, str, int, int, Task, Rung, int, Outcome, int, int, _slips, float,
)  # fmt: skip
"""How the columns of the table of evidence are read, in the order of ``Evidence``."""


def _read(row: Sequence[Any]) -> Evidence | None:
    try:
        return Evidence(*(read(value) for read, value in zip(_FIELDS, row, strict=False)))
    except (TypeError, ValueError, OverflowError, RecursionError):
        return None  # another hand has written it
