"""Two things timed in turn, so that a drifting machine speed cancels in the ratio."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable


def once(job: Callable[[], object]) -> float:
    """Seconds for one call."""
    start = time.perf_counter()
    job()
    return time.perf_counter() - start


def paired(
    title: str,
    ours: tuple[str, Callable[[], float]],
    base: tuple[str, Callable[[], float]],
    runs: int,
    goal: str,
) -> None:
    """Run both in turn ``runs`` times after a warm-up; print medians and the median ratio.

    The callables return seconds.
    """
    ours[1](), base[1]()
    gc.collect()
    pairs = [(ours[1](), base[1]()) for _ in range(runs)]
    a, b = (statistics.median(column) for column in zip(*pairs, strict=True))
    ratio = statistics.median(x / y for x, y in pairs)
    print(f"\n{title}  ({runs} pairs, medians)")
    print(f"  {ours[0]:<44} {a * 1e3:10.3f} ms")
    print(f"  {base[0]:<44} {b * 1e3:10.3f} ms")
    words = f"{1 / ratio:.0f} times faster" if ratio < 0.5 else f"{ratio:.2f} times as long"
    print(f"  {words}  (goal: {goal})")
