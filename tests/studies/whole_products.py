"""All sizes with all levels, all themes at all sizes, every sample at its full length.

    python -m tests.studies.whole_products [-n 2]

runs the tests that try only a covering part of a product in the suite, with the whole of it; it
takes some minutes.  Words are handed on to pytest.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.support.samples import WHOLE

ROOT = Path(__file__).parents[2]
ASKS = "from tests.support.samples import"


def files() -> list[str]:
    """The files of tests that ask how much to try."""
    tests = sorted((ROOT / "tests").rglob("test_*.py"))
    return [str(p.relative_to(ROOT)) for p in tests if ASKS in p.read_text("utf-8")]


def main() -> None:
    """Run them."""
    command = [sys.executable, "-m", "pytest", *files(), *sys.argv[1:]]
    environ = {**os.environ, WHOLE: "1"}
    raise SystemExit(subprocess.run(command, cwd=ROOT, env=environ, check=False).returncode)


if __name__ == "__main__":
    main()
