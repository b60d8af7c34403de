"""Kill -9 at random moments of rounds of looks: what was acknowledged must be in the record.

``python -m tests.studies.kill_the_rounds [COUNT] [SEED]`` starts somebody who looks at one round
after another in a process of its own, which writes a line for each look as soon as it is marked,
and kills it (100 times).  Every line written must be in the record, in order, and no look may be
there that is none; the record is then gone on with.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Record

from .kill_the_drill import LostError

LOOKER = """
import sys
from random import Random
from rungwise.tutor.coach.looking import begin_round
from rungwise.tutor.language.dates import local_now
from rungwise.tutor.store.keeper import Keeper

chance = Random(int(sys.argv[1]))
keeper = Keeper("")
print("ready", flush=True)
while True:
    looked = begin_round(keeper, local_now(), seed=chance.randrange(2**40))
    while looked.step is not None:
        if chance.random() < 0.1:
            looked.hint()
        if chance.random() < 0.1:
            looked.show(1.0)
        else:
            looked.answer(chance.choice(looked.step.look.answers), 1.0)
        event = looked.events[-1]
        assert not keeper.trouble, keeper.trouble
        print(event.round, event.number, event.kind, event.answered or "-", flush=True)
        looked.next()
"""


def kill_the_rounds(count: int, chance: Random, home: Path) -> int:
    """Kill somebody who looks so many times; each look that was acknowledged must be kept.

    Args:
        count: how often.
        chance: when, and what is answered.
        home: the folder of the records, as RUNGWISE_HOME says.

    Returns:
        How many looks were acknowledged in all.

    Raises:
        LostError: one was lost, or is not as it was.
    """
    environment = {**os.environ, "RUNGWISE_HOME": str(home), "PYTHONIOENCODING": "utf-8"}
    total, before = 0, 0
    for turn in range(count):
        with subprocess.Popen(
            [sys.executable, "-c", LOOKER, str(chance.randrange(10**6))],
            stdout=subprocess.PIPE,
            env=environment,
        ) as looker:
            assert looker.stdout is not None
            printed = b""
            while printed.count(b"\n") < 2:  # it is ready, and the first look is marked
                printed += os.read(looker.stdout.fileno(), 1 << 16)
            time.sleep(chance.uniform(0, 0.6))
            looker.kill()
            printed += looker.stdout.read()
        whole = printed.decode().rpartition("\n")[0].splitlines()[1:]
        kept = _kept()
        new = kept[before:]
        if new[: len(whole)] != whole or len(new) > len(whole) + 1:
            raise LostError(f"turn {turn}: acknowledged {whole}, kept {new}")
        total += len(whole)
        before = len(kept)
    if record_file().exists():
        record = Record.open(record_file())
        broken = record.broken()
        record.close()
        if broken:
            raise LostError(f"the record is broken: {broken}")
    return total


def _kept() -> list[str]:
    keeper = Keeper("")
    found = [seen.look for seen in keeper.looks()]
    keeper.close()
    if keeper.trouble or keeper.notice:
        raise LostError(keeper.trouble + keeper.notice)
    return [f"{look.round} {look.number} {look.kind} {look.answered or '-'}" for look in found]


def main() -> None:
    """Kill them, and say what came of it."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    home = Path(tempfile.mkdtemp(prefix="rungwise-"))
    os.environ["RUNGWISE_HOME"] = str(home)
    try:
        looks = kill_the_rounds(count, Random(seed), home)
        print(f"rounds were killed {count} times; {looks} looks, and none was lost")
    finally:
        shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
