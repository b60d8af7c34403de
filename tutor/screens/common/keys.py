"""Key bindings whose descriptions come from ``content/screens.toml``."""

from __future__ import annotations

from textual.binding import Binding

from ...language.texts import Words


def bound(
    keys: str, action: str, name: str, *, show: bool = True, priority: bool = False
) -> Binding:
    """A binding described by the words of ``[keys]``.

    Args:
        keys: what is pressed, by commas.
        action: what it does.
        name: where its words are.
        show: whether the line of keys has it.
        priority: whether it goes before what has the focus.
    """
    first = keys.split(",")[0]
    return Binding(
        keys,
        action,
        Words.load().ui(f"keys.{name}"),
        show=show,
        priority=priority,
        id=f"{name}.{first}",
    )
