"""A question of a sheet as an item of QTI 2.1.

Source: IMS Question & Test Interoperability, Assessment Test, Section and Item Information Model
and XML Binding, version 2.1, Final Specification, 31 August 2012 (now 1EdTech).  Choices are a
``choiceInteraction``, numbers a ``textEntryInteraction`` compared by ``equal`` with the tolerance
as a percentage, formulas and sketches an ``extendedTextInteraction`` without response processing.

An item holds the key; identifiers in it say nothing, so that what a candidate's browser is sent
besides the question gives nothing away.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ....problems.analysis.response import Facts
from ....problems.questions.model import Form, Problem
from ....problems.sheets.model import AskedQuestion, SheetProblem, Symbols
from ...documents.drawings.svg import VectorDrawing
from ...documents.pages import ask, shown
from ...documents.pages_form import Lines, Option, PageFigure, PageQuestion, Paragraph
from ...language.texts import Words, fill
from ...version import VERSION
from .markup import HEAD, Node, node, written
from .qti_answer import BASE_TYPE, BY_HAND, LETTERS, RESPONSE, marking

QTI = "http://www.imsglobal.org/xsd/imsqti_v2p1"
_SCHEMA = f"{QTI} http://www.imsglobal.org/xsd/qti/qtiv2p1/imsqti_v2p1.xsd"
_INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"
_PIXELS = 96 / 72
"""CSS pixels in a point."""
_VIEW = re.compile(r'viewBox="(\S+) (\S+) (\S+) (\S+)"')


@dataclass(frozen=True, slots=True)
class Image:
    """A picture that items show: its file's name and bytes."""

    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class MadeItem:
    """An item: its identifier, its file's bytes, and the names of the pictures it shows."""

    identifier: str
    title: str
    data: bytes
    images: tuple[str, ...]
    by_hand: bool


def root(name: str, language: str, **attributes: str) -> Node:
    """The root element of a document of QTI 2.1."""
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


@dataclass(slots=True)
class QtiExercise:
    """A problem of a sheet, ready to be made items of.

    ``prefix`` begins the identifiers of its items; ``item`` is what students see of ``problem``.
    """

    prefix: str
    item: SheetProblem
    problem: Problem
    facts: Facts
    symbols: Symbols
    language: str

    def images(self) -> Iterator[Image]:
        """The pictures of the problem: its own, and those to choose between."""
        figure = shown(self.item, self.symbols)
        if figure is not None:
            yield Image(self._head, picture_file(figure.picture.drawing()))
        for asked in self.item.questions:
            for place, option in enumerate(ask(self.item, asked, self.symbols).options):
                if option.picture is not None:
                    yield Image(_choice_name(asked, place), picture_file(option.picture.drawing()))

    @property
    def _head(self) -> str:
        return f"p{self.item.number}.svg"

    def items(self) -> Iterator[MadeItem]:
        """An item for each question."""
        figure = shown(self.item, self.symbols)
        for asked, question in zip(self.item.questions, self.problem.questions, strict=True):
            found = ask(self.item, asked, self.symbols)
            marks = marking(self.problem, question, self.facts, asked.points)
            identifier = f"{self.prefix}-{asked.number.replace('.', '-')}"
            body, images = self._body(asked, found, figure)
            title = fill(
                "interchange", "item.title", [("number", asked.number), ("kind", found.title)]
            )
            made = root(
                "assessmentItem",
                self.language,
                identifier=identifier,
                title=title,
                adaptive="false",
                timeDependent="false",
                toolName="Rungwise",
                toolVersion=VERSION,
            )
            made.children += [*marks.declarations, body]
            if marks.processing is not None:
                made.children.append(marks.processing)
            made.children += marks.feedback
            yield MadeItem(
                identifier, title, written(made), tuple(images), question.form in BY_HAND
            )

    def _body(
        self, asked: AskedQuestion, found: PageQuestion, figure: PageFigure | None
    ) -> tuple[Node, list[str]]:
        body, images = node("itemBody"), list[str]()
        if figure is not None:
            images.append(self._head)
            drawing = figure.picture.drawing()
            body.children.append(node("div", picture(self._head, drawing)))
            if figure.caption:
                body.children.append(node("p", figure.caption))
        prompt = list(_prose(Words.load().prompt(asked)))
        if asked.form is Form.CHOICE:
            body.children += prompt
            choices = node(
                "choiceInteraction", responseIdentifier=RESPONSE, shuffle=False, maxChoices=1
            )
            for place, option in enumerate(found.options):
                choice, name = self._choice(asked, place, option)
                choices.children.append(choice)
                images += [name] if name else []
            body.children.append(choices)
        elif asked.form in BY_HAND:
            body.children += [*prompt, *_prose(Words.load().form(asked)), _how(asked)]
            body.children.append(
                node(
                    "extendedTextInteraction",
                    responseIdentifier=RESPONSE,
                    expectedLines=2,
                    format="plain",
                )
            )
        else:
            entry = node("textEntryInteraction", responseIdentifier=RESPONSE, expectedLength=12)
            lead = fill("interchange", "item.answer")
            line = node("p", f"{lead} ", entry, f" {asked.unit}" if asked.unit else "")
            body.children += [*prompt, _how(asked), line]
        return body, images

    def _choice(self, asked: AskedQuestion, place: int, option: Option) -> tuple[Node, str]:
        question = asked
        choice = node("simpleChoice", identifier=LETTERS[place], fixed=True)
        if option.picture is None:
            choice.children.append(Words.load().choice(question, asked.choices[place]))
            return choice, ""
        name = _choice_name(asked, place)
        choice.children.append(picture(name, option.picture.drawing()))
        return choice, name


def _choice_name(asked: AskedQuestion, place: int) -> str:
    return f"q{asked.number.replace('.', '-')}-{LETTERS[place].lower()}.svg"


def _how(asked: AskedQuestion) -> Node:
    """How an answer is typed, where a program reads it."""
    return node("p", fill("interchange", f"type.{asked.form.value}", [("unit", asked.unit)]))


def _prose(text: str) -> Iterator[Node]:
    """Paragraphs; lines that begin with a space stay lines."""
    from ...documents.pages import prose

    for part in prose(text):
        match part:
            case Paragraph():
                yield node("p", part.text)
            case Lines():
                yield node("pre", "\n".join(part.lines))


def picture(name: str, drawing: VectorDrawing) -> Node:
    """An image element with its words."""
    return node(
        "img",
        src=name,
        alt=drawing.alt,
        width=round(drawing.width * _PIXELS),
        height=round(drawing.height * _PIXELS),
    )


def picture_file(drawing: VectorDrawing) -> bytes:
    """A drawing as a file of its own, on white: it may be shown on any ground."""
    view = _VIEW.search(drawing.svg)
    assert view is not None
    x, y, wide, high = view.groups()
    ground = f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="#fff" stroke="none"/>'
    head, mark, rest = drawing.svg.partition("</desc>")
    return f"{HEAD}{head}{mark}{ground}{rest}\n".encode()


__all__ = [
    "BASE_TYPE",
    "QTI",
    "Image",
    "MadeItem",
    "QtiExercise",
    "picture",
    "picture_file",
    "root",
]
