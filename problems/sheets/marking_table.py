"""The table ``[marking]`` of a plan file → MarkingRules."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from fractions import Fraction

from ..quantities.errors import wording
from ..slips.order import SLIPS
from .marking_rules import (
    ALL,
    NOTHING,
    USUAL,
    CountsRule,
    LateRule,
    MarkingRules,
    SlipShares,
    VerdictShares,
)
from .model import ValueRefused
from .reading import PlanFields, choice, decimal_to, one_of, read_of

MARKING_KEYS = ("slip_points", "follow_through", "verdict_points", "counts", "due", "late")
SLIP_NAMES = tuple(slip.id for slip in SLIPS)
VERDICT_NAMES = ("right", "rough", "wrong")


def marking_rules(plan: PlanFields) -> MarkingRules:
    """The rules that a plan's table ``[marking]`` sets; the usual ones without it.

    What is wrong in it is noted among the troubles of ``plan``.
    """
    table = plan.table("marking", MARKING_KEYS)
    if table is None:
        return USUAL
    rules = MarkingRules(
        slip_points=table.read("slip_points", _slip_points, USUAL.slip_points),
        follow_through=table.read("follow_through", _follow_through, NOTHING),
        verdict_points=table.read("verdict_points", _verdict_points, USUAL.verdict_points),
        counts=table.read("counts", one_of(CountsRule), CountsRule.ASK),
        due=table.read("due", _due, ""),
        late=table.read("late", one_of(LateRule), LateRule.NOTE),
    )
    if table.has("late") and not table.has("due"):
        table.trouble("late", rules.late.value, wording("plan.late-undue"), wording("plan.due-too"))
    return rules


# Each raises ValueRefused where a value does not do.


_share = decimal_to(1, 4, "plan.no-share", wording("plan.shares"))


def _slip_points(value: object) -> SlipShares:
    if not isinstance(value, Mapping):
        return SlipShares(_share(value))
    shares = {
        choice(name, ("each", *SLIP_NAMES)): read_of(name, _share, share)
        for name, share in value.items()
    }
    each = shares.pop("each", NOTHING)
    return SlipShares(each, tuple(shares.items()))


def _follow_through(value: object) -> Fraction:
    if isinstance(value, bool):
        return ALL if value else NOTHING
    try:
        return _share(value)
    except ValueRefused as error:
        raise ValueRefused("plan.no-follow", error.remedy) from None


def _verdict_points(value: object) -> VerdictShares:
    if not isinstance(value, Mapping):
        raise ValueRefused("plan.no-verdicts", wording("plan.verdicts"))
    shares = VerdictShares(
        **{
            choice(name, VERDICT_NAMES): read_of(name, _share, share)
            for name, share in value.items()
        }
    )
    if not shares.right >= shares.rough >= shares.wrong or not shares.right:
        raise ValueRefused("plan.verdict-order", wording("plan.verdicts"))
    return shares


def _due(value: object) -> str:
    found = value
    if isinstance(value, str):
        try:
            found = date.fromisoformat(value)
        except ValueError:
            try:
                found = datetime.fromisoformat(value)
            except ValueError:
                found = None
    if isinstance(found, date) and not isinstance(found, datetime):
        return f"{found.isoformat()}T23:59:59"  # all of that day
    if isinstance(found, datetime):
        return found.isoformat(timespec="seconds")
    raise ValueRefused("plan.no-time", wording("plan.times"))
