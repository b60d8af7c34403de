"""Key bindings whose descriptions come from ``content``."""

from __future__ import annotations

from textual.binding import Binding

from ...language.texts import fill


def bound(
    keys: str,
    action: str,
    name: str,
    *,
    show: bool = True,
    priority: bool = False,
    file: str = "screens",
) -> Binding:
    """A binding described by the words of ``[keys]``.

    Args:
        keys: what is pressed, by commas.
        action: what it does.
        name: where its words are.
        show: whether the line of keys has it.
        priority: whether it goes before what has the focus.
        file: whose words they are.
    """
    words, name = fill(file, f"keys.{name}"), f"{file}.{name}.{keys.split(',')[0]}"
    return Binding(keys, action, words, show=show, priority=priority, id=name)
