"""How long looks take to make and certify: ``python -m tests.studies.time_looks [COUNT]``.

COUNT looks (2000 unless said otherwise), kinds in the shares of a mixed round, levels in turn, no
structure twice in 500; processor time by kind and over all, in milliseconds.
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict, deque
from statistics import mean

from rungwise.problems.chance import Chance
from rungwise.problems.generate.look import make_look
from rungwise.problems.generate.look_draw import HARDEST
from rungwise.problems.questions.looks import LOOK_KINDS

UNREPEATED = 500


def main() -> None:
    """Make looks and print their times."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    kinds = [row.kind for row in LOOK_KINDS for _ in range(row.weight)]
    chance = Chance(2026, "times")
    times: dict[str, list[float]] = defaultdict(list)
    structures: set[str] = set()
    met: deque[str] = deque(maxlen=UNREPEATED)
    for seed in range(count):
        kind, hard = chance.pick(kinds), seed % (HARDEST + 1)
        avoid = frozenset(met)
        begun = time.process_time()
        look = make_look(seed, kind, hard=hard, avoid=avoid)
        spent = 1000 * (time.process_time() - begun)
        times[kind.value].append(spent)
        times["all"].append(spent)
        met.append(look.structure)
        structures.add(look.structure)
    print(f"{'kind':<16}{'looks':>7}{'p50':>8}{'mean':>8}{'p95':>8}{'max':>8}  ms")
    for kind_name, spent_times in times.items():
        row = sorted(spent_times)
        figures = row[len(row) // 2], mean(row), row[int(0.95 * len(row))], row[-1]
        print(f"{kind_name:<16}{len(row):>7}" + "".join(f"{x:8.2f}" for x in figures))
    print(f"{len(structures)} structures")


if __name__ == "__main__":
    main()
