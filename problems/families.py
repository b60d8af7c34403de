"""The catalogue: every circuit family is one row of a table.

A row says three things:

* what the circuit is: its stages as text, from source to load (``pattern``);
* what is true of it: type, pole count, feed, hidden elements.  Nothing computes with
  these; tests hold them against the exact facts of drawn circuits;
* how it is sized.  Every element is given an impedance level relative to one common
  level Z, at the angular frequency ω the corner is meant for: a resistor's resistance,
  an inductor's ωL or a capacitor's 1/(ωC) is Z·Q^k, where k is the row's ``sizes`` entry
  (0 where there is none) and Q the target drawn from ``q``.  So "R: −1" in a series
  R-L-C is R = Z/Q.  The exact facts of what was drawn decide, never the target.

Numbers on the logarithmic scale are places of ``preferred.py``: 24 to a decade.

Adding a family is adding a row here and its words in ``content/families.toml``.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from types import MappingProxyType

from .circuit import Element, Joint, Kind, Ladder, Place, Stage, join
from .response import Feed, FilterType

LEVELS = range(1, 7)

LOW, HIGH = FilterType.LOW_PASS, FilterType.HIGH_PASS
BAND, NOTCH, FLAT = FilterType.BAND_PASS, FilterType.NOTCH, FilterType.FLAT
SERIES, SHUNT = Feed.SERIES, Feed.SHUNT

Range = tuple[int, int]

SHARP: Range = (-12, 35)
"""Q targets from 0.3 to 30, for resonators."""
MILD: Range = (-10, 20)
"""Q targets from 0.4 to 7, where more would ask for parts nobody has."""
SOFT: Range = (-32, -8)
"""Q targets of two real poles, from 0.05 to 0.46."""
NONE: Range = (0, 0)

AUDIO_AND_RADIO: Range = (44, 187)
"""Places of ω from 2π·10 Hz to 2π·10 MHz."""
BROADCAST: Range = (156, 168)
"""Places of ω about the medium-wave band: 526.5–1606.5 kHz in ITU Region 1 (from memory)."""


class UnknownFamily(LookupError):  # noqa: N818 - it names what is wrong, like KeyError's kin
    """No family of that name; ``near`` holds the names that look like it."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.near = tuple(difflib.get_close_matches(name, [f.name for f in FAMILIES], n=3))
        hint = f"; did you mean {', '.join(self.near)}?" if self.near else ""
        super().__init__(f"there is no family {name!r}{hint}")


@dataclass(frozen=True)
class Family:
    """One row.  ``group`` names the look-alikes: the same parts, tap or order moved."""

    name: str
    level: int
    pattern: str
    group: str
    type: FilterType
    order: int
    fed: Feed | None
    sizes: Mapping[str, int] = field(default_factory=dict)
    q: Range = NONE
    hidden: int = 0
    spread: int = 9
    omega: Range = AUDIO_AND_RADIO

    @cached_property
    def ladder(self) -> Ladder:
        """The pattern as a circuit without values."""
        return read_pattern(self.pattern)

    @property
    def lookalikes(self) -> tuple[str, ...]:
        """Names of the other families of the group, in the order of the catalogue."""
        return tuple(f.name for f in FAMILIES if f.group == self.group and f is not self)


def read_pattern(text: str) -> Ladder:
    """Stages as text → a circuit without values.

    The grammar is that of circuit text without its values: ``source``, ``load``,
    ``buffer``, and ``series`` or ``shunt`` with names joined by ``+`` or by ``||``.
    """
    stages: list[Stage] = []
    source = load = None
    for line in text.split(";"):
        word, _, arm = line.strip().partition(" ")
        match word:
            case "source":
                source = Element(Kind.R, "Rs")
            case "load":
                load = Element(Kind.R, "RL")
            case "buffer":
                stages.append(Stage(Place.BUFFER))
            case _:
                mark, joint = ("||", Joint.PARALLEL) if "||" in arm else ("+", Joint.SERIES)
                names = (name.strip() for name in arm.split(mark))
                parts = (Element(Kind(name[0]), name) for name in names)
                stages.append(Stage(Place(word), join(joint, *parts)))
    return Ladder(tuple(stages), source, load)


_ROWS = (
    # 1: one pole
    Family("rc-low-pass", 1, "series R; shunt C", "rc", LOW, 1, SHUNT),
    Family("rc-high-pass", 1, "series C; shunt R", "rc", HIGH, 1, SERIES),
    Family("rl-low-pass", 1, "series L; shunt R", "rl", LOW, 1, SERIES),
    Family("rl-high-pass", 1, "series R; shunt L", "rl", HIGH, 1, SHUNT),
    # 2: one series R-L-C, the output across each part in turn
    Family("series-rlc-across-c", 2, "series R; series L; shunt C", "rlc-taps",
           LOW, 2, SERIES, {"R": -1}, SHARP),
    Family("series-rlc-across-l", 2, "series R; series C; shunt L", "rlc-taps",
           HIGH, 2, SERIES, {"R": -1}, SHARP),
    Family("series-rlc-across-r", 2, "series L; series C; shunt R", "rlc-taps",
           BAND, 2, SERIES, {"R": -1}, SHARP),
    Family("series-rlc-across-lc", 2, "series R; shunt L + C", "rlc-taps",
           NOTCH, 2, SHUNT, {"R": -1}, SHARP),
    # 3: loaded L-sections
    Family("series-fed-low-pass", 3, "series L; shunt C; load", "l-sections",
           LOW, 2, SERIES, {"RL": 1}, SHARP),
    Family("series-fed-high-pass", 3, "series C; shunt L; load", "l-sections",
           HIGH, 2, SERIES, {"RL": 1}, SHARP),
    Family("shunt-fed-low-pass", 3, "source; shunt C; series L; load", "l-sections",
           LOW, 2, SHUNT, {"Rs": 1, "RL": -1}, MILD),
    Family("shunt-fed-high-pass", 3, "source; shunt L; series C; load", "l-sections",
           HIGH, 2, SHUNT, {"Rs": 1, "RL": -1}, MILD),
    # 4: band-pass and notch
    Family("series-fed-band-pass", 4, "source; series L + C; load", "lc-arms",
           BAND, 2, SERIES, {"Rs": -1, "RL": -1}, SHARP),
    Family("shunt-fed-band-pass", 4, "source; shunt L || C; load", "lc-arms",
           BAND, 2, SHUNT, {"Rs": 1, "RL": 1}, SHARP),
    Family("series-fed-notch", 4, "series L || C; load", "lc-arms",
           NOTCH, 2, SERIES, {"RL": 1}, SHARP),
    Family("shunt-fed-notch", 4, "source; shunt L + C; load", "lc-arms",
           NOTCH, 2, SHUNT, {"Rs": -1, "RL": -1}, SHARP),
)  # fmt: skip

FAMILIES: tuple[Family, ...] = _ROWS
"""Every family, by level."""


@cache
def _by_name() -> Mapping[str, Family]:
    return MappingProxyType({family.name: family for family in FAMILIES})


def find(name: str) -> Family:
    """The family of that name.

    Raises:
        UnknownFamily: there is none; the message proposes names like it.
    """
    try:
        return _by_name()[name]
    except KeyError:
        raise UnknownFamily(name) from None


def of_level(level: int) -> tuple[Family, ...]:
    """The families of a level, in the order of the catalogue."""
    return tuple(family for family in FAMILIES if family.level == level)
