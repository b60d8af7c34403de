"""Plans for the tests of sheets."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from rungwise.problems.questions.model import Rung, Task
from rungwise.problems.sheets.model import Plan, PlanSection

EXAMPLE = Path(__file__).parents[3] / "content" / "plan-example.toml"


def example_text() -> str:
    """The example that the project ships, with a seed as `rungwise sheet start` draws one."""
    text = EXAMPLE.read_text(encoding="utf-8")
    return text.replace("\nseed = 0\n", f"\nseed = {2**61 + 20261203}\n")


def example() -> dict[str, Any]:
    """Its values."""
    return tomllib.loads(example_text())


def mixed(seed: int = 7, count: int = 3) -> Plan:
    """A plan with every task."""
    return Plan(
        "Filters",
        seed,
        (
            PlanSection("Inspection", levels=(2, 3), count=count, ask=(Rung.TYPE, Rung.CORNER)),
            PlanSection("Climbs", levels=(1, 3, 4), count=count),
            PlanSection("Sketches", task=Task.SKETCH, levels=(2, 3), count=count),
            PlanSection("Ways back", task=Task.REVERSE, count=count, same_families=False),
        ),
    )
