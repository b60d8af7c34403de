"""The way back, against a list of every state there was and a place in it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.drafting.undo import REMEMBERED, Undo

MOVES = st.lists(st.one_of(st.integers(), st.sampled_from(["undo", "redo", "forget"])), max_size=60)


@given(MOVES)
def test_it_goes_back_and_forth_as_a_list_with_a_place_does(moves: list[int | str]) -> None:
    changes, now = Undo[int](), 0
    states, place = [0], 0
    for move in moves:
        if isinstance(move, int):
            changes.note(now)
            now = move
            states, place = [*states[: place + 1], move], place + 1
        elif move == "forget":
            changes.forget()
            states, place = [now], 0
        else:
            found = changes.undo(now) if move == "undo" else changes.redo(now)
            to = place + (-1 if move == "undo" else 1)
            assert found == (states[to] if 0 <= to < len(states) else None)
            if found is not None:
                now, place = found, to
        assert now == states[place]
        assert changes.undoable == (place > 0)
        assert changes.redoable == (place < len(states) - 1)


def test_what_is_long_ago_is_forgotten() -> None:
    changes = Undo[int]()
    for before in range(3 * REMEMBERED):
        changes.note(before)
    back = 0
    now: int | None = 3 * REMEMBERED
    while now is not None and (now := changes.undo(now)) is not None:
        back += 1
    assert back == REMEMBERED
