"""A record as statements of the Experience API (IEEE 9274.1.1-2023, xAPI 2.0): a local file.

The file is a JSON array of statements, as a learning record store takes and gives them.  The
verbs are those of ADL's vocabulary (https://w3id.org/xapi/adl) and, for a skipped question,
of the one at https://registry.tincanapi.com.  Each statement carries the whole event as an
extension of its result, so that nothing is lost on the way back.

Identifiers of ours lie under ``rungwise.invalid``: RFC 2606 keeps that name from meaning
anybody.  No statement says what the right answer is.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any
from uuid import UUID, uuid5

from ..language.texts import Words
from ..learning.climb import MoveKind
from .events import BadEvent, Other
from .exchange import FORMAT, BadFile, CollectedEvents, ExchangeItem, Out, ReadRecord, timestamp

VERSION = "2.0.0"
HOME = "https://rungwise.invalid"
EVENT = f"{HOME}/xapi/event"
"""The extension that holds an event as the record keeps it."""
_SPACE = UUID("6b1f7c52-8e0d-5a52-9d1b-6a9f5a3f7c11")
_ADL = "http://adlnet.gov/expapi"
_VERBS = {
    Other.BEGAN.value: ("initialized", f"{_ADL}/verbs/initialized"),
    MoveKind.ANSWERED.value: ("answered", f"{_ADL}/verbs/answered"),
    MoveKind.GIVEN.value: ("answered", f"{_ADL}/verbs/answered"),
    MoveKind.HINTED.value: ("interacted", f"{_ADL}/verbs/interacted"),
    MoveKind.SHOWN.value: ("experienced", f"{_ADL}/verbs/experienced"),
    MoveKind.WORKED.value: ("experienced", f"{_ADL}/verbs/experienced"),
    MoveKind.SKIPPED.value: ("skipped", "http://id.tincanapi.com/verb/skipped"),
    Other.TOOK_OVER.value: ("interacted", f"{_ADL}/verbs/interacted"),
    Other.LEFT.value: ("exited", f"{_ADL}/verbs/exited"),
}
_PROBLEM, _QUESTION = f"{_ADL}/activities/assessment", f"{_ADL}/activities/cmi.interaction"


def write_xapi(found: Iterable[ExchangeItem], learner: str, account: str, out: Out) -> None:
    """A JSON array, one statement a line.

    Args:
        found: The events.
        learner: The name as it is shown.
        account: The name as it stands in file names; "" for the only learner.
        out: Where the statements go.
    """
    actor: dict[str, Any] = {
        "objectType": "Agent",
        "account": {"homePage": HOME, "name": account or "learner"},
    }
    if learner:
        actor["name"] = learner
    problem: dict[str, Any] = {}
    between = "[\n"
    for item in found:
        if item.row.kind == Other.BEGAN:
            problem = item.body
        statement = _statement(item, actor, problem)
        out.write(between + json.dumps(statement, ensure_ascii=False, separators=(",", ":")))
        between = ",\n"
    out.write("\n]\n" if between != "[\n" else "[]\n")


def _statement(
    item: ExchangeItem, actor: dict[str, Any], problem: dict[str, Any]
) -> dict[str, Any]:
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
    if "seconds" in body:
        result["duration"] = f"PT{body['seconds']:.2f}S"
    return {
        "id": str(uuid5(_SPACE, f"{item.climb}/{row.step}")),
        "actor": actor,
        "verb": {"id": verb, "display": {"en": word}},
        "object": _activity(row.kind, body, problem),
        "result": result,
        "context": {
            "registration": str(UUID(item.climb)),
            "platform": "Rungwise",
            "language": "en",
        },
        "timestamp": timestamp(row.at),
        "version": VERSION,
    }


def _activity(kind: str, body: dict[str, Any], problem: dict[str, Any]) -> dict[str, Any]:
    place = f"{HOME}/problem/{problem['task']}/{problem['level']}/{problem['seed']}"
    if kind in tuple(Other):
        # Not the family's name, which would say what kind of filter it is.
        name = Words.load().ui("drill.about", level=problem["level"], seed=problem["seed"])
        return {
            "objectType": "Activity",
            "id": place,
            "definition": {"type": _PROBLEM, "name": {"en": name}},
        }
    rung = body["rung"]
    choices = dict(map(tuple, problem["rungs"])).get(rung, 0)
    return {
        "objectType": "Activity",
        "id": f"{place}/{rung}",
        "definition": {
            "type": _QUESTION,
            "name": {"en": _title(rung)},
            "interactionType": "choice" if choices else "fill-in",
        },
    }


def _title(rung: str) -> str:
    from ...problems.questions.model import Rung

    return Words.load().title(Rung(rung))


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
