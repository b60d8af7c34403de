"""Marking that is killed, in small; ``python -m tests.kill_the_marking`` does it fifty times."""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest

from tests import kill_the_marking as killing


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX has it")
def test_killed_and_begun_again_it_comes_to_the_same_bytes(tmp_path: Path) -> None:
    killing.prepare(tmp_path, 12)
    ends, _ = killing.kill(tmp_path, 2, Random(5))
    assert ends >= 2


def test_other_bytes_would_be_seen() -> None:
    with pytest.raises(killing.OtherBytesError, match="other files"):
        killing.compare({"a": b""}, {"a": b"", "b": b""})
    with pytest.raises(killing.OtherBytesError, match="differs"):
        killing.compare({"a": b"1"}, {"a": b"2"})
