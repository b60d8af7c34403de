"""Slips about how many: independent elements, poles, zeros."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from ..analysis.idle import Hidden, Reason
from ..questions.model import Rung, Values
from .case import Case, Guess, Topic

TOPIC = Topic("counts")

COUNTS = (Rung.INDEPENDENT, Rung.POLES)


HIDDEN = {
    "combinable-counted": Reason.COMBINABLE,  # parts that combine into one, counted one by one
    "across-source-counted": Reason.ACROSS_SOURCE,  # an ideal source holds its voltage
    "dangling-counted": Reason.DANGLING,  # it carries no current
    "loop-counted": Reason.DEPENDENT,  # a loop of C, or a star of L, ties it to the others
}
"""Which slip counts the elements that are hidden for which reason."""


def hidden_values(hidden: Sequence[Hidden]) -> Values:
    """What fills the sentences of these slips."""
    return (
        ("names", " and ".join(h.name for h in hidden)),
        ("partner", hidden[0].partner or ""),
    )


def _hidden(case: Case, *, reason: Reason) -> Iterator[Guess]:
    """The count with the elements hidden for a reason, alone or with all hidden ones."""
    hidden = [h for h in case.facts.hidden if h.reason is reason]
    if hidden:
        values = hidden_values(hidden)
        yield Guess(int(case.truth) + len(hidden), values)
        yield Guess(int(case.truth) + len(case.facts.hidden), values)


for _id, _reason in HIDDEN.items():
    TOPIC.slip(_id, *COUNTS)(partial(_hidden, reason=_reason))


@TOPIC.slip("resistors-counted", *COUNTS)
def resistors_counted(case: Case) -> Iterator[Guess]:
    """Resistances counted, with the reactive elements or for them."""
    if case.resistors:
        yield Guess(int(case.truth) + len(case.resistors))
    if len(case.resistors) > 1:  # a single one counted alone looks like any part forgotten
        yield Guess(len(case.resistors))


@TOPIC.slip("pair-counted-once", *COUNTS)
def pair_counted_once(case: Case) -> Iterator[Guess]:
    """Each complex pair of poles, or each resonance, taken for one pole."""
    pairs = sum(1 for pole in case.facts.poles if pole.imag > 0)
    for missed in range(pairs, 0, -1):
        yield Guess(int(case.truth) - missed)


@TOPIC.slip("zeros-at-infinity", Rung.ZEROS)
def zeros_at_infinity(case: Case) -> Iterator[Guess]:
    """Zeros at infinity counted: then there are as many zeros as poles."""
    if case.facts.transfer.zero_count < case.order:
        yield Guess(case.order)


@TOPIC.slip("zeros-at-infinity", Rung.ORIGIN_ZEROS)
def infinite_zeros_at_origin(case: Case) -> Iterator[Guess]:
    """Zeros at infinity placed at the origin."""
    missing = case.order - case.facts.transfer.zero_count
    if missing:
        yield Guess(missing)
        yield Guess(missing + int(case.truth))


@TOPIC.slip("origin-zeros-missed", Rung.ZEROS, Rung.ORIGIN_ZEROS)
def origin_zeros_missed(case: Case) -> Iterator[Guess]:
    """Zeros at s = 0 overlooked: each factor s of the numerator is one."""
    if case.facts.transfer.zeros_at_origin:
        yield Guess(int(case.truth) - case.facts.transfer.zeros_at_origin)


@TOPIC.slip("axis-zeros-missed", Rung.ZEROS)
def axis_zeros_missed(case: Case) -> Iterator[Guess]:
    """The jω-axis zeros of a notch overlooked."""
    pairs = case.facts.axis_zero_pairs
    if pairs:
        yield Guess(int(case.truth) - 2 * pairs)
        yield Guess(int(case.truth) - pairs)


@TOPIC.slip("axis-zeros-at-origin", Rung.ORIGIN_ZEROS)
def axis_zeros_at_origin(case: Case) -> Iterator[Guess]:
    """The jω-axis zeros of a notch placed at the origin."""
    pairs = case.facts.axis_zero_pairs
    if pairs:
        yield Guess(int(case.truth) + 2 * pairs)
