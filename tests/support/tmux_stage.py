"""The tutor in a real terminal: tmux holds it, sends it keys, and tells what is on the screen."""

from __future__ import annotations

import os
import subprocess
import sys
import time
import uuid
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType

PATIENCE = 60.0
"""Seconds to wait for what must appear; long, since it only matters where something is broken."""

KEYS = {
    "enter": "Enter",
    "escape": "Escape",
    "space": "Space",
    "tab": "Tab",
    "shift+tab": "BTab",
    "backspace": "BSpace",
    "delete": "DC",
    "up": "Up",
    "down": "Down",
    "left": "Left",
    "right": "Right",
    "home": "Home",
    "end": "End",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "shift+left": "S-Left",
    "shift+right": "S-Right",
    "shift+up": "S-Up",
    "shift+down": "S-Down",
    "plus": "+",
    "minus": "-",
    "comma": ",",
    "full_stop": ".",
    "question_mark": "?",
    **{f"f{i}": f"F{i}" for i in range(1, 13)},
}
"""What tmux calls the keys that Textual's pilot presses."""


class Terminal:
    """A terminal of its own server, so that no session of the user is touched.

    Args:
        size: Columns and rows.
        home: Where records go.
    """

    def __init__(self, size: tuple[int, int], home: Path) -> None:
        self._socket = f"rungwise-{uuid.uuid4().hex[:12]}"
        self._size, self._home = size, home

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows at the start."""
        return self._size

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._tmux("kill-server", check=False)

    def _tmux(self, *words: str, check: bool = True) -> str:
        command = ["tmux", "-L", self._socket, "-f", os.devnull, "-u", *words]
        done = subprocess.run(command, capture_output=True, text=True, check=check, timeout=300)
        return done.stdout

    def start(self, *words: str, also: Mapping[str, str] | None = None) -> None:
        """Run ``rungwise`` with these words; ``also`` adds to its environment."""
        command = Path(sys.executable).with_name("rungwise")
        env = {"RUNGWISE_HOME": str(self._home), "LC_ALL": "C.UTF-8", **(also or {})}
        sets = [f"{name}={value}" for name, value in env.items()]
        columns, rows = map(str, self._size)
        self._tmux(
            *("new-session", "-d", "-x", columns, "-y", rows),
            *("env", *sets, str(command), *words),
        )

    def start_shell(self) -> None:
        """A shell that the tutor can be started from, stopped under, and continued in."""
        env = {"RUNGWISE_HOME": str(self._home), "LC_ALL": "C.UTF-8", "PS1": "shell> "}
        sets = [f"{name}={value}" for name, value in env.items()]
        columns, rows = map(str, self._size)
        self._tmux(
            *("new-session", "-d", "-x", columns, "-y", rows),
            *("env", *sets, "bash", "--norc", "--noprofile", "-i"),
        )

    def shell(self) -> int:
        """The process of the shell."""
        return int(self._tmux("list-panes", "-F", "#{pane_pid}"))

    @property
    def running(self) -> bool:
        """Whether the tutor has not ended yet."""
        return bool(self._tmux("list-sessions", check=False).strip())

    def screen(self) -> str:
        """What can be read on the screen."""
        return self._tmux("capture-pane", "-p", check=False)

    def resize(self, columns: int, rows: int) -> None:
        """Give the window another size."""
        self._tmux("resize-window", "-x", str(columns), "-y", str(rows))

    def type(self, text: str) -> None:
        """Type a text as it is."""
        self._tmux("send-keys", "-l", "--", text)

    def press(self, *keys: str) -> None:
        """Press keys, named as for Textual's pilot."""
        for key in keys:
            if key.startswith("ctrl+"):
                self._tmux("send-keys", f"C-{key[5:]}")
            elif key in KEYS:
                self._tmux("send-keys", KEYS[key])
            else:
                self.type(key)

    def wait_for(self, *texts: str) -> str:
        """Wait until all of these stand on the screen, blanks and line breaks aside.

        Raises:
            AssertionError: they do not appear; with what was on the screen instead.
        """
        end = time.monotonic() + PATIENCE
        shown = ""
        while time.monotonic() < end:
            shown = self.screen()
            if all(" ".join(text.split()) in " ".join(shown.split()) for text in texts):
                return shown
            time.sleep(0.02)
        raise AssertionError(f"{texts} did not appear in {PATIENCE:g} s; the screen:\n{shown}")

    def wait_for_end(self) -> None:
        """Wait until the tutor has ended.

        Raises:
            AssertionError: it goes on.
        """
        end = time.monotonic() + PATIENCE
        while self.running:
            assert time.monotonic() < end, self.screen()
            time.sleep(0.02)
