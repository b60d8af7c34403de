"""Pages are filled as far as what comes next fits."""

from __future__ import annotations

from io import BytesIO

from pypdf import PdfReader
from rungwise.problems.questions.model import Rung
from rungwise.tutor.documents.pages_form import Division, Page, PageFigure, PageKind, Paragraph
from rungwise.tutor.documents.pages_pictures import PaperPicture
from rungwise.tutor.documents.pdf import page_pdf

from tests.studies.empty_pages import BETWEEN, EMPTY, empty, pages
from tests.support.printed import printed


def test_no_page_is_left_empty_where_what_comes_next_would_fit() -> None:
    """The sheet with the emptiest pages of those that the study has made."""
    _, found = next(pages(3))
    emptiest = [*empty(found)]
    assert len(found) > 4 and emptiest
    for number, left, needed in emptiest:
        assert needed + BETWEEN > left, number


def test_the_measure_sees_an_empty_page() -> None:
    drawn = PageFigure(PaperPicture(Rung.GAIN_SKETCH))
    said = tuple(Paragraph("One line.") for _ in range(9))
    page = Page(
        PageKind.REPORT, "en", "A page", (), "", (),
        (Division("First", (drawn,)), Division("Second", said, fresh=True)),
    )  # fmt: skip
    found = printed(page)
    assert len(found) == 2
    [(number, left, needed)] = empty(found)
    assert number == 1 and needed + BETWEEN < left
    assert EMPTY < found[0].empty < 0.8


def test_a_heading_and_what_introduces_a_chart_stand_on_its_page() -> None:
    drawn = PageFigure(PaperPicture(Rung.GAIN_SKETCH), "The chart")
    chart = Division("A heading", (Paragraph("This introduces it."), drawn))
    alone = 0
    for lines in range(24, 44):
        before = Division("", tuple(Paragraph(f"Line {n}.") for n in range(lines)))
        page = Page(PageKind.REPORT, "en", "A page", (), "", (), (before, chart))
        texts = [one.extract_text() for one in PdfReader(BytesIO(page_pdf(page))).pages]
        [place] = [n for n, text in enumerate(texts) if "The chart" in text]
        assert "A heading" in texts[place] and "This introduces it." in texts[place], lines
        alone += place > 0
    assert 0 < alone < 20
