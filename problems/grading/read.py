"""How a typed answer is read, form by form.

Nothing typed is ever run; every text, however odd, ends as a :class:`Reading` or as
:class:`Unclear`, whose words say what was found, and how to mend it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator

from ..analysis.response import Facts
from ..circuits.model import Element
from ..formulas.latex import plain_notation
from ..formulas.read import Beside
from ..formulas.tree import letters_of
from ..formulas.work import TooMuchWorkError, Work
from ..quantities.separators import OTHER_SIGN, spelt_out
from ..quantities.spelling import shown as quoted
from ..quantities.write import write_quantity
from ..questions.model import Form, Posed, Question, Rung
from ..questions.written import READ, plain_truth
from ..sketches.model import SketchError, as_written
from .choices import LETTERS, read_choice
from .counts import read_count
from .directions import read_directed
from .figures import WITH_FORMULA, read_figure
from .formulas import ReadingCase
from .levels import is_angle, otherwise
from .reading import Reading
from .reading import Unclear as Unclear
from .said import is_blank
from .setting import Setting
from .transfers import read_transfer

# What bounds a reading is the size of the text and of what it makes (characters, tokens, depth,
# digits, degrees) and steps that are counted, never a clock: the same text is then read alike
# everywhere.  The longest takes well under 50 ms, so it can be read at every key.
MAX_BYTES = 1024

_ALONE = Setting()
_BOX = re.compile(r"[(\[]?([A-Za-z])[)\].]?")
_FRACTION = re.compile(r"\(\(([^()]*+)\)/\(([^()]*+)\)\)")


def clean(text: str) -> str:
    """The typed text as it can be shown again: one line, nothing that controls a terminal."""
    kept = "".join(" " if c.isspace() else c for c in text[:MAX_BYTES])
    kept = "".join(c for c in kept if unicodedata.category(c)[0] != "C")
    return " ".join(kept.split())


def read(
    question: Posed,
    text: str,
    parts: Iterable[Element] = (),
    known: Facts | None = None,
    setting: Setting = _ALONE,
) -> Reading:
    """Read a typed answer to a question.

    Args:
        question: what was asked.
        text: what was typed.
        parts: the elements that a formula may name, with their values as far as they are known.
        known: the facts of the circuit, where they are known: figures asked for earlier may be
            named in a formula, and have their values of them.
        setting: the words of the choices as they are shown, and how the writer writes numbers.

    Raises:
        Unclear: it was not understood.
    """
    if len(text) > MAX_BYTES or len(text.encode("utf-8", "replace")) > MAX_BYTES:
        raise Unclear("answer.too-long", most=MAX_BYTES)
    if not text.strip():
        raise Unclear("answer.nothing")
    if is_blank(text):
        raise Unclear("answer.blank", typed=quoted(text.strip()))
    case = ReadingCase(question, tuple(parts), known)
    if (boxed := _boxed(question, text)) is not None:
        return boxed
    try:
        return _READERS[question.form](case, _plain(question, text, setting.decimal), setting)
    except TooMuchWorkError:
        raise Unclear("answer.too-much-work") from None


def _boxed(question: Posed, text: str) -> Reading | None:
    """The count or slope whose box has the letter that an answer is; ``None`` for all else."""
    if not question.choices or question.form not in (Form.COUNT, Form.SLOPE):
        return None
    letter = _BOX.fullmatch(unicodedata.normalize("NFKC", text).strip())
    place = LETTERS.find(letter[1].lower()) if letter else -1
    if not 0 <= place < len(question.choices):
        return None
    value = int(question.choices[place].id)
    if question.form is Form.COUNT:
        return Reading(value, str(value))
    return Reading(float(value), write_quantity(value, question.unit), question.unit)


def _plain(question: Posed, text: str, decimal: str) -> str:
    """A text without LaTeX, its numbers spelt so that each has one meaning."""
    if question.form is Form.SKETCH:
        return text
    plain = plain_notation(text)
    if question.form is Form.CHOICE:
        return plain
    if is_angle(question) and plain != text:
        plain = _FRACTION.sub(r"\1/\2", plain)
    return spelt_out(plain, decimal)


def read_otherwise(
    question: Posed,
    text: str,
    parts: Iterable[Element],
    known: Facts,
    work: Work,
    setting: Setting = _ALONE,
) -> Iterator[Reading]:
    """What else an answer may mean, which :func:`read` did not take.

    R/L s is (R/L)·s to some, and R/(L·s) to :func:`read`: both are common in handwriting, and
    1/2πRC asks for the second; so are √(L/C) and (√L)/C for √L/C.  A writer of decimal commas may
    have left a point in a number.
    ``question``, ``text``, ``parts``, ``known`` and ``setting`` as there; ``work`` is what is left
    of the first reading's.

    Raises:
        TooMuchWorkError: it asks for more work than is left.
    """
    case = ReadingCase(question, tuple(parts), known)
    plain = _plain(question, text, setting.decimal)
    for beside in Beside.SPACED, Beside.LOOSE, Beside.FAR:
        try:
            if case.question.form is Form.FORMULA:
                yield _in_standard_form(case, read_transfer(case, plain, work, beside), text)
            elif case.question.form in WITH_FORMULA:
                yield read_figure(case, plain, work, beside)
        except Unclear:
            continue
    if setting.decimal and case.question.form is not Form.CHOICE:
        other = _plain(question, text, OTHER_SIGN[setting.decimal])
        try:
            if other != plain:
                yield _READERS[question.form](case, other, setting)
        except Unclear:
            return


def in_another_unit(question: Posed, text: str, setting: Setting = _ALONE) -> Reading | None:
    """What a bare figure would be as a ratio, or in radians, where a level is asked for.

    ``None`` for all else.  ``question``, ``text`` and ``setting`` as in :func:`read`.
    """
    return otherwise(question, _plain(question, text, setting.decimal))


def _sketch(case: ReadingCase, text: str, _: Setting) -> Reading:
    from ..sketches.write import write

    try:
        drawn = as_written(READ[case.rung](text))
    except SketchError as error:
        raise Unclear(error.wording) from None
    return Reading(drawn, write(drawn))


def _choice(case: ReadingCase, text: str, setting: Setting) -> Reading:
    return read_choice(case, text, setting.words, Work())


def _count(case: ReadingCase, text: str, _: Setting) -> Reading:
    return read_count(case, text)


def _figure(case: ReadingCase, text: str, _: Setting) -> Reading:
    if case.question.unit == "dB":
        return read_directed(case, text, Work())
    return read_figure(case, text, Work())


def _directed(case: ReadingCase, text: str, _: Setting) -> Reading:
    return read_directed(case, text, Work())


def _transfer(case: ReadingCase, text: str, _: Setting) -> Reading:
    return _in_standard_form(case, read_transfer(case, text, Work()), text)


def _in_standard_form(case: ReadingCase, found: Reading, text: str) -> Reading:
    """The reading of an H(s); where ω0 and Q are asked for, it has them and no part's name.

    Raises:
        Unclear: it is another form of H(s), right or wrong.
    """
    if case.rung is Rung.STANDARD_FORM and found.formula is not None:
        letters = letters_of(found.formula)
        if "ω0" not in letters or letters & {part.name for part in case.parts}:
            raise Unclear("answer.no-standard-form", typed=quoted(text.strip()))
    return found


_READERS: dict[Form, Callable[[ReadingCase, str, Setting], Reading]] = {
    Form.CHOICE: _choice,
    Form.COUNT: _count,
    Form.QUANTITY: _figure,
    Form.RATIO: _figure,
    Form.GAIN: _directed,
    Form.SLOPE: _directed,
    Form.ANGLE: _directed,
    Form.LEVEL: _directed,
    Form.FORMULA: _transfer,
    Form.SKETCH: _sketch,
}


def right_text(question: Question) -> str:
    """The text of a right answer: 4 significant digits with the unit asked for."""
    truth = question.truth
    match question.form:
        case Form.QUANTITY | Form.RATIO | Form.GAIN | Form.SLOPE | Form.ANGLE | Form.LEVEL:
            return write_quantity(question.figure, question.unit)
        case _:
            return str(plain_truth(truth))
