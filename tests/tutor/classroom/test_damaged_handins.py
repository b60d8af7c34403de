"""Damaged workbooks and archives, in small.

``python -m tests.studies.damaged_handins`` makes a thousand.
"""

from __future__ import annotations

import io

import pytest
from rungwise.tutor.classroom.handins.table import BadTable
from rungwise.tutor.classroom.handins.unzip import MOST_RATIO, BoundedZip
from rungwise.tutor.classroom.handins.workbook import read_workbook

from .damaged_packages import WAYS, Chance, _overlap, _ratio, counted, damaged, survey, whole
from .handed_in import zipped


def test_damaged_packages_are_read_or_told() -> None:
    found = survey(3 * len(WAYS), seed=5)
    assert sum(found.outcomes.values()) == 3 * len(WAYS)
    assert found.outcomes["apart"] > 25


def test_a_damaged_one_is_the_same_each_time() -> None:
    assert [damaged(n, 3) for n in range(12)] == [damaged(n, 3) for n in range(12)]


def test_a_bomb_unpacks_nothing_beyond_its_bound() -> None:
    data = _ratio(whole("xlsx", 1), Chance("100 MB"))
    packed = len(zipped({"a.csv": b"0" * 20_000_000}))
    for bomb in data, zipped({"a.csv": b"0" * 20_000_000}):
        archive = BoundedZip(io.BytesIO(bomb))
        largest = max(archive.members, key=lambda member: member.info.file_size)
        with counted() as unpacked, pytest.raises(BadTable, match="made to do harm"):
            archive.read(largest, 10**9)
        assert unpacked[0] <= MOST_RATIO * max(len(data), packed) + 2 * 65_536


def test_files_that_share_bytes_are_refused_before_one_is_unpacked() -> None:
    with counted() as unpacked, pytest.raises(BadTable, match="lie on top"):
        read_workbook(_overlap(whole("xlsx", 1), Chance("1")))
    assert unpacked[0] == 0
