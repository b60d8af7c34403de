"""The chance that a plan's problems come from, which nobody can work back.

A student learns much of their own problems, and a marker all of it.  Of a plan of the first form
that was enough for everything else: :class:`~.chance.Chance` steps by maps that can be inverted,
so that one problem's seed gave the plan's, and with it every key.  Now each seed is an
HMAC-SHA-256 (RFC 2104, FIPS 180-4) of what it is for, under the plan's seed as its key, which
tells nothing of that key other than by trying all of them.
"""

from __future__ import annotations

import hmac

from ..chance import Chance
from .model import OLD_PLAN_FORMAT, Plan


def lot_seed(plan: Plan, section: int, place: int, student: int, attempt: int) -> int:
    """The seed of one drawn problem, 0 to 2⁶³ − 1.

    Args:
        plan: the teacher's; its own seed is the key.
        section: index of the section.
        place: index of the problem among the section's drawn ones.
        student: the student's number.
        attempt: which draw it is, where earlier ones could not be given.
    """
    path = ("lot", section, place, student, attempt)
    if plan.format == OLD_PLAN_FORMAT:
        return Chance(plan.seed, *path).bits() >> 1
    return _secret(plan, *path) >> 1


def families_chance(plan: Plan, section: int, student: int) -> Chance:
    """What decides about the families of a ``plan``'s ``section`` (its index).

    ``student`` is 0 where all have the same.
    """
    path = ("families", section, student)
    if plan.format == OLD_PLAN_FORMAT:
        return Chance(plan.seed, *path)
    return Chance(_secret(plan, *path))


def seal(plan: Plan) -> str:
    """What stands for the seed of a plan where only its being the same matters."""
    return f"{_secret(plan, 'seal'):016x}"


def _secret(plan: Plan, *path: str | int) -> int:
    """64 bits for one purpose."""
    message = "/".join(map(str, (plan.format, *path))).encode()
    return int.from_bytes(hmac.digest(plan.seed.to_bytes(8, "big"), message, "sha256")[:8], "big")
