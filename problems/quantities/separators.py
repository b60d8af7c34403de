"""Which sign a writer has for decimals, and numbers written so that it no longer matters.

``1,591`` is 1591 to one writer and 1.591 to another, and ``1.591`` likewise.  Nothing in such a
number says which; the other numbers by the same hand may: ``0,7`` and ``1.234,5`` have a decimal
comma, ``0.7`` and ``1,234.5`` a point.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

OTHER_SIGN = {",": ".", ".": ","}
"""The decimal sign that a writer has for grouping instead."""

_RUN = re.compile(r"[0-9]++(?:[.,'’][0-9]++)*+")


def decimal_sign(texts: Iterable[str]) -> str:
    """The decimal sign of whoever wrote ``texts``: "," or "."; "" where they don't tell."""
    found = {sign for text in texts for run in _RUN.findall(text) if (sign := _told(run))}
    return found.pop() if len(found) == 1 else ""


def _told(run: str) -> str:
    """The decimal sign that one number gives away."""
    points, commas = run.count("."), run.count(",")
    if points and commas:
        return "." if run.rindex(".") > run.rindex(",") else ","
    if points + commas == 0:
        return ""
    sign = "." if points else ","
    if points + commas > 1:
        return OTHER_SIGN[sign]
    whole, _, part = run.partition(sign)
    grouping = len(part) == 3 and whole[0] != "0" and len(whole) <= 3 and "'" not in whole
    return "" if grouping else sign


def spelt_out(text: str, decimal: str) -> str:
    """The text with every number's apostrophes dropped, and what two may read in two ways settled.

    >>> spelt_out("1,591 Hz", ","), spelt_out("1.591 Hz", ","), spelt_out("10'000", "")
    ('1.591 Hz', '1591 Hz', '10000')

    Args:
        text: what was typed.
        decimal: the writer's decimal sign; "" where it is not known.
    """
    return _RUN.sub(lambda match: _number(match[0], decimal), text)


def _number(run: str, decimal: str) -> str:
    first, *others = re.split("['’]", run)
    if others and all(len(part) == 3 for part in others[:-1]) and len(first) <= 3:
        last = re.split("[.,]", others[-1])[0]
        if len(last) == 3 and first.isdigit():
            run = "".join((first, *others))
    if not decimal or _told(run) or not ("." in run or "," in run):
        return run
    return run.replace(OTHER_SIGN[decimal], "").replace(decimal, ".")
