"""The page of ``rungwise progress --html``: the figures of --json, and nothing from elsewhere."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from rungwise.tutor.coach.progress import Progress, as_object, progress_now
from rungwise.tutor.documents.html import page_html
from rungwise.tutor.documents.pdf import page_pdf
from rungwise.tutor.documents.progress.page import progress_page
from rungwise.tutor.documents.text import page_text
from rungwise.tutor.screens import themes

from tests.tutor.cli.test_command import run
from tests.tutor.screens.learners import NOW, Memory, past

KEPT = past(20, 3, ("radians-as-hertz", "two-pi-twice"))
HOSTILE = '<script>alert(1)</script> & "Ana" \x1b[31m\u202e'


def page(found: Progress, learner: str) -> str:
    return page_html(progress_page(found, learner))


class Reader(HTMLParser):
    """Elements with their texts, every one of them closed where it was opened."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, dict[str, str | None]]] = []
        self.found: list[tuple[str, dict[str, str | None], str, tuple[str, ...]]] = []
        self._texts: list[str] = []
        self.feed(text)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open.append((tag, dict(attrs)))
        self._texts.append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs), "", tuple(t for t, _ in self.open)))

    def handle_data(self, data: str) -> None:
        if self._texts:
            self._texts[-1] += data

    def handle_endtag(self, tag: str) -> None:
        name, attrs = self.open.pop()
        assert name == tag, (name, tag)
        text = self._texts.pop()
        self.found.append((tag, attrs, text, tuple(t for t, _ in self.open)))
        if self._texts:
            self._texts[-1] += text

    def all(self, tag: str) -> list[tuple[dict[str, str | None], str]]:
        return [(attrs, text) for name, attrs, text, _ in self.found if name == tag]


@pytest.fixture(scope="module")
def made() -> tuple[dict[str, object], str]:
    found = progress_now(Memory(KEPT, exam="2026-12-14"), NOW)  # type: ignore[arg-type]
    return as_object(found, "Ana"), page(found, "Ana")


def rows(html: str, table: str) -> list[list[tuple[str, str]]]:
    """(text, exact value) of the cells of a table's rows."""
    body = re.search(rf'<table[^>]* id="{table}".*?<tbody>(.*?)</tbody>', html, re.DOTALL)
    assert body
    found = []
    for row in re.findall(r"<tr[^>]*>(.*?)</tr>", body[1], re.DOTALL):
        cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)
        found.append(
            [
                (
                    re.sub(r"<[^>]*>", "", re.sub(r"<svg.*?</svg>", "", cell, flags=re.DOTALL)),
                    (re.search(r'(?:value|datetime)="([^"]*)"', cell) or ["", ""])[1],
                )
                for cell in cells
            ]
        )
    return found


def test_it_asks_nothing_of_any_site_and_runs_nothing(made: tuple[object, str]) -> None:
    _, html = made
    read = Reader(html)
    tags = {name for name, *_ in read.found}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "form", "base", "use"}
    outside = html.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"://|url\(|@import|@font-face|javascript:|src=|href=", outside)
    assert not any(key.startswith("on") for _, attrs, _, _ in read.found for key in attrs)


def test_its_figures_are_those_of_the_json(made: tuple[dict[str, object], str]) -> None:
    told, html = made
    skills = [skill for skill in told["skills"] if skill["asked"]]  # type: ignore[attr-defined]
    table = rows(html, "skills")
    ids = re.findall(r'<tr id="([^"]*)">', html)
    assert ids == [skill["skill"] for skill in skills] and len(table) == len(skills)
    for skill, row in zip(skills, table, strict=True):
        values = [value for _, value in row]
        assert float(values[3]) == skill["known"] and int(values[4]) == skill["right"]
        assert int(values[5]) == skill["asked"] and float(values[6]) == skill["seconds_each"]
        assert values[7:] == [skill["last"] or "", skill["review"] or ""]
    days = {row[0][1]: int(row[1][1]) for row in rows(html, "reviews")}
    assert days == {r["day"]: r["skills"] for r in told["reviews"]}  # type: ignore[attr-defined]
    totals = [int(row[2][1]) for row in rows(html, "slips")]
    assert totals == [sum(s["weeks"]) for s in told["slips_by_week"]]  # type: ignore[attr-defined]
    first = [float(v) for v in re.findall(r'<li><b><data value="([^"]*)"', html)]
    known = sum(s["state"] in ("known", "due") for s in told["skills"])  # type: ignore[attr-defined]
    assert first == [known, told["right"], told["expected_known"], told["groups_met"]]


def test_every_drawing_has_a_name_and_its_content_in_words(made: tuple[object, str]) -> None:
    read = Reader(made[1])
    drawings = read.all("svg")
    assert len(drawings) == 4  # the map, the days ahead and two slips
    for attrs, text in drawings:
        assert attrs["role"] == "img" and len(attrs["aria-label"] or "") > 20
        assert (attrs["aria-label"] or "") in text
    # A place of the map for every skill that can be asked, each with its own words.
    titles = [text for attrs, text in read.all("title") if "id" not in attrs]
    assert len(titles) > 200


def test_names_stand_there_as_they_are_typed_and_do_nothing() -> None:
    found = progress_now(Memory(KEPT), NOW)  # type: ignore[arg-type]
    html = page(found, HOSTILE)
    assert "<script" not in html and "\x1b" not in html and "\u202e" not in html
    (_, heading), *_ = Reader(html).all("h1")
    assert heading.endswith('<script>alert(1)</script> & "Ana" [31m')


def test_nothing_answered_yet_is_a_page_as_well() -> None:
    html = page(progress_now(Memory(), NOW), "")  # type: ignore[arg-type]
    Reader(html)
    assert "No circuit has been answered in full yet" in html and "No date is set" in html


def test_it_is_light_dark_and_prints_black_on_white(made: tuple[object, str]) -> None:
    ((_, style),) = Reader(made[1]).all("style")
    day, dusk, paper, *_ = [
        dict(re.findall(r"--([a-z]+): (#[0-9A-F]{6})", part)) for part in style.split(":root")[1:]
    ]
    assert style.index("screen and (prefers-color-scheme: dark)") < style.index("@media print")
    for theme, inks in ((themes.DAY, day), (themes.DUSK, dusk)):
        shown = {
            "ground": theme.background, "raised": theme.surface, "text": theme.foreground,
            **{name: theme.variables[f"ink-{name}"]
               for name in ("line", "quiet", "copper", "verdigris", "brass", "rust")},
        }  # fmt: skip
        assert inks == shown
    assert paper["ground"] == "#FFFFFF" and paper["text"] == "#000000"


def test_it_can_be_text_and_a_pdf_as_well() -> None:
    found = progress_page(progress_now(Memory(KEPT), NOW), HOSTILE)  # type: ignore[arg-type]
    text = page_text(found)
    assert "Every skill that was asked" in text and "\x1b" not in text
    assert max(map(len, text.splitlines())) <= 78
    assert page_pdf(found).startswith(b"%PDF-")


def test_the_command_writes_it_as_utf_8_whatever_the_terminal(tmp_path: Path) -> None:
    done = run("progress", "--html", RUNGWISE_HOME=str(tmp_path), PYTHONIOENCODING="ascii")
    assert done.returncode == 0 and done.stdout.startswith("<!DOCTYPE html>")
    both = run("progress", "--html", "--json", RUNGWISE_HOME=str(tmp_path))
    assert both.returncode == 2 and "one of" in both.stderr
