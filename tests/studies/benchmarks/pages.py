"""Making pages in all formats, against typst's bare compiling of the same PDF pages.

``python -m tests.studies.benchmarks pages [STUDENTS]`` makes sheets and keys of the plan that is
shipped as an example, for so many students (20), in fresh processes on one core: in turn all that
``rungwise sheet make`` does, and nothing but typst at the same documents.  Then what a student
costs in a class of 10, of 100 and of 1,000: JSON of all of them, and pages of ten of them who
stand evenly in the roster.  Seconds are those of the processor, which other programs don't change
much.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from rungwise.problems.sheets.model import Plan
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.classroom.making.jobs import (
    FORMATS,
    FilesWanted,
    draw_batch,
    make_batch,
    names_of,
)
from rungwise.tutor.classroom.making.make import MakingJob, make
from rungwise.tutor.classroom.making.workers import Here
from rungwise.tutor.classroom.roster import anonymous
from rungwise.tutor.documents import pdf, pdf_compiler

STUDENTS, RUNS = 20, 5
SIZES, SAMPLED = (10, 100, 1000), 10
_EXAMPLE = Path(__file__).parents[3] / "content" / "plan-example.toml"


def pages() -> None:
    """Print the ratio, and what a student costs."""
    words = [int(word) for word in sys.argv[1:] if word.isdigit()]
    students = words[0] if words else STUDENTS
    with tempfile.TemporaryDirectory(prefix="rungwise-") as folder:
        documents = Path(folder, "documents.json")
        print(f"\nPages of the example for {students} students  ({RUNS} runs, medians, one core)")
        _ratios("sheets and short keys", "", students, documents)
        _ratios("the long keys as well", "-long", students, documents)
        print("  (goal: at most 2.0)")
        print("\nWhat a student costs  (processor milliseconds)")
        first = 0.0
        for size in SIZES:
            all_, some, memory = (
                _child(what, size, documents) for what in ("json", "some", "peak")
            )
            first = first or all_ + some
            print(
                f"  class of {size:5}: {all_ * 1e3:6.1f} drawn and as JSON, {some * 1e3:6.1f} with "
                f"its pages, peak {memory:.0f} MB: {(all_ + some) / first:.2f} times the first"
            )
        print("  (goal: flat, 0.8 to 1.2)")
        alike = _child("alike", SIZES[0], documents)
        print(f"  {SAMPLED} students of one variant: {alike * 1e3:.1f} with their pages")


def _ratios(title: str, kind: str, students: int, documents: Path) -> None:
    """What making takes against typst alone, run in turn, and the same PDF each time."""
    _child(f"record{kind}", students, documents)
    rows = [
        [_child(what, students, documents) for what in (f"make{kind}", "anew", "bare")]
        for _ in range(RUNS)
    ]
    ours, anew, bare = (statistics.median(column) for column in zip(*rows, strict=True))
    print(f"  {title}, made in all formats {ours / students * 1e3:10.1f} ms a student")
    for what, seconds, place in (("each by itself", anew, 1), ("one by one", bare, 2)):
        ratio = statistics.median(row[0] / row[place] for row in rows)
        print(
            f"    typst alone, the same PDF {what:14} {seconds / students * 1e3:8.1f}: "
            f"{ratio:.2f} times as long"
        )


def _child(what: str, students: int, documents: Path) -> float:
    words = [sys.executable, "-m", "tests.studies.benchmarks.pages", what, str(students)]
    found = subprocess.run([*words, documents], check=True, capture_output=True, text=True)
    return float(found.stdout)


def _plan(seed: int = 0) -> Plan:
    data = tomllib.loads(_EXAMPLE.read_text("utf-8"))
    return replace(plan_of({**data, "practice": True}), seed=2**60 + seed)


def _all_formats(
    plan: Plan, students: int, formats: tuple[str, ...] = FORMATS, *, long: bool = False
) -> None:
    with tempfile.TemporaryDirectory(prefix="rungwise-") as folder:
        out = Path(folder, "out")
        job = MakingJob(plan, anonymous(students), out, formats, long_keys=long)
        assert make(job, Here()).made == students


def _record(students: int, documents: Path, *, long: bool = False) -> float:
    """Write down what typst is asked to compile."""
    asked: list[tuple[str, str]] = []
    real = pdf.compiled

    def noting(source: bytes, data: str, *, sans: bool = False) -> bytes:
        asked.append((source.decode(), data))
        return real(source, data, sans=sans)

    pdf.compiled = noting  # type: ignore[attr-defined]
    _all_formats(_plan(), students, ("pdf",), long=long)
    documents.write_text(json.dumps(asked), "utf-8")
    return len(asked)


def _bare(students: int, documents: Path, *, anew: bool) -> float:
    """Typst's seconds for what is written down, after a page that loads the fonts.

    Args:
        students: how many there are two documents for.
        documents: where they are written down.
        anew: each as if it were the first, which other inputs see to; else what was set for one
            is not set again for the next, as when they are made.
    """
    import typst

    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[])
    root = str(Path(pdf_compiler.__file__).parent)
    compiler = typst.Compiler(b"", root=root, font_paths=fonts, ignore_system_fonts=True)

    def compiled(number: int, source: str, data: str) -> None:
        files: Any = {"main.typ": source.encode(), "data": data.encode()}
        compiler.compile(
            input=files,
            format="pdf",
            sys_inputs={"number": str(number * anew)},
            pdf_standards=[pdf_compiler.STANDARD],
            timestamp=0,
        )

    asked = list(enumerate(json.loads(documents.read_text("utf-8")), 1))
    assert len(asked) >= 2 * students
    compiled(0, '#set document(title: "A page")\n_A_ *page*', "")
    return _cpu(lambda: [compiled(number, *one) for number, one in asked])


def _made(students: int, *, long: bool = False) -> float:
    _all_formats(_plan(1), 1, long=long)  # loads what is loaded once
    return _cpu(lambda: _all_formats(_plan(), students, long=long))


def _json(students: int) -> float:
    _all_formats(_plan(1), 1, ("json",))
    return _cpu(lambda: _all_formats(_plan(), students, ("json",))) / students


def _some(students: int, *, variants: tuple[str, ...] = ()) -> float:
    """Seconds for one student's pages, drawn and made, as the mean of some of a class."""
    names = names_of(FORMATS)
    _all_formats(_plan(1), 1)
    plan = replace(_plan(), variants=variants)
    chosen = anonymous(students)[:: students // SAMPLED]
    if variants:
        chosen = [replace(one, variant=variants[0]) for one in chosen]

    def made() -> None:
        drawn = draw_batch(plan, chosen[:1] if variants else chosen) * len(chosen)
        wanted = zip(chosen, drawn, strict=False)
        make_batch(plan, [FilesWanted(student, lots, names) for student, lots in wanted])

    return _cpu(made) / SAMPLED


def _cpu(job: Callable[[], object]) -> float:
    start = time.process_time()
    job()
    return time.process_time() - start


def _peak(students: int) -> float:
    """Megabytes at most, for JSON of all and pages of some."""
    _json(students)
    _some(students)
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    """What one process measures."""
    what, students, documents = sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])
    if sys.platform == "linux":
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    measured: dict[str, Callable[[], float]] = {
        "record": lambda: _record(students, documents),
        "bare": lambda: _bare(students, documents, anew=False),
        "anew": lambda: _bare(students, documents, anew=True),
        "make": lambda: _made(students),
        "record-long": lambda: _record(students, documents, long=True),
        "make-long": lambda: _made(students, long=True),
        "json": lambda: _json(students),
        "some": lambda: _some(students),
        "alike": lambda: _some(students, variants=("A",)),
        "peak": lambda: _peak(students),
    }
    print(measured[what]())


if __name__ == "__main__":
    main()
