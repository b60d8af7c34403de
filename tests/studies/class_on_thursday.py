"""A class from an empty folder to returned solutions.

To be run by ``python -m tests.studies.class_on_thursday``:
120 students in two groups, variants A and B, a page by inspection, full circuits and a sketch.  The
roster is edited twice in between; hand-ins of every kind come back mixed, some only on paper; marks
are settled, totals recounted by arithmetic of its own, reported, returned and exported.  All by the
program's own commands.  Options: the number of students, and a folder that is kept.
"""

from __future__ import annotations

import csv
import json
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from hashlib import sha256
from pathlib import Path

from rungwise.problems.sheets.documents import key_of
from rungwise.tutor.classroom.marking.hand_in import FileFate
from rungwise.tutor.language.texts import entry

from tests.studies.fill_a_class import fill, others
from tests.support.recount import disagreements

PLAN = """format = "rungwise.plan/3"
title = "Quiz 3: filters by inspection"
course = "EE 210"
date = 2026-12-03
seed = 6112009432771190215
variants = ["A", "B"]
variants_by = "seat"
home_page = "https://learn.example.edu"
points = 1

[marking]
slip_points = 0.5
follow_through = true
counts = "newest"

[print]
duplex = true

[[sections]]
title = "At sight"
by_inspection = 12

[[sections]]
title = "One circuit in full"
levels = [2]
problems = 2
ask = ["type", "poles", "corner", "q", "transfer"]

[[sections]]
title = "A sketch"
task = "sketch"
levels = [2]
problems = 1
"""
FIRST = "Ada Ben Cleo Dev Eva Finn Gita Hugo Ines Jan Kofi Lea Mia Nils Oya Pia Ravi Sara Tom Uma"
LAST = "Berg Costa Duval Evans Ferri Gruber"


def roster(count: int) -> list[dict[str, str]]:
    """Students with numbers, groups, seats and e-mails; all of them made up."""
    rows = []
    for number in range(count):
        first, last = FIRST.split()[number % 20], LAST.split()[number // 20 % 6]
        rows.append(
            {
                "Matrikelnummer": f"{70021 + 7 * number}",
                "Name": f"{last}, {first}",
                "Gruppe": "Thu 10" if number % 2 else "Thu 14",
                "Sitzplatz": f"{chr(65 + number // 2 // 10)}{number // 2 % 10 + 1}",
                "E-Mail": f"{first}.{last}{number}@uni.example".lower(),
            }
        )
    return rows


def save(rows: list[dict[str, str]], file: Path) -> None:
    """As a spreadsheet saves it where decimals have commas."""
    with file.open("w", encoding="cp1252", newline="") as target:
        writer = csv.DictWriter(target, list(rows[0]), delimiter=";")
        writer.writeheader()
        writer.writerows(rows)


def run(*words: str, lines: str = "") -> str:
    """A command of the program; what it said."""
    began = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", "sheet", *words],
        input=lines, capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip
    if done.returncode:
        raise SystemExit(f"sheet {' '.join(words)}: {done.returncode}\n{done.stdout}{done.stderr}")
    print(f"\n$ rungwise sheet {' '.join(words)}    ({time.monotonic() - began:.0f} s)")
    print("\n".join(done.stdout.splitlines()[:14]))
    return done.stdout


def by_id(out: Path) -> dict[str, tuple[int, str, str, dict[str, str]]]:
    """(number, group, variant, digests of the files) of each student, by their id."""
    known = json.loads((out / "keys" / "class.json").read_text(encoding="utf-8"))["students"]
    found = {}
    for one in known:
        files = {
            f"{kind}/{file.name}": sha256(file.read_bytes()).hexdigest()
            for kind in ("students", "keys")
            for file in sorted((out / kind / one["folder"]).iterdir())
        }
        found[one["id"]] = (one["number"], one["group"], one["variant"], files)
    return found


def check(what: str, holds: bool) -> None:
    """One thing that has to hold."""
    print(f"  {'holds' if holds else 'FAILS'}: {what}")
    if not holds:
        raise SystemExit(1)


def on_paper(out: Path, students: list[str], chance: random.Random) -> int:
    """Enter some students' papers in plain lines: mostly right, some wrong, some blank."""
    known = json.loads((out / "keys" / "class.json").read_text(encoding="utf-8"))["students"]
    lines, count = ["#"], 0  # down a student's sheet
    for one in known:
        if one["id"] not in students:
            continue
        lines.append(f"@{one['id']}")
        key = key_of(json.loads((out / "keys" / one["folder"] / "key.json").read_text("utf-8")))
        for item in key.items:
            for question in item.problem.questions:
                share = chance.random()
                wrong = "b" if question.choices else "1"
                lines.append("" if share > 0.95 else "+" if share < 0.7 else wrong)
                count += 1
    said = run("enter", str(out), "--plain", lines="\n".join([*lines, "!"]) + "\n")
    print("\n".join(said.splitlines()[-4:]))
    return count


def journey(out: Path, count: int) -> None:
    """The whole way."""
    chance = random.Random(3)
    home = out.parent
    plan, names = home / "plan.toml", home / "roster.csv"
    plan.write_text(PLAN, encoding="utf-8")
    rows = roster(count + 2)
    first = rows[:-2]
    save(first, names)
    make = ["make", str(plan), "--students", str(names), "--out", str(out)]
    run(*make, "--formats", "json,text")
    before = by_id(out)
    sizes = Counter((group, variant) for _, group, variant, _ in before.values())
    print(f"  groups and variants: {dict(sizes)}")

    # The first edit: sorted by name, two newcomers, one leaves.
    gone = first[count // 2]["Matrikelnummer"]
    edited = sorted((r for r in rows if r["Matrikelnummer"] != gone), key=lambda r: r["Name"])
    save(edited, names)
    run(*make, "--formats", "json,text")
    after = by_id(out)
    same = [id_ for id_ in after if id_ in before and after[id_] == before[id_]]
    check(f"{len(same)} students have what they had", len(same) == count - 1)
    check("two newcomers, one has left", len(after) == count + 1 and gone not in after)

    # The second: a new name, another group, any order.
    chance.shuffle(edited)
    edited[0] = {**edited[0], "Name": "Newly-Wed, Ada"}
    edited[1] = {**edited[1], "Gruppe": "Thu 14" if edited[1]["Gruppe"] == "Thu 10" else "Thu 10"}
    save(edited, names)
    run(*make, "--formats", "json,text")
    last = by_id(out)
    changed = {edited[0]["Matrikelnummer"], edited[1]["Matrikelnummer"]}
    same = [id_ for id_ in last if last[id_] == after[id_]]
    check(f"{len(same)} have what they had", set(last) - set(same) <= changed)
    keys = [id_ for id_ in last if last[id_][3]["keys/key.json"] == after[id_][3]["keys/key.json"]]
    circuits = [id_ for id_ in last if last[id_][2] == after[id_][2]]
    check("nobody has another variant", len(circuits) == len(last) and len(keys) >= len(last) - 2)

    # What comes back: files of every kind, odd ones, and ten papers.
    back = home / "hand-ins"
    handed = fill(out, back)
    none = sorted(p.parent.name for p in (out / "keys").glob("*/key.json"))[-1]
    fates = others(out, back, none)
    paper = []  # of whom there is nothing but paper
    for one in json.loads((out / "keys" / "class.json").read_text("utf-8"))["students"]:
        if (back / one["folder"]).is_dir() and one["folder"] != none and len(paper) < 10:
            shutil.rmtree(back / one["folder"])
            paper.append(one["id"])
    entered = on_paper(out, paper, chance)
    print(f"  {handed} hand-ins made, {entered} answers entered of {len(paper)} papers")

    began = time.monotonic()
    run("mark", str(out), str(back))
    print(f"  marked in {time.monotonic() - began:.0f} s")
    marks = out / "marks"
    with (marks / "files.csv").open(encoding="utf-8-sig", newline="") as source:
        told = list(csv.DictReader(source))
    there = [p.relative_to(back).as_posix() for p in back.rglob("*") if p.is_file()]
    named = {row["file"] for row in told}
    check(f"all {len(there)} files are accounted for", set(there) <= named)
    print(f"  {dict(Counter(row['became'] for row in told))}")
    by_file = {row["file"]: row for row in told}
    said = {fate: entry("handins", f"fate.{fate.value}") for fate in FileFate}
    odd = [file for file, fate in fates.items() if by_file[file]["became"] != said[fate]]
    check(f"{len(fates)} odd files became what they should ({odd})", not odd)
    check("whoever has only unreadable files is unread", unread(marks, none))
    check(f"totals are right ({disagreements(out)[:3]})", not disagreements(out))

    # Three rounds of settling.
    waiting = open_answers(marks)
    for number in range(1, 4):
        run("settle", str(out), "--plain", lines="0\n0\n0\n0\n0\n" if number < 3 else "0\n" * 500)
        run("mark", str(out), str(back), *(["--preview"] if number == 2 else []))
        run("mark", str(out), str(back))
        left = open_answers(marks)
        check(f"round {number}: {waiting} answers waited, {left} do", left <= waiting)
        waiting = left
    check("nothing waits", waiting == 0)
    check(f"totals are right ({disagreements(out)[:3]})", not disagreements(out))

    run("report", str(marks))
    run("return", str(marks), "--formats", "html")
    returned = list((out / "returned").glob("*/*.html"))
    check(f"{len(returned)} pages are returned, one each", len(returned) == len(last))
    run("export", str(out), "--to", str(home / "package.zip"))
    run("export", str(out), "--xapi", "--emails", "--to", str(home / "statements.jsonl"))
    statements = (home / "statements.jsonl").read_text(encoding="utf-8").splitlines()
    check("no e-mail address stands in a statement", not any("@" in one for one in statements))


def unread(marks: Path, folder: str) -> bool:
    """Whether the student of a folder is unread."""
    students = json.loads((marks / "marks.json").read_text(encoding="utf-8"))["students"]
    return next(one for one in students if one["folder"] == folder)["state"] == "unread"


def open_answers(marks: Path) -> int:
    """How many answers wait for the teacher."""
    counts = json.loads((marks / "marks.json").read_text(encoding="utf-8"))["counts"]
    return int(counts["open"])


def main() -> None:
    """Make the way, in a folder that is given or one that goes."""
    count = next((int(word) for word in sys.argv[1:] if word.isdigit()), 120)
    kept = next((Path(word) for word in sys.argv[1:] if not word.isdigit()), None)
    with tempfile.TemporaryDirectory() as folder:
        home = kept or Path(folder)
        home.mkdir(parents=True, exist_ok=True)
        journey(home / "class", count)


if __name__ == "__main__":
    main()
