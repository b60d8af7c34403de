"""How many stores of energy are independent, and what ties a part to the others.

Bryant, "The order of complexity of electrical networks", Proc. IEE 106C (1959): every loop of
capacitors (and ideal voltage sources) and every cut-set of inductors takes one independent store
away.  What is neither stores energy on its own, but adds nothing that is seen at the output: a
current that circulates in a loop of inductors (and ideal voltage sources), or a charge trapped in a
cut-set of capacitors, stays for ever, a mode at s = 0 that H(s) does not have.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Stores:
    """The stores of energy of a circuit, whatever the values.

    Args:
        drawn: inductors and capacitors.
        loops: independent loops of capacitors and ideal voltage sources.
        cuts: independent cut-sets of inductors.
        resting: independent modes at s = 0: loops of inductors and ideal voltage sources, and
            cut-sets of capacitors.  H(s) has none of them.
    """

    drawn: int
    loops: int
    cuts: int
    resting: int

    @property
    def independent(self) -> int:
        """How many of the inductors and capacitors store energy independently: Bryant's count."""
        return self.drawn - self.loops - self.cuts


def stores(ladder: Ladder) -> Stores:
    """The stores of energy of a circuit, counted on its graph."""
    edges = _edges(ladder)
    nodes = 1 + max(max(a, b) for a, b, _ in edges)

    def kept(*kinds: Kind) -> list[_Edge]:
        """Ideal sources and the parts of some kinds."""
        return [edge for edge in edges if edge[2] is None or edge[2].kind in kinds]

    def loops(kind: Kind) -> int:
        some = kept(kind)
        return len(some) - nodes + _pieces(nodes, some)

    def cuts(kind: Kind) -> int:
        others = kept(*(other for other in Kind if other is not kind))
        return _pieces(nodes, others) - _pieces(nodes, edges)

    return Stores(
        len(ladder.reactive()),
        loops(Kind.C),
        cuts(Kind.L),
        loops(Kind.L) + cuts(Kind.C),
    )


def _pieces(nodes: int, edges: Iterable[_Edge]) -> int:
    """How many pieces the nodes fall into, joined by edges alone."""
    piece = list(range(nodes))

    def root(node: int) -> int:
        while piece[node] != node:
            node = piece[node]
        return node

    for a, b, _ in edges:
        piece[root(a)] = root(b)
    return len({root(node) for node in range(nodes)})


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
