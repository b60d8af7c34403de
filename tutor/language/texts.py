"""The words that learners read, looked up in ``content/*.toml`` and filled with values.

Nothing is read before it is needed, and each file is parsed once.  Texts in the files
follow three small rules:

* ``{name}`` is replaced by the value of that name; ``{{`` and ``}}`` stand for braces;
* a line break inside a text is a space, so that long sentences can be folded in the file;
* a line that begins with a space stays a line of its own (formulas, worked numbers).

Values may come from a learner's typing or from a circuit file: they are put in as plain
text, once (never filled again, never read as markup), and without control characters.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from ...problems.grading.setting import Setting
from .ascii import ascii_form, ascii_screen

if TYPE_CHECKING:
    from fractions import Fraction

    from ...problems.analysis.idle import Hidden
    from ...problems.hints.fill import Text
    from ...problems.questions.model import Choice, Posed, Problem, Question, Rung, SlipHit, Values
    from ...problems.sketches.model import SketchPart
    from ...problems.solutions.step import Step

PLACEHOLDER = re.compile(r"\{\{|\}\}|\{([A-Za-z][A-Za-z0-9_-]*)\}")
# C0 and C1 controls, and the marks that reorder or hide text (bidirectional, zero width).
UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]")


@cache
def table(file: str) -> Mapping[str, Any]:
    """One file of words, parsed when first asked for; ``file`` is its name without ".toml"."""
    import tomllib

    from ... import content

    # What importlib.resources would ask as well, without the 7 ms that importing it takes.
    loader: Any = content.__loader__
    data: bytes = loader.get_data(f"{content.__path__[0]}/{file}.toml")
    return tomllib.loads(data.decode("utf-8"))


@cache
def entry(file: str, key: str) -> str:
    """The unfilled text under a dotted ``key`` of a ``file``, folded into lines.

    Raises:
        KeyError: there is no such text; the message names the file and the entry.
    """
    found: Any = table(file)
    for part in key.split("."):
        found = found.get(part) if isinstance(found, Mapping) else None
    if not isinstance(found, str):
        raise KeyError(f"{file}.toml: there are no words for [{key}]")
    return fold(found)


def fold(text: str) -> str:
    """Join the lines of each paragraph; lines that begin with a space stay lines."""
    if "\n" not in text:
        return text
    lines: list[str] = []
    joining = False
    for line in text.strip("\n").splitlines():
        if line[:1] in ("", " "):
            lines.append(line.rstrip())
            joining = False
        elif joining:
            lines[-1] += " " + line.strip()
        else:
            lines.append(line.rstrip())
            joining = True
    return "\n".join(lines)


def plain(value: object) -> str:
    """A value as harmless text: control and invisible characters are dropped."""
    return UNPRINTABLE.sub("", str(value))


def filled(file: str, key: str, values: Iterable[tuple[str, object]] = ()) -> str:
    """The text of an entry, as for `entry`, with its placeholders filled, whatever signs there are.

    ``file`` and ``key`` name it; ``values`` say what stands for which placeholder.

    Raises:
        KeyError: no such entry, or a placeholder without a value; the message names the
            file, the entry and the placeholder.
    """
    known = dict(values)

    def put(match: re.Match[str]) -> str:
        name = match[1]
        if name is None:
            return match[0][0]
        if name not in known:
            raise KeyError(f"{file}.toml: [{key}] has a placeholder {{{name}}} without a value")
        return plain(known[name])

    return PLACEHOLDER.sub(put, entry(file, key))


def fill(file: str, key: str, values: Iterable[tuple[str, object]] = ()) -> str:
    """The text ``key`` of a ``file`` with its ``values``, as it can be shown.

    Arguments and errors are those of :func:`filled`.
    """
    text = filled(file, key, values)
    # Here rather than where it is drawn, as "ohm" takes more room than "Ω".
    return ascii_form(text.replace(" · ", " - ")) if ascii_screen() else text


def speaker(file: str, prefix: str = "") -> Callable[..., str]:
    """What fills the texts of a ``file`` whose keys begin with ``prefix``, by keywords."""

    def say(key: str, /, **values: object) -> str:
        return fill(file, prefix + key, values.items())

    return say


def render(text: Text, file: str = "hints") -> str:
    """A text of a hint in words: phrases are looked up, lists joined as a sentence joins them.

    Args:
        text: the text.
        file: where its phrases are, unless they say so themselves.
    """
    if isinstance(text, str):
        return text
    if isinstance(text, tuple):
        *most, last = [render(part, file) for part in text] or [""]
        comma, conjunction = entry(file, "phrases.comma"), entry(file, "phrases.and")
        return comma.join(most) + conjunction + last if most else last
    where = text.file or file
    values = [(name, render(part, where)) for name, part in text.values]
    return fill(where, f"{text.table}.{text.key}", values)


_SENTENCE = re.compile(r"(?:^|(?<=[.?!] ))(?:a(?= [a-z])|[a-z](?=[a-zA-Z]))")
"""The first letter of a sentence, be it the article; "f₀" and "a = 1" stay what they are."""


def sentence_case(text: str) -> str:
    """A text with a capital letter at the beginning of every sentence."""
    return _SENTENCE.sub(lambda match: match[0].upper(), text)


def said(values: Values) -> dict[str, str]:
    """The values of a question or a slip as they stand in sentences."""
    if all(isinstance(value, str) for _, value in values):
        return {key: str(value) for key, value in values}  # and nothing more is to be loaded
    from ...problems.questions.values import texts

    return dict(texts(values))


def percent(share: Fraction) -> str:
    """A relative tolerance as text: 0.02 is "2 %"."""
    return f"{float(share * 100):.3g} %"


def allowed(question: Posed) -> str:
    """By how much an answer may be off: "2 %", of a level "0.5 dB"."""
    if question.form.value != "level":
        return percent(question.tolerance)
    gap = "" if question.unit == "°" else " "
    return f"{float(question.tolerance):.3g}{gap}{question.unit}"


class Words:
    """Everything the tutor says, by what it speaks of."""

    @classmethod
    @cache
    def load(cls) -> Words:
        """The words; no file is read until one of its entries is asked for."""
        return cls()

    def title(self, rung: Rung) -> str:
        """The short name of a kind of question."""
        return fill("questions", f"{rung.value}.title")

    def prompt(self, question: Posed) -> str:
        """The question itself, and what is taken as an answer to it."""
        return " ".join(filter(None, (self.asked(question), self.taken(question))))

    def asked(self, question: Posed) -> str:
        """The question itself, with the unit asked for."""
        given = said(question.values)
        asked = given.get("worded", given.get("asked"))
        text = self._of(question, f"prompts.{asked}" if asked else "prompt")
        change = given.get("change")
        if not change:
            return text
        return f"{fill('screens', f'change.{change}', given.items())} {text}"

    def taken(self, question: Posed) -> str:
        """What our own readers take as an answer to it, with the tolerance; else ""."""
        if "answer" not in table("questions")[question.rung.value]:
            return ""
        return self._of(question, "answer")

    def _of(self, question: Posed, part: str) -> str:
        given = said(question.values)
        values = {"unit": question.unit, "tolerance": allowed(question), **given}
        return fill("questions", f"{question.rung.value}.{part}", values.items())

    def form(self, question: Posed) -> str:
        """How an answer to it is typed, where that has to be said; else ""."""
        if "form" not in table("questions")[question.rung.value]:
            return ""
        return fill("questions", f"{question.rung.value}.form")

    def parts(self, rung: Rung, parts: Iterable[SketchPart]) -> list[str]:
        """Which ``parts`` of a sketch, which answers a ``rung``, are right, which not, and why.

        Those that are right by themselves, but do not count, are told apart; that a number is
        right goes without saying.
        """
        told: dict[str, list[str]] = {"right": [], "alone": [], "wrong": []}
        for part in parts:
            if part.right and part.counts:
                continue
            text = fill("parts", f"{rung.value}.{part.id}", part.values)
            if part.reason:
                reason = entry("parts", f"{rung.value}.reasons.{part.reason}")
                text = fill("parts", "because", [("part", text), ("reason", reason)])
            told["wrong" if not part.right else "right" if part.earns else "alone"].append(text)
        comma = entry("parts", "comma")
        return [
            fill("parts", key, [("parts", comma.join(texts))])
            for key, texts in told.items()
            if texts
        ]

    def choice(self, question: Posed, choice: Choice) -> str:
        """The words of one ``choice`` of a ``question``; of a count or a slope, its figure."""
        if "choices" not in table("questions")[question.rung.value]:
            return choice.id.replace("-", "−")
        values = {**said(question.values), **said(choice.values)}
        text = fill("questions", f"{question.rung.value}.choices.{choice.id}", values.items())
        return text.replace("2·π", "2π")  # an echoed formula, as books print it

    def setting(self, question: Posed, decimal: str = "") -> Setting:
        """What an answer to a ``question`` is read by: its choices' words, and a ``decimal`` sign.

        The sign is that of the other answers by the same hand, "" where it is not known.
        """
        words = {choice.id: self.choice(question, choice) for choice in question.choices}
        return Setting(words, decimal)

    def hint(self, problem: Problem, question: Question, level: int) -> str:
        """A hint to a ``question`` of a ``problem``.

        ``level`` 1 is the principle, 2 where to look in this circuit, 3 this step worked.

        Raises:
            ValueError: there is no such level.
        """
        return fill("hints", *self.hint_entry(problem, question, level))

    def hint_entry(
        self, problem: Problem, question: Question, level: int
    ) -> tuple[str, list[tuple[str, str]]]:
        """The key of the words of a hint and what fills them, as for :meth:`hint`.

        Raises:
            ValueError: there is no such ``level`` of a hint for this ``question`` of ``problem``.
        """
        if level not in (1, 2, 3):
            raise ValueError(f"hints have levels 1, 2 and 3, not {level}")
        from ...problems.hints.hint import hint

        found = hint(problem, question)
        part = ("principle", "look", "step")[level - 1]
        values = [(name, render(text)) for name, text in found.values]
        return f"{question.rung.value}.{part}.{found.variant(level)}", values

    def slip(self, hit: SlipHit) -> str:
        """One sentence about a slip that predicts the typed answer."""
        return fill("slips", f"{hit.slip}.{hit.says}", said(hit.values).items())

    def slip_name(self, slip: str) -> str:
        """The short name of a slip."""
        return fill("slips", f"{slip}.name")

    def step(self, step: Step) -> tuple[str, str, str]:
        """(title, what is done, why) of one step of a worked solution."""
        title, say, why = (
            fill("worked", f"{step.id}.{part}", step.values) for part in ("title", "say", "why")
        )
        return title, say, why

    def family(self, name: str) -> str:
        """The title of a circuit family."""
        return fill("families", f"{name}.title")

    def family_about(self, name: str) -> str:
        """One sentence on what a circuit family is."""
        return fill("families", f"{name}.say")

    def hidden(self, hidden: Hidden) -> str:
        """Why an element adds no pole of its own."""
        values = (("name", hidden.name), ("partner", hidden.partner or ""))
        return fill("screens", f"hidden.{hidden.reason.value}", values)

    def ui(self, key: str, **values: object) -> str:
        """A text of the screens, by dotted ``key``, filled with ``values``."""
        return fill("screens", key, values.items())
