"""Kill -9 in the middle of it, a few times; 200 by ``python -m tests.studies.kill_the_drill``."""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest

from tests.studies.kill_the_drill import kill_the_plain, kill_the_screen

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")


@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_the_screen_goes_on_where_it_was_killed(home: Path) -> None:
    assert kill_the_screen(7, Random(3), home, words=["drill", "--level", "4"]) > 3


def test_every_mark_that_was_printed_is_kept(home: Path) -> None:
    assert kill_the_plain(10, Random(4), home) > 30
