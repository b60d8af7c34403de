"""A student's sheet holds no right answer, no seed and no family, in whatever form it is made."""

from __future__ import annotations

import inspect
import io
import re
from dataclasses import replace

import pypdf
import pytest
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.formulas.layout import echo
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Form, Task, formula_of
from rungwise.problems.questions.written import plain_truth
from rungwise.problems.sheets.model import Key, Sheet, Variant
from rungwise.tutor.documents import pages
from rungwise.tutor.documents.pages import sheet_page
from rungwise.tutor.language.texts import Words

from tests.support.pages import key_html, key_pdf, key_text, sheet_html, sheet_pdf, sheet_text

from .by_hand import made
from .pdf_tree import elements

SEED = 48_271_593
SHEETS = [(task, level) for task in Task for level in range(1, 7)]


def renderings(found: Variant) -> dict[str, str]:
    """Everything a student gets of a sheet, as text without blanks; PDF with what is not seen."""
    data = sheet_pdf(found.sheet)
    reader = pypdf.PdfReader(io.BytesIO(data))
    pdf_text = "".join(page.extract_text() for page in reader.pages)
    tags = elements(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])  # type: ignore[index]
    alts = [str(tag["/Alt"]) for tag in tags if "/Alt" in tag]
    assert alts
    raw = {
        "text": sheet_text(found.sheet),
        "html": sheet_html(found.sheet),
        "pdf": "\n".join((pdf_text, *alts, str(reader.metadata))),
    }
    return {name: "".join(one.split()) for name, one in raw.items()}


@pytest.mark.parametrize(("task", "level"), SHEETS)
def test_no_right_answer_no_seed_no_family(task: Task, level: int) -> None:
    found = made(((task, SEED + level, level),))
    (item,) = found.key.items
    problem = item.problem
    row = next(row for row in FAMILIES if row.name == problem.family)
    about = [row.name, str(SEED + level), f"{SEED + level:x}"]
    about += [Words.load().family_about(row.name)]
    hidden = list(about)
    given = {
        write_quantity(e.value, e.kind.unit)
        for e in problem.ladder.elements()
        if e.value is not None and e.name not in problem.blank
    }
    prompts = "".join(Words.load().prompt(q) for q in problem.questions)
    for question in problem.questions:
        truth = question.truth
        if question.exhibit is not None:
            continue  # what is read off a picture is in it; its sheets have a test of their own
        if question.form in (Form.QUANTITY, Form.RATIO, Form.GAIN) and truth not in (1.0, 2.0):
            for digits in (3, 4, 5):
                shown = write_quantity(question.figure, question.unit, digits)
                figure = re.sub(r"[^\d.]", "", shown.split("×")[0])
                long = len(figure.replace(".", "").strip("0")) >= 3
                if long and shown not in given and shown not in prompts:
                    hidden.append(shown)
        elif question.form is Form.FORMULA:
            hidden += [str(plain_truth(truth)), echo(formula_of(truth))]
        elif question.form is Form.SKETCH:
            hidden.append(str(plain_truth(truth)))
    if task in (Task.ANALYSE, Task.SKETCH) and level < 6:
        assert len(hidden) > len(about)
    for name, rendered in renderings(found).items():
        for secret in hidden:
            assert "".join(secret.split()) not in rendered, (name, secret)


def test_this_would_find_an_answer() -> None:
    """The same search in the key's files comes out with everything."""
    found = made(((Task.ANALYSE, SEED + 2, 2),))
    truth = next(q for q in found.key.items[0].problem.questions if q.form is Form.QUANTITY)
    shown = "".join(write_quantity(truth.truth, truth.unit).split())  # type: ignore[arg-type]
    data = key_pdf(found.sheet, found.key)
    pages_ = pypdf.PdfReader(io.BytesIO(data)).pages
    assert shown in "".join("".join(page.extract_text().split()) for page in pages_)
    assert shown in "".join(key_html(found.sheet, found.key).split())
    assert shown in "".join(key_text(found.sheet, found.key).split())
    assert shown not in "".join(sheet_text(found.sheet).split())


def test_a_sheet_is_made_of_a_sheet_and_nothing_else() -> None:
    for make in (sheet_page,):
        first, *rest = inspect.signature(make).parameters.values()
        assert first.annotation in ("Sheet", Sheet)
        assert all(p.annotation in ("str", str) for p in rest)
    assert not {Key, "Key", "KeyItem", "Problem"} & set(vars(pages))


def test_what_is_printed_hangs_on_what_is_asked_and_not_on_the_truth() -> None:
    """Two questions that differ in their truth alone make one sheet."""
    found = made(((Task.ANALYSE, 5, 3),))
    item = found.key.items[0]
    turned = tuple(
        replace(q, truth=q.choices[0].id) if q.choices else replace(q, truth=7)
        for q in item.problem.questions
    )
    from rungwise.problems.sheets.variant import shown

    other = shown(1, replace(item.problem, questions=turned, seed=9, family=""), item.points)
    assert other == found.sheet.items[0]


def test_a_key_never_looks_like_a_sheet() -> None:
    found = made()
    assert "teacher" in key_text(found.sheet, found.key).lower()
    assert "teacher" not in sheet_text(found.sheet).lower()
    assert 'class="key"' not in sheet_html(found.sheet)
