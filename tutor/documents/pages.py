"""A student's sheet as pages: what stands on it, made of a :class:`Sheet` and of nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction

from ...problems.circuits.model import Ladder
from ...problems.formulas.layout import echo
from ...problems.formulas.tree import Formula
from ...problems.questions.kinds import OF_CIRCUITS
from ...problems.questions.model import Choice, Face, Form, Rung
from ...problems.questions.values import value_of
from ...problems.sheets.inspection import ON_PAGE
from ...problems.sheets.model import (
    AskedQuestion,
    Heading,
    Sheet,
    SheetProblem,
    SheetSection,
    Student,
    Symbols,
)
from ...problems.sheets.printing import AS_EVER, PageFont, PrintOptions
from ...problems.solutions.step import Equation
from ..language.dates import plain_day
from ..language.texts import Words, entry, fill, plain
from ..phrases.marking_rules import rules_in_full, rules_told
from .pages_form import (
    Answer,
    Block,
    Division,
    Exercise,
    Lines,
    Option,
    Page,
    PageFigure,
    PageKind,
    PageQuestion,
    Paragraph,
    Prose,
    SmallCircuits,
    Whose,
)
from .pages_pictures import CircuitPicture, ExhibitPicture, GainPicture, MapPicture, PaperPicture

_UNWRITTEN = re.compile("[\xad\ud800-\udfff\ufffe\uffff]")
"""What can be in a string of Python, but in no file of text; and hyphens that are not seen."""
LETTERS = "abcdefghijklmnopqrstuvwxyz"
LONGEST_NAME = 120
"""Characters of a name that are printed; a longer one ends in an ellipsis."""

_ROW = 82
"""Characters that fit side by side under a question on paper."""
_BESIDE = 7
"""Characters taken by an option's letter and the gap to the next."""
_SHARE = 0.5
"""How wide a typeset formula is, as a share of its characters on one line."""

_ROOM = {Form.QUANTITY: 3, Form.RATIO: 3, Form.GAIN: 2, Form.LEVEL: 2, Form.FORMULA: 5}
"""Lines of room for working above the line for an answer."""
_READ = 1
"""Those of a figure that is read off a picture."""

_LANGUAGE = re.compile(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*\Z")


def sheet_page(sheet: Sheet) -> Page:
    """Everything that stands on a student's sheet."""
    symbols = sheet.heading.symbols
    printing = sheet.heading.printing
    divisions = tuple(
        Division(
            clean(part.title), (*prose(part.instructions), *_problems(part, printing, symbols))
        )
        for part in sheet.parts
    )
    return page(sheet, divisions, key=False)


def _problems(part: SheetSection, printing: PrintOptions, symbols: Symbols) -> Iterator[Block]:
    if part.by_inspection:
        yield from small_circuits(part, symbols, printing)
        return
    for item in part.items:
        yield exercise(item, symbols, printing)


def small_circuits(part: SheetSection, symbols: Symbols, printing: PrintOptions) -> Iterator[Block]:
    """How the boxes of a section by inspection, ``part``, are ticked, and its circuits.

    They are drawn in ``symbols``; each question is a row of boxes with a letter each.  ``printing``
    says whether there are answer files.
    """
    across = ON_PAGE[part.by_inspection].across
    full = across == 1 and not printing.large
    asked = tuple(dict.fromkeys(q.rung for item in part.items for q in item.questions))
    tick = entry("sheet", "inspect.file" if printing.answer_files else "inspect.tick")
    said = [tick, *(entry("sheet", f"inspect.say.{r}") for r in asked)]
    yield Paragraph(" ".join(said), tone="small")
    yield SmallCircuits(
        across, tuple(small_circuit(item, symbols, full=full) for item in part.items)
    )


def small_circuit(item: SheetProblem, symbols: Symbols, *, full: bool) -> Exercise:
    """One of the circuits that share a page, ``item``, drawn in ``symbols``.

    It is ``full`` where there is room for whole words.
    """
    points = sum((q.points for q in item.questions), Fraction(0))
    picture = None
    if item.ladder is not None:
        picture = PageFigure(CircuitPicture(item.ladder, symbols, small=True))
    rows = tuple(_row(asked, full=full) for asked in item.questions)
    title = problem_title(item.number, item.title)
    return Exercise(item.number, title, points_text(points), picture, rows)


def _row(asked: AskedQuestion, *, full: bool) -> PageQuestion:
    words = Words.load()
    title = words.title(asked.rung) if full else entry("sheet", f"inspect.label.{asked.rung}")
    kind = "word" if full else "short"
    options = tuple(
        Option(letter, Paragraph(_boxed(f"inspect.{kind}", words.choice(asked, choice), choice.id)))
        for letter, choice in zip(LETTERS, asked.choices, strict=False)
    )
    return PageQuestion(asked.number, title, "", (), options, len(options))


def _boxed(key: str, said: str, choice: str) -> str:
    """What stands in the box of a choice: a figure as it is ``said``, else a short word."""
    figure = choice.lstrip("+-").isdigit()
    return said if figure else entry("sheet", f"{key}.{choice}")


def page(sheet: Sheet, divisions: tuple[Division, ...], *, key: bool) -> Page:
    """The head of a ``sheet``, or of the ``key`` to it, over its problems in ``divisions``."""
    heading = sheet.heading
    course = clean(heading.course)
    return Page(
        PageKind.KEY if key else PageKind.SHEET,
        language_of(heading),
        clean(heading.title) or fill("sheet", "head.sheet"),
        tuple(filter(None, (course, date_text(heading.date)))),
        course,
        (*prose(heading.instructions), *_rules(heading, key=key)),
        divisions,
        entry("sheet", "note.key") if key else _note(sheet),
        whose(sheet),
        large=heading.printing.large and not key,
        font=PageFont.SERIF if key else heading.printing.font,
    )


def _rules(heading: Heading, *, key: bool) -> tuple[Paragraph, ...]:
    """What the plan's own rules of marking come to; nothing where they are the usual ones."""
    told = rules_in_full(heading.marking) if key else rules_told(heading.marking)
    return tuple(Paragraph(sentence, names=False) for sentence in told)


def whose(sheet: Sheet) -> Whose:
    """Whose ``sheet`` it is: all that tells its pages from those of others of the same variant."""
    student = sheet.student
    return Whose(
        shortened(clean(student.name).strip()),
        shortened(clean(student.id).strip()),
        who(student),
        points_number(sheet.points),
        variant=shortened(clean(student.variant).strip()),
        group=shortened(clean(student.group).strip()),
    )


def _note(sheet: Sheet) -> str:
    """How answers are given; of small circuits alone their own words say it."""
    if all(part.by_inspection for part in sheet.parts):
        return ""
    files = sheet.heading.printing.answer_files
    return entry("sheet", "note.answers" if files else "note.paper")


def who(student: Student) -> str:
    """The student's number: what tells one sheet from another where there is no name."""
    return f"{student.number:02d}"


def shortened(text: str, most: int = LONGEST_NAME) -> str:
    """``text``, cut with an ellipsis where it has more than ``most`` characters."""
    return text if len(text) <= most else f"{text[: most - 1]}…"


def language_of(heading: Heading) -> str:
    """A language tag as BCP 47 has it; English where the plan's is none."""
    return heading.language if _LANGUAGE.match(heading.language) else "en"


def date_text(text: str) -> str:
    """An ISO date in words; any other text as it is."""
    try:
        return plain_day(date.fromisoformat(text))
    except ValueError:
        return clean(text)


def points_number(points: Fraction) -> str:
    """Points as a decimal where that is exact, else as a fraction."""
    hundredths = points * 100
    if hundredths.denominator != 1:
        return str(points)
    return f"{float(points):.2f}".rstrip("0").rstrip(".")


def points_text(points: Fraction) -> str:
    """Points with their word: 1 point, 2.5 points."""
    key = "points.one" if points == 1 else "points.many"
    return fill("sheet", key, [("points", points_number(points))])


def clean(text: str) -> str:
    """Somebody else's text without what controls, hides or reorders, or can't be written."""
    return _UNWRITTEN.sub("", plain(text))


def prose(text: str, *, names: bool = False) -> tuple[Prose, ...]:
    """``text`` in paragraphs; lines that begin with a space stay together as lines.

    With ``names``, words such as R1 name elements: of the texts that are our own.
    """
    found: list[Prose] = []
    for line in map(str.rstrip, text.splitlines()):
        if not line:
            continue
        if not line.startswith(" "):
            found.append(Paragraph(clean(line), names))
            continue
        line = clean(line)
        if found and isinstance(found[-1], Lines):
            found[-1] = Lines((*found[-1].lines, line), names)
        else:
            found.append(Lines((line,), names))
    return tuple(_dedented(one) if isinstance(one, Lines) else one for one in found)


def _dedented(lines: Lines) -> Lines:
    margin = min(len(line) - len(line.lstrip()) for line in lines.lines)
    return Lines(tuple(line[margin:] for line in lines.lines), lines.ours)


def exercise(item: SheetProblem, symbols: Symbols, printing: PrintOptions = AS_EVER) -> Exercise:
    """The problem ``item``: what is shown at its head, in ``symbols``, and its questions.

    ``printing`` says how much room there is for working, and whether there are answer files.
    """
    return Exercise(
        item.number,
        problem_title(item.number, item.title),
        points_text(sum((q.points for q in item.questions), Fraction(0))),
        shown(item, symbols),
        tuple(ask(item, asked, symbols, printing) for asked in item.questions),
    )


def problem_title(number: int, title: str) -> str:
    """The heading of the problem of a ``number`` and a ``title``."""
    title = clean(title)
    values = [("number", str(number)), ("title", title)]
    return fill("sheet", "problem.named" if title else "problem.title", values)


def shown(item: SheetProblem, symbols: Symbols) -> PageFigure | None:
    """What stands at the head of the problem ``item``, in ``symbols``."""
    match item.face:
        case Face.GAIN:
            found = PageFigure(GainPicture(item.gain), fill("sheet", "figure.gain"))
            return found if item.gain else None
        case Face.MAP:
            return PageFigure(MapPicture(item.poles, item.zeros), fill("sheet", "figure.map"))
    if item.ladder is None:
        return None
    return PageFigure(CircuitPicture(item.ladder, symbols, item.unvalued))


def ask(
    item: SheetProblem,
    asked: AskedQuestion,
    symbols: Symbols,
    printing: PrintOptions = AS_EVER,
) -> PageQuestion:
    """The question ``asked`` of the problem ``item``, in ``symbols``.

    With its choices, the line for its answer or the paper for its sketch; ``printing`` is as for
    :func:`exercise`.
    """
    words = Words.load()
    options = tuple(
        _option(letter, choice, words.choice(asked, choice), asked.rung, symbols)
        for letter, choice in zip(LETTERS, asked.choices, strict=False)
    )
    sketched = asked.form is Form.SKETCH
    return PageQuestion(
        asked.number,
        words.title(asked.rung),
        points_text(asked.points),
        prose(words.prompt(asked), names=True),
        options,
        columns(options),
        Answer(asked.unit, printing.working.of(asked.rung, _room(asked))),
        _paper(item, asked.rung) if sketched else None,
        prose(typed(words.form(asked))) if sketched and printing.answer_files else (),
        about=about(item, asked),
    )


def _room(asked: AskedQuestion) -> int:
    """Lines of room for working; what is read off a picture needs little."""
    usual = _ROOM.get(asked.form, 0)
    return usual if asked.exhibit is None else min(usual, _READ)


def about(item: SheetProblem, asked: AskedQuestion) -> PageFigure | None:
    """What the question ``asked`` of an ``item`` is about, unless it stands before another one."""
    if asked.exhibit is None:
        return None
    sharing = [one.number for one in item.questions if one.exhibit == asked.exhibit]
    if sharing[0] != asked.number:
        return None
    values = [("first", sharing[0]), ("last", sharing[-1]), ("all", ", ".join(sharing))]
    row = [one.number for one in item.questions]
    start = row.index(sharing[0])
    together = row[start : start + len(sharing)] == sharing
    key = "two" if len(sharing) == 2 else "many" if together else "several"
    caption = fill("sheet", f"figure.about-{key}", values) if len(sharing) > 1 else ""
    return PageFigure(ExhibitPicture(asked.exhibit), caption)


def typed(form: str) -> str:
    """How a sketch is written where it is not drawn."""
    return f"{entry('sheet', 'ask.typed')} {form}" if form else ""


def _paper(item: SheetProblem, rung: Rung) -> PageFigure:
    frame = None if rung is Rung.MAP_SKETCH else item.paper
    return PageFigure(PaperPicture(rung, frame))


def _option(letter: str, choice: Choice, text: str, rung: Rung, symbols: Symbols) -> Option:
    formula = dict(choice.values).get("formula")
    if isinstance(formula, Formula):
        return Option(letter, Equation(text.split("=")[0].strip(), formula))
    picture = None
    if rung in OF_CIRCUITS:
        circuit = value_of(choice.values, "circuit", Ladder)
        picture = CircuitPicture(circuit, symbols, values=False)  # the question says those
    return Option(letter, Paragraph(text, rung not in OF_CIRCUITS), picture)


def columns(options: Iterable[Option]) -> int:
    """How many options stand side by side: all or, of many, half of them, where they fit."""
    options = tuple(options)
    if not options:
        return 1
    if options[0].picture is not None:
        return 2
    lengths = [_length(option) + _BESIDE for option in options]
    for count in _counts(len(options)):
        if sum(max(lengths[column::count]) for column in range(count)) <= _ROW:
            return count
    return 1


def _counts(options: int) -> Iterator[int]:
    yield options
    if options > 3:
        yield (options + 1) // 2
    yield 2


def _length(option: Option) -> float:
    body = option.body
    if isinstance(body, Paragraph):
        return len(body.text)
    return len(body.lead) + 3 + (len(echo(body.formula)) * _SHARE if body.formula else 0)
