"""Damaged workbooks and archives: each read, or set apart with a reason; what the worst one took.

    python -m tests.studies.damaged_handins [COUNT] [SEED]

It ends at the first that does what none should, and names its number.
"""

from __future__ import annotations

import resource
import sys

from tests.tutor.classroom.damaged_packages import survey


def main() -> None:
    """Make them and say what came of them."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    found = survey(count, seed)
    told = ", ".join(f"{number} {what}" for what, number in sorted(found.outcomes.items()))
    print(f"{count} damaged xlsx, ods and zip (seed {seed}): {told}; no traceback")
    print(
        f"the worst: {found.unpacked / 2**20:.1f} MiB unpacked, {found.memory / 2**20:.1f} MiB of "
        f"memory, {found.seconds:.1f} s (with memory traced); the process took at most "
        f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB"
    )


if __name__ == "__main__":
    main()
