"""A class report as one HTML file that needs nothing else: no script, no request, no font.

Its policy forbids everything but the style sheet it carries, whose hash is in the policy, so
that not even a text that slipped through escaping could fetch or run anything.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from html import escape
from importlib.resources import files

from ...language.texts import plain
from .blocks import Block, Prose, ReportFigure, ReportHeading, Table, about, blocks, title
from .figures_of_class import Report


@cache
def _style() -> str:
    return files(__package__ or "").joinpath("report.css").read_text("utf-8")


def policy(style: str) -> str:
    """The content security policy (W3C CSP Level 3) of a page with this one style sheet."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def report_html(found: Report, plan_file: str = "") -> str:
    """The whole page."""
    style, name = _style(), title(found)
    heading = [f"<h1>{_text(name)}</h1>"]
    for label, text in about(found):
        told = f"<span>{_text(label)}</span> " if label else ""
        cls = "about" if label else "sheet"
        heading.append(f'<p class="{cls}">{told}<bdi>{_text(text)}</bdi></p>')
    whole = f"{name} – {found.title}" if found.title else name
    body = "\n".join(map(_block, blocks(found, plan_file)))
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{escape(policy(style))}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        '<meta name="robots" content="noindex">\n'
        f"<title>{_text(whole)}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n"
        f"<header>\n{''.join(heading)}\n</header>\n{body}\n</main>\n</body>\n</html>\n"
    )


def _text(text: str) -> str:
    return "<br>".join(escape(plain(line)) for line in text.split("\n"))


def _block(block: Block) -> str:
    match block:
        case ReportHeading():
            return f"<h2>{_text(block.text)}</h2>"
        case Prose():
            cls = f' class="{block.tone}"' if block.tone else ""
            return f"<p{cls}>{_text(block.text)}</p>"
        case ReportFigure():
            name = _text(block.chart.title)
            return f"<figure><figcaption>{name}</figcaption>{block.chart.svg}</figure>"
        case Table():
            return _table(block)


def _table(table: Table) -> str:
    def cls(place: int) -> str:
        return ' class="n"' if table.numeric[place] else ""

    head = "".join(
        f'<th scope="col"{cls(place)}>{_text(text)}</th>' for place, text in enumerate(table.head)
    )
    rows = []
    for row in table.rows:
        cells = [f'<th scope="row"{cls(0)}>{_cell(row[0])}</th>']
        cells += [f"<td{cls(place)}>{_cell(text)}</td>" for place, text in enumerate(row) if place]
        rows.append(f"<tr>{''.join(cells)}</tr>")
    return (
        f'<div class="wide"><table><caption>{_text(table.caption)}</caption>'
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n" + "\n".join(rows) + "\n</tbody></table></div>"
    )


def _cell(text: str) -> str:
    """A cell: the first line, and what explains it smaller; names may run right to left."""
    first, _, more = text.partition("\n")
    told = f'<br><span class="small">{_text(more)}</span>' if more else ""
    return f"<bdi>{_text(first)}</bdi>{told}"
