"""A class in which students answer alike, and what could not be read waits."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Rung
from rungwise.problems.sheets.model import Plan, PlanSection

from .handed_in import Class, as_csv, key_for
from .saved_tables import saved

PLAN = Plan(
    "Quiz",
    2**60 + 11,
    (
        PlanSection(
            "By eye", families=("rc-low-pass",), count=2, ask=(Rung.TYPE, Rung.POLES, Rung.CORNER)
        ),
    ),
)
"""Two problems of one pole: the corners are the student's own, the counts are everybody's."""


def right_of(number: int) -> dict[str, str]:
    """The right answers of a student."""
    return {
        f"{item.number}.{place}": right_text(question)
        for item in key_for(number, PLAN).items
        for place, question in enumerate(item.problem.questions, 1)
    }


def number_of(form: Form, student: int = 1) -> str:
    """The first question of a form."""
    return next(
        f"{item.number}.{place}"
        for item in key_for(student, PLAN).items
        for place, question in enumerate(item.problem.questions, 1)
        if question.form is form
    )


COUNT, FIGURE = "1.2", "1.3"


class AlikeClass(Class):
    """A class of the plan above, and what is done with its tables."""

    def __init__(self, folder: Path, count: int = 4) -> None:
        super().__init__(folder, count, PLAN)

    @classmethod
    def waiting(cls, folder: Path) -> AlikeClass:
        """A marked class of three, in which two answers of two students wait for a human."""
        found = cls(folder, 3)
        found.hand_in(1, q1_2="one or two", q1_3="1k6 or 2k6")
        found.hand_in(2, q1_2="one or two", q1_3="1k6 or 2k6")
        found.mark()
        return found

    def hand_in(self, number: int, **answers: str) -> None:
        """Hand in right answers but for some, such as ``q1_2``."""
        others = {name[1:].replace("_", "."): text for name, text in answers.items()}
        data = as_csv(number, right_of(number) | others, PLAN)
        (self.back / f"{number}.csv").write_bytes(data)

    def rows(self) -> list[dict[str, str]]:
        """What waits."""
        return self.table("unclear.csv")

    def fill_in(
        self,
        decide: Callable[[dict[str, str]], Mapping[str, str]],
        name: str = "settled.csv",
        kind: str = "comma.csv",
    ) -> bytes:
        """Fill unclear.csv in, and save it.

        Args:
            decide: what is filled in to a row.
            name: of the file.
            kind: of the file, as in ``saved_tables``.
        """
        listed = self.rows()
        table = [list(listed[0])]
        for row in listed:
            table.append(list((row | dict(decide(row))).values()))
        data = saved(table, kind)
        (self.marks / name).write_bytes(data)
        return data

    def total(self, number: int) -> object:
        """The points of a student."""
        return self.found().students[number - 1].points

    def told(self) -> list[str]:
        """What is told in apart.csv."""
        return [row["what"] for row in self.table("apart.csv")]
