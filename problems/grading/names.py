"""What people call a figure: whether a name before "=" is a name of what is asked for.

``f0``, ``ω_c`` and "the cut-off frequency" name a corner; ``T``, ``Q`` and ``f2`` do not, so that
``T = 41 kHz`` answers nothing that can be marked.  Which names are usual for what: common practice,
no source.
"""

from __future__ import annotations

import re
import unicodedata
from enum import Enum

from ..questions.kinds import kind
from ..questions.model import Form, Posed, Rung, Task


class Named(Enum):
    """What a name is a name of."""

    FREQUENCY = "f"
    ANGULAR = "ω"
    LOWER = "f1"
    UPPER = "f2"
    CENTRE = "f0"
    LOWER_ANGULAR = "ω1"
    UPPER_ANGULAR = "ω2"
    CENTRE_ANGULAR = "ω0"
    BAND = "B"
    BAND_ANGULAR = "Bω"
    QUALITY = "Q"
    LOADED = "QL"
    UNLOADED = "Q0"
    LOSS = "loss"
    GAIN = "H"
    LEVEL = "level"
    SLOPE = "slope"
    PHASE = "φ"
    TIME = "T"
    DECAY = "σ"
    SHARE = "overshoot"
    COUNT = "n"
    VOLTAGE = "V"
    CURRENT = "I"
    ENERGY = "W"
    PART = "part"
    OTHER = "other"
    ANY = "any"


_WORDS = {
    Named.ANY: "value figure number answer result it",
    Named.LOSS: "insertionloss loss il attenuation depth notchdepth nulldepth",
    Named.LOADED: "ql loadedq qloaded loadedqualityfactor",
    Named.UNLOADED: "qu q0 unloadedq qunloaded unloadedqualityfactor coilq qcoil",
    Named.FREQUENCY: "frequency freq corner cornerfrequency cutoff cutofffrequency breakfrequency"
    " break halfpowerfrequency 3dbfrequency edge edgefrequency cornerfreq cutofffreq peakfrequency",
    Named.ANGULAR: "angularfrequency radianfrequency angularcornerfrequency angularcutofffrequency",
    Named.CENTRE: "centrefrequency centerfrequency resonantfrequency resonancefrequency resonance"
    " naturalfrequency centre center undampednaturalfrequency midfrequency",
    Named.LOWER: "loweredge lowerfrequency lowercutoff lowercutofffrequency lower3dbedge"
    " lower3dbfrequency lowerhalfpowerfrequency lowercorner lowercornerfrequency",
    Named.UPPER: "upperedge upperfrequency uppercutoff uppercutofffrequency upper3dbedge"
    " upper3dbfrequency upperhalfpowerfrequency uppercorner uppercornerfrequency",
    Named.BAND: "b bw bandwidth 3dbbandwidth δf df deltaf f2f1 fufl fhfl",
    Named.BAND_ANGULAR: "β bω δω dω deltaω deltaomega beta ω2ω1",
    Named.QUALITY: "q qualityfactor qfactor quality qp",
    Named.GAIN: "h a av g k h0 a0 g0 k0 hmax amax h∞ hs hjω hjw hjω0 gain passbandgain voltagegain"
    " voutvin vovi vovs voutvs u2u1 v2v1 uoutuin uaue voutvsource ratio amplification"
    " magnitude transferfunction transfer voltagetransferfunction",
    Named.LEVEL: "level lv hdb gaindb adb gdb ingaindb total totalgain totallevel sum height"
    " peakheight",
    Named.SLOPE: "slope m gradient rolloff steepness roll",
    Named.PHASE: "φ ∠ ∠h ∠hjω phi ϕ θ theta phase arg argh arghjω phaseangle angle"
    " phaseshift shift",
    Named.TIME: "t τ tau period timeconstant time tr risetime",
    Named.DECAY: "σ sigma α alpha realpart",
    Named.SHARE: "overshoot os po mp percentovershoot peakovershoot maximumovershoot",
    Named.COUNT: "n swings numberofswings periods numberofperiods",
    Named.VOLTAGE: "v vl vc u ul uc uout vout vo voltage amplitude peakvoltage outputvoltage",
    Named.CURRENT: "i il ic is in isc current amplitudeofcurrent sourcecurrent peakcurrent",
    Named.ENERGY: "e wl wc el ec energy energystored storedenergy energylost lostenergy δe δw",
    Named.PART: "c l c' l' cdual ldual capacitance inductance req rp rpar rparallel zr resistance"
    " impedance",
    Named.OTHER: "ζ zeta d damping dampingratio z z0 xl xc r",
}  # fmt: skip
_BY_WORD = {word: named for named, words in _WORDS.items() for word in words.split()}
_NOTHING = str.maketrans("", "", " _{}|()[]-−–/'")
_LOWER_ENDS = frozenset(("1", "l", "low", "lo", "lower", "min", "u1"))
_UPPER_ENDS = frozenset(("2", "u", "h", "high", "hi", "upper", "max"))
_CENTRE_ENDS = frozenset(("0", "o", "r", "res", "n", "m", "mid", "centre", "center", "z"))
_TWO_PI_F = re.compile(r"2[*·]?(?:π|pi)[*·]?f\w{0,8}")
_W_OVER_TWO_PI = re.compile(r"(?:ω|w|omega)\w{0,3}/\(?2[*·]?(?:π|pi)\)?")
_SYMBOL = re.compile(r"(?:omega|[ωwf])(?:[_{}|()\w]|-(?=3db)){0,10}")
_OF_FREQUENCY = re.compile(r"\|?[hagfktv]\((?:s|p|j?(?:ω|w|omega|f)\w?|0|∞)\)\|?(?:max)?")

_FITTING: dict[Rung, frozenset[Named]] = {
    Rung.CORNER: frozenset(
        (Named.FREQUENCY, Named.ANGULAR, Named.CENTRE, Named.CENTRE_ANGULAR)
    ),
    **dict.fromkeys(
        (Rung.LOWER_EDGE, Rung.READ_LOWER_EDGE),
        frozenset((Named.FREQUENCY, Named.ANGULAR, Named.LOWER, Named.LOWER_ANGULAR)),
    ),
    **dict.fromkeys(
        (Rung.UPPER_EDGE, Rung.READ_UPPER_EDGE),
        frozenset((Named.FREQUENCY, Named.ANGULAR, Named.UPPER, Named.UPPER_ANGULAR)),
    ),
    **dict.fromkeys(
        (Rung.BANDWIDTH, Rung.READ_BANDWIDTH), frozenset((Named.BAND, Named.BAND_ANGULAR))
    ),
    Rung.Q: frozenset((Named.QUALITY, Named.LOADED)),
    Rung.RATIO_OF_LEVEL: frozenset((Named.GAIN,)),
    Rung.LOADED_Q: frozenset((Named.QUALITY, Named.LOADED)),
    Rung.UNLOADED_Q: frozenset((Named.QUALITY, Named.UNLOADED)),
    Rung.POLE_ANGLE: frozenset((Named.PHASE,)),
    Rung.POLE_PLACE: frozenset((Named.DECAY, Named.ANGULAR)),
    Rung.SWINGS: frozenset((Named.COUNT,)),
    **dict.fromkeys((Rung.OVERSHOOT, Rung.READ_OVERSHOOT), frozenset((Named.SHARE,))),
    **dict.fromkeys(
        (Rung.POLE_DECAY, Rung.TIME_CONSTANT, Rung.RISE_TIME, Rung.READ_TAU),
        frozenset((Named.TIME,)),
    ),
}  # fmt: skip
_BY_FORM: dict[Form, frozenset[Named]] = {
    Form.RATIO: frozenset((Named.QUALITY,)),
    Form.GAIN: frozenset((Named.GAIN,)),
    Form.SLOPE: frozenset((Named.SLOPE,)),
    Form.ANGLE: frozenset((Named.PHASE,)),
    Form.FORMULA: frozenset((Named.GAIN,)),
}
_LEVEL_NAMES = _BY_FORM[Form.GAIN] | {Named.LEVEL}
_BY_UNIT: dict[str, frozenset[Named]] = {
    "V": frozenset((Named.VOLTAGE,)),
    "A": frozenset((Named.CURRENT,)),
    "J": frozenset((Named.ENERGY, Named.ANGULAR)),  # W is read as ω, and here it is an energy
    "Ω": frozenset((Named.PART, Named.OTHER)),  # R, Z
    "H": frozenset((Named.PART,)),
    "F": frozenset((Named.PART,)),
}
ANGULAR = frozenset(
    (Named.ANGULAR, Named.LOWER_ANGULAR, Named.UPPER_ANGULAR, Named.CENTRE_ANGULAR,
     Named.BAND_ANGULAR)
)  # fmt: skip
CYCLIC = frozenset((Named.FREQUENCY, Named.LOWER, Named.UPPER, Named.CENTRE))
"""Names of what is in Hz.  A bandwidth called B is in either."""


def named(text: str) -> Named | None:
    """What a text is a name of; ``None`` where it is no name.

    >>> named("ω_0"), named("cut-off frequency"), named("1/RC")
    (<Named.CENTRE_ANGULAR: 'ω0'>, <Named.FREQUENCY: 'f'>, None)
    """
    if len(text) > 48 or (not text[:1].isalpha() and text[:1] not in "|2∠−-"):
        return None
    folded = unicodedata.normalize("NFKC", text).replace("Δ", "δ")
    tight = folded.replace(" ", "").casefold()
    if _TWO_PI_F.fullmatch(tight):
        return Named.ANGULAR
    if _W_OVER_TWO_PI.fullmatch(tight):
        return Named.FREQUENCY
    if _OF_FREQUENCY.fullmatch(tight):
        return Named.GAIN
    word = folded.casefold().translate(_NOTHING)
    if not word:
        return None
    found = _BY_WORD.get(word)
    if found is not None:
        return found
    if not _SYMBOL.fullmatch(tight):
        return None
    for start, of in (("omega", "ω"), ("ω", "ω"), ("w", "ω"), ("f", "f")):
        if word.startswith(start):
            return _frequency(word[len(start) :], of == "ω")
    return None


def _frequency(end: str, angular: bool) -> Named:
    if end in _LOWER_ENDS:
        return Named.LOWER_ANGULAR if angular else Named.LOWER
    if end in _UPPER_ENDS:
        return Named.UPPER_ANGULAR if angular else Named.UPPER
    if end in _CENTRE_ENDS:
        return Named.CENTRE_ANGULAR if angular else Named.CENTRE
    return Named.ANGULAR if angular else Named.FREQUENCY


def fits(question: Posed, name: Named, one_pole: bool) -> bool:
    """Whether ``name`` is a name of what a ``question`` asks for.

    A circuit of ``one_pole`` has only one frequency, whatever it is called.
    """
    if name is Named.ANY:
        return True
    wanted = _FITTING.get(question.rung) or _BY_FORM.get(question.form)
    if question.form is Form.LEVEL:
        return name in (_LEVEL_NAMES if question.unit == "dB" else _BY_FORM[Form.ANGLE])
    if wanted is None and question.unit == "dB":
        return name is Named.LOSS
    if wanted is None and kind(question.rung).task is Task.PREDICT and question.unit in _BY_UNIT:
        return name in _BY_UNIT[question.unit]
    if wanted is None:
        edges = {Named.LOWER, Named.UPPER, Named.LOWER_ANGULAR, Named.UPPER_ANGULAR}
        frequencies = (CYCLIC | ANGULAR) - edges - {Named.BAND, Named.BAND_ANGULAR}
        return question.unit in ("Hz", "rad/s") and name in frequencies
    if one_pole and question.rung is Rung.CORNER and name in CYCLIC | ANGULAR:
        return name not in (Named.BAND, Named.BAND_ANGULAR)
    return name in wanted
