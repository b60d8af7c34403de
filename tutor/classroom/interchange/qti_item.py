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

from ....problems.analysis.response import facts
from ....problems.questions.model import Form, Problem
from ....problems.sheets.model import AskedQuestion, SheetProblem, Symbols
from ...documents.drawings.svg import VectorDrawing
from ...documents.pages import ask, prose, shown
from ...documents.pages_form import Lines, PageQuestion, Paragraph
from ...documents.pages_pictures import PagePicture
from ...language.texts import Words, fill
from ...version import VERSION
from .markup import HEAD, Node, node, written
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

    ``prefix`` begins the identifiers of its items; ``item`` is what students see of ``problem``.
    """

    prefix: str
    item: SheetProblem
    problem: Problem
    symbols: Symbols
    language: str

    def made(self) -> tuple[list[MadeItem], dict[str, bytes]]:
        """An item for each question, and the pictures of the problem by their names."""
        item, items = self.item, list[MadeItem]()
        known = facts(self.problem.ladder)
        figure = shown(item, self.symbols)
        head: list[Node] = []
        images: dict[str, bytes] = {}
        if figure is not None:
            head.append(node("div", _picture(f"p{item.number}.svg", figure.picture, images)))
            if figure.caption:
                head.append(node("p", figure.caption))
        above = tuple(images)
        for asked, question in zip(item.questions, self.problem.questions, strict=True):
            found = ask(item, asked, self.symbols)
            before, after = marking(self.problem, question, known, asked.points)
            own: dict[str, bytes] = {}
            body = node("itemBody", *head, *_body(asked, found, own))
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


def _body(asked: AskedQuestion, found: PageQuestion, images: dict[str, bytes]) -> Iterator[Node]:
    """What is asked and how it is answered; pictures of choices go to the images."""
    yield from _prose(Words.load().prompt(asked))
    if asked.form is Form.CHOICE:
        choices = node(
            "choiceInteraction", responseIdentifier=RESPONSE, shuffle=False, maxChoices=1
        )
        for letter, option, choice in zip(LETTERS, found.options, asked.choices, strict=False):
            body: Node | str = Words.load().choice(asked, choice)
            if option.picture is not None:
                name = f"q{asked.number.replace('.', '-')}-{letter.lower()}.svg"
                body = _picture(name, option.picture, images)
            choices.children.append(node("simpleChoice", body, identifier=letter, fixed=True))
        yield choices
        return
    if asked.form in BY_HAND:
        yield from _prose(Words.load().form(asked))
    # How an answer is typed, where a program reads it.
    yield node("p", fill("interchange", f"type.{asked.form.value}", [("unit", asked.unit)]))
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


def _prose(text: str) -> Iterator[Node]:
    """Paragraphs; lines that begin with a space stay lines."""
    for part in prose(text):
        match part:
            case Paragraph():
                yield node("p", part.text)
            case Lines():
                yield node("pre", "\n".join(part.lines))


def _picture(name: str, picture: PagePicture, images: dict[str, bytes]) -> Node:
    """An image element with its words; its file goes to the images."""
    drawing = picture.drawing()
    images[name] = picture_file(drawing)
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
