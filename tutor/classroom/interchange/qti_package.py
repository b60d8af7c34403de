"""Sheets as a package of QTI 2.1: items, tests, and the manifest.

    imsmanifest.xml          what is in it: IMS Content Packaging 1.1
    test.xml                 one test, which draws each problem from a pool
    problem-02/007/q2-1.xml  an item for each question of the seventh circuit of problem 2
    problem-02/007/p2.svg    what the problem shows

or, a test for each student:

    sheet-03/test.xml        the test of sheet 3
    sheet-03/q2-1.xml        an item for each question

Sources: IMS Content Packaging XML Binding, version 1.1.4, Final Specification, 2007; IMS Question
& Test Interoperability Overview, Integration Guide and Results Reporting, version 2.1, 2012, for
the types of resources and the metadata of a package; its Information Model for ``selection``.

Students go by number alone: whose sheet it is stands in the roster, and not in the package.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256

from ....problems.sheets.documents import sheet_document
from ....problems.sheets.model import Heading, Sheet, SheetProblem, SheetSection
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
class PackageForm:
    """What a package is to be like.

    Attributes:
        each: a test for each student, of the very problems of their sheet; else one test that
            draws each problem from those of all the sheets.
        ending: of the pictures that items show: "svg", or "png" with the SVG beside it.
    """

    each: bool = False
    ending: str = "svg"


@dataclass(frozen=True, slots=True)
class _Made:
    """A problem's items, by (identifier, path)."""

    number: int
    title: str
    refs: tuple[tuple[str, str], ...]


USUAL = PackageForm()


def package(
    students: Iterable[StudentSheet], counts: Counts, form: PackageForm = USUAL
) -> Iterator[tuple[str, bytes]]:
    """(path, bytes) of every file of a package of a ``form`` for ``students``, the manifest last.

    The ``counts`` are filled on the way.
    """
    making = _Making(counts, form)
    yield from making.each(students) if form.each else making.pooled(students)
    yield MANIFEST, making.manifest()


class _Making:
    """One package."""

    def __init__(self, counts: Counts, form: PackageForm) -> None:
        self._counts, self._form = counts, form
        self._resources: list[Node] = []
        self._digest = sha256()

    def each(self, students: Iterable[StudentSheet]) -> Iterator[tuple[str, bytes]]:
        """A test for each student."""
        for given in students:
            prefix, name = _prefix(given.sheet), f"sheet-{sheet_name(given.entry.number)}"
            self._digest.update(prefix.encode())
            sections = []
            for place, part in enumerate(given.sheet.parts, 1):
                problems = []
                for item in part.items:
                    made, files = self._problem(given, item, prefix, name)
                    yield from files
                    problems.append(_alone(f"{prefix}-p{item.number}", made, name))
                sections.append(_section(place, prefix, given.sheet.heading, part, problems))
            self._counts.sheets += 1
            values = [("title", given.sheet.heading.title), ("number", name.partition("-")[2])]
            title = _titled("test.title", given.sheet.heading, values)
            yield f"{name}/test.xml", _test(prefix, title, float(given.sheet.points), sections)
            refs = list(_refs(sections))
            self._resources.append(_resource(f"{prefix}-test", _TEST, f"{name}/test.xml", (), refs))

    def pooled(self, students: Iterable[StudentSheet]) -> Iterator[tuple[str, bytes]]:
        """One test: of each problem a pool, of which everybody is given one circuit."""
        pools: dict[int, dict[str, _Made]] = {}
        first: Sheet | None = None
        for given in students:
            first = first or given.sheet
            self._counts.sheets += 1
            for item in given.sheet.items:
                pool = pools.setdefault(item.number, {})
                known = _prefix(given.sheet, item)
                if known not in pool:
                    folder = f"problem-{item.number:02d}/{len(pool) + 1:03d}"
                    pool[known], files = self._problem(given, item, known, folder)
                    yield from files
                    self._digest.update(known.encode())
        if first is None:
            return
        prefix = f"r{self._digest.hexdigest()[:_DIGITS]}"
        sections = []
        for place, part in enumerate(first.parts, 1):
            problems = [_drawn(prefix, item.number, pools[item.number]) for item in part.items]
            sections.append(_section(place, prefix, first.heading, part, problems))
        title = _titled("test.pool", first.heading, [("title", first.heading.title)])
        yield "test.xml", _test(prefix, title, float(first.points), sections)
        refs = list(_refs(sections))
        self._resources.append(_resource(f"{prefix}-test", _TEST, "test.xml", (), refs))

    def _problem(
        self, given: StudentSheet, item: SheetProblem, prefix: str, folder: str
    ) -> tuple[_Made, list[tuple[str, bytes]]]:
        """A problem's items, which lie in a folder, and all of its files."""
        heading = given.sheet.heading
        problem = next(one.problem for one in given.key.items if one.number == item.number)
        language = language_of(heading)
        with in_use(f"keys/{given.entry.folder}/key.json"):
            items, images = QtiExercise(
                prefix, item, problem, heading.symbols, language, self._form.ending
            ).made()
        refs = []
        for one in items:
            path = f"{folder}/{_file(one)}"
            shown = [f"{folder}/{image}" for image in one.images]
            self._resources.append(_resource(one.identifier, _ITEM, path, shown, ()))
            refs.append((one.identifier, path))
            self._counts.items += 1
            self._counts.by_hand += one.by_hand
        files = {_file(one): one.data for one in items} | images
        made = _Made(item.number, problem_title(item.number, item.title), tuple(refs))
        return made, [(f"{folder}/{name}", data) for name, data in files.items()]

    def manifest(self) -> bytes:
        """``imsmanifest.xml``."""
        return _manifest(f"r{self._digest.hexdigest()[:_DIGITS]}-package", self._resources)


def _prefix(sheet: Sheet, item: SheetProblem | None = None) -> str:
    """What begins the identifiers of a sheet, or of one of its problems.

    They must not meet those of any other package, and come from what the student is given, so
    that they tell nothing else.
    """
    if item is None:
        document = {**sheet_document(sheet), "student": {"number": sheet.student.number}}
    else:
        part = SheetSection("", "", (item,))
        whole = sheet_document(Sheet(sheet.heading, sheet.student, (part,)))
        document = {key: value for key, value in whole.items() if key != "student"}
    data = json.dumps(document, sort_keys=True, ensure_ascii=False).encode("utf-8", "replace")
    return f"r{sha256(data).hexdigest()[:_DIGITS]}"


def _file(item: MadeItem) -> str:
    return f"q{item.identifier.partition('-')[2]}.xml"


def _titled(key: str, heading: Heading, values: list[tuple[str, str]]) -> str:
    return fill("interchange", key if plain(heading.title) else f"{key}-plain", values)


def _test(prefix: str, title: str, most: float, sections: list[Node]) -> bytes:
    test = root("assessmentTest", "", identifier=f"{prefix}-test", title=title)
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
    place: int, prefix: str, heading: Heading, part: SheetSection, problems: list[Node]
) -> Node:
    title = plain(part.title) or fill("interchange", "test.part", [("number", place)])
    section = node("assessmentSection", identifier=f"{prefix}-s{place}", title=title, visible=True)
    lines = [
        line
        for text in (heading.instructions if place == 1 else "", part.instructions)
        for line in text.splitlines()
        if plain(line).strip()
    ]
    if lines:
        told = [node("p", line.strip()) for line in lines]
        section.children.append(node("rubricBlock", *told, view="candidate"))
    section.children += problems
    return section


def _alone(identifier: str, made: _Made, base: str = "", *, visible: bool = True) -> Node:
    """A problem as a section of its items; their paths are seen from the folder ``base``."""
    section = node("assessmentSection", identifier=identifier, title=made.title, visible=visible)
    for name, path in made.refs:
        href = path.removeprefix(f"{base}/")
        section.children.append(node("assessmentItemRef", identifier=name, href=href))
    return section


def _drawn(prefix: str, number: int, pool: dict[str, _Made]) -> Node:
    """A problem of which one circuit is drawn: sections that are not seen stay together."""
    identifier, made = f"{prefix}-p{number}", list(pool.values())
    if len(made) == 1:
        return _alone(identifier, made[0])
    return node(
        "assessmentSection",
        node("selection", select=1),
        *(_alone(f"{identifier}-{n}", one, visible=False) for n, one in enumerate(made, 1)),
        identifier=identifier,
        title=made[0].title,
        visible=True,
    )


def _refs(nodes: Iterable[Node | str]) -> Iterator[str]:
    """The items that sections refer to."""
    for one in nodes:
        if isinstance(one, Node):
            if one.name == "assessmentItemRef":
                yield one.attributes["identifier"]
            yield from _refs(one.children)


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
