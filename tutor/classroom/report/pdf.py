"""A class report as a PDF, by typst.

The template is ours; everything else reaches it as data, so that no text is ever read as typst.
The same report gives the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import lru_cache
from importlib.resources import files
from typing import Any

from ...documents.pdf_compiler import compiled
from ...documents.pdf_letters import drawable, shown
from ...language.texts import plain
from .blocks import Block, Prose, ReportFigure, ReportHeading, Table, about, blocks, title
from .charts import for_paper
from .figures_of_class import Report


def report_pdf(found: Report, plan_file: str = "") -> bytes:
    """The whole report; what the fonts at hand have no letter for is a square.

    Raises:
        PdfError: typst is not installed.
    """
    data = _drawable(_document(found, plan_file))
    return compiled(_template(), json.dumps(data, ensure_ascii=False))


@lru_cache(maxsize=1)
def _template() -> bytes:
    return files(__package__ or "").joinpath("report.typ").read_bytes()


def _document(found: Report, plan_file: str) -> dict[str, Any]:
    name = title(found)
    return {
        "title": name,
        "foot": _text(" – ".join(text for text in (found.title, name) if text)),
        "about": [{"label": label, "text": _text(text)} for label, text in about(found)],
        "blocks": [_block(block) for block in blocks(found, plan_file)],
    }


class _Text(str):
    """A text that stands on the page, and may hold letters that the fonts have not."""

    __slots__ = ()


def _text(text: str) -> _Text:
    return _Text(plain(text))


def _drawable(document: dict[str, Any]) -> dict[str, Any]:
    """The document with only such letters as can be drawn.

    All texts are asked about at once: for a large class with names in another script one by one
    would take minutes.
    """
    texts = list(dict.fromkeys(_texts(document)))
    signs = sorted(set().union(*texts))
    alone = dict(zip(signs, shown(" ".join(signs))[::2], strict=True))
    found = {text: "".join(alone[sign] for sign in text) for text in texts}
    if not drawable(" ".join(found.values())):  # what can be drawn alone may not be, side by side
        found = {text: shown(clean) for text, clean in found.items()}

    def changed(value: Any) -> Any:
        match value:
            case _Text():
                return found[value]
            case dict():
                return {key: changed(inner) for key, inner in value.items()}
            case list():
                return [changed(inner) for inner in value]
        return value

    made = changed(document)
    assert isinstance(made, dict)
    return made


def _texts(value: Any) -> Iterator[_Text]:
    if isinstance(value, _Text):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _texts(inner)


def _block(block: Block) -> dict[str, Any]:
    match block:
        case ReportHeading():
            return {"kind": "heading", "text": _text(block.text)}
        case Prose():
            return {"kind": "prose", "text": _text(block.text), "tone": block.tone}
        case ReportFigure():
            chart = block.chart
            return {
                "kind": "figure",
                "title": chart.title,
                "alt": chart.alt,
                "svg": for_paper(chart),
                "width": chart.width,
            }
        case Table():
            texts = (text for row in block.rows for text in row)
            return {
                "kind": "table",
                "head": [_text(text) for text in block.head],
                "cells": [[_text(line) for line in text.split("\n")] for text in texts],
                "numeric": list(block.numeric),
                "wide": list(block.wide),
            }
