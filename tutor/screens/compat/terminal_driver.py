"""The terminal's side of the full screen, for terminals that send what is no text, or go away.

Textual 8.2 decodes what is typed as UTF-8 and ends the program at the first byte that is none: one
key of a Latin-1 terminal, or one paste of a binary file.  Here such bytes are passed over, and
a terminal that has gone away ends the program instead of being read again and again.
"""

from __future__ import annotations

import os
import selectors
import signal
import sys
from codecs import getincrementaldecoder, lookup
from contextlib import suppress

from textual._parser import ParseEOF, ParseError
from textual._xterm_parser import XTermParser

try:
    import termios
    import tty

    from textual.drivers.linux_driver import LinuxDriver
except ImportError:  # no termios, as on Windows: the class is there, but nothing can be made of it
    from textual.driver import Driver as LinuxDriver  # type: ignore[assignment]

_AT_A_TIME = 4096
_PATIENCE = 0.1
"""Seconds after which a lone Escape is taken for the key and not for the start of a sequence."""


BEGIN, END = "\x1b[200~", "\x1b[201~"
"""Between these a terminal sends what is pasted."""
_NO_KEY = 3
"""Characters of a marker that no key alone sends: Escape is one key, Alt and [ another."""
MOST = 100_000
"""Characters taken of one paste; no circuit and no answer is a hundredth as long."""


class Pastes:
    """Takes out of what is pasted whatever could be taken for keys, and what goes beyond reason.

    Textual reads a sequence that begins with Escape as keys even inside a paste: a file of
    them would be hundreds of thousands of keys.
    """

    def __init__(self) -> None:
        self._inside = False
        self._taken = 0
        self._held, self._said = "", 0

    def feed(self, text: str) -> str:
        """The text to be read on; what may be half of a marker waits for the other half."""
        text, said = self._held + text, self._said
        self._held, self._said = "", 0
        out: list[str] = []
        while text:
            marker = END if self._inside else BEGIN
            before, found, text = text.partition(marker)
            if not found:
                keep = _beginning(before, marker)
                self._held = before[len(before) - keep :]
                if not self._inside and keep < _NO_KEY:
                    self._said = keep  # a key, perhaps: it is handed on, and yet remembered
                else:
                    self._said = min(said, keep) if not out and keep == len(before) else 0
                    before = before[: len(before) - keep]
            out.append(self._harmless(before) if self._inside else before)
            if found:
                out.append(marker)
                self._inside, self._taken = not self._inside, 0
        return "".join(out)[said:]

    def _harmless(self, text: str) -> str:
        text = text[: MOST - self._taken]
        self._taken += len(text)
        return "".join(c for c in text if c.isprintable() or c in "\n\r\t")


def _beginning(text: str, marker: str) -> int:
    """How many characters at the end of a text may be the beginning of a marker."""
    return next((n for n in range(len(marker) - 1, 0, -1) if text.endswith(marker[:n])), 0)


def encoding_of_keys() -> str:
    """The encoding that the terminal sends characters in."""
    said = getattr(sys.__stdin__, "encoding", None) or "utf-8"
    try:
        name = lookup(said).name
    except LookupError:
        return "utf-8"
    # Nobody's keys are ASCII only; where that is what is said, nothing is known.
    return "utf-8" if name == "ascii" else name


class TerminalDriver(LinuxDriver):
    """Reads a terminal until it has no more to say, and takes it back after a stop."""

    # Python calls handlers of signals anywhere, also where a lock is held that they would wait
    # for; so what they do is done by the loop.

    def _sigtstp_application(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._stop)

    def _sigcont_application(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._go_on)

    def _stop(self) -> None:
        """Give the terminal back and stop; once continued, take it again."""
        if not self._auto_restart:  # something else has the terminal, and gives it back itself
            signal.raise_signal(signal.SIGSTOP)
            return
        self.suspend_application_mode()
        self._must_signal_resume = True
        signal.raise_signal(signal.SIGSTOP)
        # In the background it does not begin, and is stopped again by the system.
        while not self._begun():
            self.resume_application_mode()

    def _begun(self) -> bool:
        return self._writer_thread is not None and self._writer_thread.is_alive()

    def _go_on(self) -> None:
        """Whatever had the terminal meanwhile: set its modes again, and paint all of it.

        Who was stopped without being asked (SIGSTOP) had no chance to give the terminal back,
        and whoever had it then may have left it in any state.
        """
        if not self._auto_restart or not self._begun():
            return
        with suppress(termios.error):
            modes = termios.tcgetattr(self.fileno)
            modes[tty.LFLAG] = self._patch_lflag(modes[tty.LFLAG])
            modes[tty.IFLAG] = self._patch_iflag(modes[tty.IFLAG])
            modes[tty.CC][termios.VMIN] = 1
            termios.tcsetattr(self.fileno, termios.TCSANOW, modes)
        self.write("\x1b[?1049h\x1b[?25l\x1b[?1004h")  # other screen, no cursor, tell the focus
        self._enable_mouse_support()
        self._enable_bracketed_paste()
        self._disable_line_wrap()
        app = self._app
        app.call_later(app.refresh, layout=True)

    def write(self, data: str) -> None:
        """Write to the terminal; where it has gone, end as if it had hung up.

        The thread that writes ends with the terminal; what waits for it would wait for ever.
        """
        writer = self._writer_thread
        if writer is not None and not writer.is_alive():
            signal.raise_signal(signal.SIGHUP)
            return
        super().write(data)

    def _run_input_thread(self) -> None:
        """Read; without keys nothing can go on."""
        try:
            self.run_input_thread()
        except Exception as error:
            give_up = getattr(self._app, "give_up", self._app.exit)
            self._app.call_later(give_up, error)

    def run_input_thread(self) -> None:
        """Wait for input and hand it on as events."""
        parser, pastes = XTermParser(self._debug), Pastes()
        decode = getincrementaldecoder(encoding_of_keys())("ignore").decode
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(_PATIENCE):
                    try:
                        data = os.read(self.fileno, _AT_A_TIME)
                    except OSError:
                        data = b""
                    if not data:
                        os.kill(os.getpid(), signal.SIGHUP)  # as the system does, if late
                        break
                    text = pastes.feed(decode(data))
                    for event in parser.feed(text) if text else ():  # nothing would be the end
                        self.process_message(event)
                for event in parser.tick():
                    self.process_message(event)
        with suppress(EOFError, ParseError, ParseEOF):
            for _ in parser.feed(""):
                pass
