"""The pages of a class report: what they are made of, that they are safe and can be read by all."""

import base64
import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from lxml import etree, html
from rungwise.tutor.classroom.marking.marks import (
    ClassMarks,
    HandInState,
    QuestionMark,
    QuestionOutcome,
    Slipped,
    StudentMarks,
)
from rungwise.tutor.classroom.report.blocks import report_page
from rungwise.tutor.classroom.report.figures_of_class import Report, report
from rungwise.tutor.classroom.report.first_page import SlipShown, shown_slips
from rungwise.tutor.classroom.report.plan import follow_up
from rungwise.tutor.documents import pdf_letters
from rungwise.tutor.documents.drawings.charts import WIDTH, fitted
from rungwise.tutor.documents.drawings.svg import VectorDrawing
from rungwise.tutor.documents.html import page_html
from rungwise.tutor.documents.pages_form import PageFigure, Table
from rungwise.tutor.documents.pdf import page_pdf
from rungwise.tutor.documents.text import page_text
from rungwise.tutor.language import texts as words
from rungwise.tutor.language.texts import plain

from tests.tutor.documents.svg_reading import points

from .marked_class import HOSTILE, answered, marked
from .test_report_command import marks_json, run
from .test_report_first_page import class_of
from .test_report_personal import with_real_slips


def report_html(found: Report, plan_file: str = "", boards: Sequence[SlipShown] = ()) -> str:
    return page_html(report_page(found, plan_file, boards))


def report_pdf(found: Report, plan_file: str = "") -> bytes:
    return page_pdf(report_page(found, plan_file))


FOUND = report(marked(24, problems=6))
PAGE = report_html(FOUND, "follow-up.toml")
TREE = html.document_fromstring(PAGE)
SVG = "{http://www.w3.org/2000/svg}"


def charts(found: Report) -> list[VectorDrawing]:
    return [
        block.picture.drawing()
        for division in report_page(found).divisions
        for block in division.blocks
        if isinstance(block, PageFigure)
    ]


def test_every_chart_has_words_and_a_table_right_after_it() -> None:
    for division in report_page(FOUND).divisions:
        for place, block in enumerate(division.blocks):
            if isinstance(block, PageFigure):
                assert any(isinstance(after, Table) for after in division.blocks[place:])
                root = etree.fromstring(block.picture.drawing().svg.encode())
                assert root.findtext(f"{SVG}title") == block.caption
    assert len(charts(FOUND)) == 5  # points, skills, slips, and the questions in two parts
    for drawn in charts(FOUND):
        root = etree.fromstring(drawn.svg.encode())
        assert root.get("role") == "img"
        assert root.get("aria-label") == root.findtext(f"{SVG}desc") == drawn.alt
        assert len(drawn.alt) > 60


def test_charts_draw_the_figures_that_they_stand_for() -> None:
    trees = [etree.fromstring(drawn.svg.encode()) for drawn in charts(FOUND)]
    scores, skills, slips, first, _ = trees
    bars = scores.findall(f"{SVG}rect")
    filled = [count for count in FOUND.histogram if count]
    tall = [float(bar.get("height", "")) for bar in bars]
    assert [h / max(tall) for h in tall] == pytest.approx(
        [count / max(filled) for count in filled], abs=0.01
    )
    wide = [float(bar.get("width", "")) for bar in slips.findall(f"{SVG}rect")]
    students = [slip.students for slip in FOUND.slips[: len(wide)]]
    assert [w / wide[0] for w in wide] == pytest.approx(
        [s / students[0] for s in students], abs=0.01
    )
    wide = [float(bar.get("width", "")) for bar in first.findall(f"{SVG}rect")]
    shares = [item.difficulty or 0 for item in FOUND.items[: len(wide)]]
    assert [w / wide[0] for w in wide] == pytest.approx([s / shares[0] for s in shares], abs=0.01)
    told = [t.text for t in skills.findall(f"{SVG}text") if re.fullmatch(r"\d+ %", t.text or "")]
    expected = [f"{100 * (s.share.value or 0):.0f} %" for s in FOUND.skills[: len(told)]]
    assert told == expected


@pytest.mark.parametrize("students", [1, 24, 4000])
def test_nothing_in_a_chart_lies_outside_it(students: int) -> None:
    small = {} if students < 4000 else {"problems": 1}
    for drawn in charts(report(marked(students, **small))):
        root = etree.fromstring(drawn.svg.encode())
        *_, wide, high = map(float, root.get("viewBox", "").split())
        assert wide == WIDTH
        for item in root.iter():
            for name, most in (("x", wide), ("cx", wide), ("y", high), ("cy", high)):
                assert 0 <= float(item.get(name, "0")) <= most + 0.01
            if item.tag == f"{SVG}path" and "l" not in item.get("d", ""):
                for x, y in (point for line in points(item.get("d", "")) for point in line):
                    assert 0 <= x <= wide + 0.01 and 0 <= y <= high + 0.01
            if item.tag == f"{SVG}rect":
                assert float(item.get("x", "")) + float(item.get("width", "")) <= wide


def test_labels_are_cut_before_they_leave_their_room() -> None:
    assert fitted("Q", 50) == "Q"
    cut = fitted("W" * 100, 60)
    assert cut.endswith("…")
    assert 2 < len(cut) < 10


# ------------------------------------------------------------------------------------- HTML


def test_the_page_asks_for_nothing_and_runs_nothing() -> None:
    assert not TREE.xpath("//script | //link | //img | //iframe | //object | //form | //base")
    assert not TREE.xpath("//@href | //@src | //@style | //@*[starts-with(name(), 'on')]")
    outside = re.sub(r'xmlns="http://www\.w3\.org/2000/svg"', "", PAGE)
    assert "://" not in outside
    style = TREE.xpath("//style")[0].text
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = TREE.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")[0]
    assert "default-src 'none'" in policy
    assert f"style-src 'sha256-{digest}'" in policy
    assert "url(" not in style
    assert "@import" not in style


def test_names_stand_on_the_page_as_text() -> None:
    cells = [cell.text_content() for cell in TREE.xpath("//td/bdi")]
    for name in HOSTILE:
        assert plain(name) in cells
    assert "\x1b" not in PAGE
    assert "\u202e" not in PAGE
    assert "Filters <i>II</i> & more" in TREE.text_content()
    assert not TREE.xpath("//i | //b[not(parent::li/parent::ul[@class='figures'])]")


def test_the_day_is_written_as_on_the_sheets() -> None:
    assert "30 November 2026" in TREE.text_content()
    first = pypdf.PdfReader(BytesIO(report_pdf(FOUND, ""))).pages[0].extract_text()
    assert "30 November 2026" in " ".join(first.split())
    odd = report(replace(marked(3), date="some day\x1b"))
    assert "some day" in report_html(odd, "")


def test_tables_can_be_read_aloud() -> None:
    for found in TREE.xpath("//table"):
        assert found.xpath("./caption")[0].text_content()
        head = found.xpath("./thead/tr/th[@scope='col']")
        for row in found.xpath("./tbody/tr"):
            assert len(row.xpath("./th[@scope='row']")) == 1
            assert len(row) == len(head)
    assert TREE.get("lang") == "en"
    levels = [int(h.tag[1]) for h in TREE.xpath("//h1 | //h2 | //h3")]
    assert levels[0] == 1
    assert levels.count(1) == 1


def _light(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    full = colour if len(colour) == 7 else "#" + "".join(2 * c for c in colour[1:])
    parts = [int(full[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_contrast_in_all_three_themes() -> None:
    """Text 4.5 : 1, what charts draw 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11)."""
    style = TREE.xpath("//style")[0].text
    themes = [dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})", t)) for t in style.split(":root")]
    themes = [theme for theme in themes if theme]
    assert len(themes) == 3
    for theme in themes:

        def contrast(one: str, other: str, theme: dict[str, str] = theme) -> float:
            a, b = sorted((_light(theme[one]), _light(theme[other])))
            return (b + 0.05) / (a + 0.05)

        assert contrast("ink", "paper") >= 7
        assert contrast("quiet", "paper") >= 4.5
        assert contrast("ink", "note") >= 4.5
        assert contrast("mark", "paper") >= 3
        assert contrast("weak", "paper") >= 3
    for theme in themes[:2]:
        a, b = sorted((_light(theme["bar"]), _light(theme["paper"])))
        assert (b + 0.05) / (a + 0.05) >= 3


def test_the_same_report_is_the_same_page_and_the_same_pdf() -> None:
    again = report(marked(24, problems=6))
    assert report_html(again, "follow-up.toml") == PAGE
    assert report_pdf(again) == report_pdf(FOUND)


def test_an_anonymous_page_names_nobody() -> None:
    found = report(marked(24, problems=6), anonymous=True)
    page = html.document_fromstring(report_html(found)).text_content()
    for name in HOSTILE:
        assert plain(name) not in page
    assert "Student 15" not in page
    assert "RL = 1 kΩ" not in page  # an example is somebody's answer
    assert "seed" not in page


def test_every_kind_of_class_has_a_page() -> None:
    for count in (0, 1, 2, 5):
        for anonymous in (False, True):
            found = report(marked(count), anonymous=anonymous)
            assert report_html(found).count("<h1 ") == 1
            assert report_pdf(found).startswith(b"%PDF-")


# ------------------------------------------------------------------------------ text and PDF


def test_the_text_says_the_same() -> None:
    text = " ".join(page_text(report_page(FOUND, "follow-up.toml")).split())
    for part in TREE.xpath("//h1 | //h2 | //p/bdi | //p[not(bdi)] | //figcaption"):
        assert " ".join(part.text_content().split()) in text
    for row in TREE.xpath("//table[.//td/bdi]/tbody/tr"):
        for cell in row.xpath("./td/bdi"):
            assert " ".join(cell.text_content().split()) in text
    for drawn in charts(FOUND):
        assert " ".join(drawn.alt.split()) in text
    assert max(map(len, page_text(report_page(FOUND)).splitlines())) <= 78


def test_the_pdf_says_the_same_and_takes_names_for_text() -> None:
    data = report_pdf(FOUND, "follow-up.toml")
    reader = pypdf.PdfReader(BytesIO(data))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert reader.metadata is not None
    assert reader.metadata.title == "Class report"
    assert "Filters <i>II</i> & more" in text
    for name in HOSTILE[:4]:
        assert name in text
    assert "#panic() $x$" in text
    for heading in TREE.xpath("//h2"):
        assert heading.text_content() in text
    for item in FOUND.items:
        assert item.number in text
    catalog = reader.trailer["/Root"]
    assert catalog["/MarkInfo"]["/Marked"]
    assert catalog["/Lang"] == "en"


def test_names_in_another_script_cost_no_more_than_others(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What the fonts lack is asked for all names at once, and each keeps its place."""
    compiled = pdf_letters.compiled
    asked: list[str] = []

    def counted(source: bytes, data: str) -> bytes:
        asked.append(data)
        return compiled(source, data)

    monkeypatch.setattr(pdf_letters, "compiled", counted)
    marks = marked(60, problems=1)
    students = tuple(
        replace(s, name=f"王{chr(0x4E00 + place)} Ω{place}ş")
        for place, s in enumerate(marks.students)
    )
    reader = pypdf.PdfReader(BytesIO(report_pdf(report(replace(marks, students=students)))))
    text = " ".join(page.extract_text() for page in reader.pages)
    for place in range(60):
        assert f"□□ Ω{place}ş" in text
    assert len(asked) < 200  # 61 characters are found by halves; not that for each name


def _unread(count: int) -> list[StudentMarks]:
    return [
        StudentMarks(
            number=n,
            folder=f"{n}-x",
            name=f"Student {n}",
            state=HandInState.UNREAD,
            file="a.pdf",
        )
        for n in range(100, 100 + count)
    ]


def test_words_of_the_report_are_all_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No text in content/report.toml is left over."""
    used: set[str] = set()
    entry = words.entry

    def noted(file: str, key: str) -> str:
        if file == "report":
            used.add(key)
        return entry(file, key)

    monkeypatch.setattr(words, "entry", noted)
    one, two = marked(6), marked(40, problems=8)
    shorter = replace(two.students[0], problems=two.students[0].problems[:2])
    calm = tuple(
        replace(s, problems=tuple(replace(p, questions=_right(p.questions)) for p in s.problems))
        for s in two.students
    )
    noise = marked(30, seed=6, problems=2, easy=0.0)
    calm_whole = answered(replace(two, students=calm[:40]))
    for marks in (
        one,
        two,
        marked(0),
        marked(2),
        replace(two, students=two.students[:40]),
        replace(two, students=(shorter, *two.students[1:])),
        replace(two, students=calm),
        replace(two, title=""),
        _contrary(noise),
        _many_slips(two),
        replace(two, students=(*two.students, *_unread(25))),
        answered(two),
        _harder(answered(two)),
        _related(two),
        calm_whole,
        class_of(12, 12),
    ):
        for anonymous in (False, True):
            found = report(marks, anonymous=anonymous)
            boards = shown_slips(found)
            report_html(found, "follow-up.toml" if found.reteach else "", boards)
            follow_up(found, "x")
    for marks in (with_real_slips(two), calm_whole):
        (tmp_path / "marks.json").write_bytes(marks_json(marks))
        run(tmp_path, "--formats", "json", "--follow-up")
    (tmp_path / "marks.json").write_bytes(marks_json(two))
    for _ in range(2):
        run(tmp_path, "--formats", "json")
        (tmp_path / "follow-up.toml").write_text("# mine")

    def keys(entries: Mapping[str, object], above: str = "") -> Iterator[str]:
        for key, value in entries.items():
            if isinstance(value, dict):
                yield from keys(value, f"{above}{key}.")
            else:
                yield f"{above}{key}"

    assert set(keys(words.table("report"))) == used


def _harder(marks: ClassMarks) -> ClassMarks:
    """A class in which one group and one variant are right in nothing; one student has no group."""
    students = tuple(
        replace(s, problems=tuple(replace(p, questions=_wrong(p.questions)) for p in s.problems))
        if s.variant == "B"
        else s
        for s in marks.students
    )
    first, *rest = (replace(s, group=f"at {s.variant}") for s in students)
    return replace(marks, students=(replace(first, group=""), *rest))


def _wrong(questions: tuple[QuestionMark, ...]) -> tuple[QuestionMark, ...]:
    return tuple(
        replace(q, verdict=QuestionOutcome.WRONG, points=q.of * 0, understood=str(place))
        for place, q in enumerate(questions, 10)
    )


def _related(marks: ClassMarks) -> ClassMarks:
    """A class whose answers are related to the right ones in every way there is."""
    first, *rest = marks.students
    pairs = [("5", "0.2"), ("7", "49"), ("49", "7"), ("7", "21"), ("ready", "steady")]
    pairs += [(f"{n} ladders", "steady") for n in range(30)]
    asked = first.problems[0].questions[0]
    questions = tuple(
        replace(
            asked,
            form="ratio",
            rung="type",
            verdict=QuestionOutcome.WRONG,
            slips=(),
            answer=right,
            understood=given,
        )
        for right, given in pairs
    )
    problem = replace(first.problems[0], questions=questions)
    return replace(marks, students=(replace(first, problems=(problem,)), *rest))


def _right(questions: tuple[QuestionMark, ...]) -> tuple[QuestionMark, ...]:
    return tuple(
        replace(q, verdict=QuestionOutcome.RIGHT, points=q.of, slips=()) for q in questions
    )


def _contrary(marks: ClassMarks) -> ClassMarks:
    """A class in which whoever is right in the first problem is wrong in the second."""
    students = []
    for place, student in enumerate(marks.students[:30]):
        first, second = (
            replace(
                p,
                questions=_right(p.questions)
                if (place + number) % 2
                else tuple(replace(q, points=q.of / 2) for q in p.questions[:1])
                + tuple(replace(q, points=q.of * 0) for q in p.questions[1:]),
            )
            for number, p in enumerate(student.problems)
        )
        students.append(replace(student, problems=(first, second)))
    students[0] = replace(students[0], problems=marks.students[0].problems)
    return replace(marks, students=tuple(students))


def _many_slips(marks: ClassMarks) -> ClassMarks:
    """Every student makes other slips than the one before."""
    names = [name for name, entries in words.table("slips").items() if "name" in entries]
    students = []
    for place, student in enumerate(marks.students):
        slip = Slipped(names[place % len(names)], "")
        problems = tuple(
            replace(
                p,
                questions=tuple(
                    replace(q, slips=(slip,)) if q.verdict is QuestionOutcome.WRONG else q
                    for q in p.questions
                ),
            )
            for p in student.problems
        )
        students.append(replace(student, problems=problems))
    return replace(marks, students=tuple(students))
