"""Hand-ins of every kind: workbooks, archives, and what only has the name of one."""

from __future__ import annotations

import io
import json
import stat
import zipfile
from collections import Counter
from pathlib import Path

import openpyxl
import pytest
from rungwise.tutor.classroom.handins.files import read_book
from rungwise.tutor.classroom.handins.table import BadTable
from rungwise.tutor.classroom.handins.workbook import read_workbook, workbook_rows
from rungwise.tutor.classroom.marking.folder import hand_ins
from rungwise.tutor.classroom.marking.hand_in import FileFate
from rungwise.tutor.classroom.marking.marks import HandInState, QuestionOutcome

from .damaged_packages import parts
from .handed_in import (
    ALL_RIGHT,
    FIGURE,
    WRITERS,
    Class,
    as_csv,
    as_json,
    as_ods,
    as_xlsx,
    folder_of,
    ods,
    student,
    typed,
    zipped,
)

HEAD = ["question", "asked", "answer"]


def xlsx(*sheets: list[list[object]], form: str = "") -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for place, rows in enumerate(sheets):
        sheet = book.create_sheet(f"sheet {place}")
        for row in rows:
            sheet.append(row)
        if form:
            sheet.cell(len(rows), 3).number_format = form
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def answer(value: object, form: str = "") -> tuple[str, str]:
    """How a cell's value is read as an answer, and what is doubtful about it."""
    found = read_book(read_workbook(xlsx([HEAD, ["Q1.1", "f:", value]], form=form)))
    return dict(found.answers)["1.1"][0], dict(found.doubts).get("1.1", "")


@pytest.mark.parametrize(
    ("value", "form", "text"),
    [
        (1590, "", "1590"),
        (1590.0, "", "1590"),
        (0.1 + 0.2, "", "0.3"),
        (1.59e-6, "", "1.59e-06"),
        (0.05, "0%", "5%"),
        (12, "0000", "0012"),
        (1234567, "#,##0", "1234567"),
        (1.234, "", "1.2340"),  # with three digits it might be a thousand
        (True, "", "TRUE"),
        ("4,7 kΩ", "", "4,7 kΩ"),
    ],
)
def test_a_cell_is_what_a_person_sees_in_it(value: object, form: str, text: str) -> None:
    assert answer(value, form) == (text, "")


@pytest.mark.parametrize(
    ("value", "form", "says"),
    [
        (1.6, '0.0" kHz"', "form of its own"),
        (1600, '0.0,"k"', "form of its own"),
        (46054, "d-mmm", "a date"),
        (0.5, "hh:mm", "a time"),
        ("=1/2", "", "formula"),
        ("#NAME?", "", "error"),
    ],
)
def test_what_nobody_can_know_any_longer_is_unclear(
    room: Class, value: object, form: str, says: str
) -> None:
    assert says in answer(value, form)[1]
    rows = [HEAD, ["sheet", "", "01"], [f"Q{FIGURE}", "f:", value]]
    (room.back / "a.xlsx").write_bytes(xlsx(rows, form=form))
    room.mark()
    (mark,) = [q for q in room.found().students[0].questions if q.number == FIGURE]
    assert mark.verdict is QuestionOutcome.UNCLEAR and says in mark.trouble


def test_the_sheet_with_question_numbers_is_read_wherever_its_table_begins() -> None:
    notes: list[list[object]] = [["my working"], ["title", 7]]
    table = [["Filters"], [None], [None, *HEAD], [None, "Q1.1", "f:", 4.7, "kHz"]]
    found = read_book(read_workbook(xlsx(notes, table)))
    assert found.answers == (("1.1", ("4.7 kHz",)),)
    with pytest.raises(BadTable, match="two of its sheets"):
        read_book(read_workbook(xlsx([HEAD, ["Q1.1", "", "a"]], [HEAD, ["Q1.1", "", "b"]])))
    with pytest.raises(BadTable, match="no sheet of it"):
        read_book(read_workbook(xlsx(notes)))


@pytest.mark.parametrize(
    ("texts", "number"),
    [
        (["4,7 kHz"], "1590,5"),
        (["4.7 kHz"], "1590.5"),
        (["1,234 kHz"], "15905e-1"),  # which sign the hand has for decimals is not to be decided
        (["about so"], "1590.5"),
    ],
)
def test_a_numbers_point_says_nothing_of_the_hand_that_typed_it(
    texts: list[str], number: str
) -> None:
    rows = [HEAD, ["Q1.1", "", 1590.5], *([f"Q1.{n}", "", t] for n, t in enumerate(texts, 2))]
    assert dict(read_book(read_workbook(xlsx(rows))).answers)["1.1"] == (number,)


def test_a_workbook_of_the_strict_form_is_read() -> None:
    """ISO/IEC 29500-1 names other namespaces than what spreadsheets write by default."""
    found = parts(xlsx([HEAD, ["Q1.1", "f:", "4.7 kHz"]]))
    main = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    links = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    strict = {
        name: data.replace(main, b"http://purl.oclc.org/ooxml/spreadsheetml/main").replace(
            links, b"http://purl.oclc.org/ooxml/officeDocument/relationships"
        )
        for name, data in found.items()
    }
    assert strict != found
    assert read_book(read_workbook(zipped(strict))).answers == (("1.1", ("4.7 kHz",)),)


def test_a_formulas_value_is_its_last_one() -> None:
    data = xlsx([HEAD, ["Q1.1", "f:", "=1590*2"]])
    found = parts(data)
    name = "xl/worksheets/sheet1.xml"
    for value, expected in (b"<v>3180</v>", ("3180", "")), (b"<v></v>", ("=1590*2", "formula")):
        one = {**found, name: found[name].replace(b"<v></v>", value).replace(b"<v />", value)}
        read = read_book(read_workbook(zipped(one)))
        assert dict(read.answers)["1.1"] == (expected[0],)
        assert expected[1] in dict(read.doubts).get("1.1", "")


def test_an_open_document_counts_what_repeats_and_leaves_comments_out() -> None:
    cell = "<table:table-cell{0}><text:p>{1}</text:p></table:table-cell>"
    note = "<office:annotation><text:p>no answer</text:p></office:annotation>"
    data = ods(
        '<table:table table:name="a">'
        f"<table:table-row>{cell.format('', 'question')}{cell.format('', 'answer')}"
        '<table:table-cell table:number-columns-repeated="16382"/></table:table-row>'
        '<table:table-row table:number-rows-repeated="1000000"><table:table-cell/>'
        "</table:table-row>"
        f"<table:table-row>{cell.format('', 'Q1.1')}<table:table-cell>{note}<text:p>4.7<text:s "
        'text:c="2"/><text:span>kHz</text:span></text:p></table:table-cell></table:table-row>'
        "</table:table>"
    )
    assert [row.line for row in workbook_rows(data)] == [1, 1_000_002]
    assert dict(read_book(read_workbook(data)).answers) == {"1.1": ("4.7  kHz",)}


@pytest.mark.parametrize("repeated", ["rows", "columns"])
def test_a_cell_that_stands_for_a_million_is_refused(repeated: str) -> None:
    times = f' table:number-{repeated}-repeated="1000000"'
    row, cell = (times, "") if repeated == "rows" else ("", times)
    with pytest.raises(BadTable, match=r"more than|beyond"):
        workbook_rows(
            ods(
                f'<table:table table:name="a"><table:table-row{row}><table:table-cell{cell}>'
                "<text:p>x</text:p></table:table-cell></table:table-row></table:table>"
            )
        )


# ------------------------------------------------------------------------- a class of every kind


def test_a_class_hands_in_every_kind_and_all_say_the_same(room: Class) -> None:
    for number, ending in enumerate(WRITERS, 1):
        (room.back / f"{number}{ending}").write_bytes(WRITERS[ending](number, typed(number, 1)))
    room.mark()
    every = room.found()
    for path in room.back.iterdir():
        path.unlink()
    for number in range(1, 5):
        (room.back / f"{number}.csv").write_bytes(as_csv(number, typed(number, 1)))
    room.mark()
    assert [s.points for s in every.students] == [s.points for s in room.found().students]
    assert [s.open for s in every.students] == [s.open for s in room.found().students]
    assert sum(s.state is HandInState.MARKED for s in every.students) == 4


def test_content_decides_and_not_the_name(room: Class) -> None:
    for number, name, data in (
        (1, "a.csv", as_xlsx(1, ALL_RIGHT)),
        (2, "b.xlsx", as_csv(2, typed(2, 1))),
        (3, "c", as_ods(3, typed(3, 1))),
        (4, "d.jpg", as_xlsx(4, typed(4, 1))),
        (5, "e.txt", as_csv(5, typed(5, 1))),
        (6, "f", as_json(6, typed(6, 1))),
        (7, "g.csv", b"%PDF-1.7 with no name"),
        (8, f"{folder_of(8)}.csv", b"\x89PNG\r\n\x1a\n"),
    ):
        (room.back / name).write_bytes(data)
        assert number
    room.mark()
    states = [s.state for s in room.found().students]
    assert states == [HandInState.MARKED] * 6 + [HandInState.MISSING, HandInState.UNREAD]
    assert {row["what"] for row in room.table("apart.csv")} == {
        "it is a PDF, which is not read", "it is a picture, which is not read"
    }  # fmt: skip


def test_a_course_systems_download_is_read_like_the_folder_it_was(room: Class) -> None:
    inner = zipped({"answers.xlsx": as_xlsx(2, typed(2, 1)), "photo.jpg": b"\xff\xd8\xff"})
    files = {
        f"{student(1).name}_4711_file/answers.csv".replace("/", "_", 0): as_csv(1, ALL_RIGHT),
        f"{folder_of(2)}/mine.zip": inner,
        f"{folder_of(7)}/scan.pdf": b"%PDF-1.4",
        "__MACOSX/._answers.csv": b"?",
        "sheet.json": b'{"format": "rungwise.sheet/1"}',
    }
    (room.back / "download.zip").write_bytes(zipped(files))
    said = room.mark()
    found = {row["file"]: (row["sheet"], row["became"]) for row in room.table("files.csv")}
    assert found == {
        "download.zip": ("", "an archive, opened"),
        f"download.zip/{student(1).name}_4711_file/answers.csv": ("01", "counts"),
        f"download.zip/{folder_of(2)}/mine.zip": ("", "an archive, opened"),
        f"download.zip/{folder_of(2)}/mine.zip/answers.xlsx": ("02", "counts"),
        f"download.zip/{folder_of(2)}/mine.zip/photo.jpg": ("02", "of a kind that is not read"),
        f"download.zip/{folder_of(7)}/scan.pdf": ("07", "of a kind that is not read"),
        "download.zip/sheet.json": ("", "made by Rungwise, not a hand-in"),
    }
    assert "Files looked at: 8 (" in said
    states = {s.number: s.state for s in room.found().students}
    assert (states[1], states[2], states[7]) == (
        HandInState.MARKED, HandInState.MARKED, HandInState.UNREAD
    )  # fmt: skip


def test_an_archive_called_after_a_student_is_their_folder(room: Class) -> None:
    nameless = as_json(4, typed(4, 1)).replace(b'"04"', b'""').replace(b'"e004"', b'""')
    (room.back / f"{folder_of(4)}.zip").write_bytes(zipped({"answers.json": nameless}))
    room.mark()
    assert room.found().students[3].state is HandInState.MARKED


def hostile_zip(name: str, data: bytes = b"?", mode: int = 0o644) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        info = zipfile.ZipInfo("x" * len(name.encode()))
        info.external_attr = mode << 16
        archive.writestr(info, data)
    return made.getvalue().replace(b"x" * len(name.encode()), name.encode())


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (hostile_zip("../../a.csv"), "leads out"),
        (hostile_zip("/etc/a.csv"), "leads out"),
        (hostile_zip("C:\\a.csv"), "leads out"),
        (hostile_zip("a\\..\\..\\b.csv"), "leads out"),
        (hostile_zip("link.csv", b"/etc/passwd", stat.S_IFLNK | 0o777), "link"),
        (hostile_zip("\x1b[31m\u202e.csv"), "head of a table of answers"),
        (zipped({"a.csv": as_csv(1, ALL_RIGHT)})[:-30], "damaged archive"),
        (zipped({"a/b.zip": zipped({"c.zip": zipped({"d.csv": b"?"})})}), "inside two others"),
        (zipped({"a.csv": b""}), "empty"),
        (zipped({"a.csv": b"0" * 3_000_000}), "more than 200 times"),
    ],
    ids=lambda value: value if isinstance(value, str) else "zip",
)
def test_a_hostile_archive_is_told_and_touches_nothing(
    room: Class, tmp_path: Path, data: bytes, says: str
) -> None:
    (room.back / "x.zip").write_bytes(data)
    before = {path for path in tmp_path.rglob("*") if room.marks not in path.parents}
    room.mark()
    listed = room.table("apart.csv")
    assert any(says in row["what"] for row in listed), listed
    assert all(row["file"].isprintable() and row["remedy"] for row in listed)
    after = {path for path in tmp_path.rglob("*") if room.marks not in path.parents}
    assert after - {room.marks} == before


def test_files_of_one_name_in_an_archive_are_all_accounted_for(room: Class) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("a.csv", as_csv(1, ALL_RIGHT))
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr("a.csv", as_csv(1, ALL_RIGHT | {FIGURE: "1 Hz"}))
    (room.back / "x.zip").write_bytes(made.getvalue())
    room.mark()
    assert [row["file"] for row in room.table("apart.csv")] == ["x.zip/a.csv", "x.zip/a.csv [2]"]
    assert room.found().students[0].state is HandInState.APART


def test_a_workbook_of_pictures_alone_is_unread(room: Class) -> None:
    with zipfile.ZipFile(io.BytesIO(as_xlsx(1, {}))) as book:
        files = {name: book.read(name) for name in book.namelist()}
    folder = room.back / folder_of(1)
    folder.mkdir()
    (folder / "a.xlsx").write_bytes(zipped(files | {"xl/media/image1.png": b"\x89PNG"}))
    room.mark()
    assert room.found().students[0].state is HandInState.UNREAD
    with zipfile.ZipFile(io.BytesIO(as_xlsx(1, ALL_RIGHT))) as book:
        files = {name: book.read(name) for name in book.namelist()}
    (folder / "a.xlsx").write_bytes(zipped(files | {"xl/media/image1.png": b"\x89PNG"}))
    room.mark()
    assert room.found().students[0].notes == ("pictures in it, which are not read: 1",)


# --------------------------------------------------------------------------- every file has a fate


def test_the_count_of_files_adds_up(room: Class) -> None:
    given = room.out / "students" / folder_of(5)
    given.mkdir(parents=True)
    (given / "sheet.txt").write_bytes(b"as it was made")
    files = {
        "counts.csv": as_csv(1, ALL_RIGHT),
        "alike.xlsx": as_xlsx(1, ALL_RIGHT),
        "blank.ods": as_ods(2, {}),
        "older/a.json": as_json(3, typed(3, 1)),
        "older/b.json": as_json(3, typed(3, 2)),
        "nobody.json": b'{"format": "rungwise.answers/1", "answers": {"1.1": "x"}}',
        "holiday.heic": b"\0\0\0\x18ftypheic",
        "empty.csv": b"",
        f"{folder_of(5)}/sheet.txt": b"as it was made",
        f"{folder_of(6)}/mail.docx": zipped({"[Content_Types].xml": b"", "word/a.xml": b""}),
        "key.json": json.dumps({"format": "rungwise.key/2"}).encode(),
        "all.zip": zipped({"x.csv": as_csv(4, ALL_RIGHT), "y.pdf": b"%PDF-1.7"}),
        ".DS_Store": b"?",
        "secret.zip": zipped({"a.csv": as_csv(1, {})}).replace(
            b"PK\x01\x02\x14\x03\x14\x00\x00", b"PK\x01\x02\x14\x03\x14\x00\x01"
        ),
    }  # fmt: skip
    for name, data in files.items():
        (room.back / name).parent.mkdir(exist_ok=True)
        (room.back / name).write_bytes(data)
    said = room.mark()
    fates = Counter(row["became"] for row in room.table("files.csv"))
    looked_at = len(list(hand_ins(room.back)))
    assert sum(fates.values()) + 1 == looked_at == len(files) + 3
    assert f"Files looked at: {looked_at} (" in said
    told = {part.split(" ", 1)[1]: int(part.split()[0]) for part in
            said.partition(f"{looked_at} (")[2].partition(").\n")[0].split(", ")}  # fmt: skip
    assert sum(told.values()) == looked_at
    assert fates == {
        "counts": 2, "says the same as the one that counts": 1, "a hand-in without an answer": 1,
        "set apart": 5, "of a kind that is not read": 3, "the sheet as it was given out": 1,
        "made by Rungwise, not a hand-in": 1, "an archive, opened": 2,
    }  # fmt: skip
    apart = {row["file"]: row["remedy"] for row in room.table("apart.csv")}
    assert all(apart.values()) and len(apart) == 8
    assert {f.value for f in FileFate} >= {"counts", "system"}
