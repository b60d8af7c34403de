"""Write ``content/plan.schema.json`` anew from the tables that read plans.

python -m tests.golden.make_schema
"""

from __future__ import annotations

import json
from pathlib import Path

from .plan_schema import schema

FILE = Path(__file__).parents[2] / "content" / "plan.schema.json"


def text() -> str:
    """The file's text."""
    return json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
