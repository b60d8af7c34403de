"""Golden looks: what the seeds of looks mean, for ever.

    python -m tests.golden.make_looks            says which known looks differ, and changes none
    python -m tests.golden.make_looks --replace  writes the book of the newest format anew

Replacing is right only while a format is not out: afterwards a look that differs is a defect of
the change that caused it, or the reason for a new ``LOOK_FORMAT`` with a book of its own.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate.look import kinds_of_group, make_look
from rungwise.problems.generate.look_draw import HARDEST
from rungwise.problems.questions.looks import LOOK_FORMAT, Look, LookKind
from rungwise.problems.questions.values import texts

Record = dict[str, Any]

FILE = Path(__file__).parent / f"looks-{LOOK_FORMAT}.jsonl"
SEEDS_A_KIND = 16
SEEDS_A_GROUP = 1


def record(look: Look, **asked: Any) -> Record:
    """A look as plain data, with what was asked for."""
    found: Record = {
        "format": look.format,
        "kind": look.kind.value,
        "seed": look.seed,
        **asked,
        "circuit": write_circuit(look.ladder, "; "),
        "structure": look.structure,
        "group": look.group.value,
        "truth": look.truth,
    }
    if look.shown:
        found["shown"] = [write_circuit(ladder, "; ") for ladder in look.shown]
    if look.values:
        found["values"] = dict(texts(look.values))
    return found


def fresh() -> Iterator[Record]:
    """The golden looks as they are made now: of every kind and level, and of every group."""
    for kind in LookKind:
        for n in range(SEEDS_A_KIND):
            hard = n % (HARDEST + 1)
            seed = n if n < SEEDS_A_KIND - 1 else 2**63 - 1
            yield record(make_look(seed, kind, hard=hard), hard=hard)
    for group in SkillGroup:
        for kind in kinds_of_group(group):
            for seed in range(SEEDS_A_GROUP):
                yield record(make_look(seed, kind, group=group), of=group.value)


def kept() -> list[Record]:
    """The golden looks on file."""
    if not FILE.exists():
        return []
    return [json.loads(line) for line in FILE.read_text("utf-8").splitlines()]


def main() -> int:
    """Compare, or with ``--replace`` write anew."""
    made = list(fresh())
    lines = [json.dumps(entry, ensure_ascii=False) for entry in made]
    if "--replace" in sys.argv[1:]:
        FILE.write_text("".join(line + "\n" for line in lines), "utf-8")
        print(f"{FILE.name}: {len(made)} looks")
        return 0
    old = [json.dumps(entry, ensure_ascii=False) for entry in kept()]
    differing = [line for line, was in zip(lines, old, strict=False) if line != was]
    for line in differing:
        print(f"differs: {line}")
    print(f"{FILE.name}: {len(differing)} differ, {len(made)} made, {len(old)} on file")
    return int(lines != old)


if __name__ == "__main__":
    sys.exit(main())
