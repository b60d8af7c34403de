"""Hand-ins as files: what spreadsheets make of them, and what nobody should send."""

from __future__ import annotations

import csv
import io
import json
import tracemalloc
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.classroom.handins.cells import guarded, row, unguarded
from rungwise.tutor.classroom.handins.files import (
    MOST_BYTES,
    Answers,
    answers_csv,
    question_number,
    read_csv,
    read_json,
)
from rungwise.tutor.classroom.handins.table import BadTable

from tests.support import hostile

TEMPLATE = {
    "format": "rungwise.answers/1",
    "title": "Filters, week 3",
    "sheet": "03",
    "student": "Ann Other",
    "answers": {"1.1": "", "1.2": "", "1.10": ""},
}
ASKED = {"1.1": "Corner frequency, in Hz", "1.2": "Filter type"}


def filled(**answers: str) -> str:
    document = {
        **TEMPLATE,
        "answers": {n.strip("q").replace("_", "."): t for n, t in answers.items()},
    }
    return answers_csv(document, ASKED)


def answered(data: bytes | str) -> dict[str, tuple[str, ...]]:
    return dict(read_csv(data.encode() if isinstance(data, str) else data).answers)


# ------------------------------------------------------------------------------- templates


def test_a_template_comes_back_as_it_was_and_blank() -> None:
    found = read_csv(answers_csv(TEMPLATE, ASKED).encode("utf-8-sig"))
    assert (found.sheet, found.student, found.title) == ("03", "Ann Other", "Filters, week 3")
    assert found.blank
    assert read_json(json.dumps(TEMPLATE).encode()) == found


def test_a_template_is_a_table_by_rfc_4180() -> None:
    text = answers_csv(TEMPLATE, ASKED)
    assert text.count("\r\n") == text.count("\n") == 7
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert rows[0] == ["question", "asked", "answer"]
    assert {len(cells) for cells in rows} == {3}
    assert rows[4:] == [
        ["Q1.1", "Corner frequency, in Hz:", ""],
        ["Q1.2", "Filter type:", ""],
        ["Q1.10", "", ""],
    ]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_whatever_a_spreadsheet_saves_is_read_alike(
    encoding: str, separator: str, end: str
) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator=end)
    source = filled(q1_1="4,7 kΩ; roughly", q1_2='a "b" c', q1_10="−40 dB/decade")
    writer.writerows(csv.reader(io.StringIO(source, newline="")))
    found = read_csv(out.getvalue().encode(encoding))
    assert dict(found.answers) == {
        "1.1": ("4,7 kΩ; roughly",),
        "1.2": ('a "b" c',),
        "1.10": ("−40 dB/decade",),
    }
    assert not found.notes


def test_an_old_spreadsheet_without_unicode_is_read_and_told() -> None:
    found = read_csv(filled(q1_1="4.7 µH, 90°").encode("cp1252"))
    assert dict(found.answers) == {"1.1": ("4.7 µH, 90°",)}
    assert found.notes == ("it was read as Windows-1252, not as UTF-8",)


def test_a_line_that_names_the_separator_is_passed_over() -> None:
    assert answered("sep=;\r\nquestion;answer\r\nQ1.1;4,7\r\n") == {"1.1": ("4,7",)}


@pytest.mark.parametrize(
    "line",
    [
        "Q1.1,,4.7 kHz",
        "Q1.1,4.7 kHz",
        "Q1.1,Corner frequency in Hz:,4.7 kHz",
        "q1.1,,4.7 kHz,,,",
        "1.1,,4.7 kHz",
        " Q 1.1 ,,  4.7 kHz ",
        "Question 1.1,,4.7 kHz",
        "Q01.01.,,4.7 kHz",
        "Ｑ１．１,,4.7 kHz",
        '"Q1,1",,4.7 kHz',
        "'Q1.1,,4.7 kHz".replace("'", ""),
    ],
)
def test_rows_as_hands_write_them(line: str) -> None:
    assert answered(f"question,asked,answer\n{line}\n") == {"1.1": ("4.7 kHz",)}


@pytest.mark.parametrize("line", ["Q1.1,4,7 kHz", "Q1.1,Corner:,4,7 kHz", "Q1.1,,4,7 kHz"])
def test_a_bare_comma_does_not_cut_an_answer_short(line: str) -> None:
    assert answered(f"question,asked,answer\n{line}\n") == {"1.1": ("4,7 kHz",)}
    two = line.replace("Corner:,", "").replace(",,", ",")
    assert answered(f"question,answer\n{two}\n") == {"1.1": ("4,7 kHz",)}


def test_what_is_asked_is_never_taken_for_an_answer() -> None:
    # Some spreadsheets leave out empty cells at the end of a row.
    assert answered("question,asked,answer\nQ1.1,Corner frequency in Hz:\nQ1.2,Type:,b\n") == {
        "1.2": ("b",)
    }


def test_other_orders_of_columns_are_read_by_their_heads() -> None:
    assert answered("answer,question\n4.7 kHz,Q1.1\n") == {"1.1": ("4.7 kHz",)}
    with pytest.raises(BadTable, match="more cells than the head"):
        read_csv(b"answer,question\n4,7 kHz,Q1.1\n")


def test_a_table_without_a_head_is_read_where_its_rows_are_clear() -> None:
    found = read_csv(b"sheet,leave this:,03\nQ1.1,Corner:,4.7 kHz\nQ1.2,,b\n")
    assert found.sheet == "03"
    assert dict(found.answers) == {"1.1": ("4.7 kHz",), "1.2": ("b",)}


def test_two_answers_to_one_question_are_both_kept_and_equal_ones_once() -> None:
    assert answered("question,answer\nQ1.1,a\nQ1.1,b\nQ1.1,a\nQ1.2,c\nQ1.2,c\nQ1.2,\n") == {
        "1.1": ("a", "b"),
        "1.2": ("c",),
    }


def test_answers_to_no_question_are_kept_for_the_human() -> None:
    found = read_csv(b"question,answer\nmy notes,see over\n,and this\nQ1.1,a\n")
    assert found.strays == (("my notes", "see over"), ("", "and this"))


def test_two_names_in_one_file_are_refused() -> None:
    with pytest.raises(BadTable, match="names two"):
        read_csv(b"question,answer\nsheet,03\nsheet,04\nQ1.1,a\n")


def test_numbers_in_json_keep_their_digits() -> None:
    text = '{"format": "rungwise.answers/1", "answers": {"1.1": 4.70e3, "1.2": null, "1.3": -40}}'
    assert dict(read_json(text.encode()).answers) == {"1.1": ("4.70e3",), "1.3": ("-40",)}


def test_a_doubled_member_of_json_is_two_answers() -> None:
    text = '{"format": "rungwise.answers/1", "answers": {"1.1": "a", "1.1": "b"}}'
    assert dict(read_json(text.encode()).answers) == {"1.1": ("a", "b")}


def test_the_numbers_of_questions() -> None:
    assert question_number("Q3.10") == question_number("'3,10") == "3.10"
    assert question_number("sheet") is question_number("3") is question_number("") is None


# ------------------------------------------------------------------------------- hostile


@pytest.mark.parametrize("read", [read_csv, read_json])
@pytest.mark.parametrize(
    "data",
    [
        b"", b"\0", b"\xff\xfe", b"\xff\xfe\0", b"\xff", b"PK\x03\x04" + bytes(200), b"\x89PNG",
        b"[" * 200_000, b"{\"a\":" * 100_000, b'"' * 300_000, b"'" * 10, b"question", b"{}", b"[]",
        b"null", b"1e999999", b'{"format": "rungwise.answers/1"}',
        b'{"format": "rungwise.answers/1", "answers": []}',
        b'{"format": "rungwise.answers/1", "answers": {"1.1": {}}}',
        b'{"format": "rungwise.answers/1", "answers": {"1.1": true}}',
        b'{"format": "rungwise.answers/2", "answers": {}}',
        b'{"format": "rungwise.answers/1", "answers": {}, "answers": {}}',
        b"x" * (MOST_BYTES + 1),
        b"question,answer\n" + b"Q1.1,a\n" * 20_001,
        b'question,answer\nQ1.1,"never closed\n',
        b'question,answer\nQ1.1,"a"b\n',
        b"question,answer\nQ1.1," + b"9" * 140_000,
    ],
)  # fmt: skip
def test_what_is_no_hand_in_is_refused_with_a_remedy(
    read: Callable[[bytes], Answers], data: bytes
) -> None:
    with pytest.raises(BadTable) as caught:
        read(data)
    assert caught.value.what and caught.value.remedy
    assert str(caught.value).isprintable()


def test_a_lone_surrogate_is_text_to_nobody() -> None:
    text = '{"format": "rungwise.answers/1", "sheet": "\\ud800", "answers": {"1.1": "a\\udfff"}}'
    found = read_json(text.encode())
    assert (found.sheet, found.answers) == ("?", (("1.1", ("a?",)),))
    with pytest.raises(BadTable, match="encoding"):
        read_csv("question,answer\nQ1.1,a\ud800\n".encode("utf-16-le", "surrogatepass"))


def test_what_is_kept_is_bounded_whatever_the_length() -> None:
    texts = [f"Q1.1,{n}\n" for n in range(19_000)]
    assert len(answered("question,answer\n" + "".join(texts))["1.1"]) == 4
    assert len(answered("question,answer\nQ1.1," + "9" * 100_000)["1.1"][0]) == 1025
    data = b"question,answer\n" + b"Q1.1," + b"x" * 130_000 + b"\n"
    tracemalloc.start()
    read_csv(data * 7)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 16 * MOST_BYTES


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    for read in (read_csv, read_json):
        for head in (b"", b"question,answer\n", b'{"format": "rungwise.answers/1", "answers": {'):
            trouble: BadTable | None = None
            try:
                assert isinstance(read(head + data), Answers)
            except BadTable as error:
                trouble = error
            assert trouble is None or trouble.remedy


@given(st.text(max_size=60))
def test_any_answer_survives_the_table(text: str) -> None:
    document = {**TEMPLATE, "answers": {"1.1": text}}
    got = answered(answers_csv(document).encode("utf-8", "replace"))
    expected = " ".join(guarded(text).split())
    assert got.get("1.1", ("",))[0] in (expected, unguarded(expected))


# ------------------------------------------------------------------------------- cells

# Examples as published by OWASP ("CSV Injection") and their wide forms (Unicode block
# "Halfwidth and Fullwidth Forms").
PAYLOADS = [
    "=cmd|' /C calc'!A0",
    '=1+2";=1+2',
    "=1+2'\" ;,=1+2",
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "+1+1",
    "-1+1",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    " =1+1",
    "＝1+1",
    "＋1+1",
    "－1+1",
    "＠SUM(1)",
    "﹦1",
    "x;=1+1",
    "x; -1",
    "\u202e=1+1",
    "\ufeff=1+1",
]


@pytest.mark.parametrize("payload", PAYLOADS)
@pytest.mark.parametrize("separator", [",", ";"])
def test_no_cell_is_run_by_a_spreadsheet(payload: str, separator: str) -> None:
    line = row(["1", payload, "2"])
    cells = next(csv.reader(io.StringIO(line, newline=""), delimiter=separator))
    for cell in cells:
        assert not cell.strip().startswith(tuple("=+-@＝＋－＠﹦\t\r"))


def test_a_guard_comes_off_again() -> None:
    for text in ("-40", "=1/(2*pi)", "+90", "@x", "＝1"):
        assert unguarded(guarded(text)) == text
    for text in ("'tis", "'", "", "4.7 kHz", "O'Neil"):
        assert unguarded(text) == guarded(text) == text


def test_hostile_texts_make_one_line_of_a_table() -> None:
    for text in (*hostile.FRAGMENTS, *hostile.strings(500, 3, ["4.7 kHz"])):
        line = row([text, "end"])
        assert line.endswith("\r\n") and line[:-2].isprintable()
        assert next(csv.reader([line], strict=True))[1] == "end"
