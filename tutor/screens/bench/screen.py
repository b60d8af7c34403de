"""The bench: parts turned, arms moved, versions on top of each other, charts that follow."""

from __future__ import annotations

from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, Vertical
from textual.content import Content
from textual.widgets import Static

from ....problems.circuits.model import Ladder, valueless
from ....problems.circuits.step_value import StepSize
from ....problems.quantities.write import write_quantity
from ...drafting.bench import Bench, Version, loss_name
from ...figures.schematic.parts import MARKED
from ...language.texts import Words, fill, table
from ...phrases.bench import about, said
from ...phrases.effects import about_load, about_tap
from ..common.frame import framed
from ..common.giving_way import give_way
from ..common.topline import TopLine
from ..pictures.schematic import SchematicView
from .asking_first import AskingFirst
from .frame import KEYS, STYLE, Body
from .knobs import Knobs
from .overlaid import Overlaid, OverlaidBode, OverlaidPlane, StepView
from .versions import INKS, Versions, reading

PAGES = ("bode", "time", "drawing")
"""Where the window is too small for everything at once, one page is shown at a time."""
ROOMY = (108, 30)
"""Columns and rows of the body from which on everything is in sight."""
FIRST_LINE = 4
"""Phrases that go into the first line."""
ZOOMS = (None, 1.0, 0.3)
"""Decades shown on either side of the middle; the first shows everything."""
REARRANGED = {
    "swap": Bench.swap,
    "sections": Bench.swap_sections,
    "exchange": Bench.exchange,
    "turn-over": Bench.turn_over,
    "buffer": Bench.rebuffer,
}
"""Changes of what the selected part belongs to, by the names of their words."""
FAR = 0.25
"""Decades that the marker moves at a time where it moves far."""


class BenchScreen(AskingFirst):
    """The bench, begun with a ``ladder``; leaving it leads back to where it was opened."""

    AUTO_FOCUS = "#knobs"
    HELP = table("bench")["help"]
    BINDINGS: ClassVar[list[BindingType]] = KEYS
    DEFAULT_CSS = STYLE
    LINES: ClassVar[tuple[str, ...]] = ("said", "note")
    """What stands above the charts."""

    def __init__(self, ladder: Ladder) -> None:
        super().__init__()
        self.bench = Bench(ladder)
        self._page = 0
        self._pending = False
        self._rest_pending = False
        self._warming = False
        self._told: tuple[str, ...] = ()
        self._fresh: frozenset[int] = frozenset()
        self._noted = ""
        self._reasons: list[str] = []
        self._zoom = 0

    def compose(self) -> ComposeResult:
        """Parts, versions and marker on the left; charts on the right."""
        parts, versions, marker = (
            Static(fill("bench", f"{name}.heading"), classes="bench-heading", markup=False)
            for name in ("parts", "versions", "marker")
        )
        side = (
            parts,
            Knobs(),
            _text("knobs-gap"),
            versions,
            Versions(),
            _text("versions-gap"),
            marker,
            _text("reading"),
        )
        charts = (
            SchematicView(id="drawing"),
            _text("why"),
            OverlaidBode(id="magnitude"),
            StepView(id="step"),
            OverlaidBode(phase=True, id="phase"),
            OverlaidPlane(id="plane"),
        )
        body = Body(Vertical(*side, id="side"), Container(*charts, id="charts"), id="bench")
        yield from framed(*map(_text, self.LINES), body)

    def on_mount(self) -> None:
        """Show the circuit."""
        self._turn_page(0)
        if self.bench.filled:
            self._note("note.filled")
        self._changed()
        # A change of height before the first layout is over would be lost.
        self.call_after_refresh(self._lay_out)

    def _lay_out(self) -> None:
        for widget in (self.query_one(Knobs), self.query_one(Versions)):
            widget.refresh(layout=True)

    # Showing

    def _changed(self) -> None:
        """Something is to be shown: once for however many keys are waiting."""
        self._show_knobs()
        if not self._pending:
            self._pending = True
            # The value that a key turns is painted first: the charts take some frames' time.
            self.query_one(Knobs).call_after_refresh(self._flush)

    def _show_knobs(self) -> None:
        bench = self.bench
        ladder = bench.version.ladder
        ends = [end.name if end is not None else "" for end in (ladder.source, ladder.load)]
        self.query_one(Knobs).show(bench.elements, bench.selected, *ends)

    @property
    def _place(self) -> str:
        """What stands at the right of the top line."""
        steps = fill("bench", "steps", [("turning", self.bench.turning.value)])
        asks = [fill("bench", "ask.place")] if self.asks_first else []
        return " · ".join([*asks, steps])

    @property
    def _is_left(self) -> bool:
        """Whether the screen is being taken away: its widgets go one after the other."""
        parts = TopLine, Knobs, Versions, SchematicView, "#note"
        return not self.is_attached or not all(self.query(part) for part in parts)

    async def _flush(self) -> None:
        await give_way()
        self._pending = False
        if self._is_left:
            return
        bench = self.bench
        ladder = bench.version.ladder
        top = self.query_one(TopLine)
        top.about = about(ladder)
        top.place = self._place
        cold = tuple(version for version in bench.versions if not version.ready)
        if cold:
            # Big circuits: the newest only, whatever was turned past in the meantime.
            computing = Content.styled(fill("bench", "computing"), "$ink-quiet")
            self.query_one("#note", Static).update(computing)
            if not self._warming:
                self._warming = True
                self._warm(cold)
            return
        self._show()

    @work(thread=True, group="warm")
    def _warm(self, versions: tuple[Version, ...]) -> None:
        for version in versions:
            _ = version.warmed
        self.call_later(self._warmed)

    async def _warmed(self) -> None:
        self._warming = False
        await self._flush()

    def _show(self) -> None:
        bench = self.bench
        hand, others = bench.version, bench.others
        self._say(hand)
        self.query_one(Versions).show(bench)
        self._read()
        reach = ZOOMS[self._zoom]
        window = None if reach is None else bench.window(reach)
        for view in self.query(OverlaidBode):
            view.zoom(window)
            view.show(hand, others, bench.marker)
        # Drawn and painted apart, everything at once would keep the next key waiting.
        if not self._rest_pending:
            self._rest_pending = True
            self.call_after_refresh(self._show_rest)

    async def _show_rest(self) -> None:
        await give_way()
        self._rest_pending = False
        bench = self.bench
        if self._is_left or not all(version.ready for version in bench.versions):
            return  # what is being computed is shown when it is there
        hand = bench.version
        for view in self.query(Overlaid):
            if not isinstance(view, OverlaidBode):
                view.show(hand, bench.others)
        drawing = self.query_one(SchematicView)
        if drawing.ladder != hand.ladder:
            before, room = drawing.ladder, drawing.virtual_size
            drawing.set_ladder(hand.ladder, {bench.selected})
            # Laying out takes longer than drawing, and another value alone seldom asks for it.
            same = before is not None and valueless(before) == valueless(hand.ladder)
            if not same or drawing.virtual_size != room:
                drawing.refresh(layout=True)
        else:
            drawing.mark({bench.selected})
        drawing.call_after_refresh(self._bring_selected, drawing)

    def _bring_selected(self, drawing: SchematicView) -> None:
        """Scroll a drawing that is wider than its room to the selected part."""
        if not drawing.is_attached:  # the bench has been left meanwhile
            return
        columns = [
            col
            for span in drawing.picture.spans
            if span.role.startswith(MARKED)
            for col in (span.col, span.col + span.length)
        ]
        width = drawing.container_size.width
        if columns and drawing.picture.width > width:
            first, last = drawing.scroll_offset.x + 1, drawing.scroll_offset.x + width - 1
            if min(columns) < first or max(columns) > last:
                middle = (min(columns) + max(columns)) // 2
                drawing.scroll_to(x=middle - width // 2, animate=False, immediate=True)

    def _say(self, version: Version) -> None:
        """Two lines that say it all; what has just changed stands out."""
        phrases = said(version.facts)
        if self._told and phrases != self._told:
            self._fresh = frozenset(
                n
                for n, phrase in enumerate(phrases)
                if n >= len(self._told) or phrase != self._told[n]
            )
        self._told = phrases
        lines: tuple[list[Content], list[Content]] = ([], [])
        for n, phrase in enumerate(phrases):
            style = "bold $ink-copper" if n in self._fresh else "bold" if n == 0 else "$foreground"
            # Phases, feed and what adds no pole go to the second line.
            lines[n >= FIRST_LINE].append(Content.styled(phrase, style))
        reasons = [Words.load().hidden(hidden) for hidden in version.facts.hidden]
        lines[1].extend(Content.styled(reason, "$ink-brass") for reason in reasons)
        if reasons != self._reasons:
            self._reasons = reasons
            self.query_one("#why", Static).update("\n".join(reasons))
        if self._noted:
            lines[1].insert(0, Content.styled(self._noted, "bold $ink-brass"))
        between = Content.styled(" · ", "$ink-quiet")
        # Both have rooms of fixed height: nothing moves, so nothing is laid out.
        self.query_one("#said", Static).update(between.join(lines[0]), layout=False)
        self.query_one("#note", Static).update(between.join(lines[1]), layout=False)

    def _read(self, landmark: str = "") -> None:
        bench = self.bench
        if bench.marker is None:
            shown = Content.styled(fill("bench", "marker.none"), "$ink-quiet")
        else:
            lines = [Content.styled(f"● {write_quantity(bench.marker, 'Hz')}", "bold")]
            for key_, frequency in bench.landmarks():
                if frequency == bench.marker:
                    at = Content.styled(f" {fill('bench', f'marker.{key_}')}", "$ink-quiet")
                    lines[0] = lines[0].append(at)
            for version in bench.versions:
                letter = (f"{version.letter} ", f"bold {INKS[version.letter]}")
                lines.append(Content.assemble(letter, reading(bench, version)))
            shown = Content("\n").join(lines)
        room = self.query_one("#reading", Static)
        width = max(1, room.content_size.width)
        rows = sum(-(-len(line) // width) or 1 for line in shown.plain.splitlines())
        room.update(shown, layout=rows != room.content_size.height)

    def _note(self, entry: str = "", **values: object) -> None:
        """A remark that stands until the next key."""
        noted = fill("bench", entry, values.items()) if entry else ""
        if noted != self._noted:
            self._noted = noted
            self._changed()

    def _done(self, done: bool, entry: str = "", **values: object) -> None:
        """After a change: show it, or say why there was none."""
        if done:
            self._note(entry, **values)
            self._changed()
        else:
            trouble = self.bench.trouble
            self._note(f"trouble.{trouble}" if trouble else "")

    def _turn_page(self, by: int) -> None:
        self._page = (self._page + by) % len(PAGES)
        for n, page in enumerate(PAGES):
            self.set_class(n == self._page, f"-page-{page}")

    @on(Body.Fitted)
    def _fitted(self, message: Body.Fitted) -> None:
        """Everything at once where there is room for it."""
        width, height = message.size
        self.set_class(width >= ROOMY[0] and height >= ROOMY[1], "-roomy")
        self.refresh_bindings()
        self._changed()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Pages only where not everything is in sight."""
        return not (action == "page" and self.has_class("-roomy"))

    # Keys

    def _named(self, key_: str) -> str:
        """The words of a change of the selected part."""
        return fill("bench", f"ask.change.{key_}", [("part", self.bench.selected)])

    def action_turn(self, by: int, step: str = "") -> None:
        """Turn the selected part by one preferred value, or by another step."""
        turning = StepSize(step) if step else self.bench.turning
        self._change(lambda bench: bench.turn(turning, up=by > 0))

    def action_series(self) -> None:
        """Change between the E12 and the E24 series."""
        bench = self.bench
        bench.turning = StepSize.E24 if bench.turning is StepSize.E12 else StepSize.E12
        self._done(True)

    def action_part(self, by: int) -> None:
        """Select the next part."""
        self.bench.select(by)
        self._done(True)

    def action_page(self, by: int) -> None:
        """Turn to another page."""
        self._turn_page(by)
        self._note()

    def action_tap(self, by: int) -> None:
        """Take the output elsewhere."""
        version = self.bench.version
        tapped = version.taps[(version.tap + by) % len(version.taps)]
        self._change(lambda bench: bench.tap(by), lambda: about_tap(tapped))

    def action_rearrange(self, how: str) -> None:
        """Change the stage, section or arm of the selected part: one of ``REARRANGED``."""
        self._change(REARRANGED[how], lambda: self._named(how))

    def action_load(self) -> None:
        """Put a load on, or take it off."""
        self._change(Bench.load, lambda: about_load(self.bench.version.ladder))

    def action_lossy(self) -> None:
        """Make the selected part lossy, or ideal again."""
        bench = self.bench
        ideal = bench.version.element(loss_name(bench.selected)) is None
        self._change(Bench.lossy, lambda: self._named("loss" if ideal else "no-loss"))

    def action_keep(self) -> None:
        """Keep this version and go on with a copy."""
        kept = self.bench.hand
        self._done(self.bench.keep(), "note.kept", kept=kept, hand=self.bench.hand)

    def action_take(self, letter: str) -> None:
        """Take a version in hand."""
        self._done(self.bench.take(letter), "note.taken", hand=self.bench.hand)

    def action_drop(self) -> None:
        """Drop the version in hand."""
        gone = self.bench.hand
        self._done(self.bench.drop(), "note.dropped", gone=gone, hand=self.bench.hand)

    def action_undo(self) -> None:
        """Take the last change back."""
        self._done(self.bench.undo(), "note.undone")

    def action_restart(self) -> None:
        """Back to the circuit the bench began with."""
        self._done(self.bench.restart())

    def action_landmark(self) -> None:
        """Set the marker to the next landmark."""
        self.bench.next_landmark()
        self._done(True)

    def action_unmark(self) -> None:
        """Take the marker away."""
        self.bench.marker = None
        self._done(True)

    def action_marker(self, by: int) -> None:
        """Move the marker by a cell of the chart."""
        axis = self.query_one("#magnitude", OverlaidBode).axis
        self.bench.move_marker(by / (axis.per_decade if axis is not None else 20))
        self._done(True)

    def action_marker_far(self, by: int) -> None:
        """Move the marker further."""
        self.bench.move_marker(by * FAR)
        self._done(True)

    def action_zoom(self) -> None:
        """Look closer at the middle of the Bode charts, closer still, and at everything."""
        self._zoom = (self._zoom + 1) % len(ZOOMS)
        self._done(True)

    def action_circuit(self) -> None:
        """Type a circuit."""
        from .circuit import CircuitScreen

        self.app.push_screen(CircuitScreen(self.bench.version.ladder), self._build)

    def action_family(self) -> None:
        """Pick a circuit from the catalogue."""
        from .catalogue import CatalogueScreen

        self.app.push_screen(CatalogueScreen(), self._build)

    def _build(self, ladder: Ladder | None) -> None:
        if ladder is None:
            return
        self.bench.build(ladder)
        self._done(True, "note.filled" if self.bench.filled else "")

    # Mouse

    @on(Knobs.Picked)
    def _picked(self, message: Knobs.Picked) -> None:
        self._done(self.bench.pick(message.name))

    @on(Knobs.Turned)
    def _turned(self, message: Knobs.Turned) -> None:
        self.bench.pick(message.name)
        self.action_turn(1 if message.up else -1)

    @on(Versions.Taken)
    def _taken(self, message: Versions.Taken) -> None:
        self.action_take(message.letter)

    @on(OverlaidBode.Pointed)
    def _pointed(self, message: OverlaidBode.Pointed) -> None:
        self.bench.marker = message.frequency
        self._done(True)


def _text(name: str) -> Static:
    return Static(id=name, markup=False)
