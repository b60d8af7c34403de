"""Count what looks may show: ``python -m tests.studies.count_topologies [MOST_ARMS]``.

Lists every series/shunt ladder of up to MOST_ARMS arms (4 unless said otherwise) without buffers,
drops those that differ from another in names or order alone, and prints how many have which type
for certain, by number of arms and by number of poles.  Four arms take about two minutes.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

from rungwise.problems.analysis.structural import structural_facts
from rungwise.problems.catalogue.topologies import MOST_ARMS, structure
from rungwise.problems.circuits.model import Ladder, merged
from rungwise.problems.questions.looks import TYPES

from tests.support.topologies import topologies

NONE = "no certain type"
COLUMNS = (*TYPES, NONE)


def distinct(most: int) -> dict[str, Ladder]:
    """One circuit of each structure, by structure; the arms of a structure are counted merged."""
    found: dict[str, Ladder] = {}
    for arms in range(1, most + 1):
        for ladder in topologies(arms):
            found.setdefault(structure(ladder), ladder)
    return found


def type_of(ladder: Ladder) -> str:
    """The type, if it is certain."""
    known = structural_facts(ladder)
    return known.type.value if known.certain else NONE


def _table(title: str, rows: Counter[tuple[int, str]]) -> None:
    print(f"\n{title:>6} " + "".join(f"{name:>16}" for name in COLUMNS) + f"{'all':>10}")
    for number in sorted({n for n, _ in rows}):
        counts = [rows[number, name] for name in COLUMNS]
        print(f"{number:>6} " + "".join(f"{n:>16}" for n in counts) + f"{sum(counts):>10}")


def main() -> None:
    """Count and print."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else MOST_ARMS
    begun = time.process_time()
    ladders = distinct(most)
    by_arms: Counter[tuple[int, str]] = Counter()
    by_order: Counter[tuple[int, str]] = Counter()
    for ladder in ladders.values():
        name = type_of(ladder)
        by_arms[len(merged(ladder).stages), name] += 1
        by_order[structural_facts(ladder).order, name] += 1
    _table("arms", by_arms)
    _table("poles", by_order)
    certain = sum(n for (_, name), n in by_arms.items() if name != NONE)
    print(f"\n{len(ladders)} structures, {certain} with a certain type, ", end="")
    print(f"{time.process_time() - begun:.0f} s")


if __name__ == "__main__":
    main()
