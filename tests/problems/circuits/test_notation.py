"""Circuit text: reading, writing, round trips, and errors that point at the place."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import (
    MAX_ELEMENTS,
    MAX_NESTING,
    CircuitError,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
)
from rungwise.problems.circuits.statement import MAX_BYTES, NotationError
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.quantities.units import QuantityError
from rungwise.tutor.language.errors import worded

from tests.support.hostile import survey
from tests.support.refusals import refused
from tests.support.strategies import deep_arm, ladders


def part(name: str, value: str | None = None) -> Element:
    return Element(Kind(name[0]), name, None if value is None else Fraction(value))


def series(arm: Element) -> Stage:
    return Stage(Place.SERIES, arm)


def shunt(arm: Element) -> Stage:
    return Stage(Place.SHUNT, arm)


def test_every_part_of_the_notation() -> None:
    text = """
    source 600 Ω              # a comment; not a statement
    series L1 = 10 mH + C1 = 100 nF
    shunt  L2 = 10 mH || (R1 = 4k7 + C2 = 1e-7 F)
    buffer
    Series R_x 47R ; SHUNT C3
    load   1 kΩ
    """
    l2, r1, c2 = part("L2", "0.01"), part("R1", "4700"), part("C2", "1e-7")
    expected = Ladder(
        (
            Stage(Place.SERIES, join(Joint.SERIES, part("L1", "0.01"), part("C1", "1e-7"))),
            Stage(Place.SHUNT, join(Joint.PARALLEL, l2, join(Joint.SERIES, r1, c2))),
            Stage(Place.BUFFER),
            series(part("R_x", "47")),
            shunt(part("C3")),
        ),
        part("Rs", "600"),
        part("RL", "1000"),
    )
    assert read_circuit(text) == expected


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("series L 10 mH; shunt C 100 nF", ["L", "C"]),
        ("series L; series C; shunt R", ["L", "C", "R"]),
        ("shunt C 1n; series L 1m; shunt C 2n", ["C1", "L", "C2"]),
        ("shunt C 1n; shunt C1 2n; shunt C 3n", ["C2", "C1", "C3"]),
        ("series L = 1 mH + L = 2 mH", ["L1", "L2"]),
        ("source 600; series R; load 1k", ["Rs", "R", "RL"]),
        ("source 600; series Rs 5; load 1k", ["Rs1", "Rs", "RL"]),
        ("source R 600; series R 5", ["R1", "R2"]),
        ("source Rg = 50; series L1; load Rv 1k", ["Rg", "L1", "Rv"]),
        ("source Rs; series R1; load RL", ["Rs", "R1", "RL"]),
        ("series R₁ = 1k; shunt C₁₂", ["R1", "C12"]),
    ],
)
def test_names_given_and_left_out(text: str, names: list[str]) -> None:
    ladder = read_circuit(text)
    assert [e.name for e in ladder.elements()] == names
    assert read_circuit(write_circuit(ladder)) == ladder


@pytest.mark.parametrize(
    "text",
    [
        "series R1\r\nshunt C1",
        "series R1\rshunt C1",
        "\ufeffseries R1\nshunt C1",
        "series R1；shunt C1 ＃ full-width",
        ";;series R1;\n\n ; shunt C1;#",
        "series (R1); shunt ((C1))",
        "\tseries\tR1\n\u00a0shunt\u2003C1",
    ],
)
def test_line_ends_blanks_and_superfluous_brackets(text: str) -> None:
    assert read_circuit(text) == Ladder((series(part("R1")), shunt(part("C1"))))


@pytest.mark.parametrize("sign", ["||", "∥", "|| ", " ∥"])
def test_parallel_signs(sign: str) -> None:
    arm = join(Joint.PARALLEL, part("R1", "1000"), part("C1"))
    assert read_circuit(f"shunt R1 1k{sign}C1") == Ladder((Stage(Place.SHUNT, arm),))


def test_an_exponent_s_plus_is_no_joint() -> None:
    ladder = read_circuit("series R1 = 1e+3 + R2 = 4.7×10^+3 + R3 = 1E+0+C1")
    assert [e.value for e in ladder.elements()] == [1000, 4700, 1, None]


# (text, line, column, part of what was found, part of what was expected)
ERRORS = [
    ("", 1, 1, "the end of the text", "at least one series or shunt line"),
    ("# nothing\n\n", 3, 1, "the end of the text", "at least one series or shunt line"),
    ("source 1k\n", 2, 1, "the end of the text", "at least one series or shunt line"),
    ("serie L1 = 1 mH", 1, 1, "“serie”", "did you mean series?"),
    ("series L1\n  shnt C1", 2, 3, "“shnt”", "did you mean shunt?"),
    ("series L1; bufer", 1, 12, "“bufer”", "did you mean buffer?"),
    ("sorce 5; series L1", 1, 1, "“sorce”", "did you mean source?"),
    ("parallel C1", 1, 1, "“parallel”", "shunt for an arm across the output"),
    ("R1 = 4k7", 1, 1, "“R1”", "series or shunt before the part"),
    ("xyzzy", 1, 1, "“xyzzy”", "source, series, shunt, buffer or load"),
    ("= 5", 1, 1, "“=”", "source, series, shunt, buffer or load"),
    ("series", 1, 7, "the end of the line", "a part such as R1"),
    ("series 10 mH", 1, 8, "“10”", "a part such as R1"),
    ("series r1 5", 1, 8, "“r1”", "did you mean R1?"),
    ("series X1", 1, 8, "“X1”", "a part such as R1"),
    ("series Rabcdefghijklmn", 1, 8, "“Rabcdefghijklmn”", "at most 11 letters"),
    ("series R1 =", 1, 12, "the end of the line", "a value such as 4.7 kΩ"),
    ("series R1 == 5", 1, 12, "“=”", "a value such as 4.7 kΩ"),
    ("series R1 = 5 mH", 1, 15, "“5 mH”", "is an inductance: type a resistance"),
    ("series C1 = 4M7", 1, 14, "“4M7”", "4.7 mF or 4.7e6 F"),
    ("series R1 = 4,700", 1, 14, "“4,700”", "4.700 or 4700"),
    ("  series R1 = 1e99", 1, 17, "“1e99”", "from −30 to 30"),
    ("series R1 = 0", 1, 13, "“0”", "greater than zero"),
    ("series R1 = -4.7k", 1, 13, "“-4.7k”", "greater than zero"),
    ("source 0 Ω; series R1", 1, 8, "“0 Ω”", "for an ideal source leave the line out"),
    ("source; series R1", 1, 7, "the end of the line", "a resistance such as 600 Ω"),
    ("source L1 = 1 mH; series R1", 1, 8, "“L1”", "a resistance such as 600 Ω"),
    ("series R1; load C1", 1, 17, "“C1”", "a resistance such as 1 kΩ"),
    ("series R1; load (R2)", 1, 17, "“(”", "a resistance such as 1 kΩ"),
    ("series R1; load R2 + R3", 1, 20, "“+”", "the end of the line"),
    ("series R1; source 5", 1, 12, "“source”", "as the first line"),
    ("source 5; source 5; series R1", 1, 11, "“source”", "as the first line"),
    ("series R1; load 5; shunt C1", 1, 20, "“shunt”", "nothing after the load"),
    ("series R1; buffer 1", 1, 19, "“1”", "nothing after buffer"),
    ("series R1 + R2 || R3", 1, 16, "side by side", "brackets that say which comes first"),
    ("series R1 | R2", 1, 11, "“|”", "two bars join in parallel"),
    ("series R1 +", 1, 12, "the end of the line", "a part such as R1"),
    ("series R1 + + R2", 1, 13, "“+”", "a part such as R1"),
    ("series (R1 + R2", 1, 16, "the end of the line", "a closing bracket"),
    ("series (R1 = 5 (", 1, 16, "“(”", "+ or ||, a closing bracket"),
    ("series R1)", 1, 10, "“)”", "an opening bracket before this one"),
    ("series ()", 1, 9, "“)”", "a part such as R1"),
    ("series L1 = 1 mH\nseries L1 = 2 mH", 2, 8, "the name L1 again", "another name"),
    ("series L1 5 C1 6", 1, 13, "“5 C1 6”", "is not a unit known here"),
    ("series R1 = 4k7\x1b[2J", 1, 16, "“4k7<U+001B>[2J”", "is not a unit known here"),
    ("\u202eseries R1", 1, 1, "“<U+202E>”", "source, series"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "found", "expected"), ERRORS)
def test_an_error_names_line_column_found_and_expected(
    text: str, line: int, column: int, found: str, expected: str
) -> None:
    with pytest.raises(NotationError) as caught:
        read_circuit(text)
    error = caught.value
    assert (error.line, error.column) == (line, column), worded(error)
    message = worded(error)
    first, _, last = message.partition(" is here, where there should be ")
    assert found in first
    assert expected in last
    assert message.startswith(f"line {line}, column {column}: ")
    assert " is here, where there should be " in message
    assert message.isprintable()


def test_columns_are_those_of_the_text_as_typed() -> None:
    # ㏀ is one character as typed and two once folded.
    with pytest.raises(NotationError) as caught:
        read_circuit("series R1 = 5㏀ + R2 = oops")
    assert caught.value.column == "series R1 = 5㏀ + R2 = oops".index("oops") + 1


@pytest.mark.parametrize("count", [MAX_ELEMENTS, MAX_ELEMENTS + 1])
def test_forty_elements_and_no_more(count: int) -> None:
    text = "\n".join(f"series R{i}" for i in range(1, count + 1))
    if count <= MAX_ELEMENTS:
        assert len(list(read_circuit(text).elements())) == count
    else:
        with refused(NotationError, says="at most 40 parts") as caught:
            read_circuit(text)
        assert (caught.value.line, caught.value.column) == (41, 8)


def test_eight_levels_and_no_more() -> None:
    ladder = Ladder((Stage(Place.SHUNT, deep_arm()),))
    text = write_circuit(ladder)
    assert read_circuit(text) == ladder
    # One level more, by hand: wrap the whole arm into the other joint.
    arm = text.removeprefix("shunt ")
    joint = "+" if "||" in arm.rpartition(")")[2] else "||"
    deeper = f"shunt ({arm}) {joint} R99 = 1 Ω"
    with refused(NotationError, says=f"groups nested at most {MAX_NESTING} deep") as caught:
        read_circuit(deeper)
    assert deeper[caught.value.column - 1] == "("
    # Superfluous brackets do not count as levels.
    assert read_circuit(f"shunt (({arm}))") == ladder
    with refused(NotationError, says="brackets at most 16 deep"):
        read_circuit("shunt " + "(" * 17 + "R1" + ")" * 17)


def test_four_kibibytes_and_no_more() -> None:
    body = "series R1\n"
    fits = body + "#" + "Ω" * ((MAX_BYTES - len(body) - 1) // 2)
    assert len(fits.encode()) in (MAX_BYTES, MAX_BYTES - 1)
    assert read_circuit(fits) == Ladder((series(part("R1")),))
    with refused(NotationError, says="at most 4096 bytes") as caught:
        read_circuit(fits + "ΩΩ")
    assert caught.value.line == 2
    assert abs(caught.value.column - len(fits.split("\n")[1])) <= 2


def test_writing_is_canonical() -> None:
    text = "source Rs 600;series (L 1e-2+C1 1e-7);shunt C2||(R1+R2 4k7);buffer;load Rx"
    assert write_circuit(read_circuit(text), "; ") == (
        "source 600 Ω; series L = 10 mH + C1 = 100 nF; shunt C2 || (R1 + R2 = 4.7 kΩ); "
        "buffer; load Rx"
    )


def test_what_cannot_be_written_is_said() -> None:
    far = Ladder((series(Element(Kind.R, "R1", Fraction(10) ** 31)),))
    with refused(QuantityError, says="this one lies beyond"):
        write_circuit(far)
    long = [Element(Kind.R, f"R{i}", Fraction(10**400 + i, 10**400 + 1)) for i in range(2, 9)]
    with refused(CircuitError, says="longer than 4096 bytes"):
        write_circuit(Ladder(tuple(series(e) for e in long)))


@settings(max_examples=150)
@given(ladders(valued=True), st.sampled_from(["\n", "; ", ";", "\r\n"]))
def test_round_trip(ladder: Ladder, separator: str) -> None:
    assert read_circuit(write_circuit(ladder, separator)) == ladder
    assert read_circuit(write_circuit(ladder, separator, named=True)) == ladder


@settings(max_examples=100)
@given(st.one_of(ladders(valued=None), ladders(valued=False)))
def test_round_trip_without_values(ladder: Ladder) -> None:
    text = write_circuit(ladder)
    assert read_circuit(text) == ladder
    # Canonical text is a fixed point.
    assert write_circuit(read_circuit(text)) == text


@pytest.mark.parametrize("family", [family.name for family in FAMILIES])
def test_round_trip_of_every_family(family: str) -> None:
    for seed in range(3):
        ladder = generate(seed, family=family).ladder
        assert read_circuit(write_circuit(ladder)) == ladder
        assert read_circuit(write_circuit(ladder, "; ")) == ladder


SAMPLES = (
    "source 600 Ω\nseries L1 = 10 mH\nshunt C1 = 100 nF\nload 1 kΩ",
    "series L1 = 10 mH + C1 = 100 nF; shunt R1 = 4k7",
    "shunt L1 = 10 mH || (C1 = 100 nF + R1 = 1/3 kΩ); buffer; load RL",
    "series L; series C; shunt R",
    "# nothing\nsource Rg; series (R1 || (R2 + (R3 || C1))) ; shunt C2 = 1e+3 pF",
)


def test_hostile_text_is_read_or_refused_at_once() -> None:
    def read(text: str) -> None:
        ladder = read_circuit(text)
        assert read_circuit(write_circuit(ladder)) == ladder

    outcomes = survey(read, (NotationError,), SAMPLES)
    assert outcomes["read"] > 500, outcomes
    assert outcomes["refused"] > 12_500, outcomes
