"""A question of a sheet as an item of QTI 2.1.

Source: IMS Question & Test Interoperability, Assessment Test, Section and Item Information Model
and XML Binding, version 2.1, Final Specification, 31 August 2012 (now 1EdTech).  Choices are a
``choiceInteraction``, numbers a ``textEntryInteraction`` compared by ``equal`` with the tolerance
as a percentage, formulas and sketches an ``extendedTextInteraction`` without response processing.

An item holds the key; identifiers in it say nothing, so that what a candidate's browser is sent
besides the question gives nothing away.  What a human marks has its key in a ``rubricBlock`` for
the scorer alone.  Formulas are MathML, and every picture and formula has its words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ....problems.analysis.response import Facts, facts
from ....problems.questions.model import Form, Problem, Question
from ....problems.sheets.model import AskedQuestion, SheetProblem, Symbols
from ....problems.solutions.step import Equation
from ...documents.drawings.svg import VectorDrawing
from ...documents.pages import ask, points_number, prose, shown
from ...documents.pages_form import Lines, PageQuestion, Paragraph
from ...documents.pages_marking import counts_as_right, right_answer, slip_rows
from ...documents.pages_pictures import ExhibitPicture, PagePicture
from ...documents.pdf_compiler import png
from ...language.texts import Words, allowed, fill
from ...version import VERSION
from .markup import HEAD, Node, math, node, written
from .qti_answer import BY_HAND, LETTERS, RESPONSE, marking

QTI = "http://www.imsglobal.org/xsd/imsqti_v2p1"
_SCHEMA = f"{QTI} http://www.imsglobal.org/xsd/qti/qtiv2p1/imsqti_v2p1.xsd"
_INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"
_PIXELS = 96 / 72
"""CSS pixels in a point."""
_VIEW = re.compile(r'viewBox="(\S+) (\S+) (\S+) (\S+)"')


@dataclass(frozen=True, slots=True)
class MadeItem:
    """An item: its identifier, its file's bytes, and the names of the pictures it shows."""

    identifier: str
    title: str
    data: bytes
    images: tuple[str, ...]
    by_hand: bool


def root(name: str, language: str, **attributes: str) -> Node:
    """The root element ``name`` of a document in a ``language``, or none, with ``attributes``."""
    return Node(
        name,
        {
            "xmlns": QTI,
            "xmlns:xsi": _INSTANCE,
            "xsi:schemaLocation": _SCHEMA,
            **attributes,
            **({"xml:lang": language} if language else {}),
        },
    )


@dataclass(frozen=True, slots=True)
class QtiExercise:
    """A problem of a sheet, ready to be made items of.

    Attributes:
        prefix: begins the identifiers of its items.
        item: what students see of the problem.
        problem: the problem itself.
        symbols: how parts are drawn.
        language: of the words.
        ending: of the pictures that items show: "svg", or "png" for readers that show no others.
    """

    prefix: str
    item: SheetProblem
    problem: Problem
    symbols: Symbols
    language: str
    ending: str = "svg"

    def made(self) -> tuple[list[MadeItem], dict[str, bytes]]:
        """An item for each question, and the pictures of the problem by their names."""
        item, items = self.item, list[MadeItem]()
        known = facts(self.problem.ladder)
        figure = shown(item, self.symbols)
        head: list[Node] = []
        images: dict[str, bytes] = {}
        if figure is not None:
            head.append(node("div", self._picture(f"p{item.number}", figure.picture, images)))
            if figure.caption:
                head.append(node("p", figure.caption))
        above = tuple(images)
        for asked, question in zip(item.questions, self.problem.questions, strict=True):
            found = ask(item, asked, self.symbols)
            before, after = marking(self.problem, question, known, asked.points)
            own: dict[str, bytes] = {}
            key = _scorers(self.problem, question, known, asked.points)
            body = node("itemBody", *head, *self._body(asked, found, own), *key)
            images |= own
            values = [("number", asked.number), ("kind", found.title)]
            title = fill("interchange", "item.title", values)
            identifier = f"{self.prefix}-{asked.number.replace('.', '-')}"
            whole = root(
                "assessmentItem",
                self.language,
                identifier=identifier,
                title=title,
                adaptive="false",
                timeDependent="false",
                toolName="Rungwise",
                toolVersion=VERSION,
            )
            whole.children += [*before, body, *after]
            by_hand = question.form in BY_HAND
            items.append(MadeItem(identifier, title, written(whole), (*above, *own), by_hand))
        return items, images

    def _body(
        self, asked: AskedQuestion, found: PageQuestion, images: dict[str, bytes]
    ) -> Iterator[Node]:
        """What is asked and how it is answered; pictures of choices go to the images."""
        words = Words.load()
        if asked.exhibit is not None:
            # Those of a problem that share it have one picture of it.
            shown = [one.exhibit for one in self.item.questions]
            stem = f"x{self.item.number}-{shown.index(asked.exhibit) + 1}"
            yield node("div", self._picture(stem, ExhibitPicture(asked.exhibit), images))
        yield from _prose(words.asked(asked))
        if asked.form is Form.CHOICE:
            choices = node(
                "choiceInteraction", responseIdentifier=RESPONSE, shuffle=False, maxChoices=1
            )
            for letter, option, choice in zip(LETTERS, found.options, asked.choices, strict=False):
                body: Node | str = words.choice(asked, choice)
                if option.picture is not None:
                    name = f"q{asked.number.replace('.', '-')}-{letter.lower()}"
                    body = self._picture(name, option.picture, images)
                elif isinstance(option.body, Equation):
                    body = math(option.body)
                choices.children.append(node("simpleChoice", body, identifier=letter, fixed=True))
            yield choices
            return
        if asked.form in BY_HAND:
            yield from _prose(words.form(asked))
        # How an answer is typed, where a program reads it, which is not how ours do.
        values = [("unit", asked.unit), ("tolerance", allowed(asked))]
        yield node("p", fill("interchange", f"type.{asked.form.value}", values))
        if asked.form in BY_HAND:
            yield node(
                "extendedTextInteraction",
                responseIdentifier=RESPONSE,
                expectedLines=2,
                format="plain",
            )
            return
        entry = node("textEntryInteraction", responseIdentifier=RESPONSE, expectedLength=12)
        unit = f" {asked.unit}" if asked.unit else ""
        yield node("p", f"{fill('interchange', 'item.answer')} ", entry, unit)

    def _picture(self, stem: str, picture: PagePicture, images: dict[str, bytes]) -> Node:
        """An image element with its words; its files go to the images."""
        drawing = picture.drawing()
        images[f"{stem}.svg"] = picture_file(drawing)
        if self.ending == "png":
            images[f"{stem}.png"] = png(images[f"{stem}.svg"])
        return node(
            "img",
            src=f"{stem}.{self.ending}",
            alt=drawing.alt,
            width=round(drawing.width * _PIXELS),
            height=round(drawing.height * _PIXELS),
        )


def _scorers(
    problem: Problem, question: Question, known: Facts, points: Fraction
) -> Iterator[Node]:
    """The key of what a human marks, for the scorer alone."""
    if question.form not in BY_HAND:
        return
    values = [("points", points_number(points))]
    lines = [
        node("p", fill("interchange", "scorer.points", values)),
        _keyed("right", right_answer(question)),
    ]
    lines += [node("p", text) for text in counts_as_right(question)]
    for row in slip_rows(problem, known, question):
        for answer in row.answers[:1]:
            lines.append(_keyed("slip", answer, row.name))
    yield node("rubricBlock", *lines, view="scorer")


def _keyed(what: str, answer: str | Equation, name: str = "") -> Node:
    """A line of the scorer's key: what it is, and an answer."""
    said = f"{fill('interchange', f'scorer.{what}', [('name', name)])} "
    return node("p", said, math(answer) if isinstance(answer, Equation) else answer)


def _prose(text: str) -> Iterator[Node]:
    """Paragraphs; lines that begin with a space stay lines."""
    for part in prose(text):
        match part:
            case Paragraph():
                yield node("p", part.text)
            case Lines():
                yield node("pre", "\n".join(part.lines))


def picture_file(drawing: VectorDrawing) -> bytes:
    """A drawing as a file of its own, on white: it may be shown on any ground."""
    view = _VIEW.search(drawing.svg)
    assert view is not None
    x, y, wide, high = view.groups()
    ground = f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="#fff" stroke="none"/>'
    head, mark, rest = drawing.svg.partition("</desc>")
    return f"{HEAD}{head}{mark}{ground}{rest}\n".encode()
