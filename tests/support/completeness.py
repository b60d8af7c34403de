"""What a new family, slip or kind of question still lacks: every check, as a list of sentences.

The tests of each room hold the same; this says it in one place, for ``python -m tests.recipe``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rungwise.problems.analysis.idle import generic
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.catalogue.groups import GROUP_OF
from rungwise.problems.chance import Chance
from rungwise.problems.generate.analyse import drawn_circuit
from rungwise.problems.hints import hint as hinting
from rungwise.problems.hints.fill import HINTS
from rungwise.problems.questions.analyse import questions_for
from rungwise.problems.questions.kind_row import EVERYWHERE, QuestionKind
from rungwise.problems.questions.kinds import KINDS, MAKERS, MEASURES
from rungwise.problems.questions.model import FORMAT, Form, Rung, Task
from rungwise.problems.slips.order import SLIPS
from rungwise.problems.slips.sentences import SENTENCES

from tests.golden import make, make_schema

ROOT = Path(__file__).parents[2]
STUB = "STUB"
"""Marks whatever a recipe wrote that a human must write anew."""

_MEASURED = frozenset(Form) - {Form.CHOICE, Form.FORMULA, Form.SKETCH}
"""Forms of answers that slips of altered circuits are compared in."""


def missing(root: Path = ROOT) -> list[str]:
    """Everything that is missing in a tree, a sentence each; empty where all is there."""
    return [*_stubs(root), *_families(root), *_kinds(root), *_slips(root), *_books(), *_schema()]


def _stubs(root: Path) -> Iterator[str]:
    for folder in ("problems", "content"):
        for path in sorted((root / folder).rglob("*")):
            if path.suffix not in (".py", ".toml"):
                continue
            for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
                if STUB in line:
                    yield f"{path.relative_to(root)}:{number}: write this: {line.strip()}"


def _words(root: Path, file: str) -> dict[str, Any]:
    return tomllib.loads((root / "content" / f"{file}.toml").read_text("utf-8"))


def _families(root: Path) -> Iterator[str]:
    from tests.problems.catalogue.test_families import TRANSFER

    words = _words(root, "families")
    if list(words) != [row.name for row in FAMILIES]:
        yield "content/families.toml: the families are not those of the catalogue, in its order"
    for row in FAMILIES:
        lacks = {"title", "say"} - words.get(row.name, {}).keys()
        if lacks:
            yield f"content/families.toml: [{row.name}] lacks {', '.join(sorted(lacks))}"
        if row.order <= 2 and row.name not in TRANSFER:
            yield (
                f"tests/problems/catalogue/test_families.py: TRANSFER lacks H(s) of {row.name}: "
                "derive it by hand"
            )
        if row.group not in GROUP_OF:
            yield f"problems/catalogue/groups.py: no skill group holds {row.group!r} ({row.name})"
        if not row.lookalikes:
            yield f"problems/catalogue/families.py: {row.name} has no look-alike in its group"
        known = facts(generic(row.ladder))
        if row.levels:  # its values decide what it is called
            drawn = next(filter(None, (drawn_circuit(row, 1, n) for n in range(40))), None)
            known = known if drawn is None else drawn[1]
        if (known.type, known.transfer.order, known.fed) != (row.type, row.order, row.fed):
            yield f"problems/catalogue/families.py: {row.name} is not what its row says it is"


def _kinds(root: Path) -> Iterator[str]:
    questions, hints = _words(root, "questions"), _words(root, "hints")
    rows = {row.rung: row for row in KINDS}
    asked = _asked()
    for rung in Rung:
        row = rows.get(rung)
        if row is None:
            yield f"problems/questions/kinds.py: no row for {rung}"
            continue
        yield from _kind_words(row, questions.get(rung, {}), hints.get(rung, {}))
        if row.task is Task.ANALYSE and MAKERS.get(rung) is None:
            yield f"problems/questions: nothing makes the question of {rung} (MAKERS)"
        elif row.task is Task.ANALYSE and rung not in asked:
            yield f"problems/questions: {rung} is asked of no family's circuits"
        if row.task is Task.ANALYSE and row.form in _MEASURED and MEASURES.get(rung) is None:
            yield f"problems/questions: {rung} has no figure that slips could compare (MEASURES)"
        if not any(rung in slip.rungs for slip in SLIPS):
            yield f"problems/slips: no slip is known for {rung}"
    for rung in HINTS.missing(Rung):
        yield f"{hinting.__name__}: nothing looks at a circuit for the hints of {rung} (HINTS)"
    for group in EVERYWHERE:
        if not any(group in row.asked_of for row in KINDS):
            yield f"problems/questions/kinds.py: nothing is asked of the group {group}"


def _kind_words(row: QuestionKind, question: Any, hint: Any) -> Iterator[str]:
    if "title" not in question or not {"prompt", "prompts"} & question.keys():
        yield f"content/questions.toml: [{row.rung}] lacks its title or prompt"
    if row.form is Form.CHOICE and not question.get("choices"):
        yield f"content/questions.toml: [{row.rung}.choices] has no choices"
    for part in ("principle", "look", "step"):
        if not hint.get(part):
            yield f"content/hints.toml: [{row.rung}.{part}] has no words"


def _asked() -> set[Rung]:
    """The kinds that one circuit of each family is asked, for as long as some are not met."""
    found: set[Rung] = set()
    for row in FAMILIES:
        drawn = next(filter(None, (drawn_circuit(row, 1, n) for n in range(40))), None)
        if drawn is not None:
            found |= {q.rung for q in questions_for(drawn[1], Chance(0))}
    return found


def _slips(root: Path) -> Iterator[str]:
    words = _words(root, "slips")
    known = {slip.id for slip in SLIPS}
    for id_ in sorted(known | words.keys()):
        lacks = {"name", "sentence"} - words.get(id_, {}).keys()
        if lacks:
            yield f"content/slips.toml: [{id_}] lacks {', '.join(sorted(lacks))}"
        if id_ not in known:
            yield f"content/slips.toml: [{id_}] is no slip's"
        if id_ not in SENTENCES:
            yield f"problems/slips/sentences.py: no row says what [{id_}] claims"


def _books() -> Iterator[str]:
    for book in make.BARE:
        names = {name for name, *rest in make.read(book) if rest}
        lacks = [row.name for row in book.rows if row.name not in names]
        if lacks:
            yield f"{book.file.name}: no golden problems of {', '.join(lacks)}: tests.golden.make"
    newest = make.BARE[-1]
    kept = make.read(newest)
    if newest.format == FORMAT and any(
        kept.get(make.key(entry)) != make.plain(entry) for entry in newest.rest()
    ):
        yield f"{newest.file.name}: seeds lead to other families: tests.golden.make --replace"


def _schema() -> Iterator[str]:
    if make_schema.FILE.read_text("utf-8") != make_schema.text():
        yield "content/plan.schema.json: it is not of today's tables: tests.golden.make_schema"
