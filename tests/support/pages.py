"""A student's sheet and its key in all three forms."""

from __future__ import annotations

from rungwise.problems.sheets.model import Key, Sheet
from rungwise.tutor.documents.pages import sheet_page
from rungwise.tutor.documents.pages_key import key_page
from rungwise.tutor.documents.rendered import rendered


def sheet_html(sheet: Sheet) -> str:
    return rendered(sheet_page(sheet), "html").decode()


def key_html(sheet: Sheet, key: Key) -> str:
    return rendered(key_page(sheet, key), "html").decode()


def sheet_text(sheet: Sheet) -> str:
    return rendered(sheet_page(sheet), "text").decode()


def key_text(sheet: Sheet, key: Key) -> str:
    return rendered(key_page(sheet, key), "text").decode()


def sheet_pdf(sheet: Sheet) -> bytes:
    return rendered(sheet_page(sheet), "pdf", sheet.heading.paper)


def key_pdf(sheet: Sheet, key: Key) -> bytes:
    return rendered(key_page(sheet, key), "pdf", sheet.heading.paper)
