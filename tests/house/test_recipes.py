"""The recipes, followed in a copy of the tree: they write stubs, and say what is missing."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from rungwise.problems.questions.model import Task

ROOT = Path(__file__).parents[2]
FACE = '__path__ = [__file__.rsplit("rungwise", 1)[0]]\n'
"""A package whose rooms are the folders beside it, as they are in an installed one."""


class Copy:
    """A copy of the tree that imports itself."""

    def __init__(self, root: Path) -> None:
        self.root = root

    @classmethod
    def of_the_tree(cls, root: Path) -> Copy:
        """A first copy, made of what lies here, compiled modules included."""
        left = shutil.ignore_patterns("gallery", "figures", "studies", "journeys")
        for room in ("problems", "tutor", "content", "tests"):
            shutil.copytree(ROOT / room, root / room, ignore=left)
        (root / "rungwise").mkdir()
        (root / "rungwise" / "__init__.py").write_text(FACE, "utf-8")
        says = "import sys\n\nexec(sys.argv[1])\n"
        (root / "tests" / "recipe_says.py").write_text(says, "utf-8")
        made = cls(root)
        # One golden problem of each family and task: three times as many take three times as long.
        made.fill("tests/golden/make.py", ("SEEDS = (1, 2, 20_260_101)", "SEEDS = (1,)"))
        return made

    def again(self, root: Path) -> Copy:
        """A copy of this one, compiled modules included."""
        shutil.copytree(self.root, root)
        return Copy(root)

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a module of the copy."""
        return subprocess.run(
            [sys.executable, "-m", *words],
            cwd=self.root,
            env={**os.environ, "PYTHONPATH": str(self.root)},
            capture_output=True,
            text=True,
            timeout=300,
        )

    def missing(self) -> list[str]:
        """What the recipe says is missing."""
        done = self.run("tests.recipe", "missing")
        assert done.returncode in (0, 1), done.stderr
        found = [line[2:] for line in done.stdout.splitlines() if line.startswith("- ")]
        assert bool(found) == (done.returncode == 1)
        return found

    def recipe(self, *words: str) -> list[str]:
        """Follow a recipe; what it says is missing."""
        done = self.run("tests.recipe", *words)
        assert done.returncode == 0 and not done.stderr, done.stderr
        assert "still missing:" in done.stdout
        return [line[2:] for line in done.stdout.splitlines() if line.startswith("- ")]

    def tell(self, code: str) -> str:
        """What a line of Python says in the copy."""
        done = self.run("tests.recipe_says", code)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def fill(self, path: str, *pairs: tuple[str, str]) -> None:
        """Write what a stub left to a human."""
        text = (self.root / path).read_text("utf-8")
        for old, new in pairs:
            assert old in text, (path, old)
            text = text.replace(old, new)
        (self.root / path).write_text(text, "utf-8")


@pytest.fixture(scope="session")
def first(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    """A copy that nothing is missing from; no test changes it."""
    made = Copy.of_the_tree(tmp_path_factory.mktemp("recipes") / "first")
    assert made.missing() == []
    return made


@pytest.fixture
def copy(first: Copy, tmp_path: Path) -> Copy:
    made = first.again(tmp_path / "copy")
    where = made.tell("import rungwise.problems as p; print(list(p.__path__)[0])")
    assert Path(where) == made.root / "problems"
    return made


def newest(copy: Copy) -> int:
    return int(copy.tell("from rungwise.problems.questions.model import FORMAT; print(FORMAT)"))


def test_a_family(copy: Copy) -> None:
    before = newest(copy)
    circuit = "series R1 + L; shunt R2"
    missing = copy.recipe(
        "family", "fed-rl-low-pass", "--circuit", circuit, "--level", "5", "--group", "loaded-rl"
    )
    assert newest(copy) == before + 1
    assert (
        copy.tell(
            "from rungwise.problems.catalogue.families import find;"
            "row = find('fed-rl-low-pass'); print(row.type, row.order, row.fed, row.since)"
        )
        == f"low-pass 1 series {before + 1}"
    )
    assert any(line.startswith("content/families.toml:") for line in missing)
    assert any("TRANSFER lacks H(s) of fed-rl-low-pass" in line for line in missing)
    # Earlier formats know nothing of it, and its own book is made.
    old, new = (copy.root / f"tests/golden/bare-{n}.jsonl" for n in (before, before + 1))
    assert old.read_text("utf-8") == (ROOT / f"tests/golden/{old.name}").read_text("utf-8")
    assert new.read_text("utf-8").count('"fed-rl-low-pass", "seed": 1,') == len(Task)
    copy.fill(
        "content/families.toml",
        ("STUB fed-rl-low-pass", "RL low-pass with resistance in its series arm"),
        ("STUB: what it is, in one sentence", "A resistor and an inductor feed a resistor"),
    )
    copy.fill(
        "tests/problems/catalogue/test_families.py",
        ("TRANSFER = {\n", 'TRANSFER = {\n    "fed-rl-low-pass": "R2/(L*s + R1 + R2)",\n'),
    )
    assert copy.missing() == []
    held = copy.run("pytest", "-q", "tests/problems/catalogue/test_families.py")
    assert held.returncode == 0, held.stdout


def test_a_slip(copy: Copy) -> None:
    before = newest(copy)
    words = ("--topic", "one_pole", "--rung", "corner", "--rung", "q")
    missing = copy.recipe("slip", "corner-guessed", *words)
    assert newest(copy) == before
    assert (
        copy.tell(
            "from rungwise.problems.slips.order import SLIPS;"
            "print(*[sorted(s.rungs) for s in SLIPS if s.id == 'corner-guessed'])"
        )
        == "[<Rung.CORNER: 'corner'>, <Rung.Q: 'q'>]"
    )
    assert len([line for line in missing if line.startswith("problems/slips/one_pole.py:")]) == 2
    assert len([line for line in missing if line.startswith("content/slips.toml:")]) == 2
    assert len([line for line in missing if line.startswith("problems/slips/sentences.py:")]) == 1
    copy.fill(
        "problems/slips/one_pole.py",
        ("STUB: what somebody believes who makes this mistake", "Seven times the corner"),
        (
            "yield from ()  # STUB: the answer it leads to, nothing where it makes no difference",
            "yield Guess(7 * case.truth)",
        ),
    )
    copy.fill(
        "content/slips.toml",
        ("STUB corner-guessed", "seven times"),
        ("STUB: what the mistake is, never the right answer", "This is seven times too much"),
    )
    copy.fill(
        "problems/slips/sentences.py",
        ("_plain(),  # STUB: what its sentence claims of the circuit", "_plain(),"),
    )
    assert copy.missing() == []
    said = copy.tell(
        "from rungwise.problems.generate.analyse import typed;"
        "from rungwise.problems.circuits.text import read_circuit;"
        "from rungwise.problems.grading.grade import grade;"
        "p = typed(read_circuit('series R = 1 kΩ; shunt C = 100 nF'));"
        "q = next(q for q in p.questions if q.rung == 'corner');"
        "print([hit.slip for hit in grade(p, q, '11.14 kHz').slips])"
    )
    assert said == "['corner-guessed']"


def test_a_kind_of_question(copy: Copy) -> None:
    before = newest(copy)
    missing = copy.recipe("kind", "resistor-count", "--form", "count", "--after", "independent")
    assert newest(copy) == before + 1
    for place in (
        "problems/questions/resistor_count.py:", "problems/hints/resistor_count.py:",
        "content/questions.toml:", "content/hints.toml:",
    ):  # fmt: skip
        assert any(line.startswith(place) for line in missing), place
    assert "problems/questions: resistor-count is asked of no family's circuits" in missing
    assert "problems/slips: no slip is known for resistor-count" in missing
    copy.fill(
        "problems/questions/resistor_count.py",
        ("STUB: what is asked, where it makes sense, and its source", "How many resistors"),
        ("STUB: the figure, of any facts; ``None`` where there is none", "Resistances"),
        (
            "return None\n\n\nMEASURES",
            "return len([e for e in facts.ladder.elements() if e.kind.value == 'R'])\n\n\nMEASURES",
        ),
    )
    copy.fill(
        "problems/hints/resistor_count.py",
        ("STUB: which words are true of this circuit, and what fills them", "Count"),
        ("STUB", "how many resistors"),
    )
    copy.fill(
        "content/questions.toml",
        ('title = "STUB"', 'title = "Resistors"'),
        ("STUB: the question, with its unit", "How many resistors are there"),
    )
    copy.fill(
        "content/hints.toml",
        ("STUB: the principle", "Count"),
        ("STUB: where to look in this circuit", "Look"),
        ("STUB: this step worked", "So"),
    )
    copy.fill("problems/slips/counts.py", ('@TOPIC.slip("resistors-counted", *COUNTS)',
              '@TOPIC.slip("resistors-counted", *COUNTS, Rung.RESISTOR_COUNT)'))  # fmt: skip
    assert copy.missing() == []
    # Some later problems ask it, none of an earlier format does; plans come to it.
    told = copy.tell(
        "from rungwise.problems.generate.analyse import generate\n"
        "from rungwise.tutor.learning.skill_map import skills\n"
        "asked = lambda n: sum(q.rung == 'resistor-count' for s in range(40) for q in"
        " generate(s, level=2, format=n).questions)\n"
        f"print(asked({before}), asked({before + 1}) > 4, 'taps/resistor-count' in skills())"
    )
    assert told == "0 True True"
    renewed = copy.run("tests.golden.make", "--replace")
    assert renewed.returncode == 0 and f"bare-{before + 1}.jsonl" in renewed.stdout
    assert re.search(r"0 added, [1-9]\d* differ", renewed.stdout)
    held = copy.run("pytest", "-q", "tests/problems/questions/test_kinds.py")
    assert held.returncode == 0, held.stdout


def test_what_cannot_be_written_is_told_and_nothing_is_changed(copy: Copy) -> None:
    for words, why in (
        (("family", "rc-low-pass", "--circuit", "series R; shunt C", "--level", "1",
          "--group", "rc"), "there is a family rc-low-pass already"),
        (("slip", "q-inverted", "--topic", "quality", "--rung", "q"),
         "there is a slip q-inverted already"),
        (("slip", "new", "--topic", "nowhere", "--rung", "q"), "there is no topic nowhere"),
        (("slip", "new", "--topic", "quality", "--rung", "qq"), "'qq' is not a valid Rung"),
        (("kind", "q", "--form", "ratio", "--after", "corner"), "there is a kind q already"),
        (("kind", "No Name", "--form", "ratio", "--after", "corner"), "'No Name' is no name"),
        (("kind", "new", "--form", "ratio", "--after", "corner", "--since", "1"), "not 1"),
    ):  # fmt: skip
        done = copy.run("tests.recipe", *words)
        assert done.returncode == 2 and why in done.stderr and not done.stdout
    assert copy.missing() == []
