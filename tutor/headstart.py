"""A head start: what the first screen shows is made beside the import of the screen library.

Making a certified problem, or reading a record, and importing the screen library each take a
good tenth of a second, and threads would not overlap them (both hold the interpreter's lock).
Where the system can fork, a child made before anything heavy is imported does the work and
hands it over through a pipe; elsewhere, or if the child fails, it is done here as usual.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
from collections.abc import Callable
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from ..problems.problem import Problem
    from .wish import Wish

T = TypeVar("T")


class Ahead(Generic[T]):
    """Something in the making.

    Args:
        make: Makes it, in a process of its own where the system can fork; what it returns
            must be picklable, and it may leave nothing behind but that.
    """

    def __init__(self, make: Callable[[], T]) -> None:
        self._make = make
        self._child = 0
        if not hasattr(os, "fork"):
            return
        self._pipe, far_end = os.pipe()
        self._child = os.fork()
        if self._child:
            os.close(far_end)
            return
        # The child: nothing of the parent's may run here, not even at exit.
        try:
            os.close(self._pipe)
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            with os.fdopen(far_end, "wb") as out:
                pickle.dump(make(), out)
        finally:
            os._exit(0)

    @property
    def ready(self) -> bool:
        """Whether the child has something to hand over, so that asking for it won't wait."""
        return bool(self._child and select.select([self._pipe], [], [], 0)[0])

    def result(self) -> T:
        """What was made, once; waits until it is.

        Raises:
            Exception: whatever making it raises.
        """
        if not self._child:
            return self._make()
        with os.fdopen(self._pipe, "rb") as source:
            data = source.read()
        os.waitpid(self._child, 0)
        self._child = 0
        # Our own child wrote it: no text from outside is unpickled.
        made: T = pickle.loads(data) if data else self._make()  # noqa: S301
        return made


class Made:
    """A problem that was made already, to be taken for a head start.

    Args:
        wish: Which problem.
        problem: The problem.
    """

    ready = True

    def __init__(self, wish: Wish, problem: Problem) -> None:
        self.wish, self._problem = wish, problem

    def problem(self) -> Problem:
        """The problem."""
        return self._problem


class HeadStart(Ahead["Problem"]):
    """The first problem, in the making.

    Args:
        wish: Which problem.
    """

    def __init__(self, wish: Wish) -> None:
        self.wish = wish
        super().__init__(lambda: wish.problem())

    def problem(self) -> Problem:
        """The problem, once; waits until it is made.

        Raises:
            ValueError: no such problem can be made (also LookupError, ArithmeticError).
        """
        return self.result()
