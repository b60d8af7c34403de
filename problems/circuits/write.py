"""Ladder → circuit text."""

from __future__ import annotations

from collections.abc import Callable

from ..quantities.write import write_exact
from .model import Arm, CircuitError, Element, Joint, Ladder
from .statement import MAX_BYTES

DEFAULT_NAMES = {"source": "Rs", "load": "RL"}


def write_element(element: Element) -> str:
    """``C1 = 100 nF``, or the name alone where there is no value.

    Raises:
        QuantityError: the value lies outside 10⁻³⁰ to 10³⁰.
    """
    if element.value is None:
        return element.name
    return f"{element.name} = {write_exact(element.value, element.kind.unit)}"


def write_arm(
    arm: Arm, *, inner: bool = False, part: Callable[[Element], str] = write_element
) -> str:
    """An ``arm`` as text; an ``inner`` group stands in brackets, and ``part`` writes an element."""
    if isinstance(arm, Element):
        return part(arm)
    sign = " + " if arm.joint is Joint.SERIES else " || "
    text = sign.join(write_arm(one, inner=True, part=part) for one in arm.parts)
    return f"({text})" if inner else text


def write_circuit(
    ladder: Ladder,
    separator: str = "\n",
    *,
    named: bool = False,
    part: Callable[[Element], str] = write_element,
) -> str:
    r"""A ladder as circuit text, stage by stage.

    Args:
        ladder: the circuit, with values or without.
        separator: what joins the statements: ``"\n"`` or ``"; "``.
        named: write the names of source and load also where they are the usual Rs and RL.
        part: how an element of an arm is written.

    Raises:
        QuantityError: a value lies outside 10⁻³⁰ to 10³⁰.
        CircuitError: the text would pass 4 KiB (values that are long quotients).
    """
    lines = [_end("source", ladder.source, named)] if ladder.source else []
    lines += (
        f"{stage.place.value} {write_arm(stage.arm, part=part)}" if stage.arm else "buffer"
        for stage in ladder.stages
    )
    if ladder.load:
        lines.append(_end("load", ladder.load, named))
    text = separator.join(lines)
    if len(text.encode()) > MAX_BYTES:
        raise CircuitError("circuit.long-text", most=MAX_BYTES)
    return text


def _end(role: str, element: Element, named: bool) -> str:
    if not named and element.name == DEFAULT_NAMES[role] and element.value is not None:
        return f"{role} {write_exact(element.value, element.kind.unit)}"
    return f"{role} {write_element(element)}"
