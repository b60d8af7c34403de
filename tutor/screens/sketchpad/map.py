"""The pad for the map: poles and zeros placed by region."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from ....problems.sketches.model import COUNTS, MapSketch, Region, Sketch, SketchPart
from ...drafting.map import PAIRED, MapDraft, PlacedRoot, counts
from ...drafting.marks import map_marks
from ...figures.canvas.picture import Picture
from ...figures.sketch.map import boxes, draw
from ...language.ascii import ascii_screen
from ...language.texts import fill
from .pad import Pad, key
from .parts import Field

_ORDER = (Region.REAL, Region.ORIGIN, Region.RIGHT, Region.AXIS, Region.PAIR)


class MapPad(Pad):
    """The s-plane in five regions; the arrow keys lead from one to the next."""

    HELP = fill("sketch", "help.map")
    BINDINGS: ClassVar[list[BindingType]] = [
        key("left", "go(-1, 0)", "left"),
        key("right", "go(1, 0)", "right"),
        key("up", "go(0, -1)", "up"),
        key("down", "go(0, 1)", "down"),
        key("p,x", "put('pole')", "pole"),
        key("z,o", "put('zero')", "zero"),
        key("P,X", "put('pole', -1)", "no-pole"),
        key("Z,O", "put('zero', -1)", "no-zero"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.board = MapDraft()
        self._right: MapSketch | None = None

    @property
    def work(self) -> MapDraft:
        """The map being put together."""
        return self.board

    def ask(self, frame: tuple[float, float, float, float] | None) -> None:
        """An empty plane; it has no scale."""
        self.board = MapDraft()
        self._right = None
        self.begin()

    def restore(self, text: str) -> bool:
        """Go on with a draft; verdicts stay on what it leaves as it was."""
        before = counts(self.board.map)
        done = super().restore(text)
        after = counts(self.board.map)
        changed = {region for (region, _), _ in before.items() ^ after.items()}
        if changed:
            self.unmark(*changed, *COUNTS)
            self.show()
        return done

    def judge(self, parts: Sequence[SketchPart]) -> None:
        """Show which regions are right and which wrong, until they are changed."""
        self.marks = map_marks(parts)
        self.show()

    def reveal(self, truth: Sketch) -> None:
        """Draw the right roots on top; there is nothing more to be placed by hand."""
        assert isinstance(truth, MapSketch)
        self._right, self._revealed = truth, True
        self.show()

    # The picture and its words

    def draw(self, width: int, height: int) -> Picture:
        """The plane."""
        return draw(
            self.board.map,
            width,
            height,
            held=self.board.held if self.open else None,
            title=fill("sketch", "untouched") if self._warned else "",
            right=self._right,
            marks=self.marks,
            ascii=ascii_screen(),
        )

    def fields(self) -> Sequence[Field]:
        """Every region with what lies there."""
        held = self.board.held if self.open else None
        found: list[Field] = []
        for region in _ORDER:
            poles, zeros = (self.board.count(region, root) for root in PlacedRoot)
            said = [
                fill("sketch", f"count.{root}-{number}", [("count", count)])
                for root, count in ((PlacedRoot.POLE, poles), (PlacedRoot.ZERO, zeros))
                if count
                for number in ("one" if count == 1 else "many",)
            ]
            text = ", ".join(said) or fill("sketch", "count.none")
            values = [("region", fill("sketch", f"region.{region}-short")), ("roots", text)]
            found.append(
                Field(
                    region,
                    fill("sketch", "field.region", values),
                    held is region,
                    self.marks.get(region.value),
                )
            )
        poles, zeros = (
            sum(self.board.count(region, root) for region in _ORDER) for root in PlacedRoot
        )
        return [*found, *self.counted(poles=poles, zeros=zeros)]

    def keys(self) -> Sequence[tuple[str, str, str]]:
        """The keys that work on the selected region."""
        board, found = self.board, list[tuple[str, str, str]]()

        def say(name: str, words: str, cap: str = "") -> None:
            found.append((name, self.cap(cap or name), fill("sketch", f"does.{words}")))

        pair = "-pair" if board.held in PAIRED else ""
        say("", "region", "arrows")
        say("p", f"pole{pair}")
        say("z", f"zero{pair}")
        if any(board.count(board.held, root) for root in PlacedRoot):
            say("delete", "remove")
        if board.changes.undoable:
            say("u", "undo")
        if board.changes.redoable:
            say("y", "redo")
        if board.map != MapSketch():
            say("c", "clear")
        return found

    # Keys

    def action_go(self, across: int, down: int) -> None:
        """Go to another region."""
        self.changed(self.open and self.board.go(across, down))

    def action_put(self, root: str, by: int = 1) -> None:
        """Place a root in the selected region, or take it away."""
        self._anew(lambda: self.board.put(PlacedRoot(root), by), self.board.held.value, *COUNTS)

    def action_remove(self) -> None:
        """Take away what was placed last in the selected region."""
        self._anew(self.board.remove, self.board.held.value, *COUNTS)

    # The mouse

    def pick(self, handle: object) -> None:
        """Select the region clicked in the words."""
        if isinstance(handle, Region):
            self.changed(self.board.hold(handle))

    def point(self, col: int, row: int) -> None:
        """A click selects a region; of a pair, either half."""
        size = self._paper.picture
        for region, box in boxes(size.width, size.height).items():
            mirrored = 2 * (size.height // 2) - row
            if box.holds(col, row) or box.holds(col, mirrored):
                self.changed(self.board.hold(region))
                return
