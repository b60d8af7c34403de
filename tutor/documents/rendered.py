"""Pages as files: HTML, PDF or text, each made by its own renderer, loaded when it is needed."""

from __future__ import annotations

from ...problems.sheets.model import Paper
from .pages_form import Page


def rendered(page: Page, form: str, paper: Paper = Paper.A4) -> bytes:
    """A ``page`` in a ``form``, "html", "pdf" or "text", as bytes; a PDF is set on ``paper``.

    Raises:
        PdfError: a PDF can't be made here.
        ValueError: there is no such form.
    """
    match form:
        case "html":
            from .html import page_html

            return page_html(page).encode()
        case "pdf":
            from .pdf import page_pdf

            return page_pdf(page, paper)
        case "text":
            from .text import page_text

            return page_text(page).encode()
    raise ValueError(f"a page is not made as {form}")
