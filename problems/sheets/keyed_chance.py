"""The chance that a plan's problems come from, which nobody can work back.

A student learns much of their own problems, and a marker all of it.  Of a plan of the first form
that was enough for everything else: :class:`~.chance.Chance` steps by maps that can be inverted,
so that one problem's seed gave the plan's, and with it every key.  Now each seed is an
HMAC-SHA-256 (RFC 2104, FIPS 180-4) of what it is for, under the plan's seed as its key, which
tells nothing of that key other than by trying all of them.
"""

from __future__ import annotations

import hmac
from typing import TypeAlias

from ..chance import Chance
from .identity import identity
from .model import OLD_PLAN_FORMAT, Plan, Student

Whose: TypeAlias = int | str
"""What a student's circuits follow from: see :func:`whose_chance`."""


def whose_chance(plan: Plan, student: Student) -> Whose:
    """What the circuits of a ``student`` follow from.

    That is their number in ``plan``s of the forms before the third, else their variant where
    there are any, else who they are: never the row of a roster that they stand in.
    """
    if plan.is_numbered:
        return student.number
    if plan.variants:
        return f"variant {student.variant}"
    return f"student {student.identity or identity(student)}"


def order_of(plan: Plan, student: Student) -> int:
    """Where a ``student`` comes when a ``plan``'s lots are drawn: nothing that a roster shows."""
    return _secret(plan, "order", whose_chance(plan, student))


def variant_by_lot(plan: Plan, student: Student) -> str:
    """The variant of a ``plan`` that falls to a ``student``, whoever else there is.

    Independence beats balance: of n students about n/2 ± √n/2 are given the first of two.
    """
    who = student.identity or identity(student)
    return plan.variants[_secret(plan, "variant", who) % len(plan.variants)]


def lot_seed(plan: Plan, section: int, place: int, whose: Whose, attempt: int) -> int:
    """The seed of one drawn problem, 0 to 2⁶³ − 1.

    Args:
        plan: the teacher's; its own seed is the key.
        section: index of the section.
        place: index of the problem among the section's drawn ones.
        whose: what the student's circuits follow from (:func:`whose_chance`).
        attempt: which draw it is, where earlier ones could not be given.
    """
    path = ("lot", section, place, whose, attempt)
    if plan.format == OLD_PLAN_FORMAT:
        return Chance(plan.seed, *path).bits() >> 1
    return _secret(plan, *path) >> 1


def families_chance(plan: Plan, section: int, whose: Whose) -> Chance:
    """What decides about the families of a ``plan``'s ``section`` (its index).

    ``whose`` is 0 where all have the same.
    """
    path = ("families", section, whose)
    if plan.format == OLD_PLAN_FORMAT:
        return Chance(plan.seed, *path)
    return Chance(_secret(plan, *path))


def seal(plan: Plan) -> str:
    """What stands for the seed of a plan where only its being the same matters."""
    return f"{_secret(plan, 'seal'):016x}"


def _secret(plan: Plan, *path: str | int) -> int:
    """64 bits for one purpose."""
    message = "/".join(map(str, (plan.format, *path))).encode("utf-8", "surrogatepass")
    return int.from_bytes(hmac.digest(plan.seed.to_bytes(8, "big"), message, "sha256")[:8], "big")
