"""Golden problems: what seeds mean, for ever.

    python -m tests.golden.make            adds the problems that are missing (a new family, a
                                           new format); says which known ones differ, changes none
    python -m tests.golden.make --add      adds them and makes no others, which takes less time
    python -m tests.golden.make --replace  writes the books of the newest format anew

Problems that seeds have meant to somebody must not change silently.  A format that is out keeps
its books as they are; only while the newest one is not yet out is replacing right.  Otherwise a
difference is a defect of the change that caused it.

There are two sorts of book:

* *full* books, of the first format alone: everything a question holds, texts that choices and
  sentences are filled with included;
* *bare* books, one of each format: kinds, and a digest of the circuit's values and of the truths
  as numbers, without any text that is shown, so that no change of words or of how choices are
  told touches them; and which family seeds lead to.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache, partial
from hashlib import sha256
from pathlib import Path
from typing import Any

from rungwise.problems.analysis.response import TWO_PI, facts
from rungwise.problems.catalogue.families import FAMILIES, Family
from rungwise.problems.catalogue.groups import levels_of
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.formulas.evaluate import evaluate
from rungwise.problems.generate.analyse import GenerationError, family_of
from rungwise.problems.generate.tasks import generate as of_task
from rungwise.problems.questions.model import (
    FORMAT,
    TASK_SINCE,
    Face,
    Form,
    Problem,
    Question,
    Task,
    formula_of,
    sketch_of,
)
from rungwise.problems.questions.values import texts
from rungwise.problems.questions.written import plain_truth

SEEDS = (1, 2, 20_260_101)
LEADING = 60
"""Seeds from 0 on of which a book says which family they lead to."""

Record = dict[str, Any]
Key = tuple[str, ...]

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Book:
    """The golden problems of one format; a full one, those of one task."""

    file: Path
    format: int
    make: Callable[..., Iterator[Record]]
    """(family, seeds: all of SEEDS where none are named) → its problems."""
    rest: Callable[[], Iterator[Record]] = lambda: iter(())

    @property
    def rows(self) -> tuple[Family, ...]:
        """The families that it has problems of."""
        return tuple(row for row in FAMILIES if row.since <= self.format)


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


def bare(problem: Problem) -> Record:
    """A problem without any text that is shown: its kinds, and a digest of :func:`content`."""
    text = json.dumps(content(problem), sort_keys=True)
    return {
        "task": problem.task.value,
        "family": problem.family,
        "seed": problem.seed,
        "kinds": [q.rung.value for q in problem.questions],
        "digest": sha256(text.encode()).hexdigest()[:20],
    }


def content(problem: Problem) -> Record:
    """What a problem is, whatever it is told in: values, truths, ids of choices, what is hidden."""
    return {
        "format": problem.format,
        "level": problem.level,
        "values": [(e.name, str(e.value)) for e in problem.ladder.elements()],
        "truths": [_truth(problem, q) for q in problem.questions],
        "choices": [[c.id for c in q.choices] for q in problem.questions],
        "face": problem.face.value,
        "blank": list(problem.blank),
    }


def _truth(problem: Problem, question: Question) -> Any:
    """A truth as numbers: a formula by its value at s = j·2π·1 kHz, a sketch by its parts."""
    truth = question.truth
    if question.form is Form.FORMULA:
        known = facts(problem.ladder)
        letters = {e.name: float(e.value or 0) for e in problem.ladder.elements()}
        letters |= {"ω0": TWO_PI * float(known.corner_hz or 0), "Q": known.q or 0.0, "K": 3.0}
        value = evaluate(formula_of(truth), {**letters, "s": 1000j * TWO_PI})
        return [_digits(value.real), _digits(value.imag)]
    if question.form is Form.SKETCH:
        return _plain(asdict(sketch_of(truth)))
    return _digits(truth) if isinstance(truth, float) else truth


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        return _digits(value)
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    return [_plain(inner) for inner in value] if isinstance(value, tuple) else value


def _digits(value: float) -> float:
    """Ten significant digits: what another machine's library may round otherwise is free."""
    return float(f"{value:.10g}")


_made = lru_cache(maxsize=32)(of_task)
"""The full books and the bare one of the first format hold the same problems."""


def _full(task: Task, row: Family, seeds: Sequence[int] = SEEDS) -> Iterator[Record]:
    for seed in seeds:
        yield record(_made(seed, task=task, family=row.name, format=1))


def _bare(format_: int, row: Family, seeds: Sequence[int] = SEEDS) -> Iterator[Record]:
    for task in Task:
        for seed in seeds if TASK_SINCE.get(task, 1) <= format_ else ():
            yield bare(_made(seed, task=task, family=row.name, format=format_))


def leading(format_: int) -> Iterator[Record]:
    """Which family seeds lead to, of a level and of any."""
    for level in (None, *levels_of(format_)):
        rows = [family_of(seed, level=level, format=format_).name for seed in range(LEADING)]
        yield {"leads": "any level" if level is None else f"level {level}", "families": rows}


def _book(name: str, task: Task) -> Book:
    return Book(_HERE / f"{name}-1.jsonl", 1, partial(_full, task))


ANALYSES = _book("problems", Task.ANALYSE)
SKETCHES = _book("problems-sketch", Task.SKETCH)
WAYS_BACK = _book("problems-reverse", Task.REVERSE)
FULL = (ANALYSES, SKETCHES, WAYS_BACK)
BARE = tuple(
    Book(_HERE / f"bare-{n}.jsonl", n, partial(_bare, n), partial(leading, n))
    for n in range(1, FORMAT + 1)
)
BOOKS = (*FULL, *BARE)


def key(entry: Record) -> Key:
    """What names an entry of a book."""
    if "leads" in entry:
        return (entry["leads"],)
    return (entry["family"], str(entry["seed"]), entry.get("task", ""))


def plain(entry: Record) -> Record:
    """An entry as it comes back from a file, so that both sides are the same kinds of value."""
    found: Record = json.loads(json.dumps(entry))
    return found


def read(book: Book = ANALYSES) -> dict[Key, Record]:
    """The golden problems on file."""
    if not book.file.exists():
        return {}
    lines = book.file.read_text("utf-8").splitlines()
    return {key(entry): entry for entry in map(json.loads, lines)}


def fresh(book: Book = ANALYSES) -> dict[Key, Record]:
    """The golden problems as they are generated now."""
    made = [entry for row in book.rows for entry in book.make(row)] + list(book.rest())
    return {key(entry): plain(entry) for entry in made}


def add(book: Book) -> None:
    """Add the problems of families that a book has none of; the others are not made."""
    old = read(book)
    names = {name for name, *rest in old if rest}
    made: list[Record] = []
    for row in book.rows:
        if row.name not in names:
            try:
                made += book.make(row)
            except GenerationError as error:
                print(f"{book.file.name}: {error}")
    made += [entry for entry in book.rest() if key(entry) not in old]
    if made:
        with book.file.open("a", encoding="utf-8") as file:
            file.writelines(json.dumps(entry, ensure_ascii=False) + "\n" for entry in made)
        print(f"{book.file.name}: {len(made)} added")


def renew(book: Book, *, replace: bool) -> bool:
    """Add what is missing, or write all anew; whether nothing differed, or was meant to."""
    old, new = read(book), fresh(book)
    differing = sorted(k for k in old if old[k] != new.get(k))
    missing = [k for k in new if k not in old]
    print(book.file.name)
    for name in differing:
        print(f"differs: {', '.join(name)}")
    kept = new if replace else {**new, **old}
    lines = [json.dumps(entry, ensure_ascii=False) + "\n" for entry in kept.values()]
    book.file.write_text("".join(lines), "utf-8")
    word = "replaced" if replace else "left as they are"
    print(f"{len(missing)} added, {len(differing)} differ and were {word}, {len(kept)} in all")
    return replace or not differing


def main() -> int:
    """Add, or with ``--replace`` renew the newest format's."""
    if "--add" in sys.argv[1:]:
        for book in BOOKS:
            add(book)
        return 0
    replace = "--replace" in sys.argv[1:]
    books = [book for book in BOOKS if not replace or book.format == FORMAT]
    fine = [renew(book, replace=replace) for book in books]
    return int(not all(fine))


if __name__ == "__main__":
    sys.exit(main())
