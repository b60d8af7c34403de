"""Tables of a class report: true answer × given answer, answers alike, groups, variants."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...documents.pages import clean, shortened
from ...documents.pages_form import Block, Cell, Paragraph, Table
from ...language.apostrophes import Typed
from .comparison import LEAST_COMPARED, Comparison, Difference, QuestionInPart
from .confusion import Confusion
from .figures_of_class import Report
from .in_words import DASH, line, percent, rung_name, say, signed, some, table
from .unexplained import Alike

MOST_ALIKE = 25
"""Kinds of unexplained answers that are listed."""
MOST_NAMED = 6
_ANSWER = 80
_NAME = 30


def confusion_blocks(found: Report) -> Iterator[Block]:
    """What was taken for what."""
    tables = [table for table in found.confusions if table.wrong]
    if not found.confusions:
        return
    if not tables:
        yield line("confusion.none")
        return
    yield line("confusion.say")
    yield from map(_confusion, tables)


def _confusion(table: Confusion) -> Table:
    rest = {"others": table.others, "silent": table.silent}
    shown = [name for name, counts in rest.items() if any(counts)]
    unit = _common_unit((*table.true, *table.given))
    rows = []
    for place, truth in enumerate(table.true):
        cells = [
            _count(count, diagonal=given == truth)
            for given, count in zip(table.given, table.counts[place], strict=True)
        ]
        cells += [_count(rest[name][place], diagonal=False) for name in shown]
        rows.append((_short(truth, unit), *cells))
    heads = [
        *(_short(given, unit) for given in table.given),
        *(say(f"confusion.{name}") for name in shown),
    ]
    return Table(
        say("confusion.table", kind=rung_name(table.rung)),
        (rung_name(table.rung), *heads),
        tuple(rows),
        (False,) + (True,) * len(heads),
    )


def _count(count: int, *, diagonal: bool) -> str:
    """A count; in the diagonal in brackets, so that it is found without colour."""
    if diagonal:
        return f"[{count}]"
    return str(count) if count else "·"


def _common_unit(answers: Sequence[str]) -> str:
    """The unit that all ``answers`` end in."""
    units = {answer.partition(" ")[2] for answer in answers}
    unit = units.pop()
    return unit if not units and unit in ("dB/decade", "°") else ""


def _short(answer: str, unit: str) -> str:
    """An answer as a heading: its ``unit``, and what is in brackets or after a colon, left out."""
    return shortened(clean(answer).removesuffix(unit).split(" (")[0].split(":")[0].strip(), 24)


def unexplained_blocks(found: Report) -> Iterator[Block]:
    """The wrong answers that no slip explains."""
    if not found.unexplained:
        return
    yield line("unexplained.say")
    rows = []
    for one in found.unexplained[:MOST_ALIKE]:
        who = [shortened(clean(found.unexplained_by[place]), _NAME) for place in one.students]
        rows.append(
            (
                rung_name(one.rung),
                _told(one),
                str(one.times),
                Typed(some(who, MOST_NAMED)),
                some(one.questions, MOST_NAMED).replace(";", ","),
            )
        )
    texts = ("kind", "what", "who", "questions")
    heads = ("kind", "what", "times", "who", "questions")
    yield table("unexplained", heads, rows, texts, ("who", "what"))
    if more := found.unexplained[MOST_ALIKE:]:
        times = sum(one.times for one in more)
        yield line("unexplained.more", "small", kinds=len(more), times=times)


def _told(one: Alike) -> Cell:
    """How the answers are alike, and below it the first of them."""
    first = Typed(say("unexplained.same", given=_answer(one.given), right=_answer(one.right)))
    if one.how == "same":
        return Cell(first)
    return Cell(say(f"unexplained.{one.how}", factor=one.factor), first)


def _answer(text: str) -> str:
    return shortened(clean(text), _ANSWER)


def group_blocks(found: Report) -> Iterator[Block]:
    """The groups of the roster side by side."""
    if found.groups is not None:
        yield from _parts(found.groups, "groups")
        yield from _differences(found.groups, "groups")


def variant_blocks(found: Report) -> Iterator[Block]:
    """The variants of the sheet side by side, and their questions."""
    if found.variants is None:
        return
    yield from _parts(found.variants, "variants")
    yield from _differences(found.variants, "variants")
    yield from _questions(found.variants)


def _parts(compared: Comparison, name: str) -> Iterator[Block]:
    rows = (
        (
            Typed(_called(part.name)),
            str(part.count),
            f"{percent(part.mean)} %",
            DASH if part.deviation is None else f"{percent(part.deviation)} %",
            _range(part.low, part.high),
        )
        for part in compared.parts
    )
    heads = ("name", "count", "mean", "deviation", "interval")
    yield table("parts", heads, rows, ("name",), caption=f"{name}.title")


def _differences(compared: Comparison, name: str) -> Iterator[Block]:
    if not compared.differences:
        yield line("parts.few", "small", few=LEAST_COMPARED)
    for one in compared.differences:
        values = {
            "first": _called(one.first if one.value >= 0 else one.second),
            "second": _called(one.second if one.value >= 0 else one.first),
            "value": percent(abs(one.value)),
            "low": _points(one.low if one.value >= 0 else -one.high),
            "high": _points(one.high if one.value >= 0 else -one.low),
        }
        key = "clear" if one.clear else "unclear"
        yield line(f"parts.{key}", **values)
        if one.clear:
            yield line(f"{name}.caution", "small", **values)


def _questions(compared: Comparison) -> Iterator[Block]:
    asked = compared.questions
    if not any(one.difference for one in asked):
        return
    clear = [one.number for one in asked if one.difference and one.difference.clear]
    if clear:
        yield Paragraph(say("variants.differ", numbers=", ".join(clear)))
    else:
        yield line("variants.alike")
    names = [_called(part.name) for part in compared.parts]
    heads = [say("items.number"), say("items.kind")]
    heads += [say("variants.right", name=name) for name in names]
    heads.append(say("variants.difference"))
    heads += [say("variants.discrimination", name=name) for name in names]
    rows = tuple(
        (
            one.number,
            rung_name(one.rung),
            *(_share(part) for part in one.parts),
            _difference(one.difference),
            *(_discrimination(part) for part in one.parts),
        )
        for one in asked
    )
    numeric = (False, False) + (True,) * (2 * len(names) + 1)
    yield Table(say("variants.questions"), tuple(heads), rows, numeric, (1,))
    yield line("variants.source", "small")


def _share(part: QuestionInPart) -> str:
    share = part.share
    return f"{share.right}/{share.asked}" if share.asked else DASH


def _difference(one: Difference | None) -> str | Cell:
    if one is None:
        return DASH
    mark = " *" if one.clear else ""
    return Cell(f"{_points(one.value)}{mark}", f"{_points(one.low)} … {_points(one.high)}")


def _discrimination(part: QuestionInPart) -> str | Cell:
    if part.low is None or part.high is None:
        return signed(part.discrimination)
    return Cell(signed(part.discrimination), f"{signed(part.low)} … {signed(part.high)}")


def _range(low: float | None, high: float | None) -> str:
    return DASH if low is None or high is None else f"{percent(low)} – {percent(high)} %"


def _points(value: float) -> str:
    """Percentage points with a real minus."""
    text = f"{value * 100:.0f}".replace("-", "−")
    return "0" if text == "−0" else text


def _called(name: str) -> str:
    return shortened(clean(name), _NAME) or say("parts.nameless")
