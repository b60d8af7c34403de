"""Against wrong predictions of what a change does, of what comes out, and of how tuning goes.

The facts are those of the circuit itself: the formula that holds before and after the change, the
shares of the source's voltage, the value that a part has at the other end of a band.
"""

from __future__ import annotations

from dataclasses import replace

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..questions.changed import TIMES, figure_asked, names_of
from ..questions.kinds import kinds_of_way
from ..questions.model import Rung
from ..questions.outputs import ORDERS
from .changed import FIGURES, change_in, figure_text, formula_text
from .counterfact_ends import against_type, at_end
from .explanation import (
    FACTS,
    REASONS,
    Explanation,
    WrongAnswer,
    as_hinted,
    counterfact_fact,
    fact,
    says,
)
from .fill import Phrase, Text, borrowed
from .hint import hint
from .outputs import shares

_RANKED = (Rung.TAPS_RANKED, Rung.CIRCUITS_RANKED)
_TUNED = kinds_of_way("tuning")


def _filled(wrong: WrongAnswer) -> dict[str, Text]:
    """What fills the hints of the question."""
    found = hint(wrong.problem, wrong.question).values
    return {name: borrowed(text, "hints") for name, text in found}


@FACTS(*FIGURES)
def figure_changed(wrong: WrongAnswer) -> Explanation:
    """The formula before and after; where there is none, the figure before."""
    change = change_in(wrong)
    figure, place = figure_asked(wrong.question.values)
    old, new = (formula_text(k.ladder, figure, place) for k in (change.before, change.after))
    found = _filled(wrong)
    told: dict[str, Text] = {
        "figure": found["figure"],
        "part": found["part"],
        "old": old,
        "new": new,
        "before": figure_text(change.before, figure),
    }
    if not old or not new:
        key = "figure"
    elif old != new:
        key = "formulas"
    elif change.how not in TIMES:
        key = "kept"
    elif change.figures()[figure] == 1 and change.parts[0] not in names_of(old):
        key = "absent"
    else:
        key = "formula"
    claim = _claim(wrong)
    return fact(says(f"changed.{key}", **told), *claim, marked=change.parts)


def _claim(wrong: WrongAnswer) -> tuple[Phrase, ...]:
    """What the answer would mean, of those that are chosen."""
    if wrong.rung is Rung.CHANGE_RATIO:
        return ()
    key = str(wrong.answered)
    return (says(f"changed.not-{'same' if key == 'kept' else key}"),)


@FACTS(Rung.CHANGED_TYPE)
def type_changed(wrong: WrongAnswer) -> Explanation:
    """The end of the changed circuit at which a filter of that type does something else."""
    after = change_in(wrong).after
    found = counterfact_fact(against_type(after.ladder, str(wrong.answered), ""), "type.counter")
    return replace(
        found, says=(says("changed.after"), *found.says), ends=(), marked=(), passes=False
    )


@FACTS(Rung.DC_OUTPUT, Rung.HIGH_OUTPUT)
def end_output(wrong: WrongAnswer) -> Explanation:
    """What stops the signal at that end or lets it through; or where voltage is lost."""
    end = End.LOW if wrong.rung is Rung.DC_OUTPUT else End.HIGH
    if "nothing" not in (wrong.answered, wrong.question.truth):
        key = f"output.{wrong.question.truth}-{end.value}"
        return fact(says(key), end=end, marked=wrong.resistors, passes=True)
    found = at_end(wrong.ladder, end_fact(wrong.ladder, end))
    return counterfact_fact(found, f"{end.value}-end.counter")


@FACTS(*_RANKED)
def ranked(wrong: WrongAnswer) -> Explanation:
    """Two outputs that the answer puts in the wrong order."""
    places, right = ORDERS[str(wrong.answered)], ORDERS[str(wrong.question.truth)]
    first, second = next(
        (i, k)
        for i in range(3)
        for k in range(i + 1, 3)
        if _compared(places[i], places[k]) != _compared(right[i], right[k])
    )
    found = shares(wrong)
    told: dict[str, Text] = {}
    for key, index in (("one", first), ("other", second)):
        output, share = found[index]
        taps = wrong.rung is Rung.TAPS_RANKED
        told[key] = output.across.name if taps else f"({index + 1})"
        told[f"its-{key}"] = share
    key = "taps" if wrong.rung is Rung.TAPS_RANKED else "circuits"
    return fact(says(f"output.{key}", **told))


def _compared(one: int, other: int) -> int:
    return (one > other) - (one < other)


@FACTS(*_TUNED)
def tuned(wrong: WrongAnswer) -> Explanation:
    """What the part is at the other end, or at both, of this circuit."""
    found = _filled(wrong)
    needed = {
        Rung.TUNING_RATIO: ("part",),
        Rung.HALF_IN: ("part", "least", "f2"),
        Rung.STRAY_RANGE: ("part", "stray", "lowest"),
        Rung.TUNED_END: ("course",),
    }.get(wrong.rung, ("part", "value", "drawn", "other"))
    told = says(f"tuning.{wrong.rung.value}", **{name: found[name] for name in needed})
    return fact(told, marked=hint(wrong.problem, wrong.question).focus)


REASONS(*FIGURES, Rung.CHANGED_TYPE, Rung.DC_OUTPUT, Rung.HIGH_OUTPUT, *_RANKED)(as_hinted(2))
REASONS(*_TUNED)(as_hinted(1))
