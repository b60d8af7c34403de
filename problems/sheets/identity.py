"""Who a student is, whatever row of a roster they stand in and however the roster spells it.

That is the student number; without one the e-mail address; without either the name, and of
several students of the same name which of them it is.  Who has none of these is their number.
"""

from __future__ import annotations

import unicodedata

from .model import Student


def identity(student: Student, among: int = 1) -> str:
    """Who a ``student`` is, as a text that nobody else of a class has.

    Of those who are known by the same it is the one that ``among`` says, from 1 on.
    """
    mark = "" if among == 1 else f"#{among}"
    for kind, text in (("id", student.id), ("email", student.email), ("name", student.name)):
        if called := alike(text):
            return f"{kind}{mark} {called}"
    return f"number{mark} {student.number}"


def alike(text: str) -> str:
    """A name, an id or an address as it is compared: what spreadsheets change does not count.

    Those are leading zeros of a number, and an apostrophe put in front; capitals and spaces don't
    count either.
    """
    folded = unicodedata.normalize("NFKC", text).casefold()
    folded = " ".join(folded.replace("'", "").replace("’", "").split())
    return folded.lstrip("0") or "0" if folded.isdecimal() else folded
