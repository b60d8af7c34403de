"""A head start: what the first screen shows is made beside the import of the screen library.

Making a certified problem, or reading a record, and importing the screen library each take a
good tenth of a second, and threads would not overlap them (both hold the interpreter's lock).
Where the system can fork, a child made before anything heavy is imported does the work and
hands it over through a pipe; elsewhere, or if the child fails, it is done here as usual.  What
will be wanted soon after is made there too, and then the child ends.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Generic, TypeVar

if TYPE_CHECKING:
    from ...problems.questions.model import Problem
    from ..learning.request import ProblemRequest

T = TypeVar("T")

_LATER = 10
"""How much a child gives way to others while it makes what is not waited for."""


class Ahead(Generic[T]):
    """Something in the making, and perhaps something else after it.

    Args:
        make: Makes it, in a process of its own where the system can fork; what it returns
            must be picklable, and it may leave nothing behind but that.
        then: Makes what will be wanted next, there as well: what only it has to import takes
            up no memory here, and it keeps nobody from typing.
    """

    def __init__(self, make: Callable[[], T], then: Callable[[], object] | None = None) -> None:
        self._make = make
        self._more = then is not None
        self._child = 0
        if not hasattr(os, "fork"):
            return
        self._pipe, far_end = os.pipe()
        self._child = os.fork()
        if self._child:
            os.close(far_end)
            self._source = os.fdopen(self._pipe, "rb")
            return
        # The child: nothing of the parent's may run here, not even at exit.
        try:
            os.close(self._pipe)
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            with os.fdopen(far_end, "wb") as out:
                pickle.dump(make(), out)
                if then is not None:
                    out.flush()
                    os.nice(_LATER)
                    pickle.dump(then(), out)
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
        found: list[T] = self._take()
        if not found or not self._more:
            self._end()
        return found[0] if found else self._make()

    def rest(self) -> object:
        """What was made after that, once; None if it was not.  Waits until it is."""
        found: list[object] = self._take()
        self._end()
        return found[0] if found else None

    def _take(self) -> list[Any]:
        """The next thing the child hands over, if there is one."""
        if not self._child:
            return []
        try:
            # Our own child wrote it: no text from outside is unpickled.
            return [pickle.load(self._source)]  # noqa: S301
        except (EOFError, pickle.UnpicklingError):
            return []

    def _end(self, options: int = 0) -> None:
        child, self._child = self._child, 0
        if child:
            self._source.close()
            os.waitpid(child, options)

    def __del__(self) -> None:
        """Nobody has asked for the rest: the child ends by itself, and is not waited for."""
        self._end(os.WNOHANG if self._child else 0)


class Made:
    """A problem that was made already, to be taken for a head start.

    Args:
        wish: Which problem.
        problem: The problem.
    """

    ready = True

    def __init__(self, wish: ProblemRequest, problem: Problem) -> None:
        self.wish, self._problem = wish, problem

    def problem(self) -> Problem:
        """The problem."""
        return self._problem

    def following(self) -> Problem | None:
        """The problem after it, which was not made."""
        return None


class HeadStart(Ahead["Problem"]):
    """The first problem, in the making, and the one after it.

    Args:
        wish: Which problem.
    """

    def __init__(self, wish: ProblemRequest) -> None:
        self.wish = wish
        super().__init__(lambda: wish.problem(), lambda: wish.next().problem())

    def problem(self) -> Problem:
        """The problem, once; waits until it is made.

        Raises:
            ValueError: no such problem can be made (also LookupError, ArithmeticError).
        """
        return self.result()

    def following(self) -> Problem | None:
        """The problem after it, once, if it could be made; waits until it is."""
        found: Problem | None = self.rest()  # type: ignore[assignment]
        return found
