"""Kinds that are read and predicted, many problems of each: ``python -m tests.studies.predicted``.

``--wanted N`` problems of every kind (200 unless said otherwise), ``--group NAME`` of one group
only.  Prints for each kind how many truths a witness confirmed, how many slips that can be told
apart were named first, and how many wrong answers have a fact and a reason.  Exit status 1 where
a truth is not confirmed, less than 95 % of slips are named first, a wrong answer is unexplained, or
a slip is never made.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping
from itertools import islice

from rungwise.problems.questions.model import Rung
from rungwise.problems.slips.order import SLIPS

from tests.support import (
    change_witness,
    curve_witness,
    level_witness,
    resonance_witness,
    step_witness,
)
from tests.support.predicted import SEEDS, Asked, Tally, problems, study


def off_curve(wanted: int) -> dict[Rung, Tally]:
    """What is read off a gain curve, and how often a careful reader is right."""
    found = study("curve", curve_witness.READ, wanted)
    for rung, (right, asked) in careful(wanted).items():
        print(f"  {rung.value}: a careful reader is right {right} times of {asked}")
        if right < CAREFUL * asked:
            found[rung].troubles.append(f"a careful reader is right {right} times of {asked}")
    return found


def q_curves(wanted: int) -> dict[Rung, Tally]:
    """Which of four curves, and peaks."""
    return study("which-curve", curve_witness.OF_Q, wanted)


def places(wanted: int) -> dict[Rung, Tally]:
    """From the map of poles, and back to it."""
    return {
        **study("map", step_witness.MAP, wanted),
        **study("poles", step_witness.POLES, wanted),
    }


def steps(wanted: int) -> dict[Rung, Tally]:
    """The step response, from the circuit."""
    return study("step", step_witness.STEP, wanted)


def off_step(wanted: int) -> dict[Rung, Tally]:
    """What is read off a step response, and how often a careful reader is right."""
    found = study("step-curve", step_witness.CURVE, wanted)
    for rung, tally in found.items():
        every = (
            Asked(problem, known, question)
            for problem, known in problems("step-curve", range(SEEDS))
            for question in problem.questions
            if question.rung is rung
        )
        asked = list(islice(every, wanted))
        right = sum(step_witness.read_right(one, n) for n, one in enumerate(asked))
        print(f"  {rung.value}: a careful reader is right {right} times of {len(asked)}")
        if right < CAREFUL * len(asked):
            tally.troubles.append(f"a careful reader is right {right} times")
    return found


def changes(wanted: int) -> dict[Rung, Tally]:
    """What a change does."""
    return study("change", change_witness.CHANGES, wanted)


def outputs(wanted: int) -> dict[Rung, Tally]:
    """Outputs compared."""
    return study("outputs", change_witness.OUTPUTS, wanted)


def tuning(wanted: int) -> dict[Rung, Tally]:
    """A resonator tuned along its band."""
    return study("tuning", change_witness.TUNING, wanted)


def energy(wanted: int) -> dict[Rung, Tally]:
    """Energy, and resonance with a load."""
    return study("energy", resonance_witness.ENERGY, wanted)


def sources(wanted: int) -> dict[Rung, Tally]:
    """Current sources and duals."""
    return study("source", resonance_witness.SOURCE, wanted)


def levels(wanted: int) -> dict[Rung, Tally]:
    """Gain and phase at a frequency, and decibels."""
    return study("levels", level_witness.LEVELS, wanted)


def design(wanted: int) -> dict[Rung, Tally]:
    """The standard form, scaling, tolerances."""
    return study("design", level_witness.DESIGN, wanted)


GROUPS: Mapping[str, Callable[[int], dict[Rung, Tally]]] = {
    "off-curve": off_curve,
    "q-curves": q_curves,
    "places": places,
    "steps": steps,
    "off-step": off_step,
    "changes": changes,
    "outputs": outputs,
    "tuning": tuning,
    "energy": energy,
    "sources": sources,
    "levels": levels,
    "design": design,
}

LEAST = 0.95
"""The share of slips, of those that can be told apart, that must be named first."""
CAREFUL = 0.95
"""The share of readings that must be within the tolerance."""


def careful(wanted: int, seeds: int = SEEDS) -> dict[Rung, tuple[int, int]]:
    """By kind, how often somebody who reads to half a dot is right, and of how many."""
    found = dict.fromkeys(curve_witness.READ, (0, 0))
    for problem, known in problems("curve", range(seeds)):
        for question in problem.questions:
            right, asked = found[question.rung]
            if asked < wanted:
                one = Asked(problem, known, question)
                found[question.rung] = (right + curve_witness.read_right(one, asked), asked + 1)
        if all(asked >= wanted for _, asked in found.values()):
            break
    return found


def main() -> int:
    """Run it; 1 if anything failed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--wanted", type=int, default=200)
    parser.add_argument("--group", choices=GROUPS)
    parser.add_argument("--show", type=int, default=2)
    given = parser.parse_args()
    failed, met = False, {}
    print(f"{'kind':<20} {'asked':>5} {'true':>5} {'slips first':>12} {'wrong explained':>16}")
    for name, group in GROUPS.items():
        if given.group in (None, name):
            for rung, tally in group(given.wanted).items():
                failed |= _told(rung, tally, given.wanted, given.show)
                met[rung] = tally.slips
    for rung, slips in met.items():
        never = {slip.id for slip in SLIPS if rung in slip.rungs} - slips
        if never:
            failed = True
            print(f"{rung.value}: never made: {', '.join(sorted(never))}")
    return int(failed)


def _told(rung: Rung, tally: Tally, wanted: int, show: int) -> bool:
    print(
        f"{rung.value:<20} {tally.asked:>5} {tally.true:>5}"
        f" {tally.lead:>5} of {tally.apart:<4} {tally.explained:>8} of {tally.wrong}"
    )
    for trouble in tally.troubles[:show]:
        print(f"    {trouble}")
    return (
        tally.asked < wanted
        or tally.true < tally.asked
        or tally.share < LEAST
        or tally.explained < tally.wrong
        or any("careful" in trouble for trouble in tally.troubles)
    )


if __name__ == "__main__":
    sys.exit(main())
