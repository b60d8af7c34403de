"""The catalogue: every circuit family is one row of a table.

A row says three things:

* what the circuit is: circuit text without values, from source to load (``pattern``);
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

from ..analysis.terms import Feed, FilterType, Reason
from ..circuits.model import Ladder
from ..circuits.preferred import DECADE
from ..circuits.text import read_circuit
from ..quantities.errors import WordedError
from .groups import LEVELS as LEVELS

LOW, HIGH = FilterType.LOW_PASS, FilterType.HIGH_PASS
BAND, NOTCH, FLAT = FilterType.BAND_PASS, FilterType.NOTCH, FilterType.FLAT
OTHER = FilterType.OTHER
SERIES, SHUNT = Feed.SERIES, Feed.SHUNT
COMBINABLE, DANGLING, ACROSS_SOURCE = Reason.COMBINABLE, Reason.DANGLING, Reason.ACROSS_SOURCE
TIED = Reason.DEPENDENT

Range = tuple[int, int]

SHARP: Range = (-14, 35)
"""Q targets from 0.27 to 30, for resonators."""
SHARED: Range = (-7, 42)
"""The same where two resistances damp together, each about twice as weakly."""
MILD: Range = (-10, 20)
"""Q targets from 0.4 to 7, where more would ask for parts nobody has."""
TUNED: Range = (18, 42)
"""Q targets of a receiver's tank, damped by two resistances."""
APART: Range = (-32, -7)
"""Q targets of two real poles, from 0.05 to 1/2."""
LOSSY: Range = (24, 40)
"""Q targets that source and load alone would give a resonator whose coil has losses of its own."""
DEEP: Range = (2, 14)
"""Q targets of a notch that its coil's losses leave deep enough to be one."""
COIL: Range = (-45, -33)
"""A coil's resistance against its reactance: an unloaded Q from 24 to 75."""
GOOD_COIL: Range = (-58, -46)
"""One good enough for a notch: from 80 to 260."""
NONE: Range = (0, 0)

AUDIO_AND_RADIO: Range = (44, 187)
"""Places of ω from 2π·10 Hz to 2π·10 MHz."""
LADDERS: Range = (54, 177)
"""Half a decade inside that at either end, since three or four poles lie apart."""
BROADCAST: Range = (157, 167)
"""Places of ω about the medium-wave band: 526.5–1606.5 kHz in ITU Region 1 (from memory)."""


class UnknownFamily(WordedError, LookupError):  # noqa: N818 - it names what is wrong, like KeyError's kin
    """No family of that name; ``near`` holds the names that look like it."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.near = tuple(difflib.get_close_matches(name, [f.name for f in FAMILIES], n=3))
        key = "family.unknown-near" if self.near else "family.unknown"
        super().__init__(key, name=repr(name), near=", ".join(self.near))


@dataclass(frozen=True)
class Family:
    """One row.

    ``group`` names the look-alikes: the same parts, tap or order moved.  ``since`` is the format
    of seeds it came with: no seed of an earlier one leads to it.  ``chosen`` are proportions of
    values that give a Q of exactly ½ or 1/√2 (``chosen_values``); formats from 3 on draw them too.
    ``levels`` are places that an element's impedance lies above the common level, drawn from a
    range: losses lie far below it, leaks far above.
    """

    name: str
    level: int
    pattern: str
    group: str
    type: FilterType
    order: int
    fed: Feed | None
    sizes: Mapping[str, int] = field(default_factory=dict)
    q: Range = NONE
    hidden: tuple[Reason, ...] = ()
    spread: int = 9
    omega: Range = AUDIO_AND_RADIO
    since: int = 1
    chosen: tuple[str, ...] = ()
    levels: Mapping[str, Range] = field(default_factory=dict)

    @cached_property
    def ladder(self) -> Ladder:
        """The pattern as a circuit without values."""
        return read_circuit(self.pattern)

    @property
    def strays(self) -> frozenset[str]:
        """Elements that no drawer holds: losses and leaks, a decade and more off the level."""
        far = {n for n, (least, most) in self.levels.items() if most < -DECADE or least > DECADE}
        return frozenset(far)

    @property
    def lookalikes(self) -> tuple[str, ...]:
        """Names of the other families of the group, in the order of the catalogue."""
        return tuple(f.name for f in FAMILIES if f.group == self.group and f is not self)


FAMILIES: tuple[Family, ...] = (
    # 1: one pole
    Family("rc-low-pass", 1, "series R; shunt C", "rc", LOW, 1, SHUNT),
    Family("rc-high-pass", 1, "series C; shunt R", "rc", HIGH, 1, SERIES),
    Family("rl-low-pass", 1, "series L; shunt R", "rl", LOW, 1, SERIES),
    Family("rl-high-pass", 1, "series R; shunt L", "rl", HIGH, 1, SHUNT),

    # 2: one series R-L-C, the output across each part in turn
    Family("series-rlc-across-c", 2, "series R; series L; shunt C", "rlc",
           LOW, 2, SERIES, {"R": -1}, SHARP,
           chosen=("R=2 L=1 C=1", "R=1 L=1 C=2")),
    Family("series-rlc-across-l", 2, "series R; series C; shunt L", "rlc",
           HIGH, 2, SERIES, {"R": -1}, SHARP,
           chosen=("R=2 L=1 C=1", "R=1 L=1 C=2")),
    Family("series-rlc-across-r", 2, "series L; series C; shunt R", "rlc",
           BAND, 2, SERIES, {"R": -1}, SHARP,
           chosen=("R=2 L=1 C=1",)),
    Family("series-rlc-across-lc", 2, "series R; shunt L + C", "rlc",
           NOTCH, 2, SHUNT, {"R": -1}, SHARP,
           chosen=("R=2 L=1 C=1",)),

    # 3: loaded L-sections
    Family("series-fed-low-pass", 3, "series L; shunt C; load RL", "l-sections",
           LOW, 2, SERIES, {"RL": 1}, SHARP,
           chosen=("RL=1 L=4 C=1", "RL=1 L=2 C=1")),
    Family("series-fed-high-pass", 3, "series C; shunt L; load RL", "l-sections",
           HIGH, 2, SERIES, {"RL": 1}, SHARP,
           chosen=("RL=1 L=4 C=1", "RL=1 L=2 C=1")),
    Family("shunt-fed-low-pass", 3, "source Rs; shunt C; series L; load RL", "l-sections",
           LOW, 2, SHUNT, {"Rs": 1, "RL": -1}, MILD,
           chosen=("Rs=1 RL=3 L=1 C=1", "Rs=1 RL=1 L=1 C=1")),
    Family("shunt-fed-high-pass", 3, "source Rs; shunt L; series C; load RL", "l-sections",
           HIGH, 2, SHUNT, {"Rs": 1, "RL": -1}, MILD,
           chosen=("Rs=1 RL=3 L=1 C=1", "Rs=1 RL=1 L=1 C=1")),

    # 4: band-pass and notch
    Family("series-fed-band-pass", 4, "source Rs; series L + C; load RL", "lc-arms",
           BAND, 2, SERIES, {"Rs": -1, "RL": -1}, SHARED,
           chosen=("Rs=9 RL=1 L=25 C=1",)),
    Family("shunt-fed-band-pass", 4, "source Rs; shunt L || C; load RL", "lc-arms",
           BAND, 2, SHUNT, {"Rs": 1, "RL": 1}, SHARED,
           chosen=("Rs=2 RL=1 L=16 C=9",)),
    Family("series-fed-notch", 4, "series L || C; load RL", "lc-arms",
           NOTCH, 2, SERIES, {"RL": 1}, SHARP,
           chosen=("RL=1 L=4 C=1",)),
    Family("shunt-fed-notch", 4, "source Rs; shunt L + C; load RL", "lc-arms",
           NOTCH, 2, SHUNT, {"Rs": -1, "RL": -1}, SHARP,
           chosen=("Rs=1 RL=5 L=25 C=144",)),

    # 5: loading: the corner or the gain moves
    Family("loaded-rc-low-pass", 5, "series R; shunt C; load RL", "loaded-rc", LOW, 1, SHUNT),
    Family("loaded-rc-high-pass", 5, "series C; shunt R; load RL", "loaded-rc", HIGH, 1, SERIES),
    Family("lag-network", 5, "series R1; shunt R2 + C", "loaded-rc",
           FilterType.OTHER, 1, Feed.SHUNT, spread=18, since=2),
    Family("loaded-rl-low-pass", 5, "series L; shunt R; load RL", "loaded-rl", LOW, 1, SERIES),
    Family("loaded-rl-high-pass", 5, "series R; shunt L; load RL", "loaded-rl", HIGH, 1, SHUNT),
    Family("coupling-capacitor", 5, "source Rs; series C; load RL", "between-two", HIGH, 1, SERIES),
    Family("bypass-capacitor", 5, "source Rs; shunt C; load RL", "between-two", LOW, 1, SHUNT),
    Family("series-choke", 5, "source Rs; series L; load RL", "between-two", LOW, 1, SERIES),
    Family("shunt-choke", 5, "source Rs; shunt L; load RL", "between-two", HIGH, 1, SHUNT),
    Family("doubly-terminated-low-pass", 5, "source Rs; series L; shunt C; load RL", "l-sections",
           LOW, 2, SERIES, {"Rs": -1, "RL": 1}, MILD,
           chosen=("Rs=3 RL=1 L=1 C=1", "Rs=1 RL=1 L=1 C=1")),
    Family("doubly-terminated-high-pass", 5, "source Rs; series C; shunt L; load RL", "l-sections",
           HIGH, 2, SERIES, {"Rs": -1, "RL": 1}, MILD,
           chosen=("Rs=3 RL=1 L=1 C=1", "Rs=1 RL=1 L=1 C=1")),

    # 5: cascades; the sizes set the two corners Q² apart, and make R1·C2, the term that a
    # buffer takes away, no smaller than the slower section's time constant
    Family("buffered-high-pass-low-pass", 5,
           "series C1; shunt R1; buffer; series R2; shunt C2", "cascades",
           BAND, 2, SERIES, {"R1": -1, "R2": 1}, APART,
           chosen=("R1=1 C1=1 R2=1 C2=1", "R1=1 C1=10 R2=10 C2=1")),
    Family("buffered-low-pass-high-pass", 5,
           "series R1; shunt C1; buffer; series C2; shunt R2", "cascades",
           BAND, 2, SHUNT, {"C1": -1, "C2": 1}, APART,
           chosen=("R1=1 C1=1 R2=1 C2=1", "R1=1 C1=10 R2=10 C2=1")),
    Family("buffered-low-pass-pair", 5,
           "series R1; shunt C1; buffer; series R2; shunt C2", "cascades",
           LOW, 2, SHUNT, {"R1": -1, "R2": 1}, APART,
           chosen=("R1=1 C1=1 R2=1 C2=1", "R1=1 C1=10 R2=10 C2=1")),
    Family("buffered-high-pass-pair", 5,
           "series C1; shunt R1; buffer; series C2; shunt R2", "cascades",
           HIGH, 2, SERIES, {"R1": -1, "R2": 1}, APART,
           chosen=("R1=1 C1=1 R2=1 C2=1", "R1=1 C1=10 R2=10 C2=1")),
    Family("unbuffered-high-pass-low-pass", 5,
           "series C1; shunt R1; series R2; shunt C2", "cascades",
           BAND, 2, SERIES, {"R1": -1, "R2": 1}, APART),
    Family("unbuffered-low-pass-high-pass", 5,
           "series R1; shunt C1; series C2; shunt R2", "cascades",
           BAND, 2, SHUNT, {"C1": -1, "C2": 1}, APART),
    Family("unbuffered-low-pass-pair", 5,
           "series R1; shunt C1; series R2; shunt C2", "cascades",
           LOW, 2, SHUNT, {"R1": -1, "R2": 1}, APART),
    Family("unbuffered-high-pass-pair", 5,
           "series C1; shunt R1; series C2; shunt R2", "cascades",
           HIGH, 2, SERIES, {"R1": -1, "R2": 1}, APART),
    Family("buffered-rl-rc-low-pass", 5,
           "series L; shunt R1; buffer; series R2; shunt C", "rl-rc-cascades",
           LOW, 2, SERIES, {"R1": 1, "R2": 1}, APART,
           chosen=("R1=1 L=10 R2=10 C=1",)),
    Family("buffered-rc-rl-band-pass", 5,
           "series C; shunt R1; buffer; series L; shunt R2", "rl-rc-cascades",
           BAND, 2, SERIES, {"R1": -1, "R2": -1}, APART,
           chosen=("R1=1 C=10 R2=10 L=100",)),

    # 5: tuned tanks
    Family("receiver-tank", 5, "source Rs; shunt L || C; load RL", "tanks",
           BAND, 2, SHUNT, {"Rs": 1, "RL": 1}, TUNED, omega=BROADCAST),
    Family("receiver-tank-with-trimmer", 5, "source Rs; shunt L || C1 || C2; load RL", "tanks",
           BAND, 2, SHUNT, {"Rs": 1, "RL": 1}, TUNED, (COMBINABLE,), omega=BROADCAST),
    Family("unloaded-tank", 5, "source Rs; shunt L || C", "tanks",
           BAND, 2, SHUNT, {"Rs": 1}, SHARP,
           chosen=("Rs=1 L=4 C=1",)),

    # 5: decoys: parts that add no pole
    Family("parallel-capacitors-low-pass", 5, "series R; shunt C1 || C2", "decoys-rc",
           LOW, 1, SHUNT, hidden=(COMBINABLE,)),
    Family("series-capacitors-high-pass", 5, "series C1 + C2; shunt R", "decoys-rc",
           HIGH, 1, SERIES, hidden=(COMBINABLE,)),
    Family("capacitor-across-source", 5, "shunt C1; series R; shunt C2", "decoys-rc",
           LOW, 1, SHUNT, hidden=(ACROSS_SOURCE,)),
    Family("dangling-capacitor", 5, "series C1; shunt R; series C2", "decoys-rc",
           HIGH, 1, SERIES, hidden=(DANGLING,)),
    Family("series-inductors-low-pass", 5, "series L1 + L2; shunt R", "decoys-rl",
           LOW, 1, SERIES, hidden=(COMBINABLE,)),
    Family("parallel-inductors-high-pass", 5, "series R; shunt L1 || L2", "decoys-rl",
           HIGH, 1, SHUNT, hidden=(COMBINABLE,)),
    Family("dangling-inductor", 5, "series R; shunt C; series L", "decoys-lc",
           LOW, 1, SHUNT, hidden=(DANGLING,)),
    Family("ideal-source-low-pass", 5, "shunt C; series L; load RL", "decoys-lc",
           LOW, 1, SERIES, hidden=(ACROSS_SOURCE,)),
    Family("ideal-source-high-pass", 5, "shunt L; series C; load RL", "decoys-lc",
           HIGH, 1, SERIES, hidden=(ACROSS_SOURCE,)),
    Family("ideal-source-tank", 5, "shunt L || C; load RL", "decoys-lc",
           FLAT, 0, None, hidden=(ACROSS_SOURCE, ACROSS_SOURCE)),
    Family("ideal-source-pi", 5, "shunt C1; series L; shunt C2; load RL", "decoys-lc",
           LOW, 2, SERIES, {"RL": 1}, SHARP, (ACROSS_SOURCE,),
           chosen=("RL=1 L=4 C1=10 C2=1", "RL=1 L=2 C1=10 C2=1")),
    Family("resistors-only", 5, "series R1; shunt R2; load RL", "decoys-r", FLAT, 0, None),
    Family("buffered-resistors", 5, "series R1; shunt R2; buffer; series R3; load RL", "decoys-r",
           FLAT, 0, None),
    Family("series-rlc-two-capacitors", 5, "series R; series L; shunt C1 || C2", "decoys-rlc",
           LOW, 2, SERIES, {"R": -1}, SHARP, (COMBINABLE,),
           chosen=("R=2 L=2 C1=1 C2=1", "R=1 L=1 C1=1 C2=1")),
    Family("series-rlc-two-inductors", 5, "series R; series L1; series L2; shunt C",
           "decoys-rlc", LOW, 2, SERIES, {"R": -1}, SHARP, (COMBINABLE,),
           chosen=("R=1 L1=1 L2=1 C=8", "R=1 L1=1 L2=1 C=4")),
    Family("series-rlc-split-capacitor", 5, "series L; series C1; series C2; shunt R",
           "decoys-rlc", BAND, 2, SERIES, {"R": -1}, SHARP, (COMBINABLE,)),
    Family("series-rlc-split-inductor", 5, "series R; shunt L1 + L2 + C", "decoys-rlc",
           NOTCH, 2, SHUNT, {"R": -1}, SHARP, (COMBINABLE,)),

    # 6: three and four poles
    Family("pi-low-pass-3", 6, "source Rs; shunt C1; series L; shunt C2; load RL", "three-poles",
           LOW, 3, SHUNT, omega=LADDERS),
    Family("t-low-pass-3", 6, "source Rs; series L1; shunt C; series L2; load RL", "three-poles",
           LOW, 3, SERIES, omega=LADDERS),
    Family("pi-high-pass-3", 6, "source Rs; shunt L1; series C; shunt L2; load RL", "three-poles",
           HIGH, 3, SHUNT, omega=LADDERS),
    Family("t-high-pass-3", 6, "source Rs; series C1; shunt L; series C2; load RL", "three-poles",
           HIGH, 3, SERIES, omega=LADDERS),
    Family("singly-terminated-low-pass-3", 6, "series L1; shunt C; series L2; load RL",
           "three-poles", LOW, 3, SERIES, omega=LADDERS),
    Family("singly-terminated-high-pass-3", 6, "series C1; shunt L; series C2; load RL",
           "three-poles", HIGH, 3, SERIES, omega=LADDERS),
    Family("series-fed-low-pass-4", 6,
           "source Rs; series L1; shunt C1; series L2; shunt C2; load RL", "four-poles",
           LOW, 4, SERIES, omega=LADDERS),
    Family("shunt-fed-low-pass-4", 6,
           "source Rs; shunt C1; series L1; shunt C2; series L2; load RL", "four-poles",
           LOW, 4, SHUNT, omega=LADDERS),
    Family("series-fed-high-pass-4", 6,
           "source Rs; series C1; shunt L1; series C2; shunt L2; load RL", "four-poles",
           HIGH, 4, SERIES, omega=LADDERS),
    Family("shunt-fed-high-pass-4", 6,
           "source Rs; shunt L1; series C1; shunt L2; series C2; load RL", "four-poles",
           HIGH, 4, SHUNT, omega=LADDERS),
    Family("series-fed-band-pass-4", 6, "source Rs; series L1 + C1; shunt L2 || C2; load RL",
           "four-poles", BAND, 4, SERIES, omega=LADDERS),
    Family("shunt-fed-band-pass-4", 6, "source Rs; shunt L1 || C1; series L2 + C2; load RL",
           "four-poles", BAND, 4, SHUNT, omega=LADDERS),
    Family("rc-low-pass-3", 6,
           "series R1; shunt C1; series R2; shunt C2; series R3; shunt C3", "rc-ladders",
           LOW, 3, SHUNT, omega=LADDERS),
    Family("rc-high-pass-3", 6,
           "series C1; shunt R1; series C2; shunt R2; series C3; shunt R3", "rc-ladders",
           HIGH, 3, SERIES, omega=LADDERS),

    # 7: real parts: what a coil's resistance, a leak or a stray capacitance makes of a filter.
    # Losses and leaks are so far from the common level that the type has one name (``gain_type``).
    Family("tank-with-coil-loss", 7, "source Rs; shunt (L + R) || C; load RL", "coil-loss",
           BAND, 2, SHUNT, {"Rs": 1, "RL": 1}, LOSSY, since=3, levels={"R": COIL}),
    Family("series-resonator-with-coil-loss", 7, "source Rs; series L + R + C; load RL",
           "coil-loss", BAND, 2, SERIES, {"Rs": -1, "RL": -1}, LOSSY, since=3,
           levels={"R": COIL}),
    Family("series-notch-with-coil-loss", 7, "source Rs; series (L + R) || C; load RL",
           "coil-loss", NOTCH, 2, SERIES, {"Rs": 1, "RL": 1}, DEEP, since=3,
           levels={"R": GOOD_COIL}),
    Family("shunt-notch-with-coil-loss", 7, "source Rs; shunt L + R + C; load RL", "coil-loss",
           NOTCH, 2, SHUNT, {"Rs": -1, "RL": -1}, DEEP, since=3, levels={"R": GOOD_COIL}),
    Family("low-pass-with-trap", 7, "series L || C1; shunt C2; load RL", "traps-and-leaks",
           LOW, 2, SERIES, {"RL": 1}, MILD, (TIED,), since=3, levels={"C1": (28, 42)}),
    Family("leaky-high-pass", 7, "series R1 || C; shunt R2", "traps-and-leaks",
           HIGH, 1, SERIES, since=3, levels={"R1": (32, 56)}),
    Family("high-pass-with-coil-loss", 7, "series R1; shunt L + R2", "traps-and-leaks",
           HIGH, 1, SHUNT, since=3, levels={"R2": (-56, -32)}),
    Family("lag-network-with-inductor", 7, "series R1 || L; shunt R2", "lag-lead",
           OTHER, 1, SERIES, since=3, levels={"R1": (9, 14)}),
    Family("lead-network", 7, "series R1 || C; shunt R2", "lag-lead",
           OTHER, 1, SERIES, since=3, levels={"R1": (9, 14)}),
    Family("lead-network-with-inductor", 7, "series R1; shunt R2 + L", "lag-lead",
           OTHER, 1, SHUNT, since=3, levels={"R2": (-14, -9)}),
    Family("lag-lead-network", 7, "series R1 || C1; shunt R2 + C2", "lag-lead",
           OTHER, 2, SERIES, {}, APART, since=3,
           levels={"R1": (2, 12), "C1": (8, 20), "C2": (-14, -6)}),
    Family("shelf-up", 7, "series R1 || C1; shunt R2; buffer; series R3 || C2; shunt R4",
           "lag-lead", OTHER, 2, SERIES, {}, APART, since=3,
           levels={"R1": (0, 5), "R3": (0, 5)}),
    Family("shelf-down", 7, "series R1; shunt R2 + C1; buffer; series R3; shunt R4 + C2",
           "lag-lead", OTHER, 2, SHUNT, {}, APART, since=3,
           levels={"R1": (0, 5), "R3": (0, 5)}),
)  # fmt: skip
"""Every family, by level.

A row may be added anywhere, with a ``since`` of its own: a seed together with a family keeps
its meaning, and where none is named an earlier format leads to earlier rows alone.
"""


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
