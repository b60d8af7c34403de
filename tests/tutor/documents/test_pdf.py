"""PDF: tagged, in vectors, the student on every page, and the same bytes for the same sheet."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

import pypdf
import pytest
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Task
from rungwise.problems.sheets.model import Paper, Student, Symbols
from rungwise.tutor.documents import pdf_compiler, pdf_letters, pdf_scripts
from rungwise.tutor.documents.pdf_compiler import PdfError
from rungwise.tutor.files.installing import how_to_install

from tests.support.pages import key_pdf, sheet_pdf

from .by_hand import made, mixed
from .hostile_names import STUDENTS
from .pdf_tree import elements
from .tiny_font import font


def read(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data), strict=True)


@lru_cache(maxsize=8)
def texts(data: bytes) -> tuple[str, ...]:
    return tuple(page.extract_text() for page in read(data).pages)


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.fixture(scope="module")
def both() -> tuple[bytes, bytes]:
    found = mixed()
    return sheet_pdf(found.sheet), key_pdf(found.sheet, found.key)


def test_it_says_that_it_is_accessible_and_in_which_language(both: tuple[bytes, bytes]) -> None:
    for data in both:
        catalogue = read(data).trailer["/Root"]
        assert catalogue["/Lang"] == "en"
        assert catalogue["/MarkInfo"]["/Marked"].value is True
        assert catalogue["/ViewerPreferences"]["/DisplayDocTitle"].value is True
        # PDF/UA-1 by its identifier (ISO 14289-1:2014, clause 5).
        assert b"pdfuaid:part>1<" in catalogue["/Metadata"].get_data()


def test_every_drawing_and_formula_has_its_words(both: tuple[bytes, bytes]) -> None:
    for data in both:
        found = list(elements(read(data).trailer["/Root"]["/StructTreeRoot"]["/K"]))
        kinds = [str(e["/S"]) for e in found]
        assert kinds.count("/H1") == 1 and "/H2" in kinds and "/H3" in kinds
        spoken = [e for e in found if e["/S"] in ("/Figure", "/Formula")]
        assert len(spoken) >= 5
        assert all(str(e.get("/Alt", "")).strip() for e in spoken)
        circuits = [str(e["/Alt"]) for e in spoken if e["/S"] == "/Figure"]
        assert any("series L1 = 680 mH" in alt for alt in circuits)


def test_drawings_are_vectors_and_fonts_are_inside(both: tuple[bytes, bytes]) -> None:
    for data in both:
        for page in read(data).pages:
            assert not list(page.images)
            for named in page["/Resources"].get("/Font", {}).values():
                (child,) = named.get_object()["/DescendantFonts"]
                descriptor = child.get_object()["/FontDescriptor"]
                assert {"/FontFile2", "/FontFile3"} & set(descriptor)


def test_the_student_and_the_page_stand_on_every_page(both: tuple[bytes, bytes]) -> None:
    for data in both:
        pages = texts(data)
        assert len(pages) > 3
        for number, text in enumerate(pages, 1):
            assert 'Ann O\'Neil, "Annie"' in text and "s-0417" in text
            assert f"{number} of {len(pages)}" in text


def test_its_title_names_the_sheet_and_nothing_of_the_machine(both: tuple[bytes, bytes]) -> None:
    sheet, key = (read(data).metadata for data in both)
    assert sheet is not None and key is not None
    assert sheet.title == 'Passive filters, Ann O\'Neil, "Annie" · s-0417'
    assert str(key.title).startswith("Key: Passive filters")
    assert sheet.author is None
    for data in both:
        assert str(Path.cwd()).encode() not in data


def test_the_key_says_that_it_is_not_for_students(both: tuple[bytes, bytes]) -> None:
    assert all("For the teacher only" in text for text in texts(both[1]))
    assert not any("teacher" in text for text in texts(both[0]))


def test_both_papers() -> None:
    # ISO 216: 210 mm x 297 mm; ANSI A: 8.5 in x 11 in.
    found = made()
    for paper, size in ((Paper.A4, (595.28, 841.89)), (Paper.LETTER, (612, 792))):
        sheet = replace(found.sheet, heading=replace(found.sheet.heading, paper=paper))
        key = replace(found.key, heading=sheet.heading)
        for data in (sheet_pdf(sheet), key_pdf(sheet, key)):
            box = read(data).pages[0].mediabox
            assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.1)


@pytest.mark.parametrize("student", STUDENTS, ids=lambda s: str(s.number))
def test_names_are_printed_or_the_id_stands_for_them(student: Student) -> None:
    first, *_ = texts(sheet_pdf(replace(made().sheet, student=student)))
    assert "You have 90 minutes." in first
    if student.number in (1, 2, 3, 4, 8, 11, 14):
        assert squeezed(student.name) in squeezed(first)
    elif student.number == 5:
        assert (
            "s-05" in first and "cannot show the letters of the name" in first and "王" not in first
        )
    elif student.number == 6:
        assert set("محمد") <= set(first)
    elif student.number in (12, 13):
        assert f"Sheet {student.number}" in first
    elif student.number == 10:
        assert "evil[31m" in first


def test_a_long_name_stays_on_the_page() -> None:
    data = sheet_pdf(replace(made().sheet, student=STUDENTS[8]))
    page = read(data).pages[0]
    ends: list[float] = []

    def note(text: str, _cm: object, tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            ends.append(tm[4])

    page.extract_text(visitor_text=note)
    assert max(ends) < 595 - 56  # a right margin of 20 mm


def test_texts_without_letters_are_boxes_and_said_to_be() -> None:
    found = made(title="滤波器 Filters", instructions="你有90分钟。")
    first, *_ = texts(sheet_pdf(found.sheet))
    assert "□□□ Filters" in first and "□□90□□□" in first
    assert "□ stands for a character" in first


def test_what_can_be_drawn_is_asked_of_the_fonts() -> None:
    for text in ("Ann", "Ångström", "Ελένη", "Иван", "עברית", "محمد", "Nguyễn Thị"):
        assert pdf_letters.drawable(text), text
    for text in ("王", "ไทย", "한국", "😀"):
        assert not pdf_letters.drawable(text), text
    assert pdf_letters.shown("a王b小c") == "a□b□c"


def test_what_every_page_may_have_on_it_is_drawn_and_not_asked_about(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    pdf_compiler.compiled(pdf_letters._PROBE, " ".join(sorted(pdf_letters._SURE)))

    def refused(source: bytes, data: str) -> bytes:
        raise AssertionError(data)

    monkeypatch.setattr(pdf_letters, "compiled", refused)
    for power in range(-30, 31):
        assert pdf_letters.drawable(write_quantity(Fraction("1.234") * Fraction(10) ** power, ""))


def test_another_students_sheet_is_set_as_if_it_were_the_first() -> None:
    """The typesetter remembers what it has set; no byte may show it."""
    found = mixed().sheet
    others = [replace(found, student=Student(n, f"Student {n}")) for n in (1, 2)]
    first = [sheet_pdf(one) for one in others]
    assert first[0] != first[1]
    code = (
        "import sys; from tests.support.pages import sheet_pdf; "
        "from tests.tutor.documents.by_hand import mixed; from dataclasses import replace; "
        "from rungwise.problems.sheets.model import Student; "
        "one = replace(mixed().sheet, student=Student(2, 'Student 2')); "
        "sys.stdout.buffer.write(sheet_pdf(one))"
    )
    assert (
        subprocess.run([sys.executable, "-c", code], stdout=-1, check=True, timeout=300).stdout
        == first[1]
    )


def test_a_plan_in_another_language_says_so() -> None:
    found = made()
    for tag, lang in (("de-CH", "de-CH"), ("zh-Hans", "zh"), ("nonsense!", "en")):
        heading = replace(found.sheet.heading, language=tag)
        made_ = sheet_pdf(replace(found.sheet, heading=heading))
        assert read(made_).trailer["/Root"]["/Lang"] == lang


def test_typst_source_in_a_plan_stays_text() -> None:
    evil = '#panic("x") $1/0$ @nowhere <label> *a* _b_ #import "@preview/x:1.0.0" \\ `r` = H'
    found = made(title=evil, course=evil, instructions=f"{evil}\n  {evil}", notes=evil)
    text = squeezed("".join(texts(sheet_pdf(found.sheet))))
    assert text.count(squeezed(evil)) >= 4


@pytest.mark.parametrize(
    ("level", "symbols"), [(1, Symbols.IEC), (4, Symbols.IEEE), (6, Symbols.IEC)]
)
def test_every_sort_of_problem_can_be_set(level: int, symbols: Symbols) -> None:
    asked = [(task, seed, level) for task in Task for seed in (level, 30 + level)]
    found = made(asked, symbols=symbols)
    numbers = [q.number for item in found.sheet.items for q in item.questions]
    text = "\n".join(texts(sheet_pdf(found.sheet)))
    assert all(re.search(rf"(?m)^{re.escape(n)}\s", text) for n in numbers)
    # Reading a key's text takes pypdf seconds; that all of it stands there is tested elsewhere.
    assert len(read(key_pdf(found.sheet, found.key)).pages) > len(numbers) // 6


def test_without_typst_the_remedy_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = made().sheet
    pdf_compiler._typst.cache_clear()
    pdf_compiler._compiler.cache_clear()
    monkeypatch.setitem(sys.modules, "typst", None)
    try:
        with pytest.raises(PdfError, match=re.escape(how_to_install("paper"))):
            sheet_pdf(sheet)
    finally:
        pdf_compiler._typst.cache_clear()
        pdf_compiler._compiler.cache_clear()


def test_scripts_without_letters_are_told_once_each_with_a_font() -> None:
    plain = ["Ann", "", "Øyvind", "Ёлка", "שלום", "Ann\u202e"]
    assert pdf_scripts.lacking_scripts(plain) == ()
    assert pdf_scripts.lacking_scripts([]) == ()
    names = [*plain, "王小明", "李雷", "สมชาย", "Ann 田", "김"]
    found = pdf_scripts.lacking_scripts(names)
    assert [(one.script, one.sample) for one in found] == [
        ("Han", "王小明"),
        ("Thai", "สมชาย"),
        ("Korean", "김"),
    ]
    assert [one.font for one in found] == ["Noto Serif SC", "Noto Sans Thai", "Noto Serif KR"]


def test_a_folder_of_fonts_that_is_not_there(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    sheet = made().sheet
    monkeypatch.setenv(pdf_compiler.FONTS, str(tmp_path / "nowhere"))
    with pytest.raises(PdfError, match="is no folder"):
        sheet_pdf(sheet)
    # A folder without fonts adds nothing, and takes nothing away.
    monkeypatch.setenv(pdf_compiler.FONTS, str(tmp_path))
    (tmp_path / "readme.txt").write_text("no font")
    with_folder = sheet_pdf(sheet)
    monkeypatch.delenv(pdf_compiler.FONTS)
    assert with_folder == sheet_pdf(sheet)


def test_one_compiler_serves_all_and_remembers_nothing() -> None:
    sheets = [
        made(((Task.ANALYSE, n, 2),), student=Student(n, f"Student {n}", str(n))).sheet
        for n in (1, 2, 3)
    ]
    alone = [sheet_pdf(sheet) for sheet in sheets]
    compilers = pdf_compiler._compiler.cache_info().misses
    again = [sheet_pdf(sheet) for sheet in reversed(sheets)]
    assert alone == again[::-1]
    assert pdf_compiler._compiler.cache_info().misses == compilers


def test_fonts_of_a_folder_draw_what_no_other_can(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    sheet = replace(made(title="小").sheet, student=STUDENTS[4])
    without = sheet_pdf(sheet)
    (tmp_path / "tiny.ttf").write_bytes(font("Tiny", "王小明"))
    monkeypatch.setenv(pdf_compiler.FONTS, str(tmp_path))
    assert pdf_letters.drawable("王小明") and not pdf_letters.drawable("王大明")
    first, *_ = texts(made_ := sheet_pdf(sheet))
    assert "王小明" in first and "cannot show" not in first and "□" not in first
    assert b"Tiny" in made_ and made_ == sheet_pdf(sheet)
    assert pdf_scripts.fonts_of(["Ann", "王小明"]) == ("Tiny",)
    assert pdf_scripts.fonts_of(["Ann", "Ёлка"]) == pdf_scripts.fonts_of([]) == ()
    assert [one.sample for one in pdf_scripts.lacking_scripts(["王小明", "王大明"])] == ["王大明"]
    monkeypatch.delenv(pdf_compiler.FONTS)
    assert sheet_pdf(sheet) == without
