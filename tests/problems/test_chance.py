"""The source of chance: published outputs, no bias, independent streams."""

from collections import Counter

import pytest
from rungwise.problems.chance import Chance


def test_published_outputs():
    """SplitMix64 with seed 1234567 (reference outputs as listed on Rosetta Code, from memory)."""
    chance = Chance(1234567)
    assert [chance.bits() for _ in range(5)] == [
        6457827717110365317,
        3203168211198807973,
        9817491932198370423,
        4593380528125082431,
        16408922859458223821,
    ]


def test_streams_are_repeatable_and_independent():
    first = [Chance(7, "a", 1).bits() for _ in range(2)]
    assert first[0] == first[1]
    assert len({Chance(7, *path).bits() for path in ((), ("a",), ("b",), ("a", 1), ("a1",))}) == 5


def test_below_covers_evenly():
    chance = Chance(1)
    counts = Counter(chance.below(6) for _ in range(6000))
    # Chi-square with 5 degrees of freedom: 20.5 is the 0.1 % point (any statistics table).
    assert sum((n - 1000) ** 2 / 1000 for n in counts.values()) < 20.5
    assert set(counts) == set(range(6))


@pytest.mark.parametrize("n", [0, -1, 1 << 64])
def test_below_refuses_what_it_cannot_draw(n):
    with pytest.raises(ValueError, match="cannot draw"):
        Chance(1).below(n)


def test_shuffled_is_a_new_permutation():
    options = list(range(20))
    mixed = Chance(3).shuffled(options)
    assert sorted(mixed) == options == list(range(20))
    assert mixed != options
    assert Chance(3).pick(options) in options
