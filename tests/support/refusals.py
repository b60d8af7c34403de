"""Errors by what people read of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar

import pytest
from rungwise.tutor.language.errors import worded

E = TypeVar("E", bound=Exception)


@contextmanager
def refused(kind: type[E], says: str) -> Iterator[pytest.ExceptionInfo[E]]:
    """An error of this kind comes, and its words hold what the pattern says."""
    with pytest.raises(kind) as caught:
        yield caught
    told = worded(caught.value)
    assert re.search(says, told), told
