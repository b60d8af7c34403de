"""What tests of marking share."""

from __future__ import annotations

from pathlib import Path

import pytest

from .handed_in import Class


@pytest.fixture
def room(tmp_path: Path) -> Class:
    """A class on disk, with sheets and keys, and no hand-ins yet."""
    return Class(tmp_path)
