"""Who a student is, and that nobody's sheet depends on who else is in the roster."""

from __future__ import annotations

import json
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets import lots as sheets_lots
from rungwise.problems.sheets.documents import key_of, sheet_of
from rungwise.problems.sheets.identity import alike, identity
from rungwise.problems.sheets.lots import drawn
from rungwise.problems.sheets.model import (
    NUMBERED_PLAN_FORMAT,
    Plan,
    PlanSection,
    Series,
    SheetError,
    Student,
    VariantsBy,
)
from rungwise.tutor.classroom.interchange.class_folder import given as sheets_of
from rungwise.tutor.classroom.interchange.class_folder import open_folder
from rungwise.tutor.classroom.making.allotment import AllotmentError, allotted, place_of
from rungwise.tutor.classroom.making.enrolment import (
    Enrolled,
    Enrolment,
    EnrolmentError,
    enrolled,
)
from rungwise.tutor.classroom.making.make import MakingJob, MakingOutcome, make
from rungwise.tutor.classroom.making.workers import Here
from rungwise.tutor.classroom.marking.made_class import read_class
from rungwise.tutor.classroom.roster import anonymous

from tests.support.pages import sheet_text

# A family of which there are few circuits in E6, so that drafts meet.
FEW = PlanSection(families=("rl-low-pass",), count=3, ask=(Rung.TYPE,), series=Series.E6)
PLAN = Plan("Filters", 2**61 + 7, (FEW, PlanSection(levels=(1,), count=1, ask=(Rung.TYPE,))))


def person(number: int, **more: str) -> Student:
    return Student(0, f"Student {number % 7}", **{"id": f"{number:04d}", **more})


def rows(people: Sequence[Student]) -> list[Student]:
    """As a roster numbers them."""
    return [replace(one, number=row) for row, one in enumerate(people, 1)]


def run(
    out: Path, people: Sequence[Student], plan: Plan = PLAN, stop: int | None = None
) -> tuple[MakingOutcome | None, Enrolment]:
    met: list[Enrolment] = []

    def tell(done: int, of: int) -> None:
        if done == stop and done < of:
            raise StopError

    try:
        outcome = make(
            MakingJob(plan, rows(people), out, ("json",)), Here(), tell, found=met.append
        )
    except StopError:
        return None, met[0]
    return outcome, met[0]


class StopError(Exception):
    """Something that happens in the midst of it."""


def handed_out(out: Path) -> dict[str, dict[str, bytes]]:
    """By id, every file of each student that the class names, with its path."""
    found: dict[str, dict[str, bytes]] = {}
    for entry in read_class(out / "keys/class.json")[1]:
        files = [*(out / "students" / entry.folder).iterdir()]
        files += (out / "keys" / entry.folder).iterdir()
        texts = {str(path.relative_to(out)): path.read_bytes() for path in files}
        found[entry.id or entry.email or entry.name] = texts
    return found


def circuits(out: Path) -> dict[str, list[str]]:
    """By id, the circuits of each student as they are printed."""
    found = {}
    for entry in read_class(out / "keys/class.json")[1]:
        key = key_of(json.loads((out / "keys" / entry.folder / "key.json").read_bytes()))
        found[entry.id or entry.email or entry.name] = [str(item.problem) for item in key.items]
    return found


def circuits_in(files: dict[str, bytes]) -> list[str]:
    """The circuits of one student's key."""
    [data] = [data for path, data in files.items() if path.endswith("key.json")]
    return [str(item.problem) for item in key_of(json.loads(data)).items]


def marks(out: Path) -> list[str]:
    """What no two students may share, of everybody in the class."""
    found = []
    for entry in read_class(out / "keys/class.json")[1]:
        key = key_of(json.loads((out / "keys" / entry.folder / "key.json").read_bytes()))
        for item in key.items:
            parts = sorted(f"{e.kind}{e.value}" for e in item.problem.ladder.elements())
            found.append(f"{item.problem.family} {parts}")
    return found


# --- nobody's sheet depends on the others ---------------------------------------------------------


def edited(people: list[Student], chance: Random, fresh: int) -> tuple[list[Student], set[str]]:
    """A roster as somebody has changed it, and the ids of those whose own line was changed."""
    people, changed = [*people], set[str]()
    what = chance.choice(("insert", "delete", "shuffle", "rename", "regroup", "back"))
    match what:
        case "insert" | "back":
            one = person(fresh if what == "insert" else chance.randrange(8))
            if one.id not in {known.id for known in people}:
                people.insert(chance.randrange(len(people) + 1), one)
        case "delete" if len(people) > 3:
            people.pop(chance.randrange(len(people)))
        case "rename":
            row = chance.randrange(len(people))
            people[row] = replace(people[row], name=f"Renamed {fresh}")
            changed = {people[row].id}
        case "regroup":
            row = chance.randrange(len(people))
            people[row] = replace(people[row], group=f"Thu {fresh}:00")
            changed = {people[row].id}
        case _:
            chance.shuffle(people)
    return people, changed


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("variants", [(), ("A", "B")])
def test_edits_of_the_roster_change_no_byte_of_anybody_else(
    tmp_path: Path, seed: int, variants: tuple[str, ...]
) -> None:
    """Also where runs are stopped in the midst of it, and where circuits are few."""
    chance, plan = Random(seed), replace(PLAN, variants=variants)
    people, out = [person(n) for n in range(8)], tmp_path / "out"
    run(out, people, plan)
    first = handed_out(out)
    known, gone = handed_out(out), dict[str, dict[str, bytes]]()
    for step in range(12):
        people, changed = edited(people, chance, 100 + step)
        for _ in range(chance.randrange(3)):
            run(out, people, plan, stop=chance.randrange(3))
        outcome, _ = run(out, people, plan)
        assert outcome is not None and not outcome.left and not outcome.aside
        now = handed_out(out)
        assert now.keys() == {one.id for one in people}
        for id_, files in now.items():
            before = known.get(id_)
            if before is None and id_ in gone:
                assert circuits_in(files) == circuits_in(gone[id_])
            elif id_ not in changed and before is not None:
                assert files == before, (step, id_)
            elif before is not None:
                assert files.keys() == before.keys()  # in the folder that they had
        gone |= {id_: files for id_, files in known.items() if id_ not in now}
        known = now
        if not variants:
            assert len(marks(out)) == len(set(marks(out))) == 4 * len(people)
    assert len(first.keys() & known.keys()) >= 2


@pytest.mark.parametrize("by", [None, VariantsBy.LOT])
def test_circuits_are_the_same_in_any_folder_whoever_else_is_there(
    tmp_path: Path, by: VariantsBy | None
) -> None:
    plan = replace(PLAN, unshared=False, variants=("A", "B") if by else (), variants_by=by)
    people = [person(n) for n in range(12)]
    run(tmp_path / "a", people, plan)
    others = [*reversed(people[:9]), *(person(n) for n in range(50, 55))]
    others[3] = replace(others[3], name="Somebody Else", group="Fri", email="x@y.org")
    run(tmp_path / "b", others, plan)
    here, there = circuits(tmp_path / "a"), circuits(tmp_path / "b")
    shared = here.keys() & there.keys()
    assert len(shared) == 9 and all(here[id_] == there[id_] for id_ in shared)
    assert len({str(one) for one in here.values()}) == (2 if by else 12)


def test_where_few_circuits_are_left_a_newcomer_avoids_what_was_handed_out(
    tmp_path: Path,
) -> None:
    people = [person(n) for n in range(40)]
    run(tmp_path, people[:20])
    run(tmp_path, people[5:20])  # those who left have theirs on paper
    before = handed_out(tmp_path)
    run(tmp_path, [*people[25:], *people[5:20]])
    run(tmp_path, people)
    now = handed_out(tmp_path)
    assert all(now[id_] == files for id_, files in before.items())
    assert len(marks(tmp_path)) == len(set(marks(tmp_path))) == 160


# --- what becomes of whom -------------------------------------------------------------------------


def test_numbers_and_folders_are_given_once_and_what_changed_is_told(tmp_path: Path) -> None:
    people = [person(n) for n in range(5)]
    outcome, enrolment = run(tmp_path, people)
    assert outcome is not None and outcome.made == 5 and enrolment.changes == ()
    newcomer = Student(0, "New Comer", "77")
    renamed = replace(people[2], name="Ann Smith")
    _, enrolment = run(tmp_path, [newcomer, renamed, people[0], people[4]])
    assert [line.partition(";")[0] for line in enrolment.changes] == [
        "not in the roster any more: Student 1 (0001)",
        "Ann Smith (0002) was Student 2 (0002): the same problems, printed with the new name or "
        "number",
        "not in the roster any more: Student 3 (0003)",
        "new: New Comer (77), in 06-new-comer",
    ]
    assert {(m.student.number, m.folder, m.left) for m in enrolment.members} == {
        (1, "01-student-0", False),
        (2, "02-student-1", True),
        (3, "03-student-2", False),
        (4, "04-student-3", True),
        (5, "05-student-4", False),
        (6, "06-new-comer", False),
    }
    assert [entry.number for entry in read_class(tmp_path / "keys/class.json")[1]] == [1, 3, 5, 6]
    assert (tmp_path / "students/02-student-1/sheet.json").exists()
    sheet = json.loads((tmp_path / "students/03-student-2/sheet.json").read_bytes())
    assert sheet["student"] == {"number": 3, "name": "Ann Smith", "id": "0002"}
    outcome, enrolment = run(tmp_path, [newcomer, renamed, *people[:2], people[4]])
    assert enrolment.changes == (
        "in the roster again: Student 1 (0001), with the same sheet in 02-student-1",
    )
    assert outcome is not None and outcome.made == 0


def test_an_id_or_address_that_comes_later_changes_no_circuit(tmp_path: Path) -> None:
    names = [Student(0, name) for name in ("Ann", "Bo", "Ann", "Cy")]
    run(tmp_path, names)
    before = [circuit for _, circuit in sorted(numbered(tmp_path).items())]
    with_mail = [replace(one, email=f"s{row}@x.org") for row, one in enumerate(names)]
    run(tmp_path, with_mail)
    with_id = [replace(one, id=f"0{row}7") for row, one in enumerate(with_mail)]
    run(tmp_path, with_id[::-1])
    run(tmp_path, [replace(one, email="", name=f"X{one.name}") for one in with_id[1:]])
    run(tmp_path, [replace(one, id=one.id.lstrip("0")) for one in with_id])  # as spreadsheets do
    assert [circuit for _, circuit in sorted(numbered(tmp_path).items())] == before
    # Two of one name and other ids are two people.
    _, enrolment = run(tmp_path, [*with_id, Student(0, "Ann", "9")])
    assert len(enrolment.members) == 5
    assert len({str(circuit) for circuit in numbered(tmp_path).values()}) == 5


def numbered(out: Path) -> dict[int, list[str]]:
    found = {}
    for path in (out / "keys").glob("*/key.json"):
        key = key_of(json.loads(path.read_bytes()))
        found[key.student.number] = [str(item.problem) for item in key.items]
    return found


def test_who_cannot_be_told_apart_is_told() -> None:
    people = rows([person(1), person(2), replace(person(3), id="1")])
    with pytest.raises(EnrolmentError, match=r"Student 1 \(0001\) and Student 3 \(1\) have the"):
        enrolled(PLAN, people)
    assert len(enrolled(replace(PLAN, format=NUMBERED_PLAN_FORMAT), people).members) == 3


def test_a_folder_of_a_plan_that_counted_rows_goes_on(tmp_path: Path) -> None:
    old = replace(PLAN, format=NUMBERED_PLAN_FORMAT)
    people = [person(n) for n in range(4)]
    run(tmp_path, people, old)
    before = enrolled(PLAN, rows(people)).members
    make(MakingJob(PLAN, rows(people[::-1]), tmp_path, ("json",), again=True), Here())
    made = read_class(tmp_path / "keys/class.json")[1]
    assert [(m.number, m.folder, m.id) for m in made] == [
        (m.student.number, m.folder, m.student.id) for m in before
    ]


def test_folders_are_padded_to_the_class_and_stay_when_it_grows(tmp_path: Path) -> None:
    def folders(people: Sequence[Student], before: Sequence[Enrolled] = ()) -> list[str]:
        return [member.folder for member in enrolled(PLAN, rows(people), before).members]

    assert folders(anonymous(9))[0] == "1-student".rjust(10, "0")
    assert folders(anonymous(120))[0] == "001-student"
    assert folders(anonymous(1000))[-1] == "1000-student"
    first = enrolled(PLAN, rows(anonymous(99))).members
    grown = folders(anonymous(120), first)
    assert grown[:99] == [member.folder for member in first] and grown[0] == "01-student"
    assert grown[99:101] == ["100-student", "101-student"]
    small = replace(PLAN, sections=(replace(FEW, count=1),), unshared=False)
    run(tmp_path, anonymous(101), small)
    run(tmp_path, anonymous(103), small)
    names = sorted(path.name for path in (tmp_path / "students").iterdir())
    assert names[0] == "001-student" and names[-1] == "103-student" and len(names) == 103


def test_ten_thousand_students_are_found_again_in_time_that_grows_with_them() -> None:
    """All of one name, some with an id and some without: nobody is compared with everybody."""

    def seconds(count: int) -> float:
        people = [Student(0, "Ann", str(n) if n % 2 else "") for n in range(count)]
        began = time.thread_time()
        first = enrolled(PLAN, rows(people)).members
        others = [replace(one, id=one.id and f"x{one.id}") for one in people[::-1]]
        assert len(enrolled(PLAN, rows(others), first).members) == count + count // 2
        return time.thread_time() - began

    seconds(100)
    assert seconds(10_000) < 50 * max(seconds(1_000), 0.02)


def test_identities_are_what_a_spreadsheet_leaves_of_them() -> None:
    assert identity(Student(1, "Ann", "0417", email="a@x.org")) == "id 417"
    assert identity(Student(2, "Anna", "'417")) == "id 417"
    assert identity(Student(3, "Ann", email="A@x.org")) == "email a@x.org"
    assert identity(Student(4, " ANN  Other")) == identity(Student(9, "Ann Other"))
    assert identity(Student(4, "Ann"), 2) != identity(Student(4, "Ann 2"))
    assert identity(Student(5)) == "number 5"
    assert (alike("000"), alike("00e1"), alike(" İd ")) == ("0", "00e1", alike("i̇d"))


# --- variants -------------------------------------------------------------------------------------


def of_variants(by: VariantsBy | None, *labels: str) -> Plan:
    return replace(PLAN, variants=labels or ("A", "B"), variants_by=by)


def given(plan: Plan, people: Sequence[Student], before: Sequence[Enrolled] = ()) -> list[str]:
    made = enrolled(plan, people, before)
    by_id = {student.id: student.variant for student in made.present}
    return [by_id[one.id] for one in people]


def test_a_variant_shares_its_circuits_and_two_share_none(tmp_path: Path) -> None:
    people = [person(n, variant="ab"[n % 2]) for n in range(6)]
    run(tmp_path, people, of_variants(None))
    found = circuits(tmp_path)
    assert len({str(found[f"{n:04d}"]) for n in (0, 2, 4)}) == 1
    assert len({str(found[f"{n:04d}"]) for n in (1, 3, 5)}) == 1
    assert len(set(marks(tmp_path))) == 8
    entries = json.loads((tmp_path / "keys/class.json").read_bytes())["students"]
    assert [entry["variant"] for entry in entries] == [*"ABABAB"]
    sheet = json.loads((tmp_path / "students/02-student-1/sheet.json").read_bytes())
    assert sheet["student"]["variant"] == "B"
    # Another variant is another sheet, for that one alone.
    before = handed_out(tmp_path)
    people[3] = replace(people[3], variant="A")
    _, enrolment = run(tmp_path, people, of_variants(None))
    assert enrolment.changes == ("Student 3 (0003) has variant A, and had B: other problems",)
    now = handed_out(tmp_path)
    assert [id_ for id_ in now if now[id_] != before[id_]] == ["0003"]
    assert circuits(tmp_path)["0003"] == found["0000"]


def test_groups_and_variants_stand_on_sheets_and_in_the_class_and_addresses_only_there(
    tmp_path: Path,
) -> None:
    people = [person(n, group=f"Thu {n}:00", seat=f"C{n}", email=f"s{n}@x.org") for n in (1, 2)]
    run(tmp_path, people, of_variants(VariantsBy.SEAT))
    members = read_class(tmp_path / "keys/class.json")[1]
    assert [(m.id, m.group, m.variant, m.email) for m in members] == [
        ("0001", "Thu 1:00", "A", "s1@x.org"),
        ("0002", "Thu 2:00", "B", "s2@x.org"),
    ]
    for found in sheets_of(open_folder(tmp_path)):
        folder = tmp_path / "students" / found.entry.folder
        sheet = sheet_of(json.loads((folder / "sheet.json").read_bytes()))
        assert sheet.student == found.sheet.student == found.key.student
        assert sheet.student.group == found.entry.group
        for path in folder.iterdir():
            assert b"x.org" not in path.read_bytes()
        assert found.entry.group in sheet_text(sheet)


def test_a_roster_that_has_lost_its_column_takes_nobodys_variant_away(tmp_path: Path) -> None:
    people = [person(n, variant="ab"[n % 2]) for n in range(6)]
    run(tmp_path, people, of_variants(None))
    before = handed_out(tmp_path)
    bare = [replace(one, variant="") for one in people]
    _, enrolment = run(tmp_path, bare, of_variants(None))
    assert enrolment.changes == () and handed_out(tmp_path) == before
    # Another plan gives its own.
    other = replace(of_variants(None), seed=5)
    make(MakingJob(other, rows(bare), tmp_path, ("json",), again=True), Here())
    run(tmp_path / "fresh", bare, other)
    assert circuits(tmp_path) == circuits(tmp_path / "fresh")


def test_by_roster_every_student_has_to_have_one_that_there_is() -> None:
    people = rows([person(1, variant="A"), person(2, variant="C"), person(3)])
    with pytest.raises(AllotmentError) as caught:
        enrolled(of_variants(VariantsBy.ROSTER), people)
    assert [line.partition(";")[0] for line in caught.value.lines] == [
        "Student 2 (0002): there is no variant “C”",
        "Student 3 (0003) has no variant",
    ]
    assert "leaves" not in enrolled(PLAN, people).notes[0]  # a plan without variants leaves them
    assert given(PLAN, people) == ["", "", ""]


def test_by_lot_each_falls_for_itself() -> None:
    plan = of_variants(VariantsBy.LOT, "A", "B", "C")
    people = rows([person(n, group=f"g{n % 4}") for n in range(600)])
    found = given(plan, people)
    count = Counter(found)
    assert set(count) == {*"ABC"} and all(abs(n - 200) < 4 * 200**0.5 for n in count.values())
    assert given(plan, rows(people[100:300])) == found[100:300]
    assert given(replace(plan, seed=plan.seed + 1), people) != found


def test_by_seat_neighbours_differ_and_what_was_given_stays() -> None:
    plan = of_variants(VariantsBy.SEAT)
    seats = [f"{row}{place}" for row in "ABC" for place in range(1, 9)]
    every_second = [f"Row D seat {place}" for place in range(1, 16, 2)]
    people = rows([person(n, seat=seat) for n, seat in enumerate([*seats, *every_second])])
    chance = Random(3)
    for _ in range(4):
        by_seat = dict(zip([p.seat for p in people], given(plan, people), strict=True))
        for one, other in pairwise(seats):
            assert one[0] != other[0] or by_seat[one] != by_seat[other]
        for one, other in pairwise(every_second):
            assert by_seat[one] != by_seat[other]
        chance.shuffle(people)
        people = rows(people)
    made = enrolled(plan, people).members
    moved = rows([replace(one, seat=people[-row].seat) for row, one in enumerate(people)])
    assert given(plan, moved, made) == given(plan, people)
    assert "sit side by side and have the same variant" in enrolled(plan, moved, made).notes[0]
    three = of_variants(VariantsBy.SEAT, "A", "B", "C")
    late = [person(1, seat="1"), person(2, seat="5"), person(3, seat="3")]
    first = enrolled(three, rows(late[:2])).members
    assert len(set(given(three, rows(late), first))) == 3


def test_without_seats_they_take_turns_group_by_group() -> None:
    plan = of_variants(VariantsBy.SEAT)
    people = rows([person(n, group="xy"[n // 4]) for n in range(8)])
    assert given(plan, people) == [*"ABABABAB"]
    made = enrolled(plan, people).members
    joined = rows([person(20, group="y"), *people[1:], person(21, group="x")])
    assert given(plan, joined, made) == [*"ABABABABA"]


@pytest.mark.parametrize(
    ("seat", "place"),
    [
        ("C7", ("c", 7)), ("c 07", ("c", 7)), ("7", ("", 7)), ("Row 3 Seat 12", ("row 3 seat", 12)),
        ("3-12", ("3", 12)), ("12C", ("12", 3)), ("window", None), ("", None), ("9" * 50, None),
    ],
)  # fmt: skip
def test_seats_are_read_as_they_are_written(seat: str, place: tuple[str, int] | None) -> None:
    assert place_of(seat) == place


def test_hostile_seats_are_read_in_no_time() -> None:
    began = time.thread_time()
    people = rows([person(n, seat="- " * 190 + "x") for n in range(1000)])
    allotted(of_variants(VariantsBy.SEAT), people)
    assert time.thread_time() - began < 5


def test_the_lots_follow_from_the_identity_alone() -> None:
    one = Student(1, "Ann", "7")
    assert drawn(PLAN, one).lots == drawn(PLAN, Student(44, "Bo", "07", group="x")).lots
    assert drawn(PLAN, one).lots != drawn(PLAN, Student(1, "Ann", "8")).lots
    other = replace(PLAN, seed=PLAN.seed + 1)
    assert drawn(PLAN, one).lots != drawn(other, one).lots


def test_a_plan_that_asks_too_much_leaves_nothing_and_is_corrected(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    people = [person(n) for n in range(8)]
    monkeypatch.setattr(sheets_lots, "_TRIES", 2)
    with pytest.raises(SheetError, match=r"plan.too-few.*needed = 160"):
        run(tmp_path, people, replace(PLAN, sections=(replace(FEW, count=20),)))
    monkeypatch.undo()
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == [".making-lock"]
    _, enrolment = run(tmp_path, people[4:])
    assert enrolment.changes == () and len(enrolment.members) == 4


def test_sections_for_whom_the_roster_has_not_are_told() -> None:
    """Such as a follow-up plan by student numbers, made with a roster that has lost them."""
    section = PlanSection(levels=(2,), count=1, students=("s1", "007", "Ann"), others=True)
    plan = Plan("Filters", 2**60 + 9, (section,))
    by_id = (Student(1, "Ann", "S1"), Student(2, "Bo", "7"), Student(3, "Ann", "s9"))
    (told,) = enrolled(plan, by_id).notes
    assert "are for Ann, and" in told
    (told,) = enrolled(plan, [Student(1, "Ann"), Student(2, "Bo")]).notes
    assert "are for s1, 007, and" in told
    (told,) = enrolled(replace(plan, format="rungwise.plan/2"), by_id).notes
    assert "are for Ann, and" in told
    everybody = replace(section, students=("s1", "7", "s9"))
    assert not enrolled(replace(plan, sections=(everybody,)), by_id).notes


def test_of_two_of_one_name_the_group_tells_who_has_left() -> None:
    plan = Plan("Filters", 2**60 + 9, (PlanSection(levels=(2,), count=1),))
    both = (Student(1, "Ann", group="G1"), Student(2, "Ann", group="G2"))
    before = enrolled(plan, both).members
    after = enrolled(plan, [Student(1, "Ann", group="G2"), Student(2, "Bo")], before)
    assert [(one.number, one.name, one.group) for one in after.present] == [
        (2, "Ann", "G2"),
        (3, "Bo", ""),
    ]
    moved = [Student(1, "Ann", group="G3"), Student(2, "Ann", group="G1")]
    present = enrolled(plan, moved, before).present
    assert [(one.number, one.group) for one in present] == [(1, "G1"), (2, "G3")]
