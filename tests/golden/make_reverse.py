"""Golden problems of the way back: what seeds mean there, for ever.

    python -m tests.golden.make_reverse            adds the problems that are missing
    python -m tests.golden.make_reverse --replace  writes the file anew and says what changed

What :mod:`tests.golden.make` says of problems of analysis holds of these as well; their version
is ``reversing.FORMAT``.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from rungwise.problems.families import FAMILIES
from rungwise.problems.problem import Problem
from rungwise.problems.reversing import FORMAT, generate

from tests.golden import make
from tests.golden.make import Key, Record, key

FILE = Path(__file__).parent / f"problems-reverse-{FORMAT}.jsonl"
SEEDS = make.SEEDS


def record(problem: Problem) -> Record:
    """A problem as plain data, with what is shown of it and what is left out."""
    return {**make.record(problem), "face": problem.face.value, "blank": list(problem.blank)}


def read() -> dict[Key, Record]:
    """The golden problems on file."""
    if not FILE.exists():
        return {}
    lines = FILE.read_text("utf-8").splitlines()
    return {key(entry): entry for entry in map(json.loads, lines)}


def fresh() -> dict[Key, Record]:
    """The golden problems as they are generated now."""
    problems = (generate(seed, family=f.name) for f in FAMILIES for seed in SEEDS)
    return {key(e): e for e in (json.loads(json.dumps(record(p))) for p in problems)}


def main() -> int:
    """Add, or with ``--replace`` renew."""
    old, new = read(), fresh()
    differing = sorted(k for k in old if old[k] != new.get(k))
    missing = [k for k in new if k not in old]
    for family, seed in differing:
        print(f"differs: {family}, seed {seed}")
    replace = "--replace" in sys.argv[1:]
    kept = new if replace else {**new, **old}
    lines = [json.dumps(entry, ensure_ascii=False) + "\n" for entry in kept.values()]
    FILE.write_text("".join(lines), "utf-8")
    word = "replaced" if replace else "left as they are"
    print(f"{len(missing)} added, {len(differing)} differ and were {word}, {len(kept)} in all")
    return int(bool(differing) and not replace)


if __name__ == "__main__":
    sys.exit(main())
