"""A class made and handed in under an earlier release is read, filled in and marked as it was."""

from __future__ import annotations

import json
import shutil
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from rungwise.problems.sheets.documents import key_document, key_of, sheet_document, sheet_of
from rungwise.tutor.classroom.making.jobs import json_bytes
from rungwise.tutor.cli.sheet import sheet

from .old.make import COUNT, FIRST, readings


def test_old_hand_ins_are_given_the_marks_they_were_given(tmp_path: Path) -> None:
    for part in "out", "back":
        shutil.copytree(FIRST / part, tmp_path / part)
    done = CliRunner().invoke(sheet, ["mark", str(tmp_path / "out"), str(tmp_path / "back")])
    assert done.exit_code == 0, done.output
    found = json.loads((tmp_path / "out" / "marks" / "marks.json").read_bytes())
    given = json.loads((FIRST / "marks.json").read_bytes())
    # Counted apart since then; the last entry is a digest of all before it, this count included.
    assert found["counts"].pop("unread") == 0
    assert found.pop("made_of") != given.pop("made_of")
    for old in given["students"]:
        for question in _sketches(old):
            _marked_as_now(old, question)
    for new in found["students"]:
        for question in _sketches(new):
            question.pop("pieces", None)
            question.pop("told", None)
    idle = 0
    for student in given["students"]:
        for question in (q for problem in student["problems"] for q in problem["questions"]):
            if question.get("typed") == "no idea":  # blank since then, and nobody has to look
                question["verdict"] = "blank"
                del question["trouble"]
                student["open"] -= 1
                idle += 1
    given["counts"]["open"] -= idle
    assert idle == 5
    assert unworded(found) == unworded(given)


def unworded(marks: dict[str, Any]) -> dict[str, Any]:
    """``marks`` without sentences, which a release may say better: letters and slips' keys stay."""
    for student in marks["students"]:
        for question in (q for problem in student["problems"] for q in problem["questions"]):
            question.pop("told", None)
            question.pop("alike", None)  # said since then: who else wrote the same
            if "trouble" in question:
                question["trouble"] = bool(question["trouble"])
            if "slips" in question:
                question["slips"] = [slip for slip, _ in question["slips"]]
            if question["form"] == "choice":
                question["answer"] = question["answer"].split(")")[0]
                question.pop("understood", None)
    return marks


def _sketches(student: dict[str, Any]) -> list[dict[str, Any]]:
    questions = [q for problem in student["problems"] for q in problem["questions"]]
    return [question for question in questions if question["form"] == "sketch"]


def _marked_as_now(student: dict[str, Any], sketch: dict[str, Any]) -> None:
    """A sketch of which only the number of breaks is right had points then: now it has none.

    Its pieces are counted without that number, and told with what is wrong with each.
    """
    pieces = sketch.pop("pieces", None)
    told = sketch.pop("told", [])
    if pieces and pieces[0] < pieces[1]:
        assert told[0] == "What is right in it: the number of breaks, 1."
        lost, sketch["points"] = Fraction(sketch["points"]), "0"
        student["points"] = str(Fraction(student["points"]) - lost)


UNSAID = {
    ("2", "5.2", "1/(2·π·R1·C1) = 33.86 MHz"): "1/(2·π·R1·C1)",
    ("3", "4.2", "ω₀/2 + 1 = 10.66 kHz"): "ω₀/2 + 1",
    ("3", "6.2", "ω₀/2 + 1 = 192.7"): "ω₀/2 + 1",
}
"""Values that were once said, made of 1 Ω, 1 H and 1 F for what the sheet asks for: now none is."""


@pytest.mark.parametrize("number", map(str, range(1, COUNT + 1)))
def test_an_old_sheet_is_filled_in_as_it_was(number: str) -> None:
    expected = json.loads((FIRST / "readings.json").read_text("utf-8"))[number]
    for reading in expected:
        place = number, reading["question"], reading["understood"]
        reading["understood"] = UNSAID.get(place, reading["understood"])
    found = readings(FIRST, int(number))
    for was, is_ in zip(expected, found, strict=True):
        assert was["text"] == is_["text"]
        if is_["understood"] != was["understood"]:  # understood since then
            assert (was["understood"], is_["understood"]) == ("", "ω₀/2 + 1")
        else:  # why it is not is said in other words now
            assert bool(is_["trouble"]) == bool(was["trouble"])


def test_old_documents_are_read_and_written_as_they_were() -> None:
    keys, sheets = sorted(FIRST.rglob("key.json")), sorted(FIRST.rglob("sheet.json"))
    assert len(keys) == len(sheets) == COUNT
    for path in keys:
        data = path.read_bytes()
        assert json_bytes(key_document(key_of(json.loads(data)))) == data
    for path in sheets:
        data = path.read_bytes()
        assert json_bytes(sheet_document(sheet_of(json.loads(data)))) == data
