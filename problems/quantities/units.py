"""The units and prefixes that answers and circuits use, and how people spell them.

Symbols and prefixes: BIPM, "The International System of Units" (SI brochure), 9th ed.
(2019), sections 2.3 and 3.  Letters in place of the decimal sign: IEC 60062.  Sloppy
spellings (``khz``, ``uF``, ``meg``) are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from .errors import WordedError, Wording
from .spelling import nearest


class QuantityError(WordedError, ValueError):
    """Text that is no quantity, or more than one.

    Attributes:
        position: 0-based column in the text as typed.
        readings: what the text may mean, where it is ambiguous (else empty).
    """

    def __init__(
        self, key: str, position: int = 0, readings: tuple[str, ...] = (), **values: object
    ) -> None:
        super().__init__(key, **values)
        self.position = position
        self.readings = readings


@dataclass(frozen=True, slots=True)
class Unit:
    """A canonical unit.

    ``prefixes`` are those its quantities are written with; "" means that it takes none.
    ``exact`` are spellings whose case matters, ``loose`` lower-case ones read in any case.
    """

    symbol: str
    dimension: str
    prefixes: str = ""
    exact: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
    joined: bool = False  # written without a space, as 45°


@dataclass(frozen=True, slots=True)
class Quantity:
    """An exact value in a canonical unit (a key of ``UNITS``)."""

    value: Fraction
    unit: str


UNITS: dict[str, Unit] = {
    unit.symbol: unit
    for unit in (
        Unit(
            "Ω", "resistance", "fpnµm kMGT", ("Ω", "R", "ohm", "ohms"),
            ("r", "ω", "ohm", "ohms"),
        ),
        Unit(
            "H", "inductance", "fpnµm k", ("H", "henry", "henries", "henrys"),
            ("h", "henry", "henries", "henrys"),
        ),
        Unit(
            "F", "capacitance", "fpnµm k", ("F", "farad", "farads"), ("f", "farad", "farads"),
        ),
        # The hertz was the cycle per second until 1960 (11th CGPM, resolution 12), and kc for long.
        Unit(
            "Hz", "frequency", "fpnµm kMGT", ("Hz", "hertz", "c/s", "cps", "cycles"),
            ("hz", "hertz", "c/s", "cps", "cycles", "cycle/s", "cycles/s", "cycles/sec",
             "cycles/second", "cyclepersecond", "cyclespersecond", "cyclespersec", "hertzs"),
        ),
        Unit(
            "rad/s", "frequency", "fpnµm kMGT",
            ("rad/s", "rad/sec", "rad/second", "rads/s", "rads/sec", "radian/s", "radians/s",
             "radians/sec", "radian/second", "radians/second", "radpersecond",
             "radianspersecond", "rads^-1", "rad*s^-1", "radpersec", "radianspersec"),
            ("rad/s", "rad/sec", "rads/s", "radians/s", "radians/sec", "radians/second",
             "radpersecond", "radianspersecond", "radpersec", "radianspersec", "radianpersecond"),
        ),
        Unit("s", "time", "fpnµm k", ("s", "sec", "second", "seconds")),
        Unit("V", "voltage", "fpnµm kM", ("V", "volt", "volts"), ("volt", "volts")),
        Unit(
            "A", "current", "fpnµm k", ("A", "amp", "amps", "ampere", "amperes"),
            ("amp", "amps", "ampere", "amperes"),
        ),
        Unit("J", "energy", "fpnµm kM", ("J", "joule", "joules"), ("joule", "joules")),
        Unit("rad", "angle", "fpnµm ", ("rad", "rads", "radian", "radians")),
        Unit("°", "angle", "", ("°", "grad", "Grad", "GRAD"), ("deg", "degs", "degree", "degrees"),
             joined=True),
        Unit("dB", "gain", "", ("dB",), ("db", "decibel", "decibels", "dbs")),
        Unit("", "gain", "fpnµm kMGT", (), ("v/v",)),
        Unit(
            "dB/decade", "slope", "", (),
            ("db/decade", "db/dec", "db/decades", "dbperdecade", "dbperdec", "decibels/decade",
             "decibelsperdecade", "db/dek", "db/d", "dbadecade", "dbeachdecade", "dbperdecades",
             "decibelperdecade", "db*dec^-1", "dbdec^-1", "dbdecade^-1"),
        ),
        Unit(
            "dB/octave", "slope", "", (),
            ("db/octave", "db/oct", "db/octaves", "dbperoctave", "dbperoct", "decibels/octave",
             "decibelsperoctave", "db/8ve", "dbanoctave", "dbeachoctave", "dbperoctaves",
             "decibelperoctave", "dboct^-1"),
        ),
    )
}  # fmt: skip

NOUNS = {
    dimension: Wording(key)
    for dimension, key in (
        ("resistance", "noun.resistance"),
        ("inductance", "noun.inductance"),
        ("capacitance", "noun.capacitance"),
        ("frequency", "noun.frequency"),
        ("time", "noun.time"),
        ("voltage", "noun.voltage"),
        ("current", "noun.current"),
        ("energy", "noun.energy"),
        ("angle", "noun.angle"),
        ("gain", "noun.gain"),
        ("slope", "noun.slope"),
    )
}

PREFIXES: dict[str, Fraction] = {
    symbol: Fraction(10) ** exponent
    for symbol, exponent in (
        ("f", -15), ("p", -12), ("n", -9), ("µ", -6), ("m", -3), ("", 0),
        ("k", 3), ("M", 6), ("G", 9), ("T", 12),
    )
}  # fmt: skip
_PREFIX_NAMES = {
    "femto": "f", "pico": "p", "nano": "n", "micro": "µ", "milli": "m",
    "kilo": "k", "meg": "M", "mega": "M", "giga": "G", "tera": "T",
}  # fmt: skip
# As typed (after folding, µ is U+03BC) → prefix.
_PREFIX_SPELLINGS = {
    **{p: p for p in PREFIXES if p and p != "µ"}, "μ": "µ", "u": "µ", "K": "k",
}  # fmt: skip
_CYCLES = {"kc": "k", "Kc": "k", "KC": "k", "Mc": "M", "MC": "M"}
_PER_SECOND = ("s^-1", "sec^-1", "/s", "/sec", "1/s", "persecond", "persec")
"""What a frequency and an angular frequency are both in: the second's reciprocal."""
_PER_CENT = ("percent", "pct")
# In the wrong case, but without a rival.
_PREFIX_LOOSE = {"N": "n", "U": "µ", "g": "G", "t": "T"}

_EXACT = {s: unit for unit in UNITS.values() for s in unit.exact}
_LOOSE = {s: unit for unit in UNITS.values() for s in unit.loose}
_WORDS = {s: u for s, u in (_EXACT | _LOOSE).items() if len(s) > 3 and s.isalpha()}

# No part and no answer is a megafarad or megahenry, but "MF" has stood for micro- and
# millifarads in print; so M before these units always asks.
_NO_MEGA = ("F", "H", "s", "rad")
# Where both a milli and a mega make sense, m without its unit (or with the unit in sloppy
# case, "mhz") asks too.
_MILLI_OR_MEGA = ("Ω", "Hz", "rad/s", "")


@dataclass(frozen=True, slots=True)
class SuffixReading:
    """One way to take a suffix: a power of ten (or the per cent) and a unit."""

    factor: Fraction
    unit: str


def asks_for_mega(unit: str) -> bool:
    """Whether capital M before this unit is refused as ambiguous."""
    return unit in _NO_MEGA


def nearest_unit(text: str, asked: Unit) -> str | None:
    """The unit of the dimension ``asked`` for that a misspelt ``text`` most likely stands for."""
    options = {s: u for s, u in _LOOSE.items() if u.dimension == asked.dimension}
    guess = nearest(text, options)
    return options[guess].symbol if guess else None


class UnknownUnit(Exception):  # noqa: N818 - caught at once by the reader, never leaves it
    """The suffix is no unit known here."""


def _prefixed(prefix: str, unit: Unit, *, explicit: bool) -> tuple[SuffixReading, ...]:
    """What a prefix may mean before a unit; two readings where one has to ask."""
    if not unit.prefixes:
        raise UnknownUnit
    one = SuffixReading(PREFIXES[prefix], unit.symbol)
    other = {"m": "M", "M": "m"}.get(prefix)
    asks = unit.symbol in _NO_MEGA if prefix == "M" else (
        prefix == "m" and not explicit and unit.symbol in _MILLI_OR_MEGA
    )  # fmt: skip
    if asks and other is not None:
        both = (one, SuffixReading(PREFIXES[other], unit.symbol))
        return tuple(sorted(both, key=lambda r: r.factor))
    return (one,)


def letter_readings(letter: str, unit: Unit, *, explicit: bool) -> tuple[SuffixReading, ...]:
    """A ``letter`` in place of the decimal sign, as in 4k7 (IEC 60062).

    ``unit`` is the one asked for; ``explicit`` says that a unit was typed as well.

    Raises:
        UnknownUnit: the letter has no meaning for this unit.
    """
    if unit.symbol == "Ω" and letter in "RrL":
        # L marks milliohms: IEC 60062:2016 resistance codes.
        return (SuffixReading(PREFIXES["m"] if letter == "L" else Fraction(1), "Ω"),)
    if letter == "F" and unit.symbol == "F":
        return (SuffixReading(Fraction(1), "F"),)
    prefix = _PREFIX_SPELLINGS.get(letter)
    # Among capacitor codes K is a tolerance (IEC 60062), and nothing larger is a value.
    if prefix is None or (unit.symbol == "F" and prefix in "kGT"):
        raise UnknownUnit
    return _prefixed(prefix, unit, explicit=explicit)


def suffix_readings(suffix: str, asked: Unit) -> tuple[SuffixReading, ...]:
    """Every way to take the ``suffix`` of a number (folded, without spaces) of the ``asked`` unit.

    Raises:
        UnknownUnit: it is no unit or prefix.
    """
    whole = Fraction(1)
    if suffix == "":
        return (SuffixReading(whole, asked.symbol),)
    if suffix == "%" or suffix.lower() in _PER_CENT:
        return (SuffixReading(Fraction(1, 100), ""),)
    if suffix in _EXACT:
        return (SuffixReading(whole, _EXACT[suffix].symbol),)
    if suffix == "f" and asked.symbol == "F":
        return (SuffixReading(PREFIXES["f"], "F"), SuffixReading(whole, "F"))
    if suffix in _PREFIX_SPELLINGS:
        return _prefixed(_PREFIX_SPELLINGS[suffix], asked, explicit=False)
    if suffix in _CYCLES:
        return (SuffixReading(PREFIXES[_CYCLES[suffix]], "Hz"),)
    per_second = _per_second(suffix, asked)
    if per_second:
        return per_second
    head, tail = suffix[0], suffix[1:]
    if head in _PREFIX_SPELLINGS and tail in _EXACT:
        return _prefixed(_PREFIX_SPELLINGS[head], _EXACT[tail], explicit=True)
    lower = suffix.lower()
    if lower in _LOOSE:
        return (SuffixReading(whole, _LOOSE[lower].symbol),)
    named = _named_prefix(lower, asked)
    if named is not None:
        return named
    tail = tail.lower()
    unit = _LOOSE.get(tail) if tail else asked
    if unit is None:
        raise UnknownUnit
    if head in _PREFIX_SPELLINGS:
        return _prefixed(_PREFIX_SPELLINGS[head], unit, explicit=unit.symbol not in ("Hz", "rad/s"))
    prefix = "p" if head == "P" and unit.symbol in _NO_MEGA else _PREFIX_LOOSE.get(head)
    if prefix is None:
        raise UnknownUnit
    return _prefixed(prefix, unit, explicit=True)


def _per_second(suffix: str, asked: Unit) -> tuple[SuffixReading, ...]:
    """What a figure in 1/s may be: in Hz and in rad/s; nothing where no frequency is asked for."""
    if asked.dimension != "frequency":
        return ()
    factor = Fraction(1)
    if suffix not in _PER_SECOND:
        if suffix[0] not in _PREFIX_SPELLINGS or suffix[1:] not in _PER_SECOND:
            return ()
        factor = PREFIXES[_PREFIX_SPELLINGS[suffix[0]]]
    return (SuffixReading(factor, "Hz"), SuffixReading(factor, "rad/s"))


def _named_prefix(lower: str, asked: Unit) -> tuple[SuffixReading, ...] | None:
    """'kilohm', 'microfarad', 'meg', 'megohms': prefix by name, unit by name or left out."""
    if lower in ("kilohm", "kilohms"):
        return (SuffixReading(PREFIXES["k"], "Ω"),)
    for name in sorted(_PREFIX_NAMES, key=len, reverse=True):
        if not lower.startswith(name):
            continue
        rest = lower[len(name) :]
        unit = asked if not rest else _WORDS.get(rest) or _LOOSE.get(rest)
        if unit is not None and unit.prefixes:
            return (SuffixReading(PREFIXES[_PREFIX_NAMES[name]], unit.symbol),)
    return None
