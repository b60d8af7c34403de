"""Recipes for what a stranger adds: they write the stubs, then say what is still missing.

    python -m tests.recipe family NAME --circuit "series R; shunt C" --level 5 --group loaded-rc
    python -m tests.recipe slip ID --topic one_pole --rung corner [--rung q ...]
    python -m tests.recipe kind NAME --form angle --after corner-reason
    python -m tests.recipe missing

A family is a row of the catalogue and its words; a slip a predictor and its words; a kind of
question a member of ``Rung``, a row, what makes it, its hints and its words.  Words and functions
are written as stubs marked so; golden problems and the plans' schema are made anew where needed.

A new family or kind changes what seeds mean, so it belongs to a new format, which is made along
with it; ``--since N`` puts it into one that is not out yet.
"""

from __future__ import annotations

import argparse
import ast
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
STUB = "STUB"


class RecipeError(Exception):
    """What was asked for cannot be written; the message says why."""


def _read(path: str) -> str:
    return (ROOT / path).read_text("utf-8")


def _write(path: str, text: str) -> None:
    (ROOT / path).write_text(text, "utf-8")
    print(f"wrote {path}")


def _after(path: str, line: str, new: str) -> None:
    """Put text after the one line of a file that is this one."""
    lines = _read(path).splitlines()
    if lines.count(line) != 1:
        raise RecipeError(f"{path}: there is no single line {line!r} to write after")
    place = lines.index(line) + 1
    _write(path, "\n".join([*lines[:place], *new.splitlines(), *lines[place:]]) + "\n")


def _slug(name: str) -> str:
    if not re.fullmatch(r"[a-z]+(-[a-z0-9]+)*", name):
        raise RecipeError(f"{name!r} is no name: small letters and digits, joined by hyphens")
    return name


def _since(wanted: int | None) -> int:
    """The format that something new belongs to: as wanted, or a new one, which is then made."""
    path = "problems/questions/model.py"
    text = _read(path)
    found = re.search(r"^FORMAT = (\d+)$", text, re.M)
    assert found is not None
    newest = int(found[1])
    since = newest + 1 if wanted is None else wanted
    if not 2 <= since <= newest + 1:
        raise RecipeError(f"something new comes with format 2 to {newest + 1}, not {since}")
    if since > newest:
        _write(path, text.replace(found[0], f"FORMAT = {since}"))
    return since


def _python(*words: str) -> int:
    """Run a module with the tree as it is now."""
    return subprocess.run([sys.executable, "-m", *words], cwd=ROOT, check=False).returncode


# ------------------------------------------------------------------------- a family


def family(wanted: argparse.Namespace) -> None:
    """A row of the catalogue, its words, its golden problems."""
    from rungwise.problems.analysis.idle import generic
    from rungwise.problems.analysis.response import facts
    from rungwise.problems.catalogue.families import FAMILIES
    from rungwise.problems.circuits.text import read_circuit

    name = _slug(wanted.name)
    if name in {row.name for row in FAMILIES}:
        raise RecipeError(f"there is a family {name} already")
    known = facts(generic(read_circuit(wanted.circuit)))
    last = [row.name for row in FAMILIES if row.level == wanted.level][-1:]
    if not last:
        raise RecipeError(f"there is no level {wanted.level}")
    since = _since(wanted.since)
    fed = f"Feed.{known.fed.name}" if known.fed else "None"
    hidden = "".join(f"Reason.{h.reason.name}, " for h in known.hidden)
    options = [f"hidden=({hidden.strip()})"] if hidden else []
    row = ", ".join(
        [
            f'    Family("{name}", {wanted.level}, "{wanted.circuit}", "{wanted.group}"',
            f"FilterType.{known.type.name}, {known.transfer.order}, {fed}",
            *options,
            f"since={since}),",
        ]
    )
    row = row.replace(f'"{wanted.group}", ', f'"{wanted.group}",\n           ')
    path = "problems/catalogue/families.py"
    lines = _read(path).splitlines()
    end = next(
        node.end_lineno
        for node in ast.walk(ast.parse(_read(path)))
        if isinstance(node, ast.Call)
        and node.args
        and isinstance(node.args[0], ast.Constant)
        and node.args[0].value == last[0]
    )
    assert end is not None
    _write(path, "\n".join([*lines[:end], *row.splitlines(), *lines[end:]]) + "\n")
    _family_words(name, last[0])


def _family_words(name: str, before: str) -> None:
    path = "content/families.toml"
    text = _read(path)
    place = text.index(f"[{before}]\n")
    end = text.find("\n\n", place)
    head, tail = (text, "") if end < 0 else (text[: end + 1], text[end + 1 :])
    words = f'\n[{name}]\ntitle = "{STUB} {name}"\nsay = "{STUB}: what it is, in one sentence."\n'
    _write(path, head.rstrip("\n") + "\n" + words + tail)


# ------------------------------------------------------------------------- a slip

SLIP = '''

@TOPIC.slip("{id}", {rungs})
def {function}(case: Case) -> Iterator[Guess]:
    """STUB: what somebody believes who makes this mistake."""
    yield from ()  # STUB: the answer it leads to, nothing where it makes no difference
'''


ROWS_OF_SENTENCES = "_ROWS: dict[str, tuple[SlipSentence, ...]] = {"


def slip(wanted: argparse.Namespace) -> None:
    """A predictor, the last of its topic, its words, and what they claim of the circuit."""
    from rungwise.problems.questions.model import Rung
    from rungwise.problems.slips.order import SLIPS

    id_ = _slug(wanted.name)
    if id_ in {known.id for known in SLIPS}:
        raise RecipeError(f"there is a slip {id_} already")
    path = f"problems/slips/{wanted.topic}.py"
    if not (ROOT / path).exists():
        raise RecipeError(f"there is no topic {wanted.topic}: {path}")
    rungs = ", ".join(f"Rung.{Rung(name).name}" for name in wanted.rung)
    text = SLIP.format(id=id_, rungs=rungs, function=id_.replace("-", "_"))
    _write(path, _read(path).rstrip("\n") + "\n" + text)
    words = (
        f'\n[{id_}]\nname = "{STUB} {id_}"\n'
        f'sentence = "{STUB}: what the mistake is, never the right answer."\n'
    )
    _write("content/slips.toml", _read("content/slips.toml").rstrip("\n") + "\n" + words)
    row = f'    "{id_}": _plain(),  # {STUB}: what its sentence claims of the circuit'
    _after("problems/slips/sentences.py", ROWS_OF_SENTENCES, row)


# ------------------------------------------------------------------------- a kind of question

ROW = """    QuestionKind(
        rung=Rung.{member}, form=Form.{form}, band=Band.{band}, guess=GUESS_TYPED, since={since},
        asked_of=TO_TWO_POLES, orders=(1, 2),
    ),"""

MAKER = '''"""STUB: what is asked, where it makes sense, and its source."""

from __future__ import annotations

from ..analysis.response import Facts
from .asking import Asking
from .kinds import MAKERS, MEASURES
from .model import Form, Question, Rung


def {name}(facts: Facts) -> {type} | None:
    """STUB: the figure, of any facts; ``None`` where there is none."""
    return None


MEASURES(Rung.{member})({name})


@MAKERS(Rung.{member})
def _asked(asking: Asking) -> Question | None:
    truth = {name}(asking.facts)
    return None if truth is None else Question(Rung.{member}, Form.{form}, truth{more})
'''

HINT = '''"""Hints: STUB."""

from __future__ import annotations

from ..questions.model import Rung
from .fill import HINTS, Hint, Scene


@HINTS(Rung.{member})
def {name}(scene: Scene) -> Hint:
    """STUB: which words are true of this circuit, and what fills them."""
    return Hint("any", "any", "any", (), scene.working)
'''

TYPES = {"count": "int", "slope": "int", "angle": "int", "choice": "str", "formula": "str"}
MORE = {
    "angle": ', unit="°"',
    "slope": ', unit="dB/decade"',
    "quantity": ', unit="Hz", tolerance=Fraction(2, 100)',
    "choice": ", (Choice(truth),)",
}


def kind(wanted: argparse.Namespace) -> None:
    """A member of Rung, a row, a maker, hints, words; golden problems of a new format."""
    from rungwise.problems.questions.kinds import kind as row_of
    from rungwise.problems.questions.model import Form, Rung

    name, form = _slug(wanted.name), Form(wanted.form)
    if name in set(Rung):
        raise RecipeError(f"there is a kind {name} already")
    before = Rung(wanted.after)
    member, function = name.upper().replace("-", "_"), name.replace("-", "_")
    since = _since(wanted.since)
    _after(
        "problems/questions/model.py",
        f'    {before.name} = "{before.value}"',
        f'    {member} = "{name}"',
    )
    told = {
        "member": member,
        "name": function,
        "form": form.name,
        "band": row_of(before).band.name,
        "since": since,
        "type": TYPES.get(form.value, "float"),
        "more": MORE.get(form.value, ""),
    }
    path = "problems/questions/kinds.py"
    text, end = _read(path), ")  # fmt: skip\n"
    assert text.count(end) == 1
    _write(path, text.replace(end, ROW.format(**told) + "\n" + end))
    maker = MAKER.format(**told)
    for needed, line in (("Fraction", "from fractions import Fraction\n\n"),):
        if f"{needed}(" in maker:
            maker = maker.replace("annotations\n\n", f"annotations\n\n{line}", 1)
    if "Choice(" in maker:
        maker = maker.replace("import Form", "import Choice, Form")
    _write(f"problems/questions/{function}.py", maker)
    _write(f"problems/hints/{function}.py", HINT.format(**told))
    _listed("problems/questions/analyse.py", "_MORE_KINDS", function)
    _listed("problems/hints/hint.py", "_KINDS", function)
    _kind_words(name)


def _listed(path: str, table: str, module: str) -> None:
    """Import a module into a file and name it in the file's tuple of modules."""
    text = _read(path)
    found = re.search(rf"^{table}: tuple\[ModuleType, \.\.\.\] = \(([^)]*)\)$", text, re.M)
    if found is None:
        raise RecipeError(f"{path}: there is no tuple {table}")
    names = [*re.findall(r"\w+", found[1]), module]
    head = found[0][: found[0].index("= (") + 2]
    text = text.replace(found[0], f"{head}{_in_lines(names)}")
    first = re.search(r"^from \. import (?:\(([^)]*)\)|(.*))$|^from \.\w+ import ", text, re.M)
    assert first is not None
    imported = first[1] or first[2]
    if imported:
        names = sorted({*re.findall(r"\w+", imported), module})
        text = text.replace(first[0], f"from . import {_in_lines(names)}", 1)
    else:
        text = f"{text[: first.start()]}from . import {module}\n{text[first.start() :]}"
    _write(path, text)


def _in_lines(names: list[str]) -> str:
    """Names in brackets, a line each."""
    return "(\n" + "".join(f"    {name},\n" for name in names) + ")"


def _kind_words(name: str) -> None:
    path = "content/questions.toml"
    words = f'\n[{name}]\ntitle = "{STUB}"\nprompt = "{STUB}: the question, with its unit."\n'
    _write(path, _read(path).rstrip("\n") + "\n" + words)
    path = "content/hints.toml"
    said = "".join(
        f'\n[{name}.{part}]\nany = "{STUB}: {what}."\n'
        for part, what in (
            ("principle", "the principle"),
            ("look", "where to look in this circuit"),
            ("step", "this step worked"),
        )
    )
    _write(path, _read(path).rstrip("\n") + "\n" + said)


# ------------------------------------------------------------------------- the command


def tell() -> int:
    """Print what is missing; 1 if anything is."""
    from tests.support.completeness import missing

    found = missing()
    print("still missing:" if found else "nothing is missing")
    for line in found:
        print(f"- {line}")
    return 1 if found else 0


def main() -> int:
    """Write what is asked for, then say what is missing."""
    command = argparse.ArgumentParser(prog="python -m tests.recipe", description=__doc__)
    command.formatter_class = argparse.RawDescriptionHelpFormatter
    ways = command.add_subparsers(dest="way", required=True)
    one = ways.add_parser("family")
    one.add_argument("--circuit", required=True, help="circuit text without values, in one line")
    one.add_argument("--level", required=True, type=int)
    one.add_argument("--group", required=True, help="its look-alikes' group")
    two = ways.add_parser("slip")
    two.add_argument("--topic", required=True, help="a file of problems/slips")
    two.add_argument("--rung", required=True, action="append", help="a kind it is made in")
    three = ways.add_parser("kind")
    three.add_argument("--form", required=True, help="what an answer looks like")
    three.add_argument("--after", required=True, help="the kind it comes after in a climb")
    for way in (one, three):
        way.add_argument("--since", type=int, help="a format that is not out yet")
    for way in (one, two, three):
        way.add_argument("name")
    ways.add_parser("missing")
    wanted = command.parse_args()
    if wanted.way == "missing":
        return tell()
    try:
        {"family": family, "slip": slip, "kind": kind}[wanted.way](wanted)
    except (RecipeError, ValueError) as error:
        print(error, file=sys.stderr)
        return 2
    if wanted.way != "slip":
        _python("tests.golden.make", "--add")
    _python("tests.golden.make_schema")
    _python("tests.recipe", "missing")  # anew, since the tree has changed
    return 0


if __name__ == "__main__":
    sys.exit(main())
