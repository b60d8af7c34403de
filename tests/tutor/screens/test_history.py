"""Undo and redo of a line of typing, against a plain list of every state."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.drafting.undo import REMEMBERED as MOST
from rungwise.tutor.screens.answers.history import History

TEXTS = st.lists(st.text("ab 1", max_size=6), max_size=30)


def typed(*texts: str) -> History:
    history = History()
    for text in texts:
        history.changed(text)
    return history


def test_letters_are_one_step_and_a_blank_ends_it() -> None:
    history = typed("4", "4.", "4.7", "4.7 ", "4.7 k", "4.7 kH", "4.7 kHz")
    assert history.undo() == ("4.7 ", 4)
    assert history.undo() == ("", 0)
    assert history.undo() is None
    assert history.redo() == ("4.7 ", 4)
    assert history.redo() == ("4.7 kHz", 7)
    assert history.redo() is None


def test_deletions_are_a_step_of_their_own_and_so_are_pastes() -> None:
    history = typed("1", "12", "1", "", "pasted text")
    assert [history.undo() for _ in range(4)] == [("", 0), ("12", 2), ("", 0), None]


def test_the_cursor_goes_where_the_change_was() -> None:
    history = typed("47 Hz")  # pasted
    history.changed("4.7 Hz")  # a point typed in the middle
    history.changed("4.7 kHz")
    assert history.undo() == ("47 Hz", 5)
    assert history.redo() == ("4.7 kHz", 5)


def test_typing_after_an_undo_gives_up_what_was_undone() -> None:
    history = typed("one", "another")
    history.undo()
    history.changed("one!")
    assert history.redo() is None
    assert history.undo() == ("one", 3)


@given(TEXTS)
def test_undoing_everything_and_redoing_everything_loses_nothing(texts: list[str]) -> None:
    history = typed(*texts)
    last = texts[-1] if texts else ""
    back = []
    while (state := history.undo()) is not None:
        back.append(state[0])
    assert not back or back[-1] == ""
    states = ["", *texts]
    assert all(text in states for text in back)
    forth = [back.pop()] if back else [""]
    while (state := history.redo()) is not None:
        forth.append(state[0])
        assert 0 <= state[1] <= len(state[0])
    assert forth[-1] == last


def test_a_new_line_has_nothing_to_undo() -> None:
    history = typed("x")
    history.start()
    assert history.undo() is None and history.redo() is None


def test_only_so_many_states_are_kept() -> None:
    history = typed(*(f"{n % 2}" * (1 + n % 2 * 5) + str(n) * 9 for n in range(3 * MOST)))
    count = 0
    while history.undo() is not None:
        count += 1
    assert count == MOST
