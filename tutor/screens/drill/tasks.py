"""One line that offers the tasks a problem can ask for."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.widget import Widget

from ....problems.questions.model import Task
from ...language.texts import Words

TASKS: tuple[Task | None, ...] = (None, *Task)
"""The tasks in the order they are offered; ``None`` mixes them."""


class TaskLine(Widget):
    """The tasks side by side, one of them chosen: at first the ``task`` given."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    TaskLine { dock: bottom; height: 2; width: 100%; }
    """

    def __init__(self, task: Task | None) -> None:
        super().__init__()
        self.chosen = task
        self._spots: list[tuple[int, int, Task | None]] = []

    def render(self) -> Content:
        """A heading and the tasks; the chosen one has a pointer."""
        ui = Words.load().ui
        heading = ui("chooser.task")
        parts: list[tuple[str, str]] = [(f"{heading}  ", "$ink-quiet")]
        column, self._spots = len(heading) + 2, []
        for task in TASKS:
            name = ui(f"task.{task.value if task else 'mixed'}")
            is_chosen = task is self.chosen
            text = f" {'▸' if is_chosen else ' '} {name} "
            parts.append((text, "bold $foreground $picked-look" if is_chosen else "$foreground"))
            self._spots.append((column, column + len(text), task))
            column += len(text)
        return Content.assemble("\n", *parts)

    def turn(self, by: int) -> None:
        """Choose the next or the previous task, round and round."""
        self.chosen = TASKS[(TASKS.index(self.chosen) + by) % len(TASKS)]
        self.refresh()

    def choose(self, task: Task | None) -> None:
        """Choose a task; ``None`` mixes them."""
        self.chosen = task
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        """A click chooses."""
        for start, end, task in self._spots:
            if event.y == 1 and start <= event.x < end:
                self.choose(task)
                break
