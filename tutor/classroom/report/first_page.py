"""The first page of a class report, to be read before the lecture: what cost most, what waits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ....problems.circuits.model import Ladder, valueless
from ....problems.circuits.write import write_circuit
from ....problems.formulas.layout import echo
from ....problems.questions.kinds import OF_CIRCUITS
from ....problems.questions.model import Answer, Form, Question, Rung, formula_of
from ....problems.questions.values import value_of
from ....problems.sheets.board import BoardCircuit, board_circuit, slipped_text
from ....problems.sheets.model import Symbols
from ...documents.pages import clean, shortened
from ...documents.pages_form import (
    Block,
    Cell,
    Division,
    KeyFigures,
    PageBeside,
    PageFigure,
    Paragraph,
    Table,
)
from ...documents.pages_pictures import CircuitPicture
from ...language.apostrophes import Typed
from ...language.texts import Words, sentence_case
from ...phrases.answer_text import choice, right_words
from ...phrases.skills import rung_words, slip_words
from ..marking.marks import HandInState
from .figures import FEW
from .figures_of_class import TOO_FEW, ClassSlipCount, Report
from .in_words import DASH, TableCells, line, percent, points, say, some, table

MOST_SHOWN = 3
MOST_NAMED = 3
"""Names that stand in a line of the first page; the last page has all of them."""
_NAME, _FILE = 30, 18
"""Characters of a name and of a file on the first page."""
_ANSWER = 160
"""Characters of an answer on the first page."""


@dataclass(frozen=True, slots=True)
class SlipShown:
    """A slip of the class, and the circuit that shows it best, where there is one."""

    counted: ClassSlipCount
    board: BoardCircuit | None


def shown_slips(found: Report) -> tuple[SlipShown, ...]:
    """The slips that cost most points, each with a circuit for the board; draws circuits."""
    return tuple(SlipShown(one, _board(one)) for one in found.costliest[:MOST_SHOWN])


def _board(one: ClassSlipCount) -> BoardCircuit | None:
    """The circuit for the kind of question at which the slip cost most."""
    rungs = dict.fromkeys(rung for rung, _ in one.asked)
    for name in rungs:
        rung = next((rung for rung in Rung if rung == name), None)
        if rung is None:  # marks of another version may hold anything
            continue
        board = board_circuit(one.slip, rung, [f for asked, f in one.asked if asked == name])
        if board is not None:
            return board
    return None


def opening(found: Report) -> Iterator[Block]:
    """What stands above all else: how many sheets, how good, how much waits."""
    if not found.count:
        yield line("head.none")
        return
    rows = [(Cell(say("head.sheets", count=found.count, expected=found.expected)), "head.marked")]
    if found.share is not None and not found.hushed:
        rows.append((Cell(say("scores.percent", value=percent(found.share.mean))), "head.mean"))
    if not found.anonymous:
        waits = found.waiting.unclear[0] + found.waiting.paper[0]
        rows.append((Cell(str(waits)), "head.waiting"))
    yield KeyFigures(tuple((cell, say(key)) for cell, key in rows))
    if found.anonymous:
        yield line("head.anonymous.say")
    if found.few:
        yield line("head.few", "small", few=FEW)
    if found.hushed:
        yield line("head.anonymous.hushed", "caution", few=TOO_FEW)


def first_page(found: Report, boards: Sequence[SlipShown]) -> Iterator[Division]:
    """The sections of the first page of a report ``found``, with the slips on its ``boards``."""
    if boards:
        blocks = [_beside(place, shown, found) for place, shown in enumerate(boards, 1)]
        yield Division(say("costly.title", count=len(boards)), tuple(blocks))
    if not found.anonymous:
        yield Division(say("waits.title"), tuple(_waits(found)))


def _beside(place: int, shown: SlipShown, found: Report) -> PageBeside:
    one, board = shown.counted, shown.board
    told = say(
        "costly.told",
        students=one.students,
        of=found.count,
        points=points(one.lost),
    )
    title = say("costly.name", place=place, slip=sentence_case(slip_words(one.slip)))
    if board is None:
        return PageBeside(title, None, (Paragraph(told), line("costly.none", "small")))
    question = board.question
    rows = (
        (say("costly.asked"), rung_words(question.rung)),
        (say("costly.right"), shortened(right_words_of(question), _ANSWER)),
        (say("costly.slipped"), shortened(slipped_words(board), _ANSWER)),
    )
    table = Table(say("costly.table", slip=slip_words(one.slip)), (), rows, (False, False), (1,))
    ladder = board.problem.ladder
    sentence = Paragraph(Words.load().slip(board.named), names=True, tone="small")
    figure = PageFigure(CircuitPicture(ladder, Symbols.IEEE))
    return PageBeside(title, figure, (Paragraph(told), table, sentence))


def right_words_of(question: Question) -> str:
    """The right answer to a ``question`` on one line."""
    return _in_words(question, question.truth) or right_words(question)


def slipped_words(board: BoardCircuit) -> str:
    """What the slip answers to the question of a ``board``, on one line."""
    question, value = board.question, board.slipped.value
    return _in_words(question, value) or slipped_text(question, board.slipped)


def _in_words(question: Question, value: Answer) -> str:
    """A choice in its words, a formula in letters; "" for what is typed as it stands."""
    if question.form is Form.FORMULA:
        return f"H(s) = {echo(formula_of(value))}"
    if question.form is not Form.CHOICE:
        return ""
    found = choice(question, str(value))
    if found and question.rung in OF_CIRCUITS:
        return write_circuit(valueless(value_of(found.values, "circuit", Ladder)), "; ")
    return Words.load().choice(replace(question, truth=value), found) if found else ""


def _waits(found: Report) -> Iterator[Block]:
    waits = found.waiting
    if waits.nothing:
        yield line("waits.nothing")
        return
    rows: list[TableCells] = []
    for state in (HandInState.MISSING, HandInState.UNREAD, HandInState.APART):
        if there := waits.of(state):
            names = [_named(one.called, one.file, state) for one in there]
            rows.append(_row(state.value, len(there), some(names, MOST_NAMED)))
    for name, (answers, students) in (("unclear", waits.unclear), ("paper", waits.paper)):
        if answers:
            rows.append(_row(name, answers, say("waits.students", count=students)))
    if waits.files:
        files = [shortened(clean(one.file), _FILE) for one in waits.files]
        rows.append(_row("files", len(files), some(files, MOST_NAMED)))
    keys = ("what", "who")
    yield table("waits", keys, rows, keys, ("who", "what"))


def _named(called: str, file: str, state: HandInState) -> str:
    name = shortened(clean(called), _NAME)
    if state is HandInState.MISSING or not file:
        return name
    return say("waits.named", name=name, file=shortened(clean(file), _FILE))


def _row(key: str, count: int, who: str) -> TableCells:
    return Cell(say(f"waits.{key}", count=count), say(f"waits.mend-{key}")), Typed(who)


def absent_blocks(found: Report) -> Iterator[Block]:
    """Everybody who is in no figure of the report."""
    yield line("absent.say")
    rows = (
        (
            f"{one.number:02d}",
            Typed(clean(one.name)),
            Typed(clean(one.id)),
            Typed(clean(one.group) or DASH),
            say(f"absent.{one.state.value}"),
            Typed(clean(one.file) or DASH),
        )
        for one in found.waiting.absent
    )
    heads = ("number", "name", "id", "group", "state", "file")
    yield table("absent", heads, rows, heads[1:], ("name", "file"))
