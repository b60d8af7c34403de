"""Moving taps, stages, arms and buffers, held against a nodal analysis and the catalogue."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from rungwise.problems.analysis.arms import arm_text
from rungwise.problems.analysis.response import FilterType, facts
from rungwise.problems.catalogue import families
from rungwise.problems.circuits import rearrange as moves
from rungwise.problems.circuits.model import Ladder, Place
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit

from tests.support.strategies import ladders

VALUES = "series R = 100 Ω; series L = 10 mH; shunt C = 100 nF"


def written(ladder: Ladder | None) -> str:
    return write_circuit(ladder, "; ") if ladder is not None else "-"


def kind(ladder: Ladder) -> str:
    return facts(ladder).type.value


# --- taps ---------------------------------------------------------------------------------


def test_the_four_taps_of_a_series_rlc_are_the_four_types() -> None:
    found = moves.taps(read_circuit(VALUES))
    by_arm = {arm_text(arm): kind(tap) for tap in found if (arm := moves.output_arm(tap))}
    assert by_arm == {
        "C": "low-pass",
        "L": "high-pass",
        "R": "band-pass",
        "L + C": "notch",
        "R + C": "low-pass",  # it shelves off: one pole less a zero at the high end
        "R + L": "high-pass",
    }
    # The first four are the catalogue's families.
    names = ["c", "l", "r", "lc"]
    for tap, name in zip(found, names, strict=False):
        family = families.find(f"series-rlc-across-{name}")
        assert facts(tap).type is family.type
        assert facts(tap).transfer.order == family.order


def test_the_loop_is_the_same_wherever_it_is_tapped() -> None:
    """Tap voltages of the parts of one loop add up to the source: Kirchhoff's second law."""
    found = moves.taps(read_circuit(VALUES))[:3]
    for w in (1e3, 3e4, 1e6):
        total = sum(facts(tap).transfer(1j * w) for tap in found)
        assert total == pytest.approx(1)
    assert len({facts(tap).transfer.denominator for tap in found}) == 1


def node_voltages(frequency: float) -> dict[str, complex]:
    """V1 and V2 of C1 - R1 - R2 - C2 with RL, by nodal analysis with numpy."""
    s = 2j * np.pi * frequency
    r1, r2, rl, c1, c2 = 1e3, 2e3, 4e3, 1e-7, 2e-8
    y = np.array([[s * c1 + 1 / r1 + 1 / r2, -1 / r2], [-1 / r2, 1 / r2 + s * c2 + 1 / rl]])
    one, two = np.linalg.solve(y, np.array([s * c1, 0]))
    return {"one": complex(one), "two": complex(two)}


def test_an_inner_tap_carries_what_follows() -> None:
    ladder = read_circuit(
        "series C1 100 nF; shunt R1 1 kΩ; series R2 2 kΩ; shunt C2 20 nF; load 4 kΩ"
    )
    inner = moves.taps(ladder)[-1]
    assert arm_text(moves.output_arm(inner)) == "R1 ∥ (R2 + (C2 ∥ RL))"
    for frequency in (10.0, 1e3, 2e4):
        expected = node_voltages(frequency)
        s = 2j * np.pi * frequency
        assert facts(inner).transfer(s) == pytest.approx(expected["one"])
        assert facts(ladder).transfer(s) == pytest.approx(expected["two"])


def test_a_buffer_takes_no_current_from_an_inner_tap() -> None:
    ladder = read_circuit("series R1 1k; shunt C1 1u; buffer; series C2 1u; shunt R2 1k")
    assert written(moves.taps(ladder)[-1]) == "series R1 = 1 kΩ; shunt C1 = 1 µF"


@settings(max_examples=150, deadline=None)
@given(ladders())
def test_taps_of_any_ladder(ladder: Ladder) -> None:
    found = moves.taps(ladder)
    assert found[0] is ladder and len(found) <= moves.MOST_TAPS
    assert len(set(found)) == len(found)
    names = {e.name for e in ladder.elements()}
    for tap in found:
        assert {e.name for e in tap.elements()} <= names
        assert read_circuit(write_circuit(tap, named=True)) == tap


# --- order --------------------------------------------------------------------------------


def test_swapping_an_l_section_changes_its_feed() -> None:
    ladder = read_circuit("source 50; series L 1m; shunt C 1n; load 50")
    other = moves.swapped(ladder, 0)
    assert other is not None
    assert facts(ladder).fed == "series" and facts(other).fed == "shunt"
    assert kind(ladder) == kind(other) == "low-pass"
    assert moves.swapped(other, 1) == ladder


def test_neighbours_of_one_place_move_together() -> None:
    ladder = read_circuit(VALUES)
    for index in range(3):
        assert written(moves.swapped(ladder, index)) == (
            "shunt C = 100 nF; series R = 100 Ω; series L = 10 mH"
        )


@pytest.mark.parametrize("text", ["series R 1; series L 1 mH", "shunt R 1", "series R 1; buffer"])
def test_where_nothing_can_be_swapped(text: str) -> None:
    ladder = read_circuit(text)
    assert moves.swapped(ladder, 0) is None
    assert moves.sections_swapped(ladder, 0) is None


def test_sections_swap_across_a_buffer_and_without() -> None:
    text = "series C1 = 1 µF; shunt R1 = 1 kΩ; buffer; series R2 = 2 kΩ; shunt C2 = 3 µF"
    other = "series R2 = 2 kΩ; shunt C2 = 3 µF; buffer; series C1 = 1 µF; shunt R1 = 1 kΩ"
    ladder = read_circuit(text)
    swapped = moves.sections_swapped(ladder, 0)
    assert written(swapped) == other
    assert swapped is not None
    # Behind buffers the order does not matter at all.
    assert facts(swapped).transfer == facts(ladder).transfer
    loose = read_circuit(text.replace("buffer; ", ""))
    turned = moves.sections_swapped(loose, 3)
    assert written(turned) == other.replace("buffer; ", "")
    assert turned is not None and facts(turned).transfer != facts(loose).transfer


def test_exchanged_arms_make_the_other_type() -> None:
    ladder = read_circuit("series L 10 mH; shunt C 100 nF; load 1k")
    other = moves.exchanged(ladder, 0)
    assert other is not None and written(other).startswith("series C = 100 nF; shunt L = 10 mH")
    assert (kind(ladder), kind(other)) == ("low-pass", "high-pass")
    assert moves.exchanged(other, 1) == ladder
    assert moves.exchanged(read_circuit("series R 1; series L 1 mH"), 0) is None


def test_a_buffer_goes_in_and_out() -> None:
    ladder = read_circuit("series R1 1k; shunt C1 1u; series R2 1k; shunt C2 1u")
    buffered = moves.rebuffered(ladder, 2)
    assert buffered is not None
    assert [s.place for s in buffered.stages][2] is Place.BUFFER
    # (1/(RCs+1))²: Q is 1/2 with the buffer and 1/3 without (common practice, no source).
    assert facts(buffered).q == pytest.approx(0.5) and facts(ladder).q == pytest.approx(1 / 3)
    assert moves.rebuffered(buffered, 0) == ladder
    assert moves.rebuffered(read_circuit("series R 1; shunt C 1 nF"), 0) is None
    assert moves.rebuffered(read_circuit("buffer"), 0) is None


@settings(max_examples=150, deadline=None)
@given(ladders())
def test_moves_of_any_ladder_keep_every_part(ladder: Ladder) -> None:
    parts = sorted(e.name for e in ladder.elements())
    for move in (moves.swapped, moves.sections_swapped, moves.exchanged, moves.rebuffered):
        for index in range(len(ladder.stages)):
            moved = move(ladder, index)
            if moved is not None:
                assert sorted(e.name for e in moved.elements()) == parts, move.__name__
                assert (moved.source, moved.load) == (ladder.source, ladder.load)


def test_the_stage_of_a_part() -> None:
    ladder = read_circuit("source 1; series L 1 mH; buffer; shunt C 1 nF || R1 1; load 2")
    assert [moves.stage_of(ladder, n) for n in ("Rs", "L", "C", "R1", "RL")] == [0, 0, 2, 2, 2]


def test_what_the_output_is_across() -> None:
    def across(text: str) -> str:
        arm = moves.output_arm(read_circuit(text))
        return arm_text(arm) if arm is not None else "-"

    assert across("series R 1; shunt C 1 nF; shunt L 1 mH") == "C ∥ L"
    assert across("series R 1; load 5") == "RL"
    assert across("series R 1; shunt L 1 mH + C 1 nF; load 5") == "(L + C) ∥ RL"
    assert across("shunt C 1 nF; series R 1") == "-"


def test_a_notch_needs_both_parts_of_its_arm() -> None:
    ladder = read_circuit("series R 1 kΩ; shunt L 1 mH + C 1 nF")
    types = [facts(tap).type for tap in moves.taps(ladder)]
    assert types[0] is FilterType.NOTCH
    assert {FilterType.LOW_PASS, FilterType.HIGH_PASS, FilterType.BAND_PASS} <= set(types)
