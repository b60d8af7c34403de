"""``python -m tests.journeys.monkey [TURNS] [SEED]``: plays, and says what was seen."""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
import time
from pathlib import Path

from rungwise.tutor.screens.common.served import SERVED

from .play import all_screens, play


def main() -> None:
    """Play; exits with 1 if a screen was never seen."""
    turns, seed = map(int, (sys.argv[1:] + ["20000", "1"][len(sys.argv) - 1 :])[:2])
    os.environ[SERVED] = "1"  # the palette then writes no pictures into somebody's folders
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as home:
        report = asyncio.run(play(turns, seed, Path(home)))
    print(f"{report.turns} turns, {report.starts} starts, {time.monotonic() - began:.0f} s")
    for kind, count in report.done.most_common():
        print(f"  {count:6} {kind}")
    for name, count in report.seen.most_common():
        print(f"  {count:6} on {name}")
    if missing := all_screens() - set(report.seen):
        print("never seen:", *sorted(missing))
        raise SystemExit(1)


if __name__ == "__main__":
    main()
