"""The whole picture after a climb: circuit, Bode charts, s-plane map, worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from ....problems.analysis.arms import End
from ...language.ascii import ascii_screen
from ...language.texts import Words
from ..common.frame import framed
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.topline import TopLine
from ..pictures.schematic import SchematicView
from ..pictures.sketched import SketchedBode, SketchedPlane

if TYPE_CHECKING:
    from ....problems.solutions.step import Step
    from ...learning.climb import Climb

PAGES = ("charts", "plane", "solution")
"""Where the window is too small for everything at once, one page is shown at a time."""


class Solution(VerticalScroll):
    """One step of the worked solution."""

    def __init__(self) -> None:
        super().__init__(id="solution")
        self._shown = Static(markup=False)

    def compose(self) -> ComposeResult:
        """The step."""
        yield self._shown

    def show(self, step: Step, number: int, count: int) -> None:
        """Show a ``step``, which is the one of this ``number`` (from 1) of so many (``count``)."""
        words = Words.load()
        title, say, why = words.step(step)
        lines: list[Content | str] = [
            Content.assemble(
                (title, "bold $ink-copper"),
                (f"   {words.ui('summit.step', number=number, count=count)}", "$ink-quiet"),
            ),
            "",
            Content(say),
        ]
        if step.display:
            lines += ["", *(Content.styled(f"   {line}", "bold") for line in step.display)]
        lines.append("")
        lines.append(Content.styled(why, "$ink-quiet"))
        self._shown.update(Content("\n").join(lines))
        self.scroll_home(animate=False)


def _end_of(step: Step) -> End | None:
    """The end of the frequency axis that a step of the solution speaks of."""
    return next((end for end in End if step.id.startswith(f"{end}-")), None)


class SummitScreen(Leaving[bool]):
    """The view from the top of a ``climb``; dismissed with True for the next problem."""

    AUTO_FOCUS = "#solution"
    CSS_PATH: ClassVar = ["../common/climb.tcss", "summit.tcss"]
    HELP = Words.load().ui("help.summit")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("right,space", "step(1)", "forward", priority=True),
        bound("left,backspace", "step(-1)", "back", priority=True),
        bound("tab", "page(1)", "page", priority=True),
        bound("shift+tab", "page(-1)", "page", show=False, priority=True),
        bound("enter,n", "dismiss(True)", "next"),
        bound("b", "bench", "bench"),
        bound("escape", "dismiss(False)", "close"),
        bound("f5,ctrl+o", "choose", "choose", show=False),
    ]

    def __init__(self, climb: Climb) -> None:
        super().__init__()
        self._climb = climb
        self._steps: tuple[Step, ...] = ()
        self._step = 0
        self._page = 0

    def compose(self) -> ComposeResult:
        """Circuit and s-plane on the left, charts on the right, the solution below."""
        views = (
            SchematicView(self._climb.problem.ladder, id="circuit"),
            SketchedBode(self._climb, id="magnitude"),
            SketchedPlane(self._climb, id="plane"),
            SketchedBode(self._climb, phase=True, id="phase"),
            Solution(),
        )
        yield from framed(Container(*views, id="views"))

    def on_mount(self) -> None:
        """Name the parts and fetch the worked solution."""
        words, problem = Words.load(), self._climb.problem
        summary = self._climb.summary()
        top = self.query_one(TopLine)
        family = words.family(problem.family) if problem.family else ""
        top.about = words.ui("summit.about", family=family, level=problem.level, seed=problem.seed)
        top.place = words.ui("summit.place", full=summary.full, steps=summary.steps)
        self.query_one(Solution).border_title = words.ui("summit.solution")
        self._turn()
        self._solve()

    @work(thread=True)
    def _solve(self) -> None:
        from ....problems.solutions.solution import worked_solution

        problem = self._climb.problem
        asked = {question.rung for question in problem.questions}
        steps = worked_solution(problem.ladder, ascii=ascii_screen(), asked=asked)
        self.call_later(self._solved, steps)

    def _solved(self, steps: tuple[Step, ...]) -> None:
        self._steps = steps
        self._show_step()

    def _show_step(self) -> None:
        if self._steps:
            solution = self.query_one(Solution)
            step = self._steps[self._step]
            solution.show(step, self._step + 1, len(self._steps))
            self.query_one(SchematicView).show_end(_end_of(step))
            self._show_view(step)

    def _show_view(self, step: Step) -> None:
        """The picture that goes with a step; straight lines as far as they have grown."""
        from ....problems.solutions.step import View

        lines = step.view is View.GAIN_LINES
        phase = step.view is View.PHASE_LINES
        grown = step.breaks if lines else max(s.breaks for s in self._steps) if phase else None
        self.query_one("#magnitude", SketchedBode).grow(grown)
        self.query_one("#phase", SketchedBode).grow(0 if phase else None)
        paged = not self.has_class("-roomy")
        self.set_class(paged and step.view is View.MAP, "-view-map")
        self.set_class(paged and (lines or step.view is View.CURVE), "-view-gain")
        self.set_class(paged and phase, "-view-phase")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Steps only where there are more; pages only where not everything is in sight."""
        if action == "step":
            step = self._step + (parameters[0] if isinstance(parameters[0], int) else 0)
            return 0 <= step < len(self._steps)
        if action == "page":
            return not self.has_class("-roomy")
        return True

    def action_step(self, by: int) -> None:
        """Go to another step of the worked solution."""
        if 0 <= self._step + by < len(self._steps):
            self._step += by
            self._show_step()
            self._page = PAGES.index("solution")
            self._turn()

    def action_page(self, by: int) -> None:
        """Turn to another page."""
        self._page = (self._page + by) % len(PAGES)
        self._turn()

    def _turn(self) -> None:
        for i, page in enumerate(PAGES):
            self.set_class(i == self._page, f"-page-{page}")
        self.refresh_bindings()

    def on_resize(self) -> None:
        """Everything at once where there is room for it."""
        width, height = self.app.size
        self.set_class(width >= 110 and height >= 36, "-roomy")
        if self._steps:
            self._show_view(self._steps[self._step])
        self.refresh_bindings()

    def action_choose(self) -> None:
        """Back to the drill, to choose other problems."""
        self.dismiss(False)
        self.app.call_later(self.app.run_action, "screen.choose")

    def action_bench(self) -> None:
        """Take the circuit to the bench; leaving it leads back here."""
        from ..bench.screen import BenchScreen

        self.app.push_screen(BenchScreen(self._climb.problem.ladder))
