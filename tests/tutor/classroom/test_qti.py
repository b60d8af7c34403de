"""Packages of QTI 2.1: their structure, what they make of answers, and what they don't say."""

from __future__ import annotations

import random
import struct
import zipfile
from collections import Counter
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

import pytest
from lxml import etree
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.grading.grade import grade
from rungwise.problems.questions.model import Form, Question, Rung, Task, Verdict
from rungwise.problems.sheets.model import (
    NUMBERED_PLAN_FORMAT,
    FixedCircuit,
    Plan,
    PlanSection,
    PointsRule,
)
from rungwise.tutor.classroom.interchange import archive
from rungwise.tutor.classroom.interchange.class_folder import ClassFolder, given, open_folder
from rungwise.tutor.classroom.interchange.markup import escape, node, written
from rungwise.tutor.classroom.interchange.qti_answer import BY_HAND, LETTERS
from rungwise.tutor.classroom.interchange.qti_package import Counts, PackageForm, package
from rungwise.tutor.language.texts import Words, plain

from tests.outside.qti_machine import QTI, Session

from .handed_in import NAMES, make_class

OUTSIDE = Path(__file__).parents[2] / "outside"
MATHML = "{http://www.w3.org/1998/Math/MathML}"
CP = "{http://www.imsglobal.org/xsd/imscp_v1p1}"
SEED = 31415926535897
HOSTILE = "</p><script>alert('1')</script> & \"x\" ]]> <!-- \x00\x1b[31m\u202e\ufffe {name}"
TYPED = read_circuit("series C1 = 4.7 µF; shunt L1 = 330 µH; load 8.2")
PLAN = Plan(
    f"Filters {HOSTILE}",
    SEED,
    (
        PlanSection("Climbs", HOSTILE, levels=(1, 2, 3, 4, 5, 6), count=6),
        PlanSection(
            HOSTILE, levels=(2, 3), count=2, ask=(Rung.TRANSFER, Rung.LOW_PHASE, Rung.GAIN)
        ),
        PlanSection(
            "Sketches", task=Task.SKETCH, levels=(2, 3), count=2, points=PointsRule(Fraction(5, 2))
        ),
        PlanSection("Back", task=Task.REVERSE, levels=(1, 2, 3), count=4, same_families=False),
        PlanSection(
            "",
            ask=(Rung.TYPE, Rung.LOW_PHASE, Rung.CORNER),
            tolerance=Fraction(5, 100),
            circuits=(
                FixedCircuit(
                    read_circuit("series C1 = 4.7 µF; shunt L1 = 330 µH; load 8.2"), "<b>"
                ),
            ),
        ),
        PlanSection("Levels", task=Task.PREDICT, levels=(1, 2, 3), count=2, ask=(Rung.GAIN_AT,)),
    ),
    instructions=f"Two lines:\n{HOSTILE}",
    format=NUMBERED_PLAN_FORMAT,  # whose circuits meet every case below
)


EACH = PackageForm(each=True)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> ClassFolder:
    out = tmp_path_factory.mktemp("class")
    make_class(out, 3, PLAN)
    return open_folder(out)


@pytest.fixture(scope="module")
def files(folder: ClassFolder) -> dict[str, bytes]:
    found = list(package(given(folder), Counts(), EACH))
    assert len(dict(found)) == len(found)
    return dict(found)


@lru_cache
def grammar(name: str) -> etree.RelaxNG:
    return etree.RelaxNG(etree.parse(str(OUTSIDE / name)))


def items(files: dict[str, bytes]) -> dict[str, etree._Element]:
    return {
        name: etree.fromstring(data)
        for name, data in files.items()
        if name.endswith(".xml") and "/q" in name
    }


def asked(folder: ClassFolder, files: dict[str, bytes]) -> list[tuple[Question, etree._Element]]:
    found = []
    for student in given(folder):
        for item in student.key.items:
            for place, question in enumerate(item.problem.questions, 1):
                name = f"sheet-{student.entry.number:02d}/q{item.number}-{place}.xml"
                found.append((question, etree.fromstring(files[name])))
    return found


# ------------------------------------------------------------------------------- structure


def test_every_document_is_of_the_published_structure(files: dict[str, bytes]) -> None:
    kinds: Counter[str] = Counter()
    for name, data in files.items():
        tree = etree.fromstring(data)
        if name.endswith(".xml"):
            schema = grammar("imscp_v1p1.rng" if name == "imsmanifest.xml" else "qti_v2p1.rng")
            assert schema.validate(tree), (name, schema.error_log.last_error)
        kinds[etree.QName(tree).localname] += 1
    assert kinds["manifest"] == 1
    assert kinds["assessmentTest"] == 3
    assert kinds["assessmentItem"] > 150
    assert kinds["svg"] >= 40


def test_the_grammar_refuses_what_the_specification_forbids(files: dict[str, bytes]) -> None:
    """The checks above can fail: each of these breaks one rule."""
    schema = grammar("qti_v2p1.rng")
    broken = 0
    for name, data in list(files.items())[:60]:
        if not name.endswith(".xml"):
            continue
        text = data.decode()
        for old, new in (
            (' adaptive="false"', ""),
            ('baseType="float"', 'baseType="number"'),
            ('cardinality="single"', 'cardinality="one"'),
            ("<itemBody>", "<itemBody>loose text"),
            ('showHide="show"', ""),
            (' shuffle="false"', ""),
            (' toleranceMode="exact"', ""),
            ('identifier="RESPONSE"', 'identifier="1 RESPONSE"'),
            (' tolerance="2 2"', ' tolerance="2 %"'),
        ):
            if old in text:
                assert not schema.validate(etree.fromstring(text.replace(old, new, 1).encode())), (
                    old
                )
                broken += 1
    assert broken > 100


def test_identifiers_are_unique_in_the_whole_package(files: dict[str, bytes]) -> None:
    names: Counter[str] = Counter()
    for name, data in files.items():
        if name.endswith("test.xml"):
            tree = etree.fromstring(data)
            names.update(
                one.get("identifier", "")
                for one in tree.iter(f"{QTI}testPart", f"{QTI}assessmentSection")
            )
            names[tree.get("identifier", "")] += 1
    names.update(tree.get("identifier", "") for tree in items(files).values())
    assert max(names.values()) == 1
    assert all(len(name) <= 32 for name in names)


def test_manifest_tests_and_files_agree(files: dict[str, bytes]) -> None:
    agree(files)


def agree(files: dict[str, bytes]) -> None:
    """What the manifest lists is there, refers to what is there, and leaves nothing out."""
    manifest = etree.fromstring(files["imsmanifest.xml"])
    resources = {one.get("identifier", ""): one for one in manifest.iter(f"{CP}resource")}
    listed = {one.get("href") for one in manifest.iter(f"{CP}file")}
    assert listed == set(files) - {"imsmanifest.xml"}
    every = items(files)
    for resource in resources.values():
        href = resource.get("href", "")
        kind = resource.get("type")
        tree = etree.fromstring(files[href])
        above = "/".join(href.split("/")[:-1])
        assert tree.get("identifier") == resource.get("identifier", "").removesuffix("-r")
        if kind == "imsqti_test_xmlv2p1":
            refs = list(tree.iter(f"{QTI}assessmentItemRef"))
            for ref in refs:
                item = every["/".join(filter(None, (above, ref.get("href", ""))))]
                assert item.get("identifier") == ref.get("identifier")
            needs = [d.get("identifierref", "") for d in resource.iter(f"{CP}dependency")]
            assert needs == [f"{ref.get('identifier')}-r" for ref in refs]
        else:
            assert kind == "imsqti_item_xmlv2p1"
            images = {f"{above}/{one.get('src')}" for one in tree.iter(f"{QTI}img")}
            beside = {name.replace(".png", ".svg") for name in images}
            assert {f.get("href") for f in resource.iter(f"{CP}file")} == {href, *images, *beside}


def test_interactions_suit_what_is_asked(folder: ClassFolder, files: dict[str, bytes]) -> None:
    seen: set[Form] = set()
    for question, item in asked(folder, files):
        seen.add(question.form)
        declared = item.find(f"{QTI}responseDeclaration")
        assert declared is not None
        (interaction,) = item.xpath("//*[@responseIdentifier]")
        kind, base = etree.QName(interaction).localname, declared.get("baseType")
        match question.form:
            case Form.CHOICE:
                assert (kind, base) == ("choiceInteraction", "identifier")
                choices = [c.get("identifier") for c in interaction.iter(f"{QTI}simpleChoice")]
                assert choices == list(LETTERS[: len(question.choices)])
                right = [c.id for c in question.choices].index(str(question.truth))
                assert Session(item).correct == choices[right]
            case Form.FORMULA | Form.SKETCH:
                assert (kind, base) == ("extendedTextInteraction", "string")
                assert item.find(f"{QTI}responseProcessing") is None
                assert declared.find(f"{QTI}correctResponse") is None
            case Form.COUNT | Form.SLOPE | Form.ANGLE:
                assert (kind, base) == ("textEntryInteraction", "integer")
            case _:
                assert (kind, base) == ("textEntryInteraction", "float")
                body = "".join(item.find(f"{QTI}itemBody").itertext())
                assert question.unit in body
    assert seen == set(Form)


def test_points_add_up(folder: ClassFolder, files: dict[str, bytes]) -> None:
    for student in given(folder):
        name = f"sheet-{student.entry.number:02d}"
        most = sum(
            Session(tree).values["MAXSCORE"] or 0  # type: ignore[misc]
            for path, tree in items(files).items()
            if path.startswith(f"{name}/")
        )
        test = etree.fromstring(files[f"{name}/test.xml"])
        assert most == float(student.sheet.points)
        assert test.find(f"{QTI}outcomeDeclaration").get("normalMaximum") == f"{most:g}"


def test_pictures_have_words_and_a_white_ground(files: dict[str, bytes]) -> None:
    for name, data in files.items():
        if not name.endswith(".svg"):
            continue
        root = etree.fromstring(data)
        ground = root.find("{http://www.w3.org/2000/svg}rect")
        assert ground is not None
        view = (root.get("viewBox") or "").split()
        assert [ground.get(k) for k in ("x", "y", "width", "height")] == view
        assert ground.get("fill") == "#fff"
        assert not root.xpath("//*[local-name()='script'] | //@href")
    for tree in items(files).values():
        for image in tree.iter(f"{QTI}img"):
            assert len(image.get("alt") or "") > 20


# ----------------------------------------------------------- what is said, and where it is seen


def test_no_prompt_contradicts_its_field(folder: ClassFolder, files: dict[str, bytes]) -> None:
    """A field for a number takes no formula, no prefix, no unit and nothing in dB/octave."""
    forbidden = ("formula", "any prefix", "dB/octave", "dB with its unit")
    fields = 0
    for question, item in asked(folder, files):
        if question.form is Form.CHOICE or question.form in BY_HAND:
            continue
        body = " ".join(item.find(f"{QTI}itemBody").itertext())
        assert not [text for text in forbidden if text in body], body
        if question.tolerance:
            assert "Right within " in body
        fields += 1
    assert fields > 60
    # Our own readers take all of that, and say so.
    ours = [Words.load().prompt(question) for question, _ in asked(folder, files)]
    assert all(any(text in prompt for prompt in ours) for text in forbidden)


def test_who_marks_by_hand_has_the_key_and_nobody_else_does(
    folder: ClassFolder, files: dict[str, bytes]
) -> None:
    by_hand = 0
    for question, item in asked(folder, files):
        rubrics = item.findall(f".//{QTI}rubricBlock")
        if question.form not in BY_HAND:
            assert not rubrics
            continue
        (rubric,) = rubrics
        assert rubric.get("view") == "scorer"
        points = Session(item).values["MAXSCORE"]
        assert f"Points: {points:g}." in " ".join(rubric.itertext())
        if question.form is Form.FORMULA:
            assert rubric.find(f".//{MATHML}math") is not None
        by_hand += 1
    assert by_hand > 10


def test_formulas_are_mathml_and_say_what_they_are(files: dict[str, bytes]) -> None:
    formulas = [one for tree in items(files).values() for one in tree.iter(f"{MATHML}math")]
    assert len(formulas) > 20
    assert all(len(one.get("alttext") or "") > 3 for one in formulas)


@pytest.fixture(scope="module")
def pool(folder: ClassFolder) -> dict[str, bytes]:
    return dict(package([*given(folder), *given(folder)], Counts()))


def test_a_test_draws_each_problem_from_those_of_all_sheets(
    folder: ClassFolder, pool: dict[str, bytes]
) -> None:
    """What is given to several students is in the package once."""
    sheets = list(given(folder))
    test = etree.fromstring(pool["test.xml"])
    assert grammar("qti_v2p1.rng").validate(test)
    drawn = test.xpath("//*[local-name()='selection']")
    assert {one.get("select") for one in drawn} == {"1"}
    problems = len(sheets[0].sheet.items)
    typed = sum(len(section.circuits) for section in PLAN.sections)
    assert len(drawn) == problems - typed  # a typed circuit is the same for everybody
    for selection in drawn:
        alternatives = selection.getparent().findall(f"{QTI}assessmentSection")
        assert len(alternatives) == len(sheets)
        assert {one.get("visible") for one in alternatives} == {"false"}
    # Nobody's items are another problem's, and a sheet's own are among those that can be drawn.
    chance = random.Random(5)
    for _ in range(5):
        refs = drawn_items(test, chance)
        hrefs = [ref.get("href", "").split("/")[0] for ref in refs]
        assert hrefs == sorted(hrefs)
        assert len(set(hrefs)) == problems


def drawn_items(section: etree._Element, chance: random.Random) -> list[etree._Element]:
    """The items that a course system gives one candidate (Information Model 2.1, 3.3)."""
    inner = [c for c in section if etree.QName(c).localname in ("testPart", "assessmentSection")]
    if section.find(f"{QTI}selection") is not None:
        inner = [chance.choice(inner)]
    return [
        *section.findall(f"{QTI}assessmentItemRef"),
        *(ref for one in inner for ref in drawn_items(one, chance)),
    ]


def test_a_pool_is_as_sound_as_tests_for_each(pool: dict[str, bytes]) -> None:
    agree(pool)
    names = [tree.get("identifier") for tree in items(pool).values()]
    assert len(set(names)) == len(names)
    for name, data in pool.items():
        if name.endswith(".xml"):
            kind = "imscp_v1p1.rng" if name == "imsmanifest.xml" else "qti_v2p1.rng"
            assert grammar(kind).validate(etree.fromstring(data)), name


def test_pictures_as_png_have_the_drawings_beside_them(folder: ClassFolder) -> None:
    made = dict(package(given(folder, (1,)), Counts(), PackageForm(each=True, ending="png")))
    agree(made)
    pictures = [name for name in made if name.endswith(".png")]
    assert len(pictures) > 5
    for name in pictures:
        assert made[name].startswith(b"\x89PNG\r\n\x1a\n")
        # Its size in pixels (ISO/IEC 15948, 11.2.2) is in proportion to the drawing's.
        wide, high = struct.unpack(">II", made[name][16:24])
        drawing = etree.fromstring(made[name.replace(".png", ".svg")])
        _, _, width, height = map(float, (drawing.get("viewBox") or "").split())
        assert wide / high == pytest.approx(width / height, rel=0.02)
    for tree in items(made).values():
        assert all((one.get("src") or "").endswith(".png") for one in tree.iter(f"{QTI}img"))


# --------------------------------------------------------------------- what it makes of answers


def test_right_answers_have_all_points_and_none_has_none(
    folder: ClassFolder, files: dict[str, bytes]
) -> None:
    for question, item in asked(folder, files):
        if question.form in BY_HAND:
            assert Session(item).answer("1/(1+s)") == (0.0, None)
            continue
        session = Session(item)
        assert session.answer(session.correct) == (session.values["MAXSCORE"], "right")
        assert Session(item).answer(None) == (0.0, None)


def test_the_tolerance_is_that_of_the_question(
    folder: ClassFolder, files: dict[str, bytes]
) -> None:
    seen = set()
    for question, item in asked(folder, files):
        if question.form not in (Form.QUANTITY, Form.RATIO, Form.GAIN):
            continue
        assert isinstance(question.truth, float)
        tolerance = float(question.tolerance)
        seen.add(question.tolerance)
        for factor, fine in ((-0.999, True), (0.999, True), (-1.001, False), (1.001, False)):
            score, feedback = Session(item).answer(question.truth * (1 + factor * tolerance))
            assert (score > 0) is fine
            assert (feedback == "right") is fine
    assert seen == {Fraction(2, 100), Fraction(5, 100)}


def test_half_a_turn_is_right_either_way_round(
    folder: ClassFolder, files: dict[str, bytes]
) -> None:
    """As the grader has it: towards DC +180° and −180° are one angle, elsewhere they are not."""
    found = Counter[bool]()
    for question, item in asked(folder, files):
        if question.form is Form.ANGLE and question.truth:
            same = question.rung is Rung.LOW_PHASE and abs(int(question.truth)) == 180
            score, _ = Session(item).answer(-int(question.truth))
            assert (score > 0) is same
            found[same] += 1
    assert found[True]
    assert found[False]


def test_each_slip_is_named_for_its_own_answer(
    folder: ClassFolder, files: dict[str, bytes]
) -> None:
    """Likeliest first: another slip is only named where it predicts the same figure."""
    named = own = 0
    for question, item in asked(folder, files):
        for branch in item.iter(f"{QTI}responseElseIf"):
            feedback = branch.findall(f"{QTI}setOutcomeValue/{QTI}baseValue")[1].text
            if feedback == "right":
                continue
            value = READ[question.form](branch[0].find(f"{QTI}baseValue").text)
            score, found = Session(item).answer(value)
            assert score == 0
            assert found is not None
            assert found.startswith("slip-")
            named += 1
            own += found == feedback
    assert named > 400
    assert own >= 0.97 * named


READ = {
    Form.CHOICE: str, Form.COUNT: int, Form.SLOPE: int, Form.ANGLE: int,
    Form.QUANTITY: float, Form.RATIO: float, Form.GAIN: float,
    Form.LEVEL: float,
}  # fmt: skip


def test_a_course_system_marks_as_the_grader_does(
    folder: ClassFolder, files: dict[str, bytes]
) -> None:
    """The same answers to the same questions: same points, and the slip named is the grader's."""
    chance = random.Random(11)
    agreed = slips = 0
    for student in given(folder, (1,)):
        for item in student.key.items:
            for place, question in enumerate(item.problem.questions, 1):
                if question.form in BY_HAND:
                    continue
                tree = etree.fromstring(files[f"sheet-01/q{item.number}-{place}.xml"])
                for value, typed in answers(question, tree, chance):
                    mark = grade(item.problem, question, typed)
                    assert mark.verdict is not Verdict.UNCLEAR, (question, typed, mark.trouble)
                    score, feedback = Session(tree).answer(value)
                    assert (score > 0) is mark.passed, (question, typed)
                    if feedback and feedback != "right":
                        title = tree.xpath(
                            "//*[@identifier=$it and local-name()='modalFeedback']/@title",
                            it=feedback,
                        )[0]
                        names = [Words.load().slip_name(hit.slip) for hit in mark.slips]
                        assert title in names, (question.rung, typed, title, names)
                        slips += 1
                    agreed += 1
    assert agreed > 300
    assert slips > 80


def answers(
    question: Question, tree: etree._Element, chance: random.Random
) -> list[tuple[str | int | float, str]]:
    """Values for the course system, and the same as they are typed here."""
    values: list[str | int | float] = []
    if question.form is Form.CHOICE:
        return [(LETTERS[n], LETTERS[n].lower()) for n in range(len(question.choices))]
    guesses = tree.xpath("//*[local-name()='match' or local-name()='equal']/*[@baseType]")
    values += [READ[question.form](guess.text) for guess in guesses]
    assert not isinstance(question.truth, str)
    if question.form in (Form.QUANTITY, Form.RATIO, Form.GAIN):
        values += [question.truth * chance.uniform(0.9, 1.1) for _ in range(4)]
        return [(v, f"{v!r} {question.unit}".strip()) for v in values if v > 0]
    if question.form is Form.LEVEL:
        off = (-1.01, -0.99, 0.99, 1.01)
        values += [question.figure + way * question.slack for way in off]
        return [(v, f"{v!r} {question.unit}") for v in values]
    values += [int(question.truth), chance.randrange(0, 4)]
    unit = {"slope": " dB/decade", "angle": "°"}.get(question.form.value, "")
    return [(v, f"{v}{unit}") for v in values if not (question.form is Form.COUNT and int(v) < 0)]


# -------------------------------------------------------------------- what it does not give away


def test_nothing_in_it_says_seed_family_or_whose_it_is(files: dict[str, bytes]) -> None:
    families = {family.name for family in FAMILIES}
    for name, data in files.items():
        text = data.decode()
        assert str(SEED) not in text
        assert not any(f in text for f in families), name
        for student, _ in NAMES[:3]:
            assert escape(student) not in text
            assert student not in text


def test_identifiers_of_choices_feedback_and_files_say_nothing(files: dict[str, bytes]) -> None:
    for tree in items(files).values():
        for one in tree.iter(f"{QTI}simpleChoice"):
            assert len(one.get("identifier", "")) == 1
        named = [m.get("identifier") for m in tree.iter(f"{QTI}modalFeedback")]
        expected = ["right", *(f"slip-{n}" for n in range(1, len(named)))]
        assert named in ([], expected)
    assert all(set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-./") for name in files)


def test_hostile_texts_stay_texts(folder: ClassFolder, files: dict[str, bytes]) -> None:
    for name, data in files.items():
        assert b"<script" not in data, name
        assert b"\x1b" not in data
        assert "\u202e".encode() not in data
    test = etree.fromstring(files["sheet-01/test.xml"])
    told = plain(HOSTILE).replace("\ufffe", "")
    assert test.get("title") == f"Filters {told}, sheet 01"
    sections = [s.get("title") for s in test.iter(f"{QTI}assessmentSection")]
    assert told in sections
    assert "Section 5" in sections
    assert "Problem 15: <b>" in sections
    rubric = test.find(f".//{QTI}rubricBlock")
    assert [p.text for p in rubric] == ["Two lines:", told, told]


@pytest.mark.parametrize("text", ["", "&amp;", "]]>", "\ud800", "\x0b", "\ufffe", "𝄞", "\r\n\t"])
def test_any_text_is_written_so_that_it_can_be_read(text: str) -> None:
    tree = etree.fromstring(written(node("p", text, title=text)))
    kept = "".join(c for c in text if c not in "\ud800\x0b\ufffe\r\t")
    assert (tree.text or "") == kept
    assert tree.get("title") == kept.replace("\n", "")


# ------------------------------------------------------------------------------------- files


def test_the_same_sheets_are_the_same_bytes(
    folder: ClassFolder, files: dict[str, bytes], tmp_path: Path
) -> None:
    assert dict(package(given(folder), Counts(), EACH)) == files
    for name in ("a.zip", "b.zip"):
        archive.write_zip(tmp_path / name, files.items())
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    with zipfile.ZipFile(tmp_path / "a.zip") as found:
        assert found.testzip() is None
        assert {n: found.read(n) for n in found.namelist()} == files
        assert {entry.date_time for entry in found.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    archive.write_folder(tmp_path / "c", files.items())
    there = {p.relative_to(tmp_path / "c").as_posix(): p for p in (tmp_path / "c").rglob("*.*")}
    assert {name: path.read_bytes() for name, path in there.items()} == files


def test_one_sheet_is_the_same_alone_as_among_the_others(
    folder: ClassFolder, files: dict[str, bytes]
) -> None:
    alone = dict(package(given(folder, (2,)), Counts(), EACH))
    del alone["imsmanifest.xml"]
    assert alone == {n: d for n, d in files.items() if n.startswith("sheet-02/")}


def test_what_fails_on_the_way_leaves_nothing(tmp_path: Path) -> None:
    def broken() -> object:
        yield "a.xml", b"x"
        raise ValueError("no more")

    for write in (archive.write_zip, archive.write_folder):
        with pytest.raises(ValueError, match="no more"):
            write(tmp_path / "out", broken())  # type: ignore[arg-type]
        assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("path", ["../x", "/etc/x", "a/../../x", "a\\..\\x"])
def test_no_path_leads_out_of_a_package(tmp_path: Path, path: str) -> None:
    for write in (archive.write_zip, archive.write_folder):
        with pytest.raises(ValueError, match="leads out"):
            write(tmp_path / "in" / "out", [(path, b"")])
