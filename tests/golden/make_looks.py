"""Golden looks: what the seeds of looks mean, for ever.

    python -m tests.golden.make_looks            says which known looks differ, and changes none
    python -m tests.golden.make_looks --replace  writes the book of the newest format anew

A format's book holds the kinds that came with it: seeds of older kinds go on meaning the same.
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
from rungwise.problems.questions.looks import LOOK_FORMAT, Look, LookKind, look_row
from rungwise.problems.questions.values import texts

Record = dict[str, Any]

FORMATS = tuple(range(1, LOOK_FORMAT + 1))
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


def book(since: int) -> Path:
    """The file of the looks of a format."""
    return Path(__file__).parent / f"looks-{since}.jsonl"


def kinds(since: int) -> tuple[LookKind, ...]:
    """The kinds that came with a format."""
    return tuple(kind for kind in LookKind if look_row(kind).since == since)


def fresh(since: int) -> Iterator[Record]:
    """The golden looks as they are made now: of every kind and level, and of every group."""
    for kind in kinds(since):
        for n in range(SEEDS_A_KIND):
            hard = n % (HARDEST + 1)
            seed = n if n < SEEDS_A_KIND - 1 else 2**63 - 1
            yield record(make_look(seed, kind, hard=hard), hard=hard)
    for group in SkillGroup:
        for kind in kinds_of_group(group):
            for seed in range(SEEDS_A_GROUP if look_row(kind).since == since else 0):
                yield record(make_look(seed, kind, group=group), of=group.value)


def kept(since: int) -> list[Record]:
    """The golden looks of a format that are on file."""
    if not book(since).exists():
        return []
    return [json.loads(line) for line in book(since).read_text("utf-8").splitlines()]


def main() -> int:
    """Compare, or with ``--replace`` write the newest book anew."""
    differ = False
    for since in FORMATS:
        made = list(fresh(since))
        lines = [json.dumps(entry, ensure_ascii=False) for entry in made]
        name = book(since).name
        if "--replace" in sys.argv[1:] and since == LOOK_FORMAT:
            book(since).write_text("".join(line + "\n" for line in lines), "utf-8")
            print(f"{name}: {len(made)} looks")
            continue
        old = [json.dumps(entry, ensure_ascii=False) for entry in kept(since)]
        differing = [line for line, was in zip(lines, old, strict=False) if line != was]
        for line in differing:
            print(f"differs: {line}")
        print(f"{name}: {len(differing)} differ, {len(made)} made, {len(old)} on file")
        differ |= lines != old
    return int(differ)


if __name__ == "__main__":
    sys.exit(main())
