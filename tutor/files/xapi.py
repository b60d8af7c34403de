"""Statements of the Experience API (IEEE 9274.1.1-2023, xAPI 2.0), as plain values and as lines.

A record's events and a class's results are given out as these.  Verbs and kinds of activity are
those of ADL's vocabulary (https://w3id.org/xapi/adl).  Identifiers of ours lie under
``rungwise.invalid``: RFC 2606 keeps that name from meaning anybody.  An actor is an account
there, or of the home page that a class names, or a hashed e-mail; no address is made up.
"""

from __future__ import annotations

import json
from hashlib import sha1
from typing import Any

VERSION = "2.0.0"
HOME = "https://rungwise.invalid"
ADL = "http://adlnet.gov/expapi"
ASSESSMENT, QUESTION = f"{ADL}/activities/assessment", f"{ADL}/activities/cmi.interaction"


def agent(account: str, name: str = "", home_page: str = HOME) -> dict[str, Any]:
    """A person, known by an account.

    Args:
        account: what tells them from others.
        name: what is shown; "" where there is nothing.
        home_page: the address of the system that it is an account of.
    """
    return _person("account", {"homePage": home_page, "name": account}, name)


def mailed(address: str, name: str = "") -> dict[str, Any]:
    """A person, known by the hash of an e-mail address, which the statement does not hold.

    It is the SHA-1 of the address with "mailto:" before it (xAPI 2.0, 4.2.2.2.2).  A hash keeps an
    address from being read, not from being guessed.

    Args:
        address: the e-mail address.
        name: what is shown; "" where there is nothing.
    """
    hashed = sha1(f"mailto:{address}".encode(), usedforsecurity=False).hexdigest()
    return _person("mbox_sha1sum", hashed, name)


def _person(how: str, known: object, name: str) -> dict[str, Any]:
    return {"objectType": "Agent", how: known} | ({"name": name} if name else {})


def activity(iri: str, kind: str, name: str, interaction: str = "") -> dict[str, Any]:
    """What was done something with.

    Args:
        iri: what tells it from others.
        kind: :data:`ASSESSMENT` or :data:`QUESTION`.
        name: what is shown, in English.
        interaction: of a question: how it is answered, such as "choice".
    """
    definition: dict[str, Any] = {"type": kind, "name": {"en": name}}
    if interaction:
        definition["interactionType"] = interaction
    return {"objectType": "Activity", "id": iri, "definition": definition}


def said(
    actor: dict[str, Any],
    verb: tuple[str, str],
    about: dict[str, Any],
    result: dict[str, Any],
    registration: str,
    *,
    parent: dict[str, Any] | None = None,
    timestamp: str = "",
) -> dict[str, Any]:
    """A statement but for its id and version.

    Args:
        actor: who, of :func:`agent`.
        verb: its IRI, and the word that is shown, in English.
        about: with what, of :func:`activity`.
        result: how it came out.
        registration: what all statements about one sheet or climb have in common.
        parent: the activity that this one is a part of.
        timestamp: when, as RFC 3339 has it; "" where nobody knows.
    """
    context: dict[str, Any] = {
        "registration": registration,
        "platform": "Rungwise",
        "language": "en",
    }
    if parent is not None:
        context["contextActivities"] = {"parent": [parent]}
    iri, word = verb
    return {
        "actor": actor,
        "verb": {"id": iri, "display": {"en": word}},
        "object": about,
        "result": result,
        "context": context,
        **({"timestamp": timestamp} if timestamp else {}),
    }


def line(id_: str, statement: dict[str, Any]) -> str:
    """A ``statement`` of :func:`said` as JSON, without a line break; ``id_`` is a UUID.

    The same said again has the same one.
    """
    whole = {"id": id_, **statement, "version": VERSION}
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
