"""What ties a part that adds no pole to the others: a loop of capacitors, a cut of inductors.

Bryant, "The order of complexity of electrical networks", Proc. IEE 106C (1959): every loop of
capacitors (and ideal voltage sources) and every cut-set of inductors takes one independent store
away.  What is neither stores energy on its own, but adds nothing that is seen at the output.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from ..circuits.model import Arm, Element, Joint, Kind, Ladder, Place


class Tie(StrEnum):
    """What ties a part to the others."""

    LOOP = "loop"  # capacitors alone make a loop
    SOURCE_LOOP = "source-loop"  # capacitors and an ideal source, or a buffer's output, make one
    CUT = "cut"  # inductors alone carry whatever current flows between two halves
    UNSEEN = "unseen"  # an independent store, of which nothing is seen at the output


_Edge = tuple[int, int, Element | None]
"""(node, node, part); an ideal source or a buffer's output has no part."""


def tie(ladder: Ladder, name: str) -> Tie:
    """What ties the inductor or capacitor ``name`` of ``ladder`` to the others.

    Raises:
        StopIteration: the circuit has no part of that name.
    """
    edges = _edges(ladder)
    a, b, part = next(edge for edge in edges if edge[2] is not None and edge[2].name == name)
    assert part is not None
    rest = [edge for edge in edges if edge[2] is not part]
    if part.kind is Kind.C:
        capacitors = [edge for edge in rest if edge[2] is not None and edge[2].kind is Kind.C]
        if _joined(a, b, capacitors):
            return Tie.LOOP
        if _joined(a, b, [*capacitors, *(edge for edge in rest if edge[2] is None)]):
            return Tie.SOURCE_LOOP
    elif not _joined(a, b, [e for e in rest if e[2] is None or e[2].kind is not Kind.L]):
        return Tie.CUT
    return Tie.UNSEEN


def _edges(ladder: Ladder) -> list[_Edge]:
    """The circuit as a graph; ground is node 0."""
    edges: list[_Edge] = []
    nodes = 1

    def node() -> int:
        nonlocal nodes
        nodes += 1
        return nodes - 1

    def lay(arm: Arm, a: int, b: int) -> None:
        if isinstance(arm, Element):
            edges.append((a, b, arm))
        elif arm.joint is Joint.PARALLEL:
            for part in arm.parts:
                lay(part, a, b)
        else:
            for part in arm.parts[:-1]:
                between = node()
                lay(part, a, between)
                a = between
            lay(arm.parts[-1], a, b)

    def along(arm: Arm, here: int) -> int:
        there = node()
        lay(arm, here, there)
        return there

    here = node()
    edges.append((here, 0, None))
    if ladder.source is not None:
        here = along(ladder.source, here)
    for stage in ladder.stages:
        if stage.arm is None:
            here = node()
            edges.append((here, 0, None))
        elif stage.place is Place.SERIES:
            here = along(stage.arm, here)
        else:
            lay(stage.arm, here, 0)
    if ladder.load is not None:
        lay(ladder.load, here, 0)
    return edges


def _joined(a: int, b: int, edges: Iterable[_Edge]) -> bool:
    """Whether edges lead from one node to another."""
    edges = list(edges)
    reached, grown = {a}, True
    while grown and b not in reached:
        grown = False
        for one, other, _ in edges:
            if (one in reached) is not (other in reached):
                reached |= {one, other}
                grown = True
    return b in reached
