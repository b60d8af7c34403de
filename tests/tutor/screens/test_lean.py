"""What the full screen leaves out of two libraries, in a process of its own each time."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from rungwise.tutor.screens.compat.lean import HOMES

PROBLEMS = Path(__file__).parents[3] / "problems"


def run(code: str) -> str:
    """What a program prints that begins with both libraries made lean."""
    head = (
        "import sys\nfrom rungwise.tutor.screens.compat import lean\n"
        + "lean.few_numbers(); lean.without_network()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", head + code], check=True, capture_output=True, text=True
    )
    return done.stdout.strip()


def test_the_loop_runs_without_openssl_which_is_still_to_be_had() -> None:
    out = run(
        "import asyncio, shutil\n"
        "print('_ssl' in sys.modules, asyncio.run(asyncio.sleep(0, 'slept')))\n"
        "import ssl, lzma\n"
        "print(ssl.create_default_context().check_hostname, lzma.decompress(lzma.compress(b'x')))"
    )
    assert out.splitlines() == ["False slept", "True b'x'"]


def test_a_loop_that_is_there_already_is_left_alone() -> None:
    code = (
        "import asyncio, ssl\nfrom rungwise.tutor.screens.compat import lean\n"
        + "lean.without_network()\n"
    )
    code += "import asyncio.sslproto\nprint(asyncio.sslproto.ssl is ssl)"
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "True"


def test_a_problem_made_with_the_lean_library_is_the_same_problem() -> None:
    """And grading it asks for none of the types that are left out."""
    from rungwise.problems.grading.grade import right_text
    from rungwise.tutor.learning.climb import Climb
    from rungwise.tutor.learning.request import ProblemRequest

    out = run(
        "from rungwise.tutor.learning.request import Wish\n"
        "from rungwise.tutor.learning.climb import Climb\n"
        "from rungwise.problems.grading.grade import right_text\n"
        "for level in (1, 2, 4):\n"
        "    climb = Climb(Wish(level, None, 7).problem())\n"
        "    print(climb.problem)\n"
        "    while not climb.done:\n"
        "        print(climb.answer('77'), climb.answer(right_text(climb.current.question)))\n"
        "flint = sys.modules['flint']\n"
        "assert type(flint).__name__ == '_Flint', 'it became the whole library'\n"
        "assert 'flint.types.nmod_mpoly' not in sys.modules\n"
    )
    said = []
    for level in (1, 2, 4):
        climb = Climb(ProblemRequest(level, None, 7).problem())
        said.append(str(climb.problem))
        while not climb.done:
            right = right_text(climb.current.question)
            said.append(f"{climb.answer('77')} {climb.answer(right)}")
    assert out.splitlines() == said


def test_any_other_name_brings_the_whole_library_with_the_same_types() -> None:
    out = run(
        "import flint\n"
        "assert 'flint.types.fmpq' not in sys.modules\n"
        "ours = {name: getattr(flint, name) for name in lean.HOMES}\n"
        "from flint import nmod\n"
        "print(nmod(5, 3), all(getattr(flint, name) is ours[name] for name in ours))\n"
        "print(all(hasattr(flint, name) for name in flint.__all__), flint.__version__ > '0')\n"
        "try:\n"
        "    flint.no_such_type\n"
        "except AttributeError as error:\n"
        "    print(error)\n"
        "import pickle\n"
    ).splitlines()
    assert out[0] == "2 True"
    assert out[1] == "True True"
    assert "no_such_type" in out[2]


def test_star_imports_everything() -> None:
    assert run("from flint import *\nprint(nmod_poly, good, fmpq)").count("<") >= 2


@pytest.mark.parametrize("path", sorted(PROBLEMS.glob("*.py")), ids=lambda path: path.stem)
def test_every_name_that_we_use_is_among_the_lean_ones(path: Path) -> None:
    import ast

    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module == "flint":
            assert {alias.name for alias in node.names} <= set(HOMES)
