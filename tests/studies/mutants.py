"""Damaged files of every kind that Rungwise reads from others: each a clear error, or taken.

``python -m tests.studies.mutants KIND [COUNT] [SEED]`` makes so many (1,000) of a kind
and says what
came of them; it ends at the first that does what none should, and names its number.
"""

from __future__ import annotations

import sys
from importlib import import_module

KINDS = {
    "handins": "tests.tutor.classroom.mutant_handins",
    "plans": "tests.tutor.classroom.mutant_plans",
}
"""Kinds and the modules whose ``survey(count, seed)`` makes them and counts what came of them."""


def main() -> None:
    """Make mutants and say what came of them."""
    kind = sys.argv[1] if len(sys.argv) > 1 else ""
    if kind not in KINDS:
        raise SystemExit(f"name a kind: {', '.join(KINDS)}")
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    outcomes = import_module(KINDS[kind]).survey(count, seed)
    told = ", ".join(f"{number} {what}" for what, number in sorted(outcomes.items()))
    print(f"{count} damaged {kind} (seed {seed}): {told}; no traceback, none slow")


if __name__ == "__main__":
    main()
