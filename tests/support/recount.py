"""Totals counted once more, by nothing but the standard library: marks against themselves.

It reads ``class.json``, ``marks.json`` and ``marks.csv`` and says where they disagree: who is in
the class, whose points are not the sum of their questions', what a table rounds otherwise, which
counts are wrong.  Fractions are added here by whole numbers alone; nothing of the program under
test is imported.

``python -m tests.support.recount OUT [MARKS]`` prints what disagrees; exit status 1 if anything
does.
"""

from __future__ import annotations

import csv
import json
import math
import sys
from collections import Counter
from pathlib import Path
from typing import Any

Ratio = tuple[int, int]
"""A fraction, never reduced: over and under the bar."""

NOTHING: Ratio = (0, 1)


def ratio(text: str) -> Ratio:
    """A fraction as marks have it: "3", "17/2"."""
    over, _, under = text.partition("/")
    return int(over), int(under or "1")


def added(a: Ratio, b: Ratio) -> Ratio:
    return a[0] * b[1] + b[0] * a[1], a[1] * b[1]


def same(a: Ratio, b: Ratio) -> bool:
    return a[0] * b[1] == b[0] * a[1]


def total(texts: list[str]) -> Ratio:
    """The sum of fractions."""
    found = NOTHING
    for text in texts:
        found = added(found, ratio(text))
        shared = math.gcd(*found)
        found = found[0] // shared, found[1] // shared
    return found


def rounded(value: Ratio, places: int) -> str:
    """As a grade book has it: rounded half up, without zeros at the end."""
    over, under = value
    steps = (2 * over * 10**places + under) // (2 * under)
    whole, part = divmod(steps, 10**places)
    return f"{whole}.{part:0{places}d}".rstrip("0").rstrip(".")


def disagreements(out: Path, marks: Path | None = None) -> list[str]:
    """Where the files of a marked class disagree.

    Args:
        out: the folder that the sheets were made in.
        marks: the folder of the marks, if it is not the usual one.
    """
    place = marks or out / "marks"
    known = json.loads((out / "keys" / "class.json").read_text(encoding="utf-8"))["students"]
    document = json.loads((place / "marks.json").read_text(encoding="utf-8"))
    with (place / "marks.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file, strict=True))
    return [
        *_of_class(known, document["students"]),
        *(line for student in document["students"] for line in _of_student(student)),
        *_of_table(document["students"], rows),
        *_of_counts(document),
    ]


def _of_class(known: list[dict[str, Any]], students: list[dict[str, Any]]) -> list[str]:
    found = []
    by_number = {student["number"]: student for student in students}
    if len(by_number) != len(students):
        found.append("a student stands twice in marks.json")
    if sorted(one["number"] for one in known) != sorted(by_number):
        found.append("marks.json and class.json have other students")
    for one in known:
        student = by_number.get(one["number"], {})
        for key in ("folder", "name", "id", "group", "variant"):
            if one.get(key, "") != student.get(key, ""):
                found.append(f"sheet {one['number']}: another {key}")
    return found


def _of_student(student: dict[str, Any]) -> list[str]:
    questions = [q for problem in student["problems"] for q in problem["questions"]]
    found = []
    for key in ("points", "of"):
        if not same(total([q[key] for q in questions]), ratio(student[key])):
            found.append(f"sheet {student['number']}: {key} {student[key]} is not their sum")
    unclear = sum(q["verdict"] == "unclear" for q in questions)
    if unclear != student["open"]:
        found.append(f"sheet {student['number']}: {unclear} answers are open")
    for q in questions:
        (over, under), (most, parts) = ratio(q["points"]), ratio(q["of"])
        if over * parts > most * under:
            found.append(f"sheet {student['number']}, Q{q['number']}: more points than there are")
        if q["verdict"] in ("blank", "unclear", "paper") and not same(ratio(q["points"]), NOTHING):
            found.append(f"sheet {student['number']}, Q{q['number']}: points for nothing")
    if student["state"] != "marked" and questions:
        found.append(f"sheet {student['number']}: {student['state']}, and marked")
    return found


def _of_table(students: list[dict[str, Any]], rows: list[dict[str, str]]) -> list[str]:
    found = []
    if [int(row["number"]) for row in rows] != [student["number"] for student in students]:
        return ["marks.csv and marks.json have other students"]
    for student, row in zip(students, rows, strict=True):
        wanted = {"state": student["state"], "total": "", "of": "", "percent": "", "open": ""}
        wanted |= {key: "" for key in row if key.startswith("problem ")}
        for key in ("group", "variant"):
            if key in row or student.get(key):
                wanted[key] = student.get(key, "")
        if student["state"] == "marked":
            points, of = ratio(student["points"]), ratio(student["of"])
            wanted |= {"total": rounded(points, 2), "of": rounded(of, 2)}
            wanted["open"] = str(student["open"])
            if of[0]:
                share = points[0] * of[1] * 100, points[1] * of[0]
                wanted["percent"] = rounded(share, 1)
            for problem in student["problems"]:
                each = total([q["points"] for q in problem["questions"]])
                wanted[f"problem {problem['number']}"] = rounded(each, 2)
        for key, text in wanted.items():
            if _unguarded(row.get(key, "")) != text:
                found.append(
                    f"marks.csv, sheet {student['number']}: {key} is {row.get(key)}, not {text}"
                )
    return found


def _unguarded(cell: str) -> str:
    """A cell without the sign that keeps a spreadsheet from taking it for a formula."""
    return cell[1:] if cell[:1] == "'" else cell


def _of_counts(document: dict[str, Any]) -> list[str]:
    states = Counter(student["state"] for student in document["students"])
    wanted = {"students": len(document["students"]), **states}
    counts = document["counts"]
    return [
        f"counts: {key} is {counts.get(key)}, not {number}"
        for key, number in wanted.items()
        if counts.get(key, 0) != number
    ]


def main() -> int:
    """Count, and say what disagrees."""
    found = disagreements(*map(Path, sys.argv[1:3]))
    print("\n".join(found) or "All totals agree.")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main())
