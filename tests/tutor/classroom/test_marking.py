"""Answers against a key: points, slips, what waits for a human, and how long it may take."""

from __future__ import annotations

import json
import random
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Question, Rung
from rungwise.problems.questions.written import plain_truth
from rungwise.problems.sheets.documents import key_document, key_of
from rungwise.problems.sheets.model import Key, SheetError
from rungwise.problems.sketches.weights import SketchWeights
from rungwise.tutor.classroom.handins.files import Answers, read_json
from rungwise.tutor.classroom.marking import graded
from rungwise.tutor.classroom.marking.graded import Leniency
from rungwise.tutor.classroom.marking.mark import (
    Decision,
    mark_answers,
    read_tolerance,
    strays,
    tag,
)
from rungwise.tutor.classroom.marking.marks import (
    MARKS_FORMAT,
    HandInState,
    ProblemMark,
    QuestionMark,
    QuestionOutcome,
    SettledAnswer,
    StudentMarks,
    marks_of,
    student_document,
    student_of,
)

from tests.support import hostile
from tests.support.right_answers import right

from .handed_in import key_for


def questions(key: Key) -> dict[str, Question]:
    return {
        f"{item.number}.{place}": question
        for item in key.items
        for place, question in enumerate(item.problem.questions, 1)
    }


def number_of(key: Key, form: Form) -> str:
    return next(n for n, question in questions(key).items() if question.form is form)


def marked(
    key: Key, answers: Mapping[str, str | tuple[str, ...]], **options: object
) -> dict[str, QuestionMark]:
    given = tuple((n, (t,) if isinstance(t, str) else t) for n, t in answers.items())
    problems = mark_answers(key, Answers(answers=given), **options)  # type: ignore[arg-type]
    return {q.number: q for problem in problems for q in problem.questions}


KEY = key_for(1)
FIGURE = number_of(KEY, Form.QUANTITY)
CHOICE = number_of(KEY, Form.CHOICE)


@pytest.mark.parametrize("number", range(1, 7))
def test_right_answers_have_all_points_however_they_are_spelt(number: int) -> None:
    key, chance = key_for(number), random.Random(number)
    answers = {
        f"{item.number}.{place}": right(item.problem, facts(item.problem.ladder), q, chance)
        for item in key.items
        for place, q in enumerate(item.problem.questions, 1)
    }
    found = marked(key, answers)
    assert {n: q.points for n, q in found.items()} == {n: q.of for n, q in found.items()}
    assert [q.of for q in found.values()] == [p for item in key.items for p in item.points]
    assert all(q.verdict.passed and not q.slips for q in found.values())


def test_nothing_handed_in_has_no_points_and_is_no_mistake() -> None:
    found = marked(KEY, {})
    assert {q.verdict for q in found.values()} == {QuestionOutcome.BLANK}
    assert not any(q.points for q in found.values())


def test_a_rough_answer_loses_nothing() -> None:
    truth = float(questions(KEY)[FIGURE].truth)
    mark = marked(KEY, {FIGURE: f"{truth * 1.015:.6g} Hz"})[FIGURE]
    assert (mark.verdict, mark.points) == (QuestionOutcome.ROUGH, mark.of)


def test_another_tolerance_changes_the_verdict_of_figures_only() -> None:
    truth = float(questions(KEY)[FIGURE].truth)
    answers = {FIGURE: f"{truth * 1.04:.6g} Hz", CHOICE: "z"}
    assert marked(KEY, answers)[FIGURE].verdict is QuestionOutcome.WRONG
    wide = marked(KEY, answers, leniency=Leniency(Fraction(5, 100)))
    assert (wide[FIGURE].verdict, wide[CHOICE].verdict) == (
        QuestionOutcome.ROUGH,
        QuestionOutcome.UNCLEAR,
    )
    narrow = marked(KEY, {FIGURE: f"{truth * 1.015:.6g} Hz"}, leniency=Leniency(Fraction(1, 100)))
    assert narrow[FIGURE].verdict is QuestionOutcome.WRONG


@pytest.mark.parametrize(
    ("text", "share"),
    [("5 %", "0.05"), ("2,5%", "0.025"), ("0.05", "0.05"), (" 50 % ", "0.5"), ("５ ％", "0.05")],
)
def test_tolerances_as_they_are_typed(text: str, share: str) -> None:
    assert read_tolerance(text) == Fraction(share)


@pytest.mark.parametrize(
    "text", ["", "0", "0 %", "51 %", "5", "-5 %", "1e-2", "nan", "5 % %", "5\0"]
)
def test_what_is_no_tolerance(text: str) -> None:
    with pytest.raises(ValueError, match="such as"):
        read_tolerance(text)


def test_a_slip_is_named_in_words() -> None:
    truth = float(questions(KEY)[FIGURE].truth)
    mark = marked(KEY, {FIGURE: f"{truth * 6.283185:.5g} Hz"})[FIGURE]
    assert (mark.verdict, mark.points) == (QuestionOutcome.WRONG, 0)
    assert "radians-as-hertz" in [hit.slip for hit in mark.slips]
    assert "2π radians" in mark.slips[0].sentence


def test_what_is_not_understood_waits_and_is_no_mistake() -> None:
    mark = marked(KEY, {FIGURE: "rather high"})[FIGURE]
    assert (mark.verdict, mark.points, mark.slips) == (QuestionOutcome.UNCLEAR, 0, ())
    assert "rather high" in mark.trouble


@pytest.mark.parametrize("text", ["?", "-", "—", "idk", "No idea.", "I don't know"])
def test_what_answers_nothing_is_blank(text: str) -> None:
    mark = marked(KEY, {FIGURE: text})[FIGURE]
    assert (mark.verdict, mark.points, mark.trouble) == (QuestionOutcome.BLANK, 0, "")
    assert mark.typed == text
    both = marked(KEY, {FIGURE: (text, right_text(questions(KEY)[FIGURE]))})[FIGURE]
    assert both.verdict is QuestionOutcome.RIGHT


@pytest.mark.parametrize(
    ("other", "verdict"),
    [
        ("9,99", QuestionOutcome.RIGHT),  # whoever writes 9,99 writes a decimal comma here too
        ("9.99", QuestionOutcome.UNCLEAR),  # by that point it would be a thousand times too much
        ("10", QuestionOutcome.UNCLEAR),  # nothing tells
    ],
)
def test_a_comma_is_read_as_the_rest_of_the_hand_in_has_it(
    other: str, verdict: QuestionOutcome
) -> None:
    assert questions(KEY)[FIGURE].truth == pytest.approx(4109362.960, 1e-6)
    text, ratio = "4,109 MHz", number_of(KEY, Form.RATIO)
    assert marked(KEY, {FIGURE: text, ratio: other})[FIGURE].verdict is verdict


def test_two_answers_to_one_question_wait_for_a_human_though_one_be_right() -> None:
    good = right_text(questions(KEY)[FIGURE])
    mark = marked(KEY, {FIGURE: (good, "17 kHz")})[FIGURE]
    assert (mark.verdict, mark.points) == (QuestionOutcome.UNCLEAR, 0)
    assert mark.typed == f"{good} / 17 kHz"


def test_a_human_decides() -> None:
    good = right_text(questions(KEY)[FIGURE])
    typed = {FIGURE: "see over", CHOICE: right_text(questions(KEY)[CHOICE])}
    text = marked(KEY, typed, settled={FIGURE: Decision(text=good)})[FIGURE]
    assert (text.verdict, text.points, text.settled) == (
        QuestionOutcome.RIGHT,
        text.of,
        SettledAnswer.TEXT,
    )
    assert text.typed == "see over"
    half = Fraction(1, 2)
    part = marked(KEY, typed, settled={FIGURE: Decision(points=half)})[FIGURE]
    assert (part.verdict, part.points, part.settled) == (
        QuestionOutcome.WRONG,
        half,
        SettledAnswer.POINTS,
    )
    # Also against the grader, and about an answer that is not there.
    none = marked(KEY, typed, settled={CHOICE: Decision(points=Fraction(0))})[CHOICE]
    assert (none.verdict, none.points) == (QuestionOutcome.WRONG, 0)
    oral = marked(KEY, {}, settled={FIGURE: Decision(points=text.of)})[FIGURE]
    assert (oral.verdict, oral.points) == (QuestionOutcome.RIGHT, oral.of)


def test_a_tag_is_of_one_answer_and_no_spreadsheet_counts_with_it() -> None:
    tags = {tag(s, q, t) for s in (1, 11) for q in ("1.1", "1.11") for t in ("", "a", "1.1")}
    assert len(tags) == 12
    assert all(one[0] == "T" and one[1:].isalnum() for one in tags)


# ------------------------------------------------------------------------------- sketches


SKETCH = next(n for n, q in questions(KEY).items() if q.rung is Rung.GAIN_SKETCH)


def test_a_sketch_earns_the_share_of_its_pieces_that_are_right_and_joined() -> None:
    truth = str(plain_truth(questions(KEY)[SKETCH].truth))
    mark = marked(KEY, {SKETCH: truth})[SKETCH]
    assert mark.pieces is not None
    whole = mark.pieces[1]
    assert (mark.points, mark.pieces) == (mark.of, (whole, whole))
    # One piece spoilt: the level, by 6 dB; 20 dB off it is another filter's.
    head, _, level = truth.partition("level ")
    value = float(level.removesuffix(" dB").replace("−", "-"))
    mark = marked(KEY, {SKETCH: f"{head}level {value - 6:g} dB"})[SKETCH]
    assert (mark.verdict, mark.pieces) == (QuestionOutcome.WRONG, (whole - 1, whole))
    assert mark.points == Fraction(round(mark.of * (whole - 1) * 100 / whole), 100)
    assert 0 < mark.points < mark.of
    assert any("level" in told for told in mark.told)
    far = marked(KEY, {SKETCH: f"{head}level {value - 20:g} dB"})[SKETCH]
    assert (far.points, far.pieces) == (0, (0, whole))


def test_the_pieces_of_a_sketch_weigh_what_the_plan_says() -> None:
    truth = str(plain_truth(questions(KEY)[SKETCH].truth))
    head, _, level = truth.partition("level ")
    value = float(level.removesuffix(" dB").replace("−", "-"))
    low = f"{head}level {value - 6:g} dB"
    for lines, breaks, height in ((1, 0, 1), (2, 1, 0), (0, 0, 1), (0, 0, 0)):
        weights = SketchWeights(Fraction(lines), Fraction(breaks), Fraction(height))
        key = replace(KEY, items=tuple(replace(item, weights=weights) for item in KEY.items))
        assert key_of(json.loads(json.dumps(key_document(key)))) == key
        assert marked(key, {SKETCH: truth})[SKETCH].points == marked(key, {})[SKETCH].of
        mark = marked(key, {SKETCH: low})[SKETCH]
        count = truth.count("Hz")
        whole = lines * (count + 1) + breaks * count + height
        share = Fraction(whole - height, whole) if whole else Fraction(0)
        assert mark.points == Fraction(round(mark.of * share * 100), 100)


def test_neither_leaving_out_nor_drawing_too_much_pays() -> None:
    truth = str(plain_truth(questions(KEY)[SKETCH].truth))
    whole = marked(KEY, {SKETCH: truth})[SKETCH]
    assert whole.pieces is not None
    level = truth.partition("; ")[2]
    less = marked(KEY, {SKETCH: f"0; {level}"})[SKETCH]
    more = marked(
        KEY, {SKETCH: "0 to 1 Hz, -20 to 2 Hz, 0 to 4 Hz, -20 to 8 Hz, 0 to 16 Hz, -20; " + level}
    )[SKETCH]
    assert less.pieces is not None and less.pieces[1] == whole.pieces[1]
    assert more.pieces is not None and more.pieces[1] > whole.pieces[1]
    assert less.points <= whole.of / 2 and more.points <= whole.of / 2


def test_points_of_a_sketch_never_exceed_its_share_or_fall_below_nothing() -> None:
    truth = str(plain_truth(questions(KEY)[SKETCH].truth))
    for text in hostile.strings(300, 5, [truth]):
        mark = marked(KEY, {SKETCH: text})[SKETCH]
        assert 0 <= mark.points <= mark.of
        assert (mark.points == mark.of) == (mark.verdict is QuestionOutcome.RIGHT)
        if mark.verdict is QuestionOutcome.UNCLEAR:
            assert mark.points == 0 and mark.pieces is None


# ------------------------------------------------------------------------------- bounds


def test_a_hand_in_makes_the_grader_work_once_a_question_at_most(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls: list[int] = []
    grade = graded.grade

    def counted(*words: object) -> object:
        calls.append(len(str(words[2])))
        return grade(*words)  # type: ignore[arg-type]

    monkeypatch.setattr(graded, "grade", counted)
    many = {f"{n}.{m}": "1" * 1025 for n in range(1, 50) for m in range(1, 20)}
    text = json.dumps({"format": "rungwise.answers/1", "answers": many})
    mark_answers(KEY, read_json(text.encode()))
    assert len(calls) <= len(questions(KEY))
    assert max(calls) <= 1025


@pytest.mark.parametrize("form", sorted({q.form for q in questions(KEY).values()}))
def test_hostile_answers_are_marked_or_wait_and_none_takes_long(form: Form) -> None:
    number = number_of(KEY, form)

    def read(text: str) -> object:
        kept = text.encode("utf-8", "replace").decode()[:1025].strip()
        mark = marked(KEY, {number: kept} if kept else {})[number]
        assert "failed" not in mark.trouble
        for said in (mark.typed, mark.understood, mark.trouble, *mark.told):
            assert said.isprintable()
        assert survives_json(ProblemMark(number=1, task="analyse", level=1, questions=(mark,)))
        return mark

    hostile.survey(read, (), [right_text(questions(KEY)[number])], count=400, seed=2)


def survives_json(*problems: ProblemMark) -> bool:
    student = StudentMarks(number=1, folder="01-x", state=HandInState.MARKED, problems=problems)
    return student_of(json.loads(json.dumps(student_document(student)))) == student


def test_an_answer_that_the_grader_fails_on_waits_and_the_others_are_marked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    grade = graded.grade

    def failing(problem: object, question: Question, *rest: object) -> object:
        if question.form is Form.QUANTITY:
            raise ZeroDivisionError
        return grade(problem, question, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(graded, "grade", failing)
    good = {n: right_text(q) for n, q in questions(KEY).items()}
    found = marked(KEY, good)
    assert found[FIGURE].verdict is QuestionOutcome.UNCLEAR
    assert "ZeroDivisionError" in found[FIGURE].trouble
    assert found[CHOICE].verdict is QuestionOutcome.RIGHT


def test_answers_to_questions_that_are_not_asked_are_listed() -> None:
    answers = Answers(answers=(("9.9", ("4.7 kHz",)),), strays=(("note", "see over"),))
    assert strays(KEY, answers) == [("9.9", "4.7 kHz"), ("note", "see over")]


def test_a_flood_of_them_does_not_bury_the_others() -> None:
    flood = Answers(strays=tuple((f"x{n}", "y") for n in range(5000)))
    assert len(strays(KEY, flood)) == 21
    assert strays(KEY, flood)[-1] == ("…", "and 4980 more")


# ------------------------------------------------------------------------------- documents


def test_marks_survive_json() -> None:
    texts = dict.fromkeys(questions(KEY), "17 kHz")
    texts[SKETCH] = "0; level 0 dB"
    answers = Answers(answers=tuple((n, (t,)) for n, t in texts.items()))
    assert survives_json(*mark_answers(KEY, answers))


STUDENT = {
    "number": 1, "folder": "01-x", "state": "marked", "points": "1", "of": "1", "open": 0,
    "problems": [{"number": 1, "level": 1, "task": "analyse", "questions": [
        {"number": "1.1", "rung": "type", "form": "choice", "of": "1", "points": "3/2",
         "verdict": "right"}]}],
}  # fmt: skip


def test_marks_that_were_damaged_say_where() -> None:
    good = {"format": MARKS_FORMAT, "title": "x", "students": [STUDENT]}
    assert marks_of(good).students[0].points == Fraction(3, 2)
    question = STUDENT["problems"][0]["questions"][0]  # type: ignore[index]
    for name, value in [
        ("number", "1"), ("number", "1.1\n"), ("points", "1e9"), ("points", "1/0"), ("points", 1),
        ("verdict", "rightly"), ("slips", [["a"]]), ("pieces", [1]), ("typed", None),
        ("settled", "so"), ("told", [1]),
    ]:  # fmt: skip
        spoilt = json.loads(json.dumps(good))
        spoilt["students"][0]["problems"][0]["questions"][0] = {**question, name: value}
        with pytest.raises(
            SheetError, match=rf"students\[0\]\.problems\[0\]\.questions\[0\]\.{name}"
        ):
            marks_of(spoilt)
    for spoilt in ([], None, "x", {}, {"format": "rungwise.marks/2"}, {**good, "students": {}}):
        with pytest.raises(SheetError):
            marks_of(spoilt)


@pytest.mark.parametrize(
    "text",
    ["see photo", "on paper", "See attached PDF.", "(on the other page)", "it's in the scan"],
)
def test_what_is_on_paper_waits_for_nobody_as_a_reading(text: str) -> None:
    for number in questions(KEY):
        mark = marked(KEY, {number: text})[number]
        assert (mark.verdict, mark.points, mark.trouble) == (QuestionOutcome.PAPER, 0, "")
        assert mark.typed == text
    both = marked(KEY, {FIGURE: (text, right_text(questions(KEY)[FIGURE]))})[FIGURE]
    assert both.verdict is QuestionOutcome.RIGHT


@pytest.mark.parametrize("text", ["1.6 kHz, see photo", "photo 3 kHz", "the upper one", "on"])
def test_what_answers_is_not_on_paper(text: str) -> None:
    assert marked(KEY, {FIGURE: text})[FIGURE].verdict is not QuestionOutcome.PAPER
