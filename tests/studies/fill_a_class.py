"""A class fills its sheets in: right answers, slips, blanks and scrawl, by a seeded generator.

    python -m tests.studies.fill_a_class SHEETS HAND-INS [SEED]

``SHEETS`` is the folder that ``rungwise sheet make`` wrote.  Hand-ins lie in ``HAND-INS`` as they
come back: some as tables, some as JSON, in folders or not; the last student hands nothing in.
"""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path

from rungwise.problems.analysis.response import facts
from rungwise.problems.chance import Chance
from rungwise.problems.grading.grade import right_text
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Form, Problem, Question
from rungwise.problems.sheets.documents import key_of
from rungwise.problems.sheets.model import Key
from rungwise.problems.slips.engine import predictions
from rungwise.tutor.classroom.handins.files import answers_csv


def fill(sheets: Path, hand_ins: Path, seed: int = 1) -> int:
    """Fill every sheet but the last; how many hand-ins there are."""
    folders = sorted((sheets / "keys").glob("*/key.json"))
    hand_ins.mkdir(parents=True, exist_ok=True)
    for number, file in enumerate(folders[:-1]):
        chance = Chance(seed, "class", number)
        key = key_of(json.loads(file.read_text(encoding="utf-8")))
        student = sheets / "students" / file.parent.name
        template = json.loads((student / "answers.json").read_text(encoding="utf-8"))
        template["answers"].update(answers(key, chance, skill=3 + number % 7))
        if number % 3 == 0:
            target = hand_ins / file.parent.name
            target.mkdir(exist_ok=True)
            (target / "answers.csv").write_bytes(answers_csv(template).encode("utf-8-sig"))
        elif number % 3 == 1:
            text = json.dumps(template, ensure_ascii=False, indent=1)
            (hand_ins / f"hand-in-{number}.json").write_text(text, encoding="utf-8")
        else:
            table = answers_csv(template)
            (hand_ins / f"{number} answers.csv").write_bytes(table.encode("utf-16"))
    if folders:  # and something that is no hand-in at all
        shutil.copyfile(
            sheets / "students" / folders[0].parent.name / "sheet.txt", hand_ins / "notes.txt"
        )
    return len(folders) - 1


def answers(key: Key, chance: Chance, skill: int) -> dict[str, str]:
    """One student's answers; of ten, ``skill`` are right."""
    found = {}
    for item in key.items:
        for place, question in enumerate(item.problem.questions, 1):
            right = chance.below(10) < skill
            found[f"{item.number}.{place}"] = (
                right_text(question) if right else wrong(item.problem, question, chance)
            )
    return found


def wrong(problem: Problem, question: Question, chance: Chance) -> str:
    """A wrong answer: a slip's where there is one, else another choice, a blank or a scrawl."""
    luck = chance.below(10)
    if luck == 0:
        return ""
    if luck == 1 and question.form is not Form.CHOICE:
        return "see the other page"
    known = facts(problem.ladder)
    slips = [p for p in predictions(problem.ladder, known, question) if p.in_play]
    if slips:
        value = chance.pick(slips).value
        if question.form is Form.QUANTITY and isinstance(value, float):
            return write_quantity(value, question.unit)
        return str(value)
    others = [c.id for c in question.choices if c.id != question.truth]
    return chance.pick(others) if others else ""


if __name__ == "__main__":
    count = fill(Path(sys.argv[1]), Path(sys.argv[2]), *map(int, sys.argv[3:4]))
    print(f"{count} hand-ins in {sys.argv[2]}")
