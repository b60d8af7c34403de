"""Run every benchmark, or those named on the command line."""

import sys

from tests.studies.benchmarks import (
    charts,
    core,
    keys,
    marking,
    pages,
    record,
    sheets,
    startup,
)

BENCHMARKS = {
    "facts": core.exact_facts,
    "problems": core.problems,
    "charts": charts.redraw,
    "version": startup.version,
    "frame": startup.first_frame,
    "memory": startup.memory,
    "keys": keys.keys,
    "record": record.record,
    "sheets": sheets.sheets,
    "pages": pages.pages,
    "marking": marking.marking,
}


def main() -> None:
    """Run the benchmarks named as arguments, or all of them."""
    names = [word for word in sys.argv[1:] if not word.isdigit()] or list(BENCHMARKS)
    unknown = [name for name in names if name not in BENCHMARKS]
    if unknown:
        raise SystemExit(f"no benchmark named {unknown[0]}: choose from {', '.join(BENCHMARKS)}")
    print(f"Python {sys.version.split()[0]}, {sys.platform}")
    for name in names:
        BENCHMARKS[name]()


if __name__ == "__main__":
    main()
