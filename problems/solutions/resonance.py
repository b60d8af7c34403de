"""Energy, the rise at resonance, the cost of a load, and the source turned, in a worked solution.

Each step is told where a question was asked that it answers.  Peak values of 1 A and 1 V stand for
those of the questions: energies go with their square, voltages and currents in proportion.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ..analysis.resonator import PlainResonator, plain_resonator
from ..circuits.dual import dual, has_dual
from ..circuits.model import Element, Ladder, merged, valueless
from ..circuits.write import write_circuit
from ..quantities.spelling import listed
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.sources import ends_product
from .step import Step, step

_ENERGY = {Rung.STORED_ENERGY, Rung.LOST_ENERGY, Rung.ENERGY_Q}
_RISE = {Rung.RESONANT_VOLTAGE, Rung.RESONANT_CURRENT}
_LOAD = {Rung.Q_WITHOUT_LOAD, Rung.Q_WITH_LOAD, Rung.BAND_WITH_LOAD}
_ON_CURRENT = {Rung.SEEN_RESISTANCE, Rung.CURRENT_OUTPUT, Rung.PARALLEL_Q, Rung.PARALLEL_BAND}
_DUAL = {Rung.DUAL_VALUE, Rung.WHICH_DUAL}


def resonance(ladder: Ladder, asked: Collection[Rung]) -> Iterator[Step]:
    """The steps that answer what was asked.

    Args:
        ladder: the circuit, with values.
        asked: the kinds of question that were asked.
    """
    kinds, found = frozenset(asked), plain_resonator(ladder)
    if found is not None:
        yield from _at_resonance(found, kinds)
    source = ladder.source
    if Rung.SOURCE_CURRENT in kinds and source is not None and source.value is not None:
        amps = write_quantity(1 / source.value, "A")
        yield step("source-current", source=source.name, ohms=_ohms(source), amps=amps)
    if found is not None and not found.series and found.behind and kinds & _ON_CURRENT:
        yield step(
            "on-current",
            source=source.name if source else "",
            resistances=_names(found.resistances),
            seen=write_quantity(found.ohms(), "Ω"),
            q=write_quantity(found.q(), ""),
            band=write_quantity(found.bandwidth_hz(), "Hz"),
        )
    if kinds & _DUAL and has_dual(ladder) and ladder.reactive():
        yield _dual(ladder)


def _at_resonance(found: PlainResonator, asked: frozenset[Rung]) -> Iterator[Step]:
    way = "loop" if found.series else "tank"
    parts = {"inductor": found.inductor.name, "capacitor": found.capacitor.name}
    q, resistances = write_quantity(found.q(), ""), _names(found.resistances)
    if asked & _ENERGY:
        stored, lost = (write_quantity(energy(1), "J") for energy in (found.stored, found.lost))
        figures = {"stored": stored, "lost": lost, "q": q}
        yield step(f"energy-{way}", **parts, **figures, resistances=resistances)
    if asked & _RISE and (found.series or found.behind):
        rise = q if found.series else write_quantity(found.q(found.behind), "")
        yield step(f"rise-{way}", **parts, rise=rise, behind=_names(found.behind))
    if found.load is None or not found.without_load:
        return
    if asked & _LOAD:
        yield step(
            f"load-{way}",
            **parts,
            load=found.load.name,
            resistances=resistances,
            alone=write_quantity(found.q(found.without_load), ""),
            q=q,
            band=write_quantity(found.bandwidth_hz(), "Hz"),
        )
    share = found.load_share()
    if Rung.LOAD_SHARE in asked and share is not None:
        told = write_quantity(share, "")
        yield step("load-share", load=found.load.name, resistances=resistances, share=told)


def _dual(ladder: Ladder) -> Step:
    """The dual in letters."""
    drawn = valueless(merged(dual(ladder, ends_product(ladder))))
    return step("dual", circuit=write_circuit(drawn, "; "))


def _names(elements: Collection[Element]) -> str:
    return listed((e.name for e in elements), "and")


def _ohms(element: Element) -> str:
    return write_quantity(element.amount, "Ω")
