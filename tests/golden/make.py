"""Golden problems: what seeds mean, for ever.

    python -m tests.golden.make            adds the problems that are missing (a new family);
                                           says which known ones differ, and changes none
    python -m tests.golden.make --replace  writes the files anew and says what changed

Problems that seeds have meant to somebody must not change silently.  Before the first
release, or together with a raised ``FORMAT`` (of ``generator``, ``sketching`` or ``reversing``;
it names a new file), replacing is right; otherwise a difference is a defect of the change that
caused it.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import write_circuit
from rungwise.problems.generate import reverse as reversing
from rungwise.problems.generate import sketch as sketching
from rungwise.problems.generate.analyse import FORMAT, generate
from rungwise.problems.questions.model import Face, Problem, Question
from rungwise.problems.questions.values import texts
from rungwise.problems.questions.written import plain_truth

SEEDS = (1, 2, 20_260_101)


@dataclass(frozen=True)
class Book:
    """The golden problems of one task."""

    file: Path
    generate: Callable[..., Problem]


_HERE = Path(__file__).parent
ANALYSES = Book(_HERE / f"problems-{FORMAT}.jsonl", generate)
SKETCHES = Book(_HERE / f"problems-sketch-{sketching.FORMAT}.jsonl", sketching.generate)
WAYS_BACK = Book(_HERE / f"problems-reverse-{reversing.FORMAT}.jsonl", reversing.generate)
BOOKS = (ANALYSES, SKETCHES, WAYS_BACK)

Record = dict[str, Any]
Key = tuple[str, int]


def record(problem: Problem) -> Record:
    """A problem as plain data; floats to 12 significant digits, so that the last bit is free."""
    found: Record = {
        "format": problem.format,
        "family": problem.family,
        "level": problem.level,
        "seed": problem.seed,
        "circuit": write_circuit(problem.ladder, "; "),
        "questions": [_question(q) for q in problem.questions],
    }
    if problem.face is not Face.CIRCUIT:
        found |= {"face": problem.face.value, "blank": list(problem.blank)}
    return found


def _question(question: Question) -> Record:
    truth = plain_truth(question.truth)
    found: Record = {
        "rung": question.rung.value,
        "form": question.form.value,
        "truth": float(f"{truth:.12g}") if isinstance(truth, float) else truth,
    }
    if question.unit:
        found["unit"] = question.unit
    if question.choices:
        found["choices"] = [
            [c.id, dict(texts(c.values))] if c.values else c.id for c in question.choices
        ]
    if question.values:
        found["values"] = dict(texts(question.values))
    return found


def key(entry: Record) -> Key:
    """What names a golden problem."""
    return entry["family"], entry["seed"]


def read(book: Book = ANALYSES) -> dict[Key, Record]:
    """The golden problems on file."""
    if not book.file.exists():
        return {}
    lines = book.file.read_text("utf-8").splitlines()
    return {key(entry): entry for entry in map(json.loads, lines)}


def fresh(book: Book = ANALYSES) -> dict[Key, Record]:
    """The golden problems as they are generated now."""
    problems = (book.generate(seed, family=f.name) for f in FAMILIES for seed in SEEDS)
    # Through JSON and back, so that both sides are compared as the same kinds of value.
    return {key(e): e for e in (json.loads(json.dumps(record(p))) for p in problems)}


def renew(book: Book, *, replace: bool) -> bool:
    """Add what is missing, or write all anew; whether nothing differed, or was meant to."""
    old, new = read(book), fresh(book)
    differing = sorted(k for k in old if old[k] != new.get(k))
    missing = [k for k in new if k not in old]
    print(book.file.name)
    for family, seed in differing:
        print(f"differs: {family}, seed {seed}")
    kept = new if replace else {**new, **old}
    lines = [json.dumps(entry, ensure_ascii=False) + "\n" for entry in kept.values()]
    book.file.write_text("".join(lines), "utf-8")
    word = "replaced" if replace else "left as they are"
    print(f"{len(missing)} added, {len(differing)} differ and were {word}, {len(kept)} in all")
    return replace or not differing


def main() -> int:
    """Add, or with ``--replace`` renew."""
    replace = "--replace" in sys.argv[1:]
    fine = [renew(book, replace=replace) for book in BOOKS]
    return int(not all(fine))


if __name__ == "__main__":
    sys.exit(main())
