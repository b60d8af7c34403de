"""Pages are filled as far as what comes next fits."""

from __future__ import annotations

from rungwise.problems.questions.model import Rung
from rungwise.tutor.documents.pages_form import Division, Page, PageFigure, PageKind, Paragraph
from rungwise.tutor.documents.pages_pictures import PaperPicture

from tests.studies.empty_pages import BETWEEN, EMPTY, empty, pages
from tests.support.printed import printed


def test_no_page_is_left_empty_where_what_comes_next_would_fit() -> None:
    """A sheet and a key with the emptiest pages of those that the study has made."""
    for _, found in pages(3):
        assert len(found) > 4
        for number, left, needed in empty(found):
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
