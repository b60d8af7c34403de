"""Marking a thousand and ten thousand hand-ins, as many as there may be: rate, and memory.

Each size is marked in a fresh process, which says its own peak of resident memory and that of
its largest worker.  Students, keys and hand-ins are made on the fly, as many as are wanted, from
a few drawn sheets; everything after that is what `rungwise sheet mark` does, down to the files.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

SIZES = (1_000, 10_000)
DRAWN = 40
"""Different keys; each serves many students, under numbers of their own."""


def marking() -> None:
    """Print rate and peak memory for each size, and how they compare."""
    words = [int(word) for word in sys.argv[1:] if word.isdigit()]
    sizes = tuple(words) or SIZES
    print("\nMarking hand-ins of 5 questions, 2 processes, a fresh process for each size")
    peaks = []
    for size in sizes:
        found = subprocess.run(
            [sys.executable, "-m", "tests.studies.benchmarks.marking", str(size)],
            check=True,
            capture_output=True,
            text=True,
        )
        told = json.loads(found.stdout)
        peaks.append(told["peak"])
        seconds = told["seconds"]
        print(
            f"  {size:>8,} hand-ins  {seconds:8.1f} s  {size / seconds:7.0f} a second"
            f"  peak {told['peak']:6.1f} MB, a worker {told['worker']:6.1f} MB"
            f"  (marks.json {told['json']:7.1f} MB)",
            flush=True,
        )
    if len(peaks) > 1:
        each = (peaks[-1] - peaks[0]) / (sizes[-1] - sizes[0]) * 1024
        print(f"  memory: {each:.0f} KB a student  (goal: at most 60)")


def run(size: int) -> dict[str, float]:
    """Mark so many hand-ins in this process; seconds, and peaks of memory in MB."""
    from rungwise.problems.grading.grade import right_text
    from rungwise.problems.questions.model import Rung
    from rungwise.problems.sheets.documents import answers_template, key_document
    from rungwise.problems.sheets.lots import draft
    from rungwise.problems.sheets.model import Plan, PlanSection, Student
    from rungwise.tutor.classroom.handins.files import answers_csv
    from rungwise.tutor.classroom.making.workers import Processes
    from rungwise.tutor.classroom.marking.hand_in import HandIn
    from rungwise.tutor.classroom.marking.made_class import ClassMember, ClassSettings
    from rungwise.tutor.classroom.marking.marks import HandInState
    from rungwise.tutor.classroom.marking.opened import read_hand_in
    from rungwise.tutor.classroom.marking.out import MARKS_JSON
    from rungwise.tutor.classroom.marking.run import Marking, mark

    from tests.tutor.classroom.handed_in import WRONG

    from .marking import peak  # under a name that workers know

    asked = (Rung.TYPE, Rung.TYPE_REASON, Rung.POLES, Rung.HIGH_SLOPE, Rung.CORNER)
    plan = Plan("Benchmark", 7, (PlanSection(levels=(2, 3), count=1, ask=asked),), unshared=False)
    chance = random.Random(1)
    keys, forms = [], []
    for number in range(1, DRAWN + 1):
        made = draft(plan, Student(number)).variant
        document = key_document(made.key)
        document["student"] = {"number": -1}
        keys.append(json.dumps(document).replace('"number": -1', '"number": NUMBER').encode())
        answers = answers_template(made.sheet, "SHEET")
        for item in made.key.items:
            for place, q in enumerate(item.problem.questions, 1):
                text = right_text(q) if chance.random() < 0.7 else WRONG[q.form.value]
                answers["answers"][f"{item.number}.{place}"] = text
        answers["student"] = "NAME"
        forms.append(answers_csv(answers).encode("utf-8-sig"))

    def entries() -> Iterator[ClassMember]:
        for number in range(1, size + 1):
            yield ClassMember(
                number, f"{number:02d}-student", f"Student {number}", str(10**6 + number)
            )

    def hand_ins() -> Iterator[HandIn]:
        for number in range(1, size + 1):
            data = forms[number % DRAWN].replace(b"SHEET", str(number).encode())
            data = data.replace(b"NAME", f"Student {number}".encode())
            yield read_hand_in(f"{number:02d}-student/answers.csv", data, ".csv")

    def key(entry: ClassMember) -> bytes:
        return keys[entry.number % DRAWN].replace(b"NUMBER", str(entry.number).encode())

    class Asked(Processes):
        """Processes that are asked for their peak of memory before they are let go."""

        peak = 0.0

        def stop(self) -> None:
            if self._pool is not None:
                self.peak = max(self._pool.submit(peak).result() for _ in range(6))
            super().stop()

    workers = Asked(2, ["rungwise.tutor.classroom.marking.jobs"])
    with tempfile.TemporaryDirectory(prefix="rungwise-") as folder:
        out = Path(folder) / "marks"
        start = time.perf_counter()
        found = mark(
            Marking(ClassSettings("Benchmark"), entries(), hand_ins(), key, out),
            workers,
        )
        seconds = time.perf_counter() - start
        assert found.students[HandInState.MARKED] == size, found
        length = (out / MARKS_JSON).stat().st_size / 2**20
        own = peak()  # before the folder is removed, for which its names are listed
    return {"seconds": seconds, "peak": own, "worker": workers.peak, "json": length}


def peak() -> float:
    """This process's peak of resident memory in MB."""
    if sys.platform == "linux":
        # Not ru_maxrss, which begins with that of the process that started this one.
        status = Path("/proc/self/status").read_text()
        return int(status.partition("VmHWM:")[2].split()[0]) / 2**10
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20


if __name__ == "__main__":
    print(json.dumps(run(int(sys.argv[1]))))
