"""Names that visitors give themselves."""

from __future__ import annotations

import html
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.browser.names import MAX_NAME, RefusedNameError, read_name
from rungwise.tutor.store.folder import record_file, slug

from tests.support.hostile import FRAGMENTS, survey

GOOD = {
    "Ana": "Ana",
    "  Ana   Müller \t": "Ana Müller",
    "Anne-Marie O'Neill": "Anne-Marie O'Neill",
    "J. R. Ewing 2": "J. R. Ewing 2",
    "e\u0301lodie": "élodie",
    "عمر": "عمر",
    "李 小龍": "李 小龍",
    "शिवानी": "शिवानी",
    "نوش\u200cآفرین": "نوشآفرین",
    "l·l": "l·l",
}


@pytest.mark.parametrize(("typed", "name"), GOOD.items())
def test_names_of_people(typed: str, name: str) -> None:
    assert read_name(typed) == name


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("", "no-name"),
        (" \u00a0\u2003 ", "no-name"),
        ("x" * (MAX_NAME + 1), "long-name"),
        ("x" * 1_000_000, "long-name"),
        ("ﷺ" * 300, "odd-name"),
        ("<script>", "odd-name"),
        ("../../x", "odd-name"),
        ("..", "odd-name"),
        ("-rf", "odd-name"),
        ("a\x1b[2J", "odd-name"),
        ("a\u202eb", "odd-name"),
        ("a\x00", "odd-name"),
        ("a" + "\u0301" * 12, "odd-name"),
        ("\u0301", "odd-name"),
        ("a;b", "odd-name"),
        ("a\ud800", "odd-name"),
        ("😀", "odd-name"),
    ],
)
def test_what_is_no_name(typed: str, reason: str) -> None:
    with pytest.raises(RefusedNameError) as refused:
        read_name(typed)
    assert refused.value.reason in (reason, "long-name" if len(typed) > MAX_NAME else reason)


def test_hostile_strings_are_read_or_refused() -> None:
    survey(read_name, (RefusedNameError,), list(GOOD), count=4_000)


@given(st.one_of(st.text(max_size=60), st.lists(st.sampled_from(FRAGMENTS)).map("".join)))
def test_what_passes_is_harmless(typed: str) -> None:
    try:
        name = read_name(typed)
    except RefusedNameError:
        return
    assert 0 < len(name) <= MAX_NAME and name.isprintable() and name == name.strip()
    assert html.escape(name, quote=False) == name
    assert not set(name) & set('/\\<>&"`$;:|{}[]%*?\x1b')
    assert unicodedata.normalize("NFC", name) == name
    assert read_name(name) == name
    file = record_file(name)
    assert file.name.isascii() and file.parent == record_file("x").parent


def test_spellings_of_one_name_share_a_record() -> None:
    assert slug(read_name("ANA")) == slug(read_name("ana"))
    assert slug(read_name("e\u0301")) == slug(read_name("É"))
    assert slug(read_name("Ana")) != slug(read_name("Anna"))
    for one, other in (("ANA", "ana"), ("Ana", "Anna")):
        alike = record_file(read_name(one)) == record_file(read_name(other))
        assert (slug(one) == slug(other)) == alike
