"""The search for ways round (``tutor/review_ways.py``): a dozen problems that show most slips.

``python -m tests.studies.find_the_way_round CACHE [SEEDS]`` prints the table.
Which slips show in the
problems of the first SEEDS seeds (200) of every family and task is worked out first, which
takes a quarter of an hour, and kept in the file CACHE for the next time.

The dozen is a maximum cover, solved as an integer program; that look-alikes are to stand next
to each other in 40 % of neighbours means at most seven groups of look-alikes.  An order that
mixing allows is then looked for, the problems that show most first.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path

import numpy as np
from rungwise.problems.catalogue.families import FAMILIES, find
from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Task
from rungwise.tutor.learning.choice import allowed, slips_in_play
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.round import Stop, first_problem
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

Showing = Mapping[ProblemRequest, frozenset[str]]
"""Which slips show in which problem."""

LONG = 12
GROUPS = 7
"""Groups of look-alikes among them: five neighbours of eleven are then alike."""
KEPT = 6
"""Seeds of one stop at most."""
BEGINNINGS = ("rc-low-pass", "rc-high-pass", "rl-low-pass", "rl-high-pass")
SEVERAL = {tuple(Task): 3, (Task.ANALYSE,): 2, (Task.SKETCH,): 1, (Task.REVERSE,): 1}
"""How many ways round are wanted for which tasks."""


def showing(cache: Path, seeds: int) -> dict[ProblemRequest, frozenset[str]]:
    """Which slips show in the problems of so many seeds; what the cache has is taken from it."""
    kept: dict[str, list[str]] = json.loads(cache.read_text()) if cache.exists() else {}
    for task in Task:
        for row in FAMILIES:
            for seed in range(seeds):
                name = f"{task} {row.name} {seed}"
                if name not in kept:
                    kept[name] = sorted(
                        slips_in_play(ProblemRequest(row.level, row.name, seed, task))
                    )
    cache.write_text(json.dumps(kept))
    found = {}
    for name, slips in kept.items():
        task_, family, seed_ = name.split()
        found[ProblemRequest(find(family).level, family, int(seed_), Task(task_))] = frozenset(
            slips
        )
    return found


def first_problems(table: Showing, task: Task, seeds: int) -> dict[ProblemRequest, frozenset[str]]:
    """What can be relied upon of a very first problem, for each family to begin with.

    Of ten first problems, chosen as they are chosen for a learner, nine show it.  The seed −1
    stands for whichever it is.
    """
    found = {}
    for family in BEGINNINGS:
        stop = Stop(task, family, ())
        drawn = [
            first_problem(stop, Chance(seed, "first"), table.__getitem__, seeds)
            for seed in range(60)
        ]
        shown = Counter(slip for wish in drawn for slip in table[wish])
        often = frozenset(slip for slip, times in shown.items() if times >= 0.9 * len(drawn))
        found[ProblemRequest(find(family).level, family, -1, task)] = often
    return found


def best(table: Showing, tasks: Sequence[Task], seconds: float) -> list[ProblemRequest]:
    """The dozen in which most slips show, a very first problem among them."""
    kept = _undominated({w: slips for w, slips in table.items() if w.task in tasks})
    wishes, slips = list(kept), sorted(set().union(*kept.values()))
    groups = sorted({_group(wish) for wish in wishes})
    kinds = sorted({(str(wish.family), str(wish.task)) for wish in wishes})
    n, m = len(wishes), len(slips)
    rows = lil_array((m + len(groups) + 3 + len(kinds), n + m + len(groups)))
    least, most = np.zeros(rows.shape[0]), np.full(rows.shape[0], np.inf)
    for j, wish in enumerate(wishes):
        for i, slip in enumerate(slips):
            if slip in kept[wish]:
                rows[i, j] = 1  # a slip shows if one of its problems is there
        rows[m + groups.index(_group(wish)), j] = -1  # a problem is there if its group is
        rows[m + len(groups), j] = 1
        if wish.seed < 0:
            rows[m + len(groups) + 2, j] = 1
        kind = m + len(groups) + 3 + kinds.index((str(wish.family), str(wish.task)))
        rows[kind, j], most[kind] = 1, 1  # one of a family and task
    for i in range(m):
        rows[i, n + i] = -1
    for k in range(len(groups)):
        rows[m + k, n + m + k] = LONG
        rows[m + len(groups) + 1, n + m + k] = 1
    most[m + len(groups)] = LONG
    most[m + len(groups) + 1] = GROUPS
    least[m + len(groups) + 2] = most[m + len(groups) + 2] = 1
    found = milp(
        np.concatenate([np.zeros(n), -np.ones(m), np.zeros(len(groups))]),
        constraints=LinearConstraint(rows.tocsr(), least, most),
        bounds=Bounds(0, 1),
        integrality=np.concatenate([np.ones(n), np.zeros(m), np.ones(len(groups))]),
        options={"time_limit": seconds},
    )
    chosen = [wish for wish, there in zip(wishes, found.x, strict=False) if there > 0.5]
    seen = set().union(*(table[wish] for wish in chosen))
    print(f"# {'+'.join(tasks)}: {len(seen)} of {m}; at most {-found.mip_dual_bound:.1f}")
    print(f"#   not {', '.join(sorted(set(slips) - seen))}", flush=True)
    return chosen


def _group(wish: ProblemRequest) -> str:
    return find(str(wish.family)).group


def _undominated(table: Showing) -> Showing:
    """Without the problems where no more shows than in another of the same family."""
    kept: dict[object, list[tuple[ProblemRequest, frozenset[str]]]] = {}
    for wish, slips in sorted(table.items(), key=lambda item: -len(item[1])):
        others = kept.setdefault((wish.family, wish.seed < 0), [])
        if not any(slips <= more for _, more in others):
            others.append((wish, slips))
    return dict(entry for others in kept.values() for entry in others)


def ordered(table: Showing, wishes: Sequence[ProblemRequest]) -> list[ProblemRequest] | None:
    """An order that mixing allows, the problems that show most first, as far as is found."""
    (first,) = (w for w in wishes if w.seed < 0)
    found = islice(_orders(table, [first], [w for w in wishes if w != first]), 2000)
    return max(found, key=lambda way: _soon(table, way), default=None)


def _orders(
    table: Showing, way: list[ProblemRequest], left: list[ProblemRequest]
) -> Iterator[list[ProblemRequest]]:
    if not left:
        yield way
    seen = set().union(*(table[wish] for wish in way))
    fit = {row.name for row in allowed(way)}
    for wish in sorted(left, key=lambda wish: -len(table[wish] - seen)):
        if wish.family in fit:
            yield from _orders(table, [*way, wish], [w for w in left if w != wish])


def _soon(table: Showing, way: Sequence[ProblemRequest]) -> int:
    seen: set[str] = set()
    total = 0
    for wish in way:
        seen |= table[wish]
        total += len(seen)
    return total


def with_others(table: Showing, way: Sequence[ProblemRequest]) -> list[list[ProblemRequest]]:
    """Each stop with other seeds that serve as well, whichever are taken together.

    Every slip is left to one stop of the way, which all its seeds have to show.
    """
    trusted: list[set[str]] = []
    seen = set(table[way[0]])
    for wish in way[1:]:
        trusted.append(set(table[wish] - seen))
        seen |= table[wish]
    stops = [[way[0]]]
    for wish, slips in zip(way[1:], trusted, strict=True):
        others = (
            other
            for other in table
            if (other.family, other.task) == (wish.family, wish.task)
            and other != wish
            and other.seed >= 0
            and slips <= table[other]
        )
        stops.append([wish, *islice(others, KEPT - 1)])
    return stops


def main() -> None:
    """Print the table of ways."""
    seeds = int(sys.argv[2]) if len(sys.argv) > 2 else 200
    table = showing(Path(sys.argv[1]), seeds)
    for tasks, several in SEVERAL.items():
        used: Collection[ProblemRequest] = set()
        for _ in range(several):
            left = {wish: slips for wish, slips in table.items() if wish not in used}
            left |= first_problems(table, tasks[0], seeds)
            chosen = best(left, tasks, 90)
            way = ordered(left, chosen)
            if way is None:
                print("#   no order")
                used = {*used, *chosen}
                continue
            stops = with_others(left, way)
            used = {*used, *(wish for stop in stops for wish in stop)}
            for stop in stops:
                served = " ".join(str(wish.seed) for wish in stop if wish.seed >= 0)
                print(f"{stop[0].task} {stop[0].family} {served}".strip())
            print(flush=True)


if __name__ == "__main__":
    main()
