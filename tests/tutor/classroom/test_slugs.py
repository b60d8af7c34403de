"""Folders' names: safe whatever a student is called."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.files.names import LONGEST, folder_name, slug

# Naming Files, Paths, and Namespaces (Microsoft Learn): names that stand for devices.
RESERVED = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(10))}
SAFE = re.compile(r"[0-9]{2,}-[a-z0-9]+(-[a-z0-9]+)*")


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ('O\'Neil, "Ann"', "oneil-ann"),
        ("=cmd|x", "cmd-x"),
        ("../../x", "x"),
        ("<b>", "b"),
        ("王小明", "student"),
        ("שרה", "student"),
        ("", "student"),
        ("Ångström Łukasz Þór", "angstrom-lukasz-thor"),
        ("Weiß", "weiss"),
        ("Søren Kierkegård", "soeren-kierkegard"),
        ("nul.txt", "nul-txt"),
        ("a." * 100, ("a-" * 20)[:-1]),
        ("ﬁne ①", "fine-1"),
        ("İbrahim", "ibrahim"),
    ],
)
def test_slugs(name: str, kept: str) -> None:
    assert slug(name) == kept


@given(st.text(max_size=500), st.text(max_size=20), st.integers(1, 10_000))
def test_a_folder_s_name_is_safe_everywhere(name: str, id_: str, number: int) -> None:
    made = folder_name(number, name, id_)
    assert SAFE.fullmatch(made) and made.isascii()
    assert len(made) <= LONGEST + 6
    assert made.split(".")[0] not in RESERVED


def test_numbers_tell_folders_apart_where_capitals_do_not_count() -> None:
    people = ["Ann", "ANN", "ann", "Änn", "王", "明", ""]
    made = [folder_name(n, name).casefold() for n, name in enumerate(people, 1)]
    assert len(set(made)) == len(people)


def test_a_larger_class_renames_nobody() -> None:
    assert folder_name(7, "Ann") == "07-ann"
    assert folder_name(107, "Ann") == "107-ann"
    assert folder_name(3, "", "S-17") == "03-s-17"
