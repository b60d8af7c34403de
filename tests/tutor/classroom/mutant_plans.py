"""Damaged plan files: the example's text with things in it dropped, doubled, swapped, replaced."""

from __future__ import annotations

import time
from collections import Counter

from rungwise.problems.chance import Chance
from rungwise.problems.sheets.lots import check, draft
from rungwise.problems.sheets.model import Plan, SheetError, Student
from rungwise.tutor.cli.sheet_plan import PlanError, plan_in

from .plans import example_text

HOSTILE = (
    *('"x"', "-1", "3", "1e400", "9" * 5000, "true", "[]", "[[]]", "{}", "''", '"\\u202e"'),
    *('"\\u0000"', "2026-02-30", "2026-01-01T00:00:00Z", "inf", "nan", '"2 %"', '"sketch"'),
    *('["type"]', '["which-circuit"]', "[1, 2, 3, 4, 5, 6]", '["rc-low-pass"]', "[" * 3000),
    *('"series R 1 kΩ; shunt C 1 nF"', '"""\n' + "shunt R 1 Ω\n" * 500 + '"""', "x = 1"),
    *("a" + ".a" * 2000 + " = 1", "[[sections]]", "[[sections.circuits]]", '"\x1b[2J"', "'{0}'"),
)  # fmt: skip

SLOW = 30.0
"""Seconds that no plan of this size may take, on a machine that does other things as well."""

_MOST_DRAWN = 12


def mutant(number: int, seed: int = 1) -> bytes:
    """A damaged plan."""
    chance = Chance(seed, "plans", number)
    lines = example_text().splitlines()
    for _ in range(1 + chance.below(4)):
        at = chance.below(len(lines))
        match chance.below(7):
            case 0:
                del lines[at]
            case 1:
                lines.insert(chance.below(len(lines)), lines[at])
            case 2:
                other = chance.below(len(lines))
                lines[at], lines[other] = lines[other], lines[at]
            case 3 | 4:
                key, equals, _ = lines[at].partition(" = ")
                lines[at] = f"{key}{equals}{chance.pick(HOSTILE)}" if equals else lines[at]
            case 5:
                lines.insert(at, chance.pick(HOSTILE))
            case _:
                lines[at] = lines[at].replace(
                    chance.pick('aeiou"[]{}=, '), chance.pick("xyz'\"]"), 1
                )
        lines = lines or [""]
    data = bytearray("\n".join(lines).encode("utf-8", "surrogatepass"))
    match chance.below(8):
        case 0:
            del data[chance.below(len(data) + 1) :]
        case 1:
            for _ in range(3):
                data[chance.below(len(data))] ^= 1 << chance.below(8)
        case 2:
            data = bytearray(data.decode().encode("utf-16"))
    return bytes(data)


def outcome(data: bytes) -> str:
    """What comes of a plan file; its first problems are drawn where it is one.

    Raises:
        AssertionError: a complaint without a place or a remedy, or one that can't be shown.
    """
    try:
        plan = plan_in(data, "plan.toml")
    except PlanError as error:
        if not error.lines or not all(map(_fine, error.lines)):
            raise AssertionError(error.lines) from error
        return "refused"
    try:
        check(plan)
        if drawn(plan) <= _MOST_DRAWN:
            draft(plan, Student(1))
    except SheetError as error:
        if not all(t.path and t.what and t.remedy for t in error.troubles):
            raise AssertionError(error.troubles) from error
        return "refused: it can't be drawn"
    return "made"


def _fine(line: str) -> bool:
    return line.startswith("plan.toml: ") and line.isprintable()


def drawn(plan: Plan) -> int:
    """How many problems are drawn for each student."""
    return sum(section.count for section in plan.sections)


def survey(count: int, seed: int) -> Counter[str]:
    """Damage so many plans, and count what came of them.

    Raises:
        AssertionError: one did what none should; the message names its number.
    """
    found: Counter[str] = Counter()
    for number in range(count):
        began = time.monotonic()
        try:
            found[outcome(mutant(number, seed))] += 1
        except Exception as error:
            raise AssertionError(f"plan {number} of seed {seed}: {error!r}") from error
        took = time.monotonic() - began
        assert took < SLOW, f"plan {number} of seed {seed} took {took:.0f} s"
    return found
