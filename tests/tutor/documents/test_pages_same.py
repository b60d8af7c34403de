"""Text, HTML and PDF say the same, and the same sheet is the same bytes in every process."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import pypdf
import pytest
from lxml import etree
from rungwise.problems.questions.model import Task
from rungwise.problems.sheets.model import Student, Symbols, Variant
from rungwise.tutor.documents import pdf_compiler
from rungwise.tutor.documents.pages import points_number, prose, sheet_page
from rungwise.tutor.documents.pages_form import Exercise, Lines, Page, Paragraph
from rungwise.tutor.documents.pages_key import key_page

from tests.support.pages import key_html, key_pdf, key_text, sheet_html, sheet_pdf, sheet_text

from .by_hand import made, mixed
from .hostile_names import scribble


def said(thing: object) -> list[str]:
    """Every paragraph of a page, wherever it stands, but for how a sketch is written."""
    if isinstance(thing, Paragraph):
        return [thing.text]
    if isinstance(thing, tuple):
        return [text for one in thing for text in said(one)]
    if is_dataclass(thing):
        return [text for f in fields(thing) for text in said(getattr(thing, f.name))]
    return []


def squeezed(text: str) -> str:
    return "".join(text.split())


def in_html(html: str) -> str:
    root = etree.fromstring(html.encode())
    for element in list(root.iter("style", "title")):
        element.getparent().remove(element)
    return squeezed("".join(root.itertext()))


def in_pdf(data: bytes) -> str:
    return squeezed(
        "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
    )


def forms(found: Variant) -> list[tuple[Page, dict[str, str]]]:
    sheet, key = found.sheet, found.key
    return [
        (
            sheet_page(sheet),
            {
                "text": squeezed(sheet_text(sheet)),
                "html": in_html(sheet_html(sheet)),
                "pdf": in_pdf(sheet_pdf(sheet)),
            },
        ),
        (
            key_page(sheet, key),
            {
                "text": squeezed(key_text(sheet, key)),
                "html": in_html(key_html(sheet, key)),
                "pdf": in_pdf(key_pdf(sheet, key)),
            },
        ),
    ]


@pytest.mark.parametrize("level", [1, 6])
def test_every_paragraph_stands_in_all_three(level: int) -> None:
    found = made([(task, level, level) for task in Task])
    for page, written in forms(found):
        texts = [squeezed(text) for text in said(page)]
        assert len(texts) > 20
        for name, text in written.items():
            lacking = [t for t in texts if t not in text]
            # A circuit to choose is drawn, where drawings can be; its words are not seen.
            if not page.key and name != "text":
                lacking = [t for t in lacking if not t.startswith(("series", "shunt", "source"))]
            if name == "pdf":  # a page may end within a paragraph: its footer stands between
                lacking = [t for t in lacking if t[:12] not in text or t[-12:] not in text]
            assert not lacking, (name, lacking)


def test_the_scheme_stands_in_all_three() -> None:
    page, written = forms(made([(task, 5, 2) for task in Task]))[1]
    for exercise in (b for d in page.divisions for b in d.blocks if isinstance(b, Exercise)):
        for ask in exercise.asks:
            assert ask.judged is not None
            for text in written.values():
                assert all(squeezed(c) in text for c in ask.judged.counts)
                assert all(squeezed(row.name) in text for row in ask.judged.slips)
                assert all(
                    squeezed(answer) in text
                    for row in ask.judged.slips
                    for answer in row.answers
                    if isinstance(answer, str)
                )


PROGRAM = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from tests.tutor.documents.by_hand import mixed
from rungwise.problems.sheets.model import Student, Symbols
from tests.support.pages import key_html, sheet_html
from tests.support.pages import key_pdf, sheet_pdf
from tests.support.pages import key_text, sheet_text
v = mixed(symbols=Symbols.IEC, student=Student(3, "Zoë 王", "9"))
s, k = v.sheet, v.key
for data in (
    sheet_text(s).encode(), key_text(s, k).encode(), sheet_html(s).encode(),
    key_html(s, k).encode(), sheet_pdf(s), key_pdf(s, k),
):
    print(hashlib.sha256(data).hexdigest())
"""


def test_the_same_bytes_in_every_process(tmp_path: Path) -> None:
    root = Path(__file__).parents[3]
    found = []
    for seed, zone in (("1", "UTC"), ("4242", "Asia/Tokyo")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "HOME": str(tmp_path / seed)}
        run = subprocess.run(
            [sys.executable, "-c", PROGRAM, str(root)],
            capture_output=True,
            text=True,
            check=True,
            cwd=tmp_path,
            env=env,
            timeout=300,
        )
        found.append(run.stdout.split())
    assert len(found[0]) == 6 and len(set(found[0])) == 6
    assert found[0] == found[1]


@pytest.mark.parametrize(
    ("student", "blank"),
    [(Student(4), True), (Student(4, "Ann"), False), (Student(4, "", "77"), False)],
)
def test_whoever_has_no_name_on_the_sheet_can_write_it_there(student: Student, blank: bool) -> None:
    found = made(student=student)
    dots = re.search(r"^Name: +[.]{20,}$", sheet_text(found.sheet), re.MULTILINE)
    line = '<dt>Name</dt><dd class="line"></dd>' in sheet_html(found.sheet)
    first = pypdf.PdfReader(io.BytesIO(sheet_pdf(found.sheet))).pages[0].extract_text()
    assert [bool(dots), line, "Name" in first] == [blank, blank, blank or bool(student.name)]
    # A key is nobody's to sign.
    name = bool(student.name)
    assert ("Name:" in key_text(found.sheet, found.key)) == name
    assert ("<dt>Name</dt>" in key_html(found.sheet, found.key)) == name


def test_nothing_is_loaded_that_is_not_needed() -> None:
    program = (
        "import sys; from rungwise.tutor.documents import text, html, pdf;"
        "heavy = ('typst', 'schemdraw', 'textual', 'sympy', 'numpy');"
        "print([m for m in heavy if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    assert run.stdout.strip() == "[]"


def test_symbols_are_those_of_the_plan() -> None:
    ieee, iec = (sheet_html(mixed(symbols=one).sheet) for one in Symbols)
    assert ieee != iec


@pytest.mark.parametrize(
    ("points", "shown"),
    [("1", "1"), ("5/2", "2.5"), ("1/4", "0.25"), ("1/3", "1/3"), ("20", "20"), ("100", "100")],
)
def test_points_are_written_plainly(points: str, shown: str) -> None:
    from fractions import Fraction

    assert points_number(Fraction(points)) == shown


def test_prose_keeps_lines_that_begin_with_a_blank() -> None:
    found = prose("One.\n  a = b\n    c\nTwo.\n\x1b[31m")
    assert found == (
        Paragraph("One."),
        Lines(("a = b", "  c")),
        Paragraph("Two."),
        Paragraph("[31m"),
    )


@pytest.mark.parametrize("seed", range(12))
def test_scribbles_from_all_over_unicode_are_set_in_all_three(seed: int) -> None:
    """Some of these made typst itself fail: rare letters in company that no font foresees."""
    texts = iter([scribble(100 * seed + n, 60) for n in range(8)])
    found = made(((Task.ANALYSE, 5, 1),))
    heading = replace(
        found.sheet.heading, title=next(texts), course=next(texts), instructions=next(texts)
    )
    part = replace(found.sheet.parts[0], title=next(texts), instructions=next(texts))
    student = Student(seed, next(texts), next(texts))
    sheet = replace(found.sheet, heading=heading, student=student, parts=(part,))
    assert sheet_text(sheet).encode()
    etree.fromstring(sheet_html(sheet).encode())
    assert sheet_pdf(sheet).startswith(b"%PDF-")


def test_a_failure_inside_typst_is_an_error_like_any_other(monkeypatch: pytest.MonkeyPatch) -> None:
    class PanicException(BaseException):
        pass

    class Broken:
        def compile(self, **_: object) -> bytes:
            raise PanicException("index out of bounds")

    monkeypatch.setattr(pdf_compiler, "_compiler", lambda *_: Broken())
    with pytest.raises(pdf_compiler.PdfError, match="failed inside"):
        sheet_pdf(made().sheet)
