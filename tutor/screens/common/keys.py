"""Key bindings whose descriptions come from ``content/screens.toml``."""

from __future__ import annotations

from textual.binding import Binding

from ...language.texts import Words


def bound(
    keys: str, action: str, name: str, *, show: bool = True, priority: bool = False
) -> Binding:
    """A binding described by the words of ``[keys]`` under ``name``."""
    first = keys.split(",")[0]
    return Binding(
        keys,
        action,
        Words.load().ui(f"keys.{name}"),
        show=show,
        priority=priority,
        id=f"{name}.{first}",
    )
