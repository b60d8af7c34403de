"""What the suite tries in part is covered, and is tried whole by hand."""

from __future__ import annotations

import pytest

from tests.studies import whole_products
from tests.support.samples import WHOLE, covering, sample


def test_every_first_meets_the_hardest_and_every_second_is_met(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv(WHOLE, raising=False)
    for firsts in (range(1, 7), "a", "ab", "abcde"):
        pairs = covering(firsts, ["small", "medium", "large"])
        assert {a for a, b in pairs if b == "small"} == set(firsts)
        assert {b for _, b in pairs} == {"small", "medium", "large"}
        assert len(pairs) == len(set(pairs)) == len(firsts) + 2
    assert sample(2, 5) == 2


def test_by_hand_there_is_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(WHOLE, "1")
    assert covering("ab", [1, 2, 3]) == [(a, b) for a in "ab" for b in (1, 2, 3)]
    assert sample(2, 5) == 5


def test_the_study_runs_what_is_tried_in_part() -> None:
    found = whole_products.files()
    assert "tests/tutor/screens/test_gallery.py" in found and len(found) > 8
