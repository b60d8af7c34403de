"""What losses come to, in a worked solution: the resonator alone, and what it costs when loaded."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.losses import insertion_loss_db, lossy_arm, notch_depth_db
from ..analysis.response import Facts
from ..quantities.spelling import listed
from ..quantities.write import write_quantity
from .step import Step, drawn, step


def losses(facts: Facts) -> Iterator[Step]:
    """Q without source and load, insertion loss, depth of the notch, as far as there are any.

    ``facts`` are those of a circuit with its own values.
    """
    arm = lossy_arm(facts.ladder) if facts.transfer.order == 2 else None
    if arm is None or facts.q is None:
        return
    unloaded, loaded = write_quantity(arm.unloaded_q, ""), write_quantity(facts.q, "")
    names = listed((loss.name for loss in arm.resistors), "and")
    formula = [] if arm.formula is None else [drawn("QU", arm.formula)]
    lines = [*formula, [f"QU = {unloaded}"]]
    yield step("unloaded-q", *lines, arm=arm.placed.text, losses=names, loaded=loaded)
    lost, depth = insertion_loss_db(facts), notch_depth_db(facts)
    if lost is not None:
        told = write_quantity(lost, "dB")
        yield step("insertion-loss", loss=told, loaded=loaded, unloaded=unloaded)
    if depth is not None:
        told = write_quantity(depth, "dB")
        yield step("notch-depth", depth=told, loaded=loaded, unloaded=unloaded)
