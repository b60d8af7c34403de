"""Rosters: tables as spreadsheets write them, and everything wrong told with its line."""

from __future__ import annotations

import csv
import gc
import io
import time
from typing import Any

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
    assert found.students == (Student(1, "Ann Other", "17", email="a@x.org"),)
    assert found.notes == ("line 1: the column “Points” is left out",)
    [by_email] = read_roster(b"email,name\na@x.org,Ann").students
    assert by_email == Student(1, "Ann", email="a@x.org")
    assert read_roster(b"id\n17\n18").students == (Student(1, "", "17"), Student(2, "", "18"))


def test_what_cannot_be_seen_is_left_out_and_told() -> None:
    found = read_roster("name\nAnn\x1b[31m\u202eOther\x00\nBo\n".encode())
    assert [s.name for s in found.students] == ["Ann[31mOther", "Bo"]
    assert found.notes == ("line 2: signs that can't be seen are left out of the name",)


def test_a_name_over_two_lines_is_one_line_and_later_lines_keep_their_numbers() -> None:
    assert names('name\n"Ann\nOther"\nBo') == ["Ann Other", "Bo"]
    assert "line 4: 2 columns" in complaint('name\n"Ann\nOther"\nBo,3')


def test_where_rows_count_repeats_are_told_and_both_get_a_sheet() -> None:
    found = read_roster(b"name,id\nAnn,1\nAnn,1\nAnn,2\nBo,2\n", numbered=True)
    assert [s.number for s in found.students] == [1, 2, 3, 4]
    assert found.notes == (
        "line 3: “Ann” is on line 2 too; both get a sheet",
        "line 5: the id “2” is on line 4 too",
    )


def test_two_of_one_id_are_one_person_and_two_of_one_name_need_not_be() -> None:
    assert complaint(b"name,id\nAnn,1\nAnn,01\nBo,2\nCy,2\n").split("\n") == [
        "line 3: the id “01” is on line 2 too, and tells students apart; correct it, or take one "
        "of the lines out",
        "line 5: the id “2” is on line 4 too, and tells students apart; correct it, or take one "
        "of the lines out",
    ]
    assert "the e-mail address “A@x.org”" in complaint(b"name,mail\nAnn,a@x.org\nBo,A@x.org\n")
    found = read_roster(b"name,id\nAnn,1\nAnn,2\nBo,\nBo,\n")
    assert len(found.students) == 4
    assert found.notes == (
        "line 5: “Bo” is on line 4 too; both get a sheet",
        "line 5: without an id or an e-mail address only their order tells them apart; "
        "better add one",
    )


ROSTERS = {
    "English": "Surname;First name;Student ID;Email address;Tutorial group;Variant;Seat",
    "German": "Nachname;Vorname;Matrikelnummer;E-Mail-Adresse;Übungsgruppe;Variante;Sitzplatz",
    "German, by name": "Name;Vorname;Matr.-Nr.;E-Mail;Gruppe;Variante;Platz",
    "French": "Nom;Prénom;N° étudiant;Adresse e-mail;Groupe de TD;Version;Place",
    "Spanish": "Apellidos;Nombre;Número de matrícula;Correo electrónico;Grupo;Versión;Asiento",
    "Italian": "Cognome;Nome;Matricola;Indirizzo e-mail;Gruppo;Versione;Posto",
    "Portuguese": "Apelido;Nome;Número de aluno;Endereço de e-mail;Turma;Versão;Lugar",
    "Dutch": "Achternaam;Voornaam;Studentnummer;E-mailadres;Werkgroep;Versie;Zitplaats",
    "Polish": "Nazwisko;Imię;Numer albumu;Adres e-mail;Grupa;Wariant;Miejsce",
    "Swedish": "Efternamn;Förnamn;Personnummer;E-postadress;Grupp;Variant;Plats",
}
ANN = Student(1, "Ann Öther", "0417", "Thu 10:00", "B", "C7", "ann@x.org")


@pytest.mark.parametrize("language", ROSTERS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_headings_of_many_languages_are_read_in_every_encoding(
    language: str, encoding: str
) -> None:
    if encoding == "cp1252" and language == "Polish":
        pytest.skip("that encoding has not its letters")
    heading = ROSTERS[language]
    line = "Öther;Ann;0417;ann@x.org;Thu 10:00;B;C7"
    found = read_roster(f"{heading}\n{line}\n".encode(encoding))
    assert found.students == (ANN,)
    assert all("Windows-1252" in note for note in found.notes)
    assert len(found.notes) == (encoding == "cp1252")


def test_a_name_in_one_column_is_turned_and_what_is_not_used_is_told() -> None:
    found = read_roster(b"Nachname, Vorname;Matrikelnummer;Note\nOther, Ann;1;2,3\n")
    assert found.students == (Student(1, "Ann Other", "1"),)
    assert found.notes == ("line 1: the column “Note” is left out",)
    found = read_roster(b"Full name,Last name,Username,Student ID\nAnn Other,Other,ao7,9\n")
    assert found.students == (Student(1, "Ann Other", "9"),)
    assert found.notes == (
        "line 1: the column “Last name” is left out",
        "line 1: the column “Username” is left out",
    )


def test_an_address_is_never_a_student_number() -> None:
    found = read_roster(b"Username,Name\nann@x.org,Ann\nbo@x.org,Bo\n")
    assert [(s.id, s.email) for s in found.students] == [("", "ann@x.org"), ("", "bo@x.org")]
    assert "no student number" in found.notes[0] and len(found.notes) == 1
    found = read_roster(b"ann@x.org\nbo@x.org\n")
    assert [(s.name, s.email) for s in found.students] == [("", "ann@x.org"), ("", "bo@x.org")]
    found = read_roster(b"name,mail\nAnn,-\nBo,n/a\n")
    assert [s.email for s in found.students] == ["", ""] and len(found.notes) == 2


def test_workbooks_are_rosters_too() -> None:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    for row in ([None], ["Nachname", "Vorname", "Matrikelnummer"], ["Other", "Ann", 417]):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    assert read_roster(out.getvalue()).students == (Student(1, "Ann Other", "417"),)
    assert "line 3: no name" in complaint(_without_name(book))


def _without_name(book: Any) -> bytes:
    book.active["A3"], book.active["B3"] = None, None
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_ten_thousand_rows_are_read_in_time_that_grows_with_them() -> None:
    """Of one name, which is what would make a reader look at all pairs."""

    def seconds(rows: int) -> float:
        data = ("name,id,group\n" + "".join(f"Ann,{n},g\n" for n in range(rows))).encode()
        began = time.thread_time()
        assert len(read_roster(data).students) == rows
        return time.thread_time() - began

    seconds(100)
    gc.disable()  # it takes as long as the rest of the suite is large
    try:
        assert seconds(10_000) < 40 * max(seconds(1_000), 0.005)
    finally:
        gc.enable()


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
        ("Wer;Wann\nAnn;7\n", "are no headings"),
        ("Gruppe;Platz\n7;7\n", "no column says who somebody is"),
        ("Name,ID,Matrikelnummer\nAnn,7,8", "“ID” and “Matrikelnummer” mean the same"),
        ("Ann\nO'Neil, Bo\n", "line 2: a comma makes several columns"),
        ("Ann\nBo;8\n", "line 2: a semicolon makes several columns"),
        ("Ann\nBo\t8\n", "line 2: a tab makes several columns"),
        ("name,student\nAnn,Bo", "“name” and “student” mean the same"),
        ("name\n" + "x" * (LONGEST_NAME + 1), f"line 2: the name “{'x' * 40}…” has 401"),
        ("name\n" + "\n".join(f"S{n}" for n in range(10_001)), "10,001 students"),
        (b"\xff\xfen\x00\xd8", "not text in any known encoding"),
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

    rows = [["name", "id"], *([text, str(number)] for number, text in enumerate(texts))]
    found = names(table(rows, separator))
    assert found == [normalize("NFC", text) for text in texts]
