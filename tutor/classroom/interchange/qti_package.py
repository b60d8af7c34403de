"""Sheets as a package of QTI 2.1: items, a test for each student, and the manifest.

    imsmanifest.xml          what is in it: IMS Content Packaging 1.1
    sheet-03/test.xml        the test of sheet 3
    sheet-03/q1-2.xml        an item for each question
    sheet-03/p1.svg          what a problem shows

Sources: IMS Content Packaging XML Binding, version 1.1.4, Final Specification, 2007; IMS Question
& Test Interoperability Overview, Integration Guide and Results Reporting, version 2.1, 2012, for
the types of resources and the metadata of a package.

Students go by number alone: whose sheet it is stands in the roster, and not in the package.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256

from ....problems.sheets.documents import sheet_document
from ....problems.sheets.model import Sheet, SheetSection
from ...documents.pages import language_of, problem_title
from ...files.names import sheet_name
from ...language.texts import fill, plain
from .class_folder import StudentSheet, in_use
from .markup import Node, node, written
from .qti_answer import SCORE, outcome
from .qti_item import MadeItem, QtiExercise, root

MANIFEST = "imsmanifest.xml"
CP = "http://www.imsglobal.org/xsd/imscp_v1p1"
_CP_SCHEMA = f"{CP} http://www.imsglobal.org/xsd/imscp_v1p1.xsd"
_TEST, _ITEM = "imsqti_test_xmlv2p1", "imsqti_item_xmlv2p1"
_DIGITS = 10


@dataclass(slots=True)
class Counts:
    """What has gone into a package."""

    sheets: int = 0
    items: int = 0
    by_hand: int = 0


@dataclass(frozen=True, slots=True)
class _Made:
    """A problem's items."""

    number: int
    title: str
    items: list[MadeItem]


def package(students: Iterable[StudentSheet], counts: Counts) -> Iterator[tuple[str, bytes]]:
    """(path, bytes) of every file, the manifest last.

    Args:
        students: whose sheets.
        counts: is filled on the way.
    """
    resources: list[Node] = []
    digest = sha256()
    for given in students:
        name = f"sheet-{sheet_name(given.entry.number)}"
        prefix = _prefix(given.sheet)
        digest.update(prefix.encode())
        parts = []
        refs: list[str] = []
        for part in given.sheet.parts:
            with in_use(f"keys/{given.entry.folder}/key.json"):
                made, files = _part(given, part, prefix)
            yield from ((f"{name}/{path}", data) for path, data in files.items())
            for item in (item for problem in made for item in problem.items):
                path = f"{name}/{_file(item)}"
                images = [f"{name}/{image}" for image in item.images]
                resources.append(_resource(item.identifier, _ITEM, path, images, ()))
                refs.append(item.identifier)
                counts.items += 1
                counts.by_hand += item.by_hand
            parts.append((part, made))
        counts.sheets += 1
        yield f"{name}/test.xml", _test(given, prefix, parts)
        resources.append(_resource(f"{prefix}-test", _TEST, f"{name}/test.xml", (), refs))
    yield MANIFEST, _manifest(f"r{digest.hexdigest()[:_DIGITS]}-package", resources)


def _prefix(sheet: Sheet) -> str:
    """What begins the identifiers of a sheet: they must not meet those of any other package.

    It comes from what the student is given, so that it tells nothing else.
    """
    document = {**sheet_document(sheet), "student": {"number": sheet.student.number}}
    data = json.dumps(document, sort_keys=True, ensure_ascii=False).encode("utf-8", "replace")
    return f"r{sha256(data).hexdigest()[:_DIGITS]}"


def _part(
    given: StudentSheet, part: SheetSection, prefix: str
) -> tuple[list[_Made], dict[str, bytes]]:
    heading = given.sheet.heading
    problems = {item.number: item.problem for item in given.key.items}
    made, files = list[_Made](), dict[str, bytes]()
    for item in part.items:
        problem, language = problems[item.number], language_of(heading)
        exercise = QtiExercise(prefix, item, problem, heading.symbols, language)
        items, images = exercise.made()
        made.append(_Made(item.number, problem_title(item.number, item.title), items))
        files |= {_file(one): one.data for one in items} | images
    return made, files


def _file(item: MadeItem) -> str:
    return f"q{item.identifier.partition('-')[2]}.xml"


def _test(given: StudentSheet, prefix: str, parts: list[tuple[SheetSection, list[_Made]]]) -> bytes:
    heading = given.sheet.heading
    values = [("title", heading.title), ("number", sheet_name(given.entry.number))]
    name = fill("interchange", "test.title" if plain(heading.title) else "test.title-plain", values)
    sections = [
        _section(place, prefix, part, made, heading.instructions if place == 1 else "")
        for place, (part, made) in enumerate(parts, 1)
    ]
    most = float(given.sheet.points)
    test = root("assessmentTest", "", identifier=f"{prefix}-test", title=name)
    test.children += [
        outcome(SCORE, 0.0, most),
        node(
            "testPart",
            # Each answer can be handed in once, and what was the slip is said then.
            node("itemSessionControl", maxAttempts=1, showFeedback=True, allowReview=True),
            *sections,
            identifier=f"{prefix}-part",
            navigationMode="nonlinear",
            submissionMode="individual",
        ),
        node(
            "outcomeProcessing",
            node(
                "setOutcomeValue",
                node("sum", node("testVariables", variableIdentifier=SCORE)),
                identifier=SCORE,
            ),
        ),
    ]
    return written(test)


def _section(
    place: int, prefix: str, part: SheetSection, made: list[_Made], instructions: str
) -> Node:
    title = plain(part.title) or fill("interchange", "test.part", [("number", place)])
    section = node("assessmentSection", identifier=f"{prefix}-s{place}", title=title, visible=True)
    lines = [
        line
        for text in (instructions, part.instructions)
        for line in text.splitlines()
        if plain(line).strip()
    ]
    if lines:
        told = [node("p", line.strip()) for line in lines]
        section.children.append(node("rubricBlock", *told, view="candidate"))
    for problem in made:
        inner = node(
            "assessmentSection",
            identifier=f"{prefix}-p{problem.number}",
            title=problem.title,
            visible=True,
        )
        for item in problem.items:
            inner.children.append(
                node("assessmentItemRef", identifier=item.identifier, href=_file(item))
            )
        section.children.append(inner)
    return section


def _manifest(identifier: str, resources: list[Node]) -> bytes:
    manifest = Node(
        "manifest",
        {
            "xmlns": CP,
            "xmlns:xsi": "http://www.w3.org/2001/XMLSchema-instance",
            "xsi:schemaLocation": _CP_SCHEMA,
            "identifier": identifier,
        },
        [
            node("metadata", node("schema", "QTIv2.1 Package"), node("schemaversion", "1.0.0")),
            node("organizations"),
            node("resources", *resources),
        ],
    )
    return written(manifest)


def _resource(
    identifier: str, kind: str, href: str, files: Iterable[str], needs: Iterable[str]
) -> Node:
    return node(
        "resource",
        *(node("file", href=path) for path in (href, *files)),
        *(node("dependency", identifierref=f"{need}-r") for need in needs),
        identifier=f"{identifier}-r",
        type=kind,
        href=href,
    )
