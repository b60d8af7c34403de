"""The steps by which a record came to its present form.

Each step changes the file and enters itself in the table ``steps`` in one transaction, so
that a record is always at a step and never between two.  A step that has been released is
never changed: a new form is a new step, and ``tests/records`` holds a record of each.
"""

from __future__ import annotations

import sqlite3

APPLICATION = 0x52754E67
"""What the header of every record says, so that another program's file is known as such."""

_EVENTS = """
CREATE TABLE steps (
    step INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,       -- UTC, microseconds since 1970
    version TEXT NOT NULL      -- of the program that took the step
);
CREATE TABLE about (
    key TEXT PRIMARY KEY,      -- the learner's name, the exam's date and the like
    value TEXT NOT NULL
) WITHOUT ROWID;
CREATE TABLE events (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    climb INTEGER NOT NULL,    -- the id of the event with which the climb began
    step INTEGER NOT NULL,     -- 0 for that event, then 1, 2, …
    at INTEGER NOT NULL,       -- UTC, microseconds since 1970
    kind TEXT NOT NULL,
    body TEXT NOT NULL,        -- JSON
    UNIQUE (climb, step)
);
"""

_DERIVED = """
CREATE TABLE climbs (
    id INTEGER PRIMARY KEY,    -- of the event with which the climb began
    uid TEXT NOT NULL UNIQUE,
    last INTEGER NOT NULL,     -- id of its latest event
    over INTEGER NOT NULL      -- 1: every rung was left, or the climb was
);
CREATE INDEX climbs_open ON climbs (last) WHERE over = 0;
CREATE TABLE evidence (
    id INTEGER PRIMARY KEY,    -- of the event that left the rung
    at INTEGER NOT NULL,
    family TEXT NOT NULL,
    level INTEGER NOT NULL,
    seed INTEGER NOT NULL,
    task TEXT NOT NULL,
    rung TEXT NOT NULL,
    choices INTEGER NOT NULL,
    outcome TEXT NOT NULL,
    tries INTEGER NOT NULL,
    hints INTEGER NOT NULL,
    slips TEXT NOT NULL,       -- JSON
    seconds REAL NOT NULL
);
CREATE INDEX evidence_at ON evidence (at);
"""

_STATES = """
CREATE TABLE skills (
    skill TEXT PRIMARY KEY,
    state TEXT NOT NULL        -- JSON
) WITHOUT ROWID;
CREATE TABLE drafts (
    uid TEXT PRIMARY KEY,      -- of the climb; not derived, and lost without harm
    position INTEGER NOT NULL, -- the rung it was typed on, counted from 0
    body TEXT NOT NULL         -- JSON: what is typed, pointed at or read
) WITHOUT ROWID;
"""

_LOOKS = """
-- A round of looks is a row of events too, and in climbs with over = 2: no table is new, but
-- earlier releases, which do not know these events, must keep away.
"""

STEPS = (_EVENTS, _DERIVED, _STATES, _LOOKS)
NEWEST = len(STEPS)


def step_of(connection: sqlite3.Connection) -> int:
    """The step a record is at; 0 for a file that is none yet."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def take_steps(connection: sqlite3.Connection, at: int, version: str, to: int = NEWEST) -> bool:
    """Take the steps that are missing, inside the caller's transaction; False if none is.

    Args:
        connection: to the record.
        at: now, in microseconds since 1970.
        version: of the program.
        to: the last step to be taken.
    """
    have = step_of(connection)
    for number, script in enumerate(STEPS[have:to], have + 1):
        for statement in statements(script):
            connection.execute(statement)
        connection.execute("INSERT INTO steps VALUES (?, ?, ?)", (number, at, version))
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(f"PRAGMA user_version = {number}")
    return have < to


def statements(script: str) -> list[str]:
    """The statements of a script; ``executescript`` would end the transaction."""
    found, part = [], ""
    for piece in script.split(";"):
        part += piece + ";"
        if sqlite3.complete_statement(part) and part.strip(" \n;"):
            found.append(part.strip())
            part = ""
    return found
