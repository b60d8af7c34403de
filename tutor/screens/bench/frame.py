"""What the bench's screen is made of: its keys, its body, its looks."""

from __future__ import annotations

from functools import partial

from textual import events
from textual.binding import BindingType
from textual.containers import Container
from textual.geometry import Size
from textual.message import Message

from ..common.keys import bound

key = partial(bound, file="bench", priority=True)
"""A binding described by the words of the bench; it works wherever the focus is."""
_hidden = partial(key, show=False)


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
    key("tab", "page(1)", "page"),
    key("right,plus,equals_sign", "turn(1)", "turn"),
    key("escape,q", "leave", "back"),
    key("f1", "app.toggle_help", "help"),
    key("t", "tap(1)", "tap"),
    key("p", "ask", "ask"),
    key("k", "keep", "keep"),
    key("m", "landmark", "marker"),
    key("c", "circuit", "circuit"),
    key("down", "part(1)", "part"),
    key("o", "rearrange('swap')", "swap"),
    key("x", "rearrange('exchange')", "exchange"),
    key("f", "family", "family"),
    key("z", "zoom", "zoom"),
    key("u,ctrl+z", "undo", "undo"),
    key("s", "rearrange('sections')", "sections"),
    key("b", "rearrange('buffer')", "buffer"),
    key("l", "load", "load"),
    key("v", "rearrange('turn-over')", "turn-over"),
    key("y", "lossy", "lossy"),
    _hidden("left,minus", "turn(-1)", "turn-down"),
    _hidden("up", "part(-1)", "part-up"),
    _hidden("shift+tab", "page(-1)", "page-back"),
    _hidden("shift+right", "turn(1, 'fine')", "fine"),
    _hidden("shift+left", "turn(-1, 'fine')", "fine-down"),
    _hidden("pageup,ctrl+right", "turn(1, 'decade')", "decade"),
    _hidden("pagedown,ctrl+left", "turn(-1, 'decade')", "decade-down"),
    _hidden("e", "series", "series"),
    _hidden("T", "tap(-1)", "tap-back"),
    _hidden("1", "take('A')", "take-1"),
    _hidden("2", "take('B')", "take-2"),
    _hidden("3", "take('C')", "take-3"),
    _hidden("d", "drop", "drop"),
    _hidden("r", "restart", "restart"),
    _hidden("comma", "marker(-1)", "marker-left"),
    _hidden("full_stop", "marker(1)", "marker-right"),
    _hidden("less_than_sign,semicolon", "marker_far(-1)", "marker-far-left"),
    _hidden("greater_than_sign,colon", "marker_far(1)", "marker-far-right"),
    _hidden("M", "unmark", "marker-off"),
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
