"""Explain every wrong answer of many climbs: ``python -m tests.studies.explain_climb_answers [N]``.

Every family, N seeds each (5 unless said otherwise), every question that makes sense: all wrong
choices, counts from 0 to 4, slopes up to ±80 dB/decade, phases that are multiples of 45°, H(s) with
a zero or a pole too many or too few, figures that no slip explains.  Each must have a fact and a
reason; every sentence is held against the circuit by nodal analysis, and none may hold the value of
a figure.  Exit status 1 if anything failed.  ``--back N`` adds ways back to the circuit, N seeds of
every family; ``--corpus`` the circuits by hand and at random on which words are tried.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator

from tests.support.climb_answers import Tried, problems, tries, ways_back
from tests.support.told_in_climbs import Claimed, check


def main() -> int:
    """Run it; 1 if anything failed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", nargs="?", type=int, default=5)
    parser.add_argument("--back", type=int, default=1)
    parser.add_argument("--corpus", action="store_true")
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--families", default="")
    parser.add_argument("--show", type=int, default=3)
    given = parser.parse_args()
    wanted = set(given.families.split(",")) - {""}
    wrong: Counter[str] = Counter()
    failures: Counter[str] = Counter()
    said: Counter[str] = Counter()
    took: list[float] = []
    seeds = range(given.first, given.first + given.count)
    for tried in _all(seeds, range(given.first, given.first + given.back), corpus=given.corpus):
        if wanted and tried.problem.family not in wanted:
            continue
        rung = tried.question.rung.value
        wrong[rung] += 1
        started = time.thread_time()
        tried.explanations()
        took.append(time.thread_time() - started)
        for trouble in _troubles(tried, said):
            failures[rung] += 1
            if failures[rung] <= given.show:
                print(f"{tried}: {trouble}")
    for rung, count in wrong.items():
        print(f"{rung}: {count} wrong answers, {failures[rung]} failed")
    took.sort()
    print(
        f"{sum(wrong.values())} wrong answers: {said['unexplained']} unexplained,"
        f" {said['false']} with a false claim; first said is a slip in {said['slip']}, a fact in"
        f" {said['fact']}; an earlier answer is named in {said['against']};"
        f" median {_ms(took, 0.5)}, 99 % {_ms(took, 0.99)}"
    )
    return int(failures.total() > 0)


def _ms(took: list[float], share: float) -> str:
    return f"{1e3 * took[int(share * (len(took) - 1))]:.2f} ms"


def _all(seeds: range, back: range, *, corpus: bool) -> Iterator[Tried]:
    for problem in problems(seeds):
        yield from tries(problem)
    for problem in ways_back(back):
        yield from tries(problem)
    if corpus:
        from tests.support.word_corpus import problems as made

        for label, problem in made():
            if "sketched" not in label:
                yield from tries(problem)


def _troubles(tried: Tried, said: Counter[str]) -> Iterator[str]:
    found = tried.explanations()
    kinds = [each.strength.name.lower() for each in found]
    if kinds[-2:] != ["fact", "reason"] or len(kinds) > 3:
        said["unexplained"] += 1
        yield f"has {kinds}"
        return
    said[kinds[0]] += 1
    said["against"] += bool(found[0].against)
    wrong = False
    for each in found:
        try:
            check(Claimed(tried.problem, tried.question, tried.mark, tried.earlier, each))
        except (AssertionError, LookupError, StopIteration, ValueError, ArithmeticError) as error:
            wrong = True
            yield f"{each.strength.name}: {tried.words(each)} [{type(error).__name__} {error}]"
    said["false"] += wrong
    if trouble := tried.tells_the_answer():
        yield trouble


if __name__ == "__main__":
    sys.exit(main())
