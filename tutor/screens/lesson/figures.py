"""The drawing of a lesson's page: the circuit, what it does, and a line that tells them apart."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Container
from textual.content import Content
from textual.widgets import Static

from ....problems.circuits.model import Ladder, valueless
from ....problems.quantities.write import write_quantity
from ...drafting.bench import Version
from ...drafting.lesson import LessonWork
from ...drafting.lesson_pages import LessonChart
from ...figures.bode.overlay import sample
from ...figures.schematic.draw import Schematic
from ...language.ascii import ascii_screen
from ...phrases.lessons import say
from ..bench.overlaid import OverlaidBode, OverlaidPlane, StepView
from ..bench.versions import INKS, corner_and_q
from ..pictures.schematic import SchematicView

_CHART = 30
"""Columns that a chart needs at least."""
_MOST = 0.6
"""The share of the columns that a circuit takes at most, where it can be drawn in them."""
_SHARE = 0.45
"""The share that it takes as a rule."""


class LessonFigures(Container):
    """The circuit on the left, its chart on the right, their legend below."""

    DEFAULT_CSS = """
    LessonFigures { height: 1fr; layout: vertical; }
    LessonFigures #lesson-drawn { height: 1fr; layout: horizontal; }
    LessonFigures #lesson-circuit { width: 1fr; height: 100%; }
    LessonFigures #lesson-charts { width: 1fr; height: 100%; }
    LessonFigures #lesson-charts > * { display: none; }
    LessonFigures #lesson-legend { height: 1; text-wrap: nowrap; text-overflow: ellipsis; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._work: LessonWork | None = None
        self._charted: LessonChart | None = None
        self._turned = False

    def compose(self) -> ComposeResult:
        """The circuit, one chart of each kind, the legend."""
        with Container(id="lesson-drawn"):
            yield SchematicView(id="lesson-circuit")
            with Container(id="lesson-charts"):
                yield OverlaidBode(id="lesson-bode")
                yield OverlaidPlane(id="lesson-map")
                yield StepView(id="lesson-step")
        yield Static(id="lesson-legend", markup=False)

    def show(self, work: LessonWork, *, turned: bool = False) -> None:
        """Show what lies on the bench of a page that is at ``work``.

        Args:
            work: the page.
            turned: whether a part is selected, to be turned.
        """
        self._work, self._turned = work, turned
        self._draw()
        chart = work.chart
        for kind in LessonChart:
            view = self.query_one(f"#lesson-{kind.value}")
            view.display = kind is chart
        self._charted = chart
        self._fit()
        now, others = work.shown
        self._legend(work, now, others)
        if chart is not None:
            # A chart that has just come into sight has no room before the next layout.
            self.call_after_refresh(self._chart)

    def _chart(self) -> None:
        if self._work is None or self._charted is None or not self.is_attached:
            return
        now, others = self._work.shown
        view = self.query_one(f"#lesson-{self._charted.value}")
        assert isinstance(view, OverlaidBode | OverlaidPlane | StepView)
        view.show(now, others)

    def on_resize(self) -> None:
        """The room has changed."""
        if self._work is not None:
            self._draw()
            self._fit()
            self.call_after_refresh(self._chart)

    @property
    def _ladders(self) -> list[Ladder]:
        """Every circuit that a page shows: the drawing has room for each of them."""
        assert self._work is not None
        moments = [moment.version.ladder for moment in self._work.page.moments]
        return [*moments, self._work.bench.version.ladder]

    def _wide(self, *, valued: bool) -> int:
        ladders = self._ladders
        if not valued:
            ladders = [valueless(ladder) for ladder in ladders]
        return max(Schematic(ladder, ascii_screen()).lowest()[0] for ladder in ladders)

    @property
    def _room(self) -> int:
        return max(1, self.size.width)

    def _draw(self) -> None:
        """The circuit; with its letters alone where its values have no room."""
        assert self._work is not None
        work, drawing = self._work, self.query_one("#lesson-circuit", SchematicView)
        ladder = work.bench.version.ladder
        if work.chart is not None and self._wide(valued=True) > self._room * _MOST:
            ladder = valueless(ladder)
        drawing.set_ladder(ladder, {work.bench.selected} if self._turned else ())
        drawing.show_end(work.end)

    def _fit(self) -> None:
        """How the room is shared between the two."""
        assert self._work is not None
        charts = self.query_one("#lesson-charts")
        charts.display = self._charted is not None
        if self._charted is None:
            return
        most = self._room - _CHART - 2
        wide = self._wide(valued=self._wide(valued=True) <= self._room * _MOST)
        left = min(most, max(wide + 1, round(self._room * _SHARE)))
        charts.styles.width = max(1, self._room - left - 2)

    def _legend(self, work: LessonWork, now: Version, others: tuple[Version, ...]) -> None:
        parts: list[Content] = []
        part = work.bench.version.element(work.bench.selected)
        if self._turned and part is not None and part.value is not None:
            value = write_quantity(part.value, part.kind.unit)
            parts.append(Content.styled(f"{part.name} ◂ {value} ▸", "bold $ink-copper"))
        if work.end is not None:
            parts.append(Content.styled(say(f"end.{work.end.value}"), "bold $ink-brass"))
        if work.chart is not None:
            for number, version in [*enumerate(others, 1), (0, now)]:
                when = say("before" if number else "now") if others else ""
                ink = INKS[version.letter]
                letter = (
                    f"{version.letter} {sample(number, ascii_screen()).strip()} ",
                    f"bold {ink}",
                )
                told = corner_and_q(version.facts)
                parts.append(
                    Content.assemble(letter, (f"{when} " if when else "", "$ink-quiet"), told)
                )
        self.query_one("#lesson-legend", Static).update(Content("   ").join(parts))
