"""Explain every wrong answer of many looks: ``python -m tests.studies.explain_every_answer [N]``.

N looks of every kind (2,000 unless said otherwise), every wrong answer of each: the counter-fact
is held against the circuit by nodal analysis, its words are found, and the nearest look-alike is
what was answered.  Exit status 1 if anything failed.  ``--kinds type,poles`` takes some kinds.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter

from rungwise.problems.generate.contrast import answer_of
from rungwise.problems.generate.look import make_look
from rungwise.problems.hints.counterfact import counterfact
from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.phrases import looks as words

from tests.support.told import check

HARDNESS = 4


def explain(kind: LookKind, seed: int) -> tuple[Counter[str], list[str], list[float]]:
    """What was said of one look's wrong answers, what failed, and the seconds each took."""
    look = make_look(seed, kind, hard=seed % HARDNESS)
    said: Counter[str] = Counter()
    failed: list[str] = []
    took: list[float] = []
    for answered in look.answers:
        if answered == look.truth:
            continue
        started = time.thread_time()
        fact = counterfact(look, answered)
        took.append(time.thread_time() - started)
        said[f"{kind.value}.{fact.key}"] += 1
        said["alike" if fact.lookalike is not None else "not alike"] += 1
        text = words.counter(look, fact)
        try:
            check(look, answered, fact)
            if fact.lookalike is not None and answer_of(look.ladder, kind) is not None:
                assert answer_of(fact.lookalike, kind) == answered, "the look-alike is not"
        except (AssertionError, StopIteration) as error:
            failed.append(
                f"{kind.value} {seed} {answered}: {text} [{error}] {words.circuits(look)}"
            )
    return said, failed, took


def main() -> int:
    """Run it; 1 if anything failed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", nargs="?", type=int, default=2000)
    parser.add_argument("--kinds", default="")
    parser.add_argument("--first", type=int, default=500_000)
    given = parser.parse_args()
    kinds = [LookKind(k) for k in given.kinds.split(",") if k] or list(LookKind)
    total = failures = 0
    for kind in kinds:
        said: Counter[str] = Counter()
        took: list[float] = []
        started = time.time()
        wrong = 0
        for seed in range(given.first, given.first + given.count):
            some, failed, seconds = explain(kind, seed)
            said += some
            took += seconds
            wrong += len(failed)
            for line in failed[:1] if wrong < 6 else ():
                print(line)
        took.sort()
        count = len(took)
        total, failures = total + count, failures + wrong
        alike, not_alike = said.pop("alike", 0), said.pop("not alike", 0)
        print(
            f"{kind.value}: {count - wrong} of {count} explained, {alike} with a look-alike"
            f" ({not_alike} without); median {1e3 * took[count // 2]:.1f} ms,"
            f" 99 % {1e3 * took[count * 99 // 100]:.1f} ms; {time.time() - started:.0f} s"
        )
        for key, times in said.most_common():
            print(f"    {times:6d} {key}")
    print(f"{total - failures} of {total} wrong answers explained")
    return int(failures > 0)


if __name__ == "__main__":
    sys.exit(main())
