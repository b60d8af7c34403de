"""A record as statements of the Experience API: a local file.

The file is a JSON array of statements, as a learning record store takes and gives them.  The
verbs are those of ADL's vocabulary and, for a skipped question, of the one at
https://registry.tincanapi.com.  Each statement carries the whole event as an extension of its
result, so that nothing is lost on the way back.  Of what is read that event alone counts,
whatever version the statement has.  No statement of a climb says what the right answer is; one
of a look says what was taken for what.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any
from uuid import UUID, uuid5

from ..files.xapi import ADL, ASSESSMENT, HOME, QUESTION, activity, agent, line, said
from ..language.texts import fill
from ..learning.course import MoveKind, Other
from .events import BadEvent
from .exchange import FORMAT, BadFile, CollectedEvents, ExchangeItem, Out, ReadRecord, timestamp
from .looks import LOOKED, ROUND

EVENT = f"{HOME}/xapi/event"
"""The extension that holds an event as the record keeps it."""
_SPACE = UUID("6b1f7c52-8e0d-5a52-9d1b-6a9f5a3f7c11")
_VERBS = {
    Other.BEGAN.value: ("initialized", f"{ADL}/verbs/initialized"),
    MoveKind.ANSWERED.value: ("answered", f"{ADL}/verbs/answered"),
    MoveKind.GIVEN.value: ("answered", f"{ADL}/verbs/answered"),
    MoveKind.HINTED.value: ("interacted", f"{ADL}/verbs/interacted"),
    MoveKind.SHOWN.value: ("experienced", f"{ADL}/verbs/experienced"),
    MoveKind.WORKED.value: ("experienced", f"{ADL}/verbs/experienced"),
    MoveKind.SKIPPED.value: ("skipped", "http://id.tincanapi.com/verb/skipped"),
    Other.TOOK_OVER.value: ("interacted", f"{ADL}/verbs/interacted"),
    Other.LEFT.value: ("exited", f"{ADL}/verbs/exited"),
    ROUND: ("initialized", f"{ADL}/verbs/initialized"),
    LOOKED: ("answered", f"{ADL}/verbs/answered"),
}


def write_xapi(found: Iterable[ExchangeItem], learner: str, account: str, out: Out) -> None:
    """A JSON array, one statement a line.

    Args:
        found: The events.
        learner: The name as it is shown.
        account: The name as it stands in file names; "" for the only learner.
        out: Where the statements go.
    """
    actor = agent(account or "learner", learner)
    problem: dict[str, Any] = {}
    between = "[\n"
    for item in found:
        if item.row.kind == Other.BEGAN:
            problem = item.body
        out.write(between + _line(item, actor, problem))
        between = ",\n"
    out.write("\n]\n" if between != "[\n" else "[]\n")


def _line(item: ExchangeItem, actor: dict[str, Any], problem: dict[str, Any]) -> str:
    row, body = item.row, item.body
    word, verb = _VERBS[row.kind]
    event = {
        "format": FORMAT,
        "climb": item.climb,
        "step": row.step,
        "kind": row.kind,
        "body": body,
    }
    result: dict[str, Any] = {"extensions": {EVENT: event}}
    if row.kind == MoveKind.ANSWERED:
        result["response"] = body["text"]
        if body["verdict"] != "unclear":
            result["success"] = body["verdict"] != "wrong"
    elif row.kind == MoveKind.GIVEN:
        result["response"] = body["text"]
    elif row.kind == LOOKED:
        result["response"], result["success"] = body["answered"], body["answered"] == body["truth"]
    if "seconds" in body:
        result["duration"] = f"PT{body['seconds']:.2f}S"
    statement = said(
        actor,
        (verb, word),
        _about(row.kind, body, problem),
        result,
        str(UUID(item.climb)),
        timestamp=timestamp(row.at),
    )
    return line(str(uuid5(_SPACE, f"{item.climb}/{row.step}")), statement)


def _about(kind: str, body: dict[str, Any], problem: dict[str, Any]) -> dict[str, Any]:
    if kind == ROUND:
        return activity(f"{HOME}/round", ASSESSMENT, fill("looks", "round.title", ()))
    if kind == LOOKED:
        asked = body["asks"]
        title = fill("looks", f"{asked}.title", ())
        return activity(f"{HOME}/look/{asked}/{body['seed']}", QUESTION, title, "choice")
    place = f"{HOME}/problem/{problem['task']}/{problem['level']}/{problem['seed']}"
    if kind in tuple(Other):
        # Not the family's name, which would say what kind of filter it is.
        name = fill("screens", "drill.about", [(key, problem[key]) for key in ("level", "seed")])
        return activity(place, ASSESSMENT, name)
    rung = body["rung"]
    choices = dict(map(tuple, problem["rungs"])).get(rung, 0)
    title = fill("questions", f"{rung}.title")
    return activity(f"{place}/{rung}", QUESTION, title, "choice" if choices else "fill-in")


def read_xapi(text: str) -> ReadRecord:
    """Back from :func:`write_xapi`; statements of other programs are passed over.

    Raises:
        BadFile: it is no JSON array.
    """
    try:
        statements = json.loads(text)
    except (ValueError, RecursionError) as error:
        line = getattr(error, "lineno", None)
        where = f" in line {line}" if line else ""
        raise BadFile(f"the file is no whole JSON{where}") from None
    if not isinstance(statements, list):
        raise BadFile("the file is no array of statements")
    found, collected = ReadRecord(), CollectedEvents("statement")
    for number, statement in enumerate(statements, 1):
        try:
            event = _event(statement)
            body = event.get("body")
            if not isinstance(body, dict):
                raise BadEvent("the event has no body")
            collected.add(number, event, statement.get("timestamp"), body)
        except BadEvent as error:
            found.complain(f"statement {number}: {error}")
    collected.deliver(found)
    return found


def _event(statement: object) -> dict[str, Any]:
    event: object = statement
    for key in ("result", "extensions", EVENT):
        event = event.get(key) if isinstance(event, dict) else None
    if not isinstance(event, dict):
        raise BadEvent("it holds no event of a record of Rungwise")
    if event.get("format") != FORMAT:
        raise BadEvent("a later release of Rungwise wrote it")
    return event
