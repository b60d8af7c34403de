"""HTML: well formed, self-contained, nothing runs, nothing is asked for, all of it can be read."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from itertools import pairwise

import pytest
from lxml import etree
from rungwise.problems.questions.model import Task
from rungwise.problems.sheets.model import Student, Symbols

from tests.support.pages import key_html, sheet_html

from .by_hand import made, mixed
from .hostile_names import STUDENTS

SVG, MATH = "{http://www.w3.org/2000/svg}", "{http://www.w3.org/1998/Math/MathML}"


def tree(html: str) -> etree._Element:
    """As XML: stricter than a browser."""
    assert html.startswith("<!DOCTYPE html>\n")
    return etree.fromstring(html.encode(), etree.XMLParser(resolve_entities=False, no_network=True))


@pytest.fixture(scope="module")
def both() -> tuple[str, str]:
    found = mixed()
    return sheet_html(found.sheet), key_html(found.sheet, found.key)


def test_the_policy_lets_this_style_in_and_nothing_else(both: tuple[str, str]) -> None:
    for html in both:
        root = tree(html)
        (style,) = root.iter("style")
        (policy,) = [m.get("content") for m in root.iter("meta") if m.get("http-equiv") is not None]
        digest = base64.b64encode(hashlib.sha256((style.text or "").encode()).digest()).decode()
        assert policy == (
            f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
        )


def test_nothing_runs_and_nothing_is_asked_for(both: tuple[str, str]) -> None:
    for html in both:
        root = tree(html)
        tags = {etree.QName(e).localname for e in root.iter("*")}
        assert not tags & {"script", "link", "img", "iframe", "object", "base", "form", "a", "use"}
        for element in root.iter("*"):
            for name, value in element.attrib.items():
                assert not name.startswith("on")
                assert name not in ("style", "src", "href", f"{SVG}href", "srcset", "action")
                assert "url(" not in value and "javascript:" not in value
        css = "".join(root.itertext("style"))
        assert "url(" not in css and "@import" not in css and "@font-face" not in css
        outside = set(re.findall(r"https?://[^\"'\s<]+", html))
        assert outside <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1998/Math/MathML"}


def test_drawings_have_their_words_and_formulas_their_text(both: tuple[str, str]) -> None:
    for html in both:
        root = tree(html)
        drawings, formulas = list(root.iter(f"{SVG}svg")), list(root.iter(f"{MATH}math"))
        assert len(drawings) >= 5 and formulas
        for drawing in drawings:
            assert drawing.get("role") == "img" and drawing.get("aria-label")
            assert drawing.findtext(f"{SVG}title") and drawing.findtext(f"{SVG}desc")
        assert all(formula.get("alttext") for formula in formulas)


def test_headings_go_down_one_by_one_and_names_lead_somewhere(both: tuple[str, str]) -> None:
    bare = made(names=("", "", ""))  # sections without titles
    for html in (*both, sheet_html(bare.sheet), key_html(bare.sheet, bare.key)):
        root = tree(html)
        levels = [int(e.tag[1]) for e in root.iter("h1", "h2", "h3", "h4", "h5")]
        assert levels[0] == 1 and levels.count(1) == 1
        assert all(b <= a + 1 for a, b in pairwise(levels))
        ids = [e.get("id") for e in root.iter("*") if e.get("id")]
        assert len(ids) == len(set(ids))
        for element in root.iter("*"):
            if (name := element.get("aria-labelledby")) is not None:
                assert name in ids
        assert root.get("lang") == "en" and len(list(root.iter("main"))) == 1


def test_it_prints_black_on_white_with_the_student_on_each_page(both: tuple[str, str]) -> None:
    css = "".join(tree(both[0]).itertext("style"))
    assert "@page" in css and "break-inside: avoid" in css and "counter(pages)" in css
    dark = css.index("prefers-color-scheme: dark")
    assert css.rindex("@media", 0, dark) == css.rindex("@media screen", 0, dark)
    (name,) = re.findall(r'@top-left \{ content: "([^"]*)" \}', css)
    unescaped = re.sub(r"\\([0-9a-f]{6})", lambda m: chr(int(m[1], 16)), name)
    assert unescaped == 'Ann O\'Neil, "Annie" · s-0417'


@pytest.mark.parametrize("student", STUDENTS, ids=lambda s: str(s.number))
def test_names_are_text_and_nothing_but_text(student: Student) -> None:
    found = made()
    root = tree(sheet_html(replace(found.sheet, student=student)))
    plain = tree(sheet_html(replace(found.sheet, student=Student(student.number, "N", "I"))))
    shape = [etree.QName(e).localname for e in root.iter("*") if e.tag not in ("dt", "dd", "bdi")]
    other = [etree.QName(e).localname for e in plain.iter("*") if e.tag not in ("dt", "dd", "bdi")]
    there = sum(bool(text.strip("\x00\x07 ")) for text in (student.name, student.id))
    # The div of a name that isn't there; where nothing is, one has room for a name.
    assert len(other) - len(shape) == 2 - max(1, there)
    shown = [b.text for b in root.iter("bdi")]
    if 0 < len(student.name) < 100 and student.name.isprintable():
        assert student.name in shown


def test_a_teachers_texts_are_text() -> None:
    evil = "</title></style><script>alert(1)</script><!--]]>&amp; \x1b[2J"
    found = made(title=evil, course=evil, date=evil, instructions=f"{evil}\n  {evil}", notes=evil)
    html = sheet_html(found.sheet)
    tree(html)
    assert "<script" not in html and "\x1b" not in html
    assert html.count("&lt;script&gt;") >= 6


@pytest.mark.parametrize("symbols", Symbols)
@pytest.mark.parametrize("level", [1, 4, 6])
def test_every_sort_of_problem_is_well_formed(symbols: Symbols, level: int) -> None:
    asked = [(task, seed, level) for task in Task for seed in (level, 30 + level)]
    found = made(asked, symbols=symbols)
    tree(sheet_html(found.sheet))
    tree(key_html(found.sheet, found.key))


def test_a_language_that_is_none_is_not_written() -> None:
    found = made()
    heading = replace(found.sheet.heading, language='de" onload="x')
    assert tree(sheet_html(replace(found.sheet, heading=heading))).get("lang") == "en"
    heading = replace(found.sheet.heading, language="de-CH")
    assert tree(sheet_html(replace(found.sheet, heading=heading))).get("lang") == "de-CH"
