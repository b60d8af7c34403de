"""The words: looking up, filling, and that every thing the program can say has its words."""

from __future__ import annotations

import ast
import re
import string
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.idle import Hidden, Reason
from rungwise.problems.analysis.response import Facts, Feed, FilterType, PoleNature
from rungwise.problems.catalogue import families
from rungwise.problems.circuits.model import valueless
from rungwise.problems.generate.analyse import generate
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import (
    Form,
    Problem,
    Question,
    Rung,
    SlipHit,
    Verdict,
    sketch_of,
)
from rungwise.problems.questions.reasons import Claim, EndPicture, end_claims, type_claims
from rungwise.problems.questions.reasons_corner import corner_claims
from rungwise.problems.sketches.compare import compare
from rungwise.problems.sketches.model import GainSketch, Sketch
from rungwise.problems.sketches.write import write
from rungwise.problems.slips.case import Case
from rungwise.problems.slips.engine import predictions
from rungwise.problems.slips.order import SLIPS
from rungwise.problems.solutions.solution import worked_solution
from rungwise.tutor.language import texts as module
from rungwise.tutor.language.texts import (
    Words,
    entry,
    fill,
    fold,
    percent,
    plain,
    sentence_case,
    table,
)

from tests.support.absurd_sketches import absurd
from tests.support.word_corpus import asked, known_of, problems

ROOT = Path(__file__).parents[3]
NO_WORDS = ("headings", "lesson-pages", "plan-example")
"""Files of which nobody is told anything."""
FILES = sorted({path.stem for path in (ROOT / "content").glob("*.toml")} - {*NO_WORDS})
"""Files of words; the example of a plan is no such file, and tests/sheets/test_plan.py reads it."""
LEARNT = {"questions", "parts", "hints", "slips", "worked", "families"}
"""Files of what is learnt; the others hold the texts of screens and pages."""
NUMERIC = {Form.QUANTITY, Form.RATIO, Form.GAIN}


def entries(file: str) -> dict[str, str]:
    """Dotted key → text of every entry of a file."""
    found = {}

    def walk(inner: object, key: str) -> None:
        if isinstance(inner, dict):
            for name, deeper in inner.items():
                walk(deeper, f"{key}.{name}" if key else name)
        else:
            assert isinstance(inner, str), f"{file}.toml: {key} is no text"
            found[key] = inner

    walk(table(file), "")
    return found


def all_entries() -> Iterator[tuple[str, str, str]]:
    for file in FILES:
        for key, text in entries(file).items():
            yield file, key, text


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, object]]:
    """A file of words made up for a test, under the name "made"."""
    content: dict[str, object] = {}
    original = module.table
    monkeypatch.setattr(module, "table", lambda f: content if f == "made" else original(f))
    entry.cache_clear()
    yield content
    entry.cache_clear()


# ---------------------------------------------------------------------- filling


def test_placeholders_are_filled(made: dict[str, object]) -> None:
    made["a"] = {"b": "{who} has {count} poles, {{so}} {who}"}
    values = [("who", "L1"), ("count", 2), ("unused", "x")]
    assert fill("made", "a.b", values) == "L1 has 2 poles, {so} L1"


def test_what_is_put_in_is_not_filled_again(made: dict[str, object]) -> None:
    made["a"] = "{x} {y}"
    assert fill("made", "a", [("x", "{y}"), ("y", "{{z}}")]) == "{y} {{z}}"


def test_attributes_and_indices_are_no_placeholders(made: dict[str, object]) -> None:
    made["a"] = "{x.__class__} {x[0]} {0} {} {x!r} {x:>9}"
    assert fill("made", "a", [("x", "v")]) == made["a"]


@pytest.mark.parametrize("key", ["a.nothing", "b", "a.text.deeper", "a", ""])
def test_an_entry_that_is_not_there_is_named(made: dict[str, object], key: str) -> None:
    made["a"] = {"text": "x"}
    with pytest.raises(KeyError, match=rf"made\.toml: there are no words for \[{key}\]"):
        fill("made", key)


def test_a_placeholder_without_value_is_named(made: dict[str, object]) -> None:
    made["a"] = {"text": "{one} {two}"}
    with pytest.raises(KeyError) as caught:
        fill("made", "a.text", [("one", "1")])
    for part in ("made.toml", "[a.text]", "{two}"):
        assert part in str(caught.value)


def test_escapes_and_invisible_characters_are_dropped() -> None:
    hostile = "\x1b[31mR\x00\x07\u202e1\u200b\ufeff\x9b2m\r\n"
    assert plain(hostile) == "[31mR12m"


@given(st.text())
def test_values_come_through_as_plain_text(value: str) -> None:
    shown = plain(value)
    assert not any(ord(c) < 32 or 127 <= ord(c) < 160 for c in shown)
    assert plain(shown) == shown
    printable = set(string.printable[:95]) | set("Ωµ−π√·∥°²")
    assert all(c in shown for c in value if c in printable)


def test_lines_of_a_paragraph_are_folded() -> None:
    assert (
        fold("one\ntwo\n  a = b\n    = c\nthree\nfour") == "one two\n  a = b\n    = c\nthree four"
    )
    assert fold("one\ntwo\n\nthree\n") == "one two\n\nthree"
    assert fold(" a line") == " a line"


def test_tolerances_in_words() -> None:
    from fractions import Fraction

    assert percent(Fraction(2, 100)) == "2 %"
    assert percent(Fraction(1, 200)) == "0.5 %"
    assert percent(Fraction(0)) == "0 %"


def test_nothing_is_read_or_loaded_before_it_is_needed() -> None:
    code = (
        "import sys\n"
        "from rungwise.tutor.language import texts as words\n"
        "words.Words.load()\n"
        "heavy = {'tomllib', 'flint', 'textual', 'click', 'rungwise.problems.hints.hint'}\n"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)\n"
        "assert words.table.cache_info().currsize == 0\n"
        "words.Words.load().ui('command.level', level=1)\n"
        "words.Words.load().ui('command.level', level=2)\n"
        "assert words.table.cache_info().misses == 1\n"
        "assert 'flint' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=300)


def test_a_sentence_begins_with_a_capital_and_a_symbol_stays_what_it_is() -> None:
    assert sentence_case("a lag is a step down. here it is one") == (
        "A lag is a step down. Here it is one"
    )
    for text in ("f₀ is set by both", "a = 1 − 1/(2Q²)", "s is a frequency", "a₁ is the damping"):
        assert sentence_case(text) == text


def test_words_are_loaded_once() -> None:
    assert Words.load() is Words.load()


# ------------------------------------------------- everything that can be said has its words


@cache
def used() -> dict[str, frozenset[str]]:
    """File → keys looked up while everything is said about every problem of the corpus."""
    found: dict[str, set[str]] = {file: set() for file in FILES}
    original = module.entry

    def noted(file: str, key: str) -> str:
        found[file].add(key)
        return original(file, key)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "entry", noted)
        _say_everything(Words.load())
    return {file: frozenset(keys) for file, keys in found.items()}


SAID: list[tuple[str, str, str]] = []
"""(where, file and key, text) of everything said by :func:`used`."""
SAID_OF_SLIPS: list[tuple[str, str, str]] = []
"""(where, right answer, sentence) of every slip that a wrong figure names."""


OUT_OF_REACH = ("type-all-pass.", "type.all-pass", "why.all-pass", "shape.constant")
"""A ladder without mutual inductance has no zeros in the right half-plane, so it makes no
all-pass; but the type has its place in the facts, and its words beside the others."""


def hits(problem: Problem, question: Question) -> Iterator[SlipHit]:
    """Every slip that can be named after a wrong answer, filled as the grader fills it."""
    case = Case(problem.ladder, known_of(problem), question)
    for predicted in predictions(problem.ladder, case.facts, question):
        values = {**dict(case.common), "typed": "12.5", **dict(predicted.values)}
        yield SlipHit(predicted.slip, tuple(values.items()), predicted.says)


def drawn(problem: Problem, question: Question) -> Iterator[Sketch]:
    """The right sketch, one of breaks a little off, absurd ones, and those of likely slips."""
    truth = sketch_of(question.truth)
    yield truth
    if isinstance(truth, GainSketch):
        # Up and down by turns, which tilts what lies between two pass bands.
        moved = [place * 10 ** (0.15 * (-1) ** n) for n, place in enumerate(truth.breaks)]
        if moved == sorted(moved):
            yield replace(truth, breaks=tuple(moved))
    for _, sketch in absurd(truth, Random(write(truth))):
        yield sketch
    for predicted in predictions(problem.ladder, known_of(problem), question)[:3]:
        yield sketch_of(predicted.value)


MISSING: dict[str, str] = {}
"""What could not be said, and where it was first wanted."""


def _say_everything(words: Words) -> None:
    def said(where: str, what: str, say: Callable[[], str | tuple[str, ...]]) -> None:
        try:
            found = say()
        except KeyError as error:
            MISSING.setdefault(str(error), where)
            return
        texts = (found,) if isinstance(found, str) else found
        SAID.extend((where, what, text) for text in texts)

    for label, problem, question in asked():
        where = f"{label}: {question.rung}"
        said(where, "prompt", partial(words.prompt, question))
        said(where, "title", partial(words.title, question.rung))
        if question.form is Form.SKETCH:
            said(where, "form", partial(words.form, question))
            for sketch in drawn(problem, question):
                parts = compare(sketch_of(question.truth), sketch)
                said(where, "parts", lambda p=parts, q=question: tuple(words.parts(q.rung, p)))
        for choice in question.choices:
            said(where, f"choice {choice.id}", partial(words.choice, question, choice))
        answer = right_text(question) if question.form in NUMERIC else ""
        for hit in hits(problem, question):
            said(where, f"slip {hit.slip}", partial(words.slip, hit))
            if answer:
                SAID_OF_SLIPS.append((label, answer, SAID[-1][2]))
            said(where, f"slip {hit.slip}", partial(words.slip_name, hit.slip))
    solved: set[int] = set()
    for label, problem in problems():
        known = known_of(problem)
        for hidden in known.hidden:
            said(label, f"hidden {hidden.reason}", partial(words.hidden, hidden))
        if id(known) not in solved:  # it is that of the circuit, whatever is asked of it
            solved.add(id(known))
            for step in worked_solution(problem.ladder, asked=frozenset(Rung)):
                said(label, f"step {step.id}", partial(words.step, step))
        # Claims that chance left out of the choices have their words too.
        for question in problem.questions:
            for claim in _claims(question.rung, known):
                said(label, f"claim {claim.id}", partial(words.choice, question, claim.choice))
    for family in families.FAMILIES:
        letters = valueless(generate(1, family=family.name).ladder)
        for step in worked_solution(letters, asked=frozenset(Rung)):
            said(f"{family.name} in letters", f"step {step.id}", partial(words.step, step))
        said(family.name, "family", partial(words.family, family.name))
        said(family.name, "family", partial(words.family_about, family.name))


def _claims(rung: Rung, known: Facts) -> list[Claim]:
    match rung:
        case Rung.LOW_END_REASON:
            return end_claims(EndPicture(known), End.LOW)
        case Rung.HIGH_END_REASON:
            return end_claims(EndPicture(known), End.HIGH)
        case Rung.TYPE_REASON:
            return type_claims(EndPicture(known))
        case Rung.CORNER_REASON:
            return corner_claims(known)
    return []


def test_every_entry_is_said_somewhere() -> None:
    for file in sorted(set(LEARNT) - {"hints"}):
        unsaid = {k for k in set(entries(file)) - used()[file] if not k.startswith(OUT_OF_REACH)}
        assert not unsaid, f"{file}.toml: nothing leads to {sorted(unsaid)}"


def test_everything_has_its_words_and_they_fill() -> None:
    used()
    assert not MISSING


def test_everything_said_is_clean() -> None:
    used()
    for where, what, text in SAID:
        assert text.strip() == text.rstrip("\n"), f"{where}: {what}: {text!r}"
        assert not re.search(r"[{}]", text), f"{where}: {what}: {text}"
        assert not module.UNPRINTABLE.search(text.replace("\n", "")), f"{where}: {what}"
        assert "  " not in re.sub(r"^ .*$", "", text, flags=re.M), f"{where}: {what}: {text}"
        assert " ." not in text and " ," not in text, f"{where}: {what}: {text}"


def test_choices_of_one_question_read_differently() -> None:
    for label, _, question in asked():
        texts = [Words.load().choice(question, choice) for choice in question.choices]
        assert len(set(texts)) == len(texts), f"{label}: {texts}"


def test_sentences_of_slips_hold_no_answer() -> None:
    used()
    assert len(SAID_OF_SLIPS) > 1000
    for label, answer, sentence in SAID_OF_SLIPS:
        if len(answer) > 3:  # a small number may well be part of a rule
            pattern = rf"(?<![\w.]){re.escape(answer)}(?![\w.])"
            assert not re.search(pattern, sentence), f"{label}: {sentence}"


def test_every_kind_of_question_has_words() -> None:
    assert set(table("questions")) == {rung.value for rung in Rung}
    for rung in Rung:
        assert 1 <= len(Words.load().title(rung)) <= 16, rung


def test_every_fixed_choice_has_words() -> None:
    asked_for = {
        Rung.FED: {f.value for f in Feed},
        Rung.POLE_NATURE: {n.value for n in PoleNature},
        Rung.TYPE: {t.value for t in FilterType} - {"all-pass", "other"},
    }
    for rung, ids in asked_for.items():
        assert set(table("questions")[rung.value]["choices"]) == ids


def test_every_slip_has_words_and_every_word_a_slip() -> None:
    assert {slip.id for slip in SLIPS} == set(table("slips"))


def test_every_family_has_words() -> None:
    assert {family.name for family in families.FAMILIES} == set(table("families"))


def test_every_reason_of_a_hidden_element_has_words() -> None:
    assert set(table("screens")["hidden"]) == {reason.value for reason in Reason}
    for reason in Reason:
        text = Words.load().hidden(Hidden("C2", reason, "C1"))
        assert text.startswith("C2")
        assert ("C1" in text) == (reason is Reason.COMBINABLE)


# ----------------------------------------------------------- texts of screens and pages


@cache
def literals() -> frozenset[str]:
    """Every string in the code, whole, and cut at its dots."""
    found: set[str] = set()
    for path in [*(ROOT / "tutor").rglob("*.py"), *(ROOT / "problems").rglob("*.py")]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
                found.update(node.value.split("."))
    known = [f.value for f in Form] + [v.value for v in Verdict] + [str(n) for n in families.LEVELS]
    known += [v for kind in (Feed, PoleNature, End) for v in kind]
    known += [r.value for r in Reason] + [t.value for t in FilterType] + [r.value for r in Rung]
    return frozenset(found.union(known))


@pytest.mark.parametrize("file", [file for file in FILES if file not in LEARNT])
def test_no_text_of_a_screen_is_idle(file: str) -> None:
    """The last part of each key is spelt somewhere in the code, or built of parts that are."""
    said = literals()
    for key in entries(file):
        last = key.rpartition(".")[2]
        whole = last in said
        parts = all(part in said or f"{part}-" in said for part in last.split("-"))
        stem = any(f"{last[:i]}" in said and last[i:] in said for i in range(1, len(last)))
        assert whole or parts or stem or key.startswith(OUT_OF_REACH), (
            f"{file}.toml: nothing says [{key}]"
        )


def test_every_text_a_screen_asks_for_is_there() -> None:
    asked_for = []
    for path in (ROOT / "tutor").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        asked_for += [
            ("screens", key)
            for key in re.findall(r"\.ui\(\s*['\"]([a-z0-9.-]+\.[a-z0-9.-]+)['\"]", text)
        ]
        asked_for += re.findall(r"fill\(\s*['\"](\w+)['\"],\s*['\"]([a-z0-9.-]+)['\"]", text)
    assert len(asked_for) > 10
    for file, key in asked_for:
        assert entry(file, key)


# --------------------------------------------------------------------------- spelling

FORBIDDEN = {
    r"\b[Ll]owpass|\b[Hh]ighpass|\b[Bb]andpass|\bband-?stop filter": "low-pass, … notch",
    r"\b(low|high|band) pass\b(?! band)": "low-pass with its hyphen",
    r"(?<![\w(\[/-])-\d": "U+2212 for a minus",
    r"\u2126|\u03bc|\u00a0|\u202f|\u2009": "Ω U+03A9, µ U+00B5, plain spaces",
    r"\b\d+(\.\d+)?(Ω|kΩ|Hz|kHz|dB|nF|mH)\b": "a space before the unit",
    r"\bcolou?r\b(?<!colour)": "British spelling",
    r"\b(center|meter|behavior|favor|labeled|(analy|normali|recogni)z\w+)\b": "British spelling",
    r"\b[Cc]oils?\b": "inductor",
    r"\bband-reject\b|\bbandstop\b": "notch",
    r"(?<!\.)\.\.(?!\.)|\?\?|!!|,,": "doubled punctuation",
    r"\.\.\.": "the ellipsis is one character",
    r"\s'|'\s\w+'|\"": "no quotation marks needed, but in `what is typed into a file`",
    r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\ufeff]": "control or invisible",
    r"\bTODO\b|\bFIXME\b|\bXXX\b|lorem": "unfinished",
    r"\b([A-Za-z]{2,}) \1\b(?<!that that)": "a word twice",
}


@pytest.mark.parametrize("pattern", FORBIDDEN)
def test_spelling(pattern: str) -> None:
    for file, key, text in all_entries():
        said = re.sub(r"`[^`]*`", "``", text) if '"' in pattern else text
        match = re.search(pattern, said)
        assert not match, f"{file}.toml [{key}]: {match[0]!r}: {FORBIDDEN[pattern]}"


SENTENCES = {
    "questions": r"\.prompt(s\.[a-z-]+)?$|-reason\.choices\.(?!.*formula)",
    "slips": r"\.sentence$",
    "worked": r"\.(say|why)$",
    "families": r"\.say$",
    "hints": r"\.(principle|look|step)\.",
    "lessons": r"\.(text|rule|move-\d)$",
    "screens": r"^hidden\.",
    "solve": r"^(why|shape)\.",
}


def test_sentences_begin_and_end_as_sentences_do() -> None:
    tried = 0
    for file, pattern in SENTENCES.items():
        for key, text in entries(file).items():
            if not re.search(pattern, key) or key.startswith("corner-reason.choices"):
                continue
            tried += 1
            last = text.rstrip().splitlines()[-1]
            assert last[-1] in ".?:" or last.startswith("  "), f"{file}.toml [{key}]: {text}"
            first = text.lstrip("\n")[0]
            assert first.isupper() or first.isdigit() or first in "{ |−+√", (
                f"{file}.toml [{key}]: {text}"
            )
    assert tried > 300


def test_names_and_titles_end_without_a_full_stop() -> None:
    for file, key, text in all_entries():
        if key.endswith((".title", ".name")):
            assert text[-1] not in ".:,", f"{file}.toml [{key}]"
            assert len(text) <= 72, f"{file}.toml [{key}]"
        if key.endswith(".title"):
            assert text[0].isupper() or text[0] in "{π", f"{file}.toml [{key}]: {text}"


def test_braces_are_placeholders_or_doubled() -> None:
    for file, key, text in all_entries():
        bare = module.PLACEHOLDER.sub("", text)
        assert "{" not in bare and "}" not in bare, f"{file}.toml [{key}]"


def test_texts_are_of_readable_length() -> None:
    for file, key, text in all_entries():
        most = 1500 if key.endswith((".text", "help")) else 420  # a page of its own
        assert len(text) <= most, f"{file}.toml [{key}]: {len(text)}"
        for line in text.splitlines():
            if line.startswith(" ") and not key.endswith("help"):  # Markdown folds its own
                assert len(line) <= 72, f"{file}.toml [{key}]: {line}"


def test_files_are_read_as_they_ship() -> None:
    from importlib.resources import files

    shipped = {p.name for p in files("rungwise.content").iterdir() if p.name.endswith(".toml")}
    assert shipped == {f"{name}.toml" for name in (*FILES, *NO_WORDS)}
