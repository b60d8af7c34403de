"""What the bench's screen is made of: its keys, its body, its looks."""

from __future__ import annotations

from textual import events
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.geometry import Size
from textual.message import Message

from ...language.texts import fill


def key(keys: str, action: str, name: str, *, show: bool = False) -> Binding:
    """A binding described by the words of the bench; it works wherever the focus is.

    Args:
        keys: what is pressed, by commas.
        action: what it does.
        name: where its words are, under ``keys``.
        show: whether the line of keys has it.
    """
    words = fill("bench", f"keys.{name}")
    return Binding(keys, action, words, show=show, priority=True, id=f"bench.{name}")


class Body(Container):
    """What lies between the lines above and below; the help panel takes some of it away."""

    class Fitted(Message):
        """The room has changed."""

        def __init__(self, size: Size) -> None:
            super().__init__()
            self.size = size

    def on_resize(self, event: events.Resize) -> None:
        """Say how much room there is."""
        self.post_message(self.Fitted(event.size))


KEYS: list[BindingType] = [
    key("tab", "page(1)", "page", show=True),
    key("right,plus,equals_sign", "turn(1)", "turn", show=True),
    key("escape,q", "leave", "back", show=True),
    key("f1", "app.toggle_help", "help", show=True),
    key("t", "tap(1)", "tap", show=True),
    key("p", "ask", "ask", show=True),
    key("k", "keep", "keep", show=True),
    key("m", "landmark", "marker", show=True),
    key("c", "circuit", "circuit", show=True),
    key("down", "part(1)", "part", show=True),
    key("o", "swap", "swap", show=True),
    key("x", "exchange", "exchange", show=True),
    key("f", "family", "family", show=True),
    key("z", "zoom", "zoom", show=True),
    key("u,ctrl+z", "undo", "undo", show=True),
    key("s", "sections", "sections", show=True),
    key("b", "rebuffer", "buffer", show=True),
    key("l", "load", "load", show=True),
    key("v", "turn_over", "turn-over", show=True),
    key("y", "lossy", "lossy", show=True),
    key("left,minus", "turn(-1)", "turn-down"),
    key("up", "part(-1)", "part-up"),
    key("shift+tab", "page(-1)", "page-back"),
    key("shift+right", "fine(1)", "fine"),
    key("shift+left", "fine(-1)", "fine-down"),
    key("pageup,ctrl+right", "decade(1)", "decade"),
    key("pagedown,ctrl+left", "decade(-1)", "decade-down"),
    key("e", "series", "series"),
    key("T", "tap(-1)", "tap-back"),
    key("1", "take('A')", "take-1"),
    key("2", "take('B')", "take-2"),
    key("3", "take('C')", "take-3"),
    key("d", "drop", "drop"),
    key("r", "restart", "restart"),
    key("comma", "marker(-1)", "marker-left"),
    key("full_stop", "marker(1)", "marker-right"),
    key("less_than_sign,semicolon", "marker_far(-1)", "marker-far-left"),
    key("greater_than_sign,colon", "marker_far(1)", "marker-far-right"),
    key("M", "unmark", "marker-off"),
]

STYLE = """
BenchScreen { layout: vertical; }
BenchScreen #said, BenchScreen #note { height: 1; padding: 0 1; background: $surface; }
BenchScreen #said, BenchScreen #note { text-wrap: nowrap; text-overflow: ellipsis; }
BenchScreen #script { height: auto; max-height: 4; padding: 0 1; background: $picked; }
BenchScreen #bench { height: 1fr; layout: horizontal; }
BenchScreen.-tiny #bench, BenchScreen.-flat #bench { display: none; }
BenchScreen #side { width: 31; height: 100%; padding: 0 1 0 0; background: $surface; }
BenchScreen .bench-heading { color: $ink-quiet; margin: 0; padding: 0 1; height: 1; }
BenchScreen Knobs { height: auto; max-height: 8; }
BenchScreen #knobs-gap, BenchScreen #versions-gap { height: 1; }
BenchScreen Versions { height: auto; text-wrap: nowrap; text-overflow: ellipsis; }
BenchScreen #reading { height: auto; padding: 0 1; }
BenchScreen #charts { width: 1fr; height: 100%; layout: vertical; padding: 0 1; }
BenchScreen #charts > * { height: 1fr; display: none; }
BenchScreen.-page-bode #magnitude, BenchScreen.-page-bode #phase { display: block; }
BenchScreen.-page-time #step, BenchScreen.-page-time #plane { display: block; }
BenchScreen.-page-drawing #drawing { display: block; padding: 1 1; }
BenchScreen.-page-drawing #why {
    display: block; height: auto; max-height: 6; padding: 0 2 1 1; color: $ink-brass;
}
BenchScreen.-roomy #side { width: 34; padding: 1 1 0 0; }
BenchScreen.-roomy Knobs { max-height: 16; }
BenchScreen.-roomy #charts {
    layout: grid;
    grid-size: 2 3;
    grid-columns: 3fr 2fr;
    grid-rows: auto 1fr 1fr;
    grid-gutter: 0 1;
}
BenchScreen.-roomy #charts > * { display: block; height: 100%; padding: 0; }
BenchScreen.-roomy #charts > #why { display: none; }
BenchScreen.-roomy #note { height: 2; text-wrap: wrap; }
BenchScreen.-roomy #charts > #drawing {
    column-span: 2;
    height: auto;
    max-height: 11;
    padding: 0 1;
    border-bottom: solid $ink-line;
}
BenchScreen.-large #side { width: 40; padding: 1 2; }
BenchScreen.-large #charts > #drawing { max-height: 18; }
"""
