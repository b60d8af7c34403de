"""The state of a bench: turning, moves, versions, undo, marker; no screen."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.step_value import StepSize
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.tutor.drafting.bench import LETTERS, Bench
from rungwise.tutor.language.texts import entry, table
from rungwise.tutor.phrases.bench import about, said

from tests.outside.real_circuits import NAMED
from tests.support.strategies import ladders

RLC = "series R1 = 100 Ω; series L1 = 10 mH; shunt C1 = 100 nF"


def bench(text: str = RLC) -> Bench:
    return Bench(read_circuit(text))


def now(b: Bench) -> str:
    return write_circuit(b.version.ladder, "; ")


def test_turning_changes_one_part_and_the_response() -> None:
    b = bench()
    assert b.selected == "R1"
    assert b.turn(StepSize.E12, up=True)
    assert now(b) == RLC.replace("100 Ω", "120 Ω")
    # Q of a series R-L-C is √(L/C)/R (common practice, no source).
    assert b.version.facts.q == pytest.approx(math.sqrt(10e-3 / 100e-9) / 120)
    b.select(1)
    assert b.turn(StepSize.DECADE, up=False) and b.turn(StepSize.FINE, up=True)
    assert b.version.element("L1").value == Fraction(101, 100000)  # type: ignore[union-attr]


def test_selecting_goes_round() -> None:
    b = bench("source 50; series L1 1m; shunt C1 1n; load 50")
    assert b.selected == "L1"  # a part of an arm before the ends
    seen = []
    for _ in range(5):
        seen.append(b.selected)
        b.select(1)
    assert seen == ["L1", "C1", "RL", "Rs", "L1"]
    assert b.pick("Rs") and not b.pick("nothing")
    assert b.selected == "Rs" and b.turn(StepSize.E24, up=False)
    assert now(b).startswith("source 47 Ω")


def test_the_end_of_the_range_is_told() -> None:
    b = bench("series R 100 MΩ; shunt C 1n")
    assert not b.turn(StepSize.E12, up=True) and b.trouble == "limit"
    assert now(b).startswith("series R = 100 MΩ")
    assert b.turn(StepSize.E12, up=False) and b.trouble == ""


def test_the_tap_goes_round_and_values_turn_with_it() -> None:
    b = bench()
    types = []
    for _ in range(6):
        types.append(b.version.facts.type.value)
        assert b.tap(1)
    assert types[:4] == ["low-pass", "high-pass", "band-pass", "notch"]
    assert now(b) == RLC
    b.tap(1)
    b.pick("C1")
    b.turn(StepSize.E12, up=True)
    assert now(b) == "series R1 = 100 Ω; series C1 = 120 nF; shunt L1 = 10 mH"
    b.tap(-1)
    assert now(b) == RLC.replace("100 nF", "120 nF")


def test_three_versions_and_no_more() -> None:
    b = bench()
    for expected in "BC":
        assert b.keep() and b.hand == expected
        b.turn(StepSize.DECADE, up=True)
    assert not b.keep() and b.trouble == "three-kept"
    q = [v.facts.q for v in b.versions]
    assert q == pytest.approx([3.16228, 0.316228, 0.0316228], rel=1e-5)
    assert [v.letter for v in b.others] == ["A", "B"]
    assert b.take("A") and b.hand == "A" and now(b) == RLC
    assert b.drop() and b.hand == "B" and [v.letter for v in b.versions] == ["B", "C"]
    assert not b.take("A") and b.trouble == "no-version"
    assert b.keep() and b.hand == "A"  # the free letter is used again
    assert b.drop() and b.drop() and not b.drop() and b.trouble == "last-version"


@settings(max_examples=60, deadline=None)
@given(ladders(max_stages=4), st.lists(st.integers(0, 15), max_size=25))
def test_everything_can_be_taken_back(ladder, keys: list[int]) -> None:  # type: ignore[no-untyped-def]
    b = Bench(ladder)
    actions: list[Callable[[], object]] = [
        lambda: b.turn(StepSize.E12, True),
        lambda: b.turn(StepSize.E24, False),
        lambda: b.turn(StepSize.FINE, True),
        lambda: b.turn(StepSize.DECADE, False),
        lambda: b.tap(1),
        lambda: b.tap(-1),
        b.swap,
        b.swap_sections,
        b.exchange,
        b.rebuffer,
        b.keep,
        lambda: b.take("A"),
        lambda: b.take("B"),
        b.drop,
        lambda: b.select(1),
        b.restart,
    ]
    begin = (b.versions, b.hand)
    for key in keys:
        before = (b.versions, b.hand)
        done = actions[key]()
        if done is False:
            assert (b.versions, b.hand) == before
        assert b.version.element(b.selected) is not None or not b.elements
        assert 1 <= len(b.versions) <= 3 and b.hand in {v.letter for v in b.versions}
        assert not b.trouble or entry("bench", f"trouble.{b.trouble}")
        said(b.version.facts)
        about(b.version.ladder)
    while b.undo():
        pass
    assert (b.versions, b.hand) == begin


def test_restart_can_be_undone() -> None:
    b = bench()
    assert not b.restart() and b.trouble == "at-start"
    b.turn(StepSize.DECADE, up=True)
    b.keep()
    assert b.restart() and now(b) == RLC and len(b.versions) == 1
    assert b.undo() and len(b.versions) == 2 and "1 kΩ" in now(b)


def test_parts_without_value_get_one() -> None:
    b = bench("series R; shunt C")
    assert b.filled and now(b) == "series R = 1 kΩ; shunt C = 100 nF"
    assert b.version.facts.corner_hz == pytest.approx(1591.549, rel=1e-6)
    assert b.build(read_circuit("series L 1 mH; shunt R 1 kΩ"))
    assert not b.filled and b.selected == "L"


def test_the_marker_reads_what_the_textbooks_say() -> None:
    b = bench("series R 1 kΩ; shunt C 100 nF")
    assert b.reading(b.version) is None
    assert b.next_landmark() == "corner"
    gain, phase = b.reading(b.version) or (0, 0)
    assert gain == pytest.approx(-3.0103, abs=1e-4) and phase == pytest.approx(-45)
    assert b.next_landmark() == "" and b.marker is None  # the edge is the corner here
    b.move_marker(0.1)
    assert b.marker == pytest.approx(1591.549, rel=1e-6)
    b.move_marker(1)
    gain, phase = b.reading(b.version) or (0, 0)
    assert gain == pytest.approx(-20.0432, abs=1e-3)  # −10·log10(101)
    assert phase == pytest.approx(-math.degrees(math.atan(10)))
    for _ in range(50):
        b.move_marker(5)
    assert b.marker is not None and math.isfinite(b.marker)
    assert math.isfinite((b.reading(b.version) or (0, 0))[0])


def test_landmarks_of_a_band_pass_and_a_notch() -> None:
    band = bench("series L 10 mH; series C 100 nF; shunt R 100 Ω")
    keys = [key for key, _ in band.landmarks()]
    assert keys == ["edge", "corner", "edge"]
    low, _, high = (f for _, f in band.landmarks())
    assert high - low == pytest.approx(100 / (2 * math.pi * 10e-3))  # B = R/(2πL)
    notch = bench("series R 100 Ω; shunt L 10 mH + C 100 nF")
    while notch.next_landmark() not in ("corner", "null", ""):
        pass
    gain, _ = notch.reading(notch.version) or (0, 0)
    assert gain < -200  # at the null, to the last bit of a double


def test_a_circuit_without_parts_has_nothing_to_turn() -> None:
    b = bench()
    before = b.versions
    assert b.build(read_circuit("buffer"))
    assert b.version.facts.type.value == "flat" and b.selected == ""
    assert not b.turn(StepSize.E12, up=True) and b.trouble == "nothing"
    b.select(1)
    assert b.undo() and b.versions == before


def test_windows_of_the_zoom_lie_about_the_middle() -> None:
    for text, middle in (
        (RLC, None),
        ("series R1 1k; shunt C1 1u; series R2 1k; shunt C2 1n; series R3 1; shunt C3 1n", None),
        ("series R1 1; shunt R2 1", 1000.0),
    ):
        b = bench(text)
        low, high = b.window(0.5)
        assert high - low == pytest.approx(1)
        if middle is not None:
            assert (low + high) / 2 == pytest.approx(math.log10(middle))
    b.marker = 50.0
    assert sum(b.window(1)) / 2 == pytest.approx(math.log10(50))


def test_heavy_circuits_say_so_until_they_are_warm() -> None:
    text = "; ".join(f"series L{n} = {n} mH; shunt C{n} = {n} nF" for n in range(1, 6))
    version = bench(f"source 1 kΩ; {text}; load 1 kΩ").version
    assert version.heavy and not version.ready
    assert version.warmed and version.ready
    assert bench().version.ready


def test_what_is_said_of_a_circuit() -> None:
    def words(text: str) -> str:
        return " · ".join(said(facts(read_circuit(text))))

    assert words(RLC) == (
        "low-pass · 2 poles · no zeros · slopes 0 and −40 dB/decade · 0° to −180° · series-fed"
    )
    assert words("series L 1m; series C 1n; shunt R 1k") == (
        "band-pass · 2 poles · 1 zero at the origin · slopes +20 and −20 dB/decade"
        " · +90° to −90° · series-fed"
    )
    assert words("series R1 1; shunt R2 1").startswith("flat · no poles · no zeros")
    assert about(read_circuit(RLC)).endswith("across C1")


def test_every_text_of_the_bench_is_said() -> None:
    """Each trouble of the state has its words, and every word of trouble a cause."""
    import inspect

    from rungwise.tutor.drafting import bench as module

    source = inspect.getsource(module)
    for key in table("bench")["trouble"]:
        assert f'"{key}"' in source, key
    assert len(LETTERS) == 3


@pytest.mark.parametrize(("text", "called"), NAMED.items())
def test_the_bench_gives_real_circuits_their_names(text: str, called: str) -> None:
    assert said(facts(read_circuit(text)))[0] == entry("bench", f"said.type.{called}")


def test_turning_a_part_turns_the_name() -> None:
    """A coil of more and more resistance: a band-pass, one on a pedestal, a low-pass."""
    names = []
    for loss in "5 Ω", "300 Ω", "3 kΩ":
        tank = f"source 100 kΩ; shunt (L1 = 1 mH + R1 = {loss}) || C1 = 1 nF; load 1 MΩ"
        names.append(said(facts(read_circuit(tank)))[0])
    assert names == ["band-pass", "band-pass on a pedestal", "low-pass"]
