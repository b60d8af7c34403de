"""Rosters: tables as spreadsheets write them, and everything wrong told with its line."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.problems.sheets.model import Student
from rungwise.tutor.classroom.roster import LONGEST_NAME, MOST_BYTES, RosterError, read_roster

AWKWARD = [
    'O\'Neil, "Ann"', "=cmd|x", "../../x", "<b>", "王小明", "שרה כהן", "محمد علي",
    "Ångström; Å", "A\u0301ngel", "x" * 300, "#1 \\LaTeX {}", "O’Neil", "-1+1", "@SUM(A1)",
]  # fmt: skip


def names(text: str | bytes) -> list[str]:
    return [s.name for s in read_roster(text.encode() if isinstance(text, str) else text).students]


def complaint(text: str | bytes) -> str:
    with pytest.raises(RosterError) as caught:
        read_roster(text.encode() if isinstance(text, str) else text)
    assert all(line and "\n" not in line for line in caught.value.lines)
    return str(caught.value)


def table(rows: list[list[str]], separator: str = ",", ending: str = "\r\n") -> str:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator=ending).writerows(rows)
    return out.getvalue()


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\r\n", "\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_names_come_back_as_a_spreadsheet_wrote_them(
    separator: str, ending: str, mark: str
) -> None:
    rows = [["id", "Name"], *([str(n), name] for n, name in enumerate(AWKWARD, 1))]
    roster = read_roster((mark + table(rows, separator, ending)).encode())
    composed = [*AWKWARD]
    composed[8] = "Ángel"  # NFC, as two spellings of one name are one name
    assert [(s.number, s.id, s.name) for s in roster.students] == [
        (n, str(n), name) for n, name in enumerate(composed, 1)
    ]
    assert roster.notes == ()


def test_without_headings_each_line_is_a_name() -> None:
    assert names('Ann Other\n\n  \n"O\'Neil, ""Ann"""\n王小明\n') == [
        "Ann Other",
        'O\'Neil, "Ann"',
        "王小明",
    ]
    assert names(b"\xef\xbb\xbfAnn") == ["Ann"]


def test_columns_may_stand_in_any_order_and_be_called_what_course_systems_call_them() -> None:
    found = read_roster(
        b"Email address;First name;Points;Surname;ID number\na@x.org;Ann;3;Other;17\n"
    )
    assert found.students == (Student(1, "Ann Other", "17"),)
    assert found.notes == ("line 1: the column “Points” is left out",)
    assert read_roster(b"email,name\na@x.org,Ann").students[0].id == "a@x.org"
    assert read_roster(b"id\n17\n18").students == (Student(1, "", "17"), Student(2, "", "18"))


def test_what_cannot_be_seen_is_left_out_and_told() -> None:
    found = read_roster("name\nAnn\x1b[31m\u202eOther\x00\nBo\n".encode())
    assert [s.name for s in found.students] == ["Ann[31mOther", "Bo"]
    assert found.notes == ("line 2: signs that can't be seen are left out of the name",)


def test_a_name_over_two_lines_is_one_line_and_later_lines_keep_their_numbers() -> None:
    assert names('name\n"Ann\nOther"\nBo') == ["Ann Other", "Bo"]
    assert "line 4: 2 columns" in complaint('name\n"Ann\nOther"\nBo,3')


def test_repeats_are_told_and_both_get_a_sheet() -> None:
    found = read_roster(b"name,id\nAnn,1\nAnn,1\nAnn,2\nBo,2\n")
    assert [s.number for s in found.students] == [1, 2, 3, 4]
    assert found.notes == (
        "line 3: “Ann” is on line 2 too; both get a sheet",
        "line 5: the id “2” is on line 4 too",
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "there is nobody in it"),
        ("\n , \n", "there is nobody in it"),
        ("name,id\n", "nobody below the first line"),
        ("name,id\n,7\n", "line 2: no name"),
        ("name\nAnn,7\n", "line 2: 2 columns, where the first line has 1"),
        ('name\n"Ann\n', "line 2: a double quote is opened and never closed"),
        ('name\n"Ann" B\n', "line 2: text after a closing double quote"),
        ("Ann,7\nBo,8\n", "line 1: “Ann”, “7” are no headings"),
        ("Nom;Matricule\nAnn;7\n", "are no headings"),
        ("Ann\nO'Neil, Bo\n", "line 2: a comma makes several columns"),
        ("Ann\nBo;8\n", "line 2: a semicolon makes several columns"),
        ("Ann\nBo\t8\n", "line 2: a tab makes several columns"),
        ("name,student\nAnn,Bo", "“name” and “student” mean the same"),
        ("name\n" + "x" * (LONGEST_NAME + 1), f"line 2: the name “{'x' * 40}…” has 401"),
        ("name\n" + "\n".join(f"S{n}" for n in range(10_001)), "10,001 students"),
        ("name\nAnn".encode("utf-16"), "UTF-16"),
        (b"name\nAnn\nJos\xe9\n", "line 3: byte 0xe9 is no UTF-8 text"),
        (b"x" * (MOST_BYTES + 1), "too long"),
        ("name\n" + '"' + "x" * 200_000 + '"', "line 2: far too long for a name"),
    ],
)
def test_troubles_name_the_line_and_the_remedy(text: str | bytes, told: str) -> None:
    assert told in complaint(text)


def test_everything_wrong_is_told_at_once_and_no_more_than_is_read() -> None:
    lines = complaint("name,id\n" + ",3\n" * 50 + "Ann,1,2\n").split("\n")
    assert len(lines) == 21 and lines[0].startswith("line 2:") and lines[-1] == "and 31 more"


@given(st.binary(max_size=300))
def test_any_bytes_are_a_roster_or_a_complaint(data: bytes) -> None:
    try:
        found = read_roster(data)
    except RosterError as error:
        lines = error.lines
    else:
        lines = found.notes or ("nothing to tell",)
        assert found.students
        assert [s.number for s in found.students] == list(range(1, len(found.students) + 1))
        assert all((s.name + s.id).isprintable() for s in found.students)
    assert lines and all(line.isprintable() for line in lines)


@given(
    st.lists(
        st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S"]), min_size=1),
        min_size=1,
        max_size=8,
    ),
    st.sampled_from(",;\t"),
)
def test_what_the_csv_module_writes_is_read(texts: list[str], separator: str) -> None:
    from unicodedata import normalize

    rows = [["name", "id"], *([text, "7"] for text in texts)]
    found = names(table(rows, separator))
    assert found == [normalize("NFC", text) for text in texts]
