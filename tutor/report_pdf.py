"""A class report as a PDF, by typst.

The template is ours; everything else reaches it as data, so that no text is ever read as typst.
The same report gives the same bytes.
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from typing import Any

from .paper.pdf_compiler import compiled
from .paper.pdf_letters import shown
from .report import Report
from .report_blocks import Block, Figure, Heading, Prose, Table, about, blocks, title
from .report_charts import for_paper
from .words import plain


def report_pdf(found: Report, plan_file: str = "") -> bytes:
    """The whole report; what the fonts at hand have no letter for is a square.

    Raises:
        PdfError: typst is not installed.
    """
    return compiled(_template(), json.dumps(_document(found, plan_file), ensure_ascii=False))


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


def _text(text: str) -> str:
    return shown(plain(text))


def _block(block: Block) -> dict[str, Any]:
    match block:
        case Heading():
            return {"kind": "heading", "text": _text(block.text)}
        case Prose():
            return {"kind": "prose", "text": _text(block.text), "tone": block.tone}
        case Figure():
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
