"""Errors by what people read of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from rungwise.tutor.language.errors import worded


@contextmanager
def refused(kind: type[Exception], says: str) -> Iterator[None]:
    """An error of this kind comes, and its words hold what the pattern says."""
    with pytest.raises(kind) as caught:
        yield
    told = worded(caught.value)
    assert re.search(says, told), told
