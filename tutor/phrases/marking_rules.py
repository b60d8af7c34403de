"""What students, and whoever marks by hand, are told of a plan's rules of marking."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time
from fractions import Fraction

from ...problems.sheets.marking_rules import ALL, NOTHING, CountsRule, LateRule, MarkingRules
from ..language.texts import Words, entry, speaker

_say = speaker("sheet", "marking.")
_SHARES = {
    NOTHING: "none",
    Fraction(1, 4): "quarter",
    Fraction(1, 3): "third",
    Fraction(1, 2): "half",
    Fraction(3, 4): "three-quarters",
    ALL: "all",
}
_END_OF_DAY = time(23, 59, 59)


def rules_told(rules: MarkingRules) -> list[str]:
    """The rules as a sheet has them: a sentence each; none where they are the usual ones."""
    return list(_sentences(rules))


def rules_in_full(rules: MarkingRules) -> list[str]:
    """The rules as a key has them: those of a sheet, and what each mistake earns."""
    slips = Words.load().slip_name
    each = (
        _say("slip", slip=slips(slip), share=share_text(share))
        for slip, share in rules.slip_points.slips
    )
    return [*_sentences(rules), *each]


def share_text(share: Fraction) -> str:
    """A share of the points in words: "half", "30 %"."""
    if share in _SHARES:
        return _say(_SHARES[share])
    return _say("percent", percent=f"{float(share * 100):.4g}")


def _sentences(rules: MarkingRules) -> Iterator[str]:
    verdicts, slips = rules.verdict_points, rules.slip_points
    if verdicts.right != ALL:
        yield _say("right", share=share_text(verdicts.right))
    if verdicts.rough != verdicts.right:
        yield _say("rough", share=share_text(verdicts.rough))
    if verdicts.wrong:
        yield _say("wrong", share=share_text(verdicts.wrong))
    if slips.each:
        yield _say("slips", share=share_text(slips.each))
    elif any(share for _, share in slips.slips):
        yield _say("slips-some")
    if rules.follow_through:
        key = "follow-all" if rules.follow_through == ALL else "follow"
        yield _say(key, share=share_text(rules.follow_through))
    if rules.counts is CountsRule.NEWEST:
        yield _say("newest")
    if rules.due_at is not None:
        key = "due-apart" if rules.late is LateRule.APART else "due"
        yield _say(key, when=_when(rules.due_at))


def _when(due: datetime) -> str:
    """A day, or a day and a time, as its own clock has it."""
    month = entry("days", "months").split()[due.month - 1]
    key = "day" if due.time() == _END_OF_DAY else "time"
    return _say(
        key, day=due.day, month=month, year=due.year, hour=due.hour, minute=f"{due.minute:02d}"
    )
