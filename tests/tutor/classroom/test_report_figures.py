"""The figures of a class report against published examples and against scipy and numpy."""

import math
import random
from fractions import Fraction

import numpy
import pytest
from rungwise.tutor.classroom.report import figures
from scipy import stats

ATTITUDE = """
43 51 30 39 61 92 45  63 64 51 54 63 73 47  71 70 68 69 76 86 48  61 63 45 47 54 84 35
81 78 56 66 71 83 47  43 55 49 44 54 49 34  58 67 42 56 66 68 35  71 75 50 55 70 66 41
72 82 72 67 71 83 31  67 61 45 47 62 80 41  64 53 53 58 58 67 34  67 60 47 39 59 74 41
69 62 57 42 55 63 25  68 83 83 45 59 77 35  77 77 54 72 79 77 46  81 90 50 72 60 54 36
74 85 64 69 79 79 63  65 60 65 75 55 80 60  65 70 46 57 75 85 46  50 58 68 54 64 78 52
50 40 33 34 43 64 33  64 61 52 62 66 80 41  53 66 52 50 63 80 37  40 37 42 58 50 57 49
63 54 42 48 66 75 33  66 77 66 63 88 76 72  78 75 58 74 80 78 49  48 57 44 45 51 83 38
85 85 71 71 77 74 55  82 82 39 59 64 78 39
"""
"""Seven questions of a survey, 30 departments: Chatterjee & Price, Regression Analysis by
Example, 1977; it comes with R as ``attitude``."""

ALPHA = 0.84
ITEM_REST = (0.67, 0.74, 0.56, 0.71, 0.79, 0.27, 0.46)
"""What the manual of the R package psych prints of these data (raw_alpha and r.drop)."""


def columns() -> list[list[Fraction]]:
    numbers = [Fraction(word) for word in ATTITUDE.split()]
    return [numbers[place::7] for place in range(7)]


def some_points(seed: int, items: int, students: int) -> list[list[Fraction]]:
    chance = random.Random(seed)
    able = [chance.gauss(0, 1) for _ in range(students)]
    return [
        [Fraction(round(4 * min(1, max(0, 0.5 + a / 3 + chance.gauss(0, 0.3)))), 4) for a in able]
        for _ in range(items)
    ]


def discriminations(items: list[list[Fraction]]) -> list[float | None]:
    """For each item, its correlation with the total of the other items."""
    rows, _ = figures.scaled(items)
    totals = [sum(column) for column in zip(*rows, strict=True)]
    return [
        figures.correlation(row, [t - own for t, own in zip(totals, row, strict=True)])
        for row in rows
    ]


def test_alpha_and_corrected_item_total_correlations_of_a_published_example() -> None:
    items = columns()
    assert round(figures.alpha(items) or 0, 2) == ALPHA
    assert tuple(round(r or 0, 2) for r in discriminations(items)) == ITEM_REST


@pytest.mark.parametrize(
    ("right", "asked", "low", "high"),
    [
        # R. G. Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3.
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilsons_interval_of_published_examples(
    right: int, asked: int, low: float, high: float
) -> None:
    share = figures.wilson(right, asked)
    assert (round(share.low, 4), round(share.high, 4)) == (low, high)
    other = figures.wilson(asked - right, asked)
    assert math.isclose(other.low, 1 - share.high, abs_tol=1e-12)


def test_wilsons_interval_against_scipy() -> None:
    for asked in range(1, 40):
        for right in range(asked + 1):
            ours = figures.wilson(right, asked)
            theirs = stats.binomtest(right, asked).proportion_ci(method="wilson")
            assert math.isclose(ours.low, theirs.low, abs_tol=1e-9)
            assert math.isclose(ours.high, theirs.high, abs_tol=1e-9)
            assert ours.low <= (ours.value or 0) <= ours.high


def test_point_biserial_correlation_against_scipy() -> None:
    chance = random.Random(3)
    for _ in range(50):
        own = [chance.randrange(2) for _ in range(25)]
        rest = [chance.randrange(40) + 9 * o for o in own]
        theirs = stats.pointbiserialr(own, rest).statistic
        assert figures.correlation(own, rest) == pytest.approx(theirs, abs=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_every_figure_against_numpy_and_scipy(seed: int) -> None:
    items = some_points(seed, 9, 23)
    table = numpy.array([[float(p) for p in row] for row in items])
    totals = table.sum(axis=0)
    k = len(items)
    expected = k / (k - 1) * (1 - table.var(axis=1, ddof=1).sum() / totals.var(ddof=1))
    assert figures.alpha(items) == pytest.approx(expected, rel=1e-12)
    for row, ours in zip(table, discriminations(items), strict=True):
        assert ours == pytest.approx(stats.pearsonr(row, totals - row).statistic, abs=1e-12)
    found = figures.spread([Fraction(t) for t in totals])
    assert found is not None
    assert found.mean == pytest.approx(totals.mean())
    assert found.median == pytest.approx(numpy.median(totals))
    assert found.deviation == pytest.approx(totals.std(ddof=1))
    assert (found.least, found.most) == (totals.min(), totals.max())
    assert figures.difficulty(items[0], Fraction(2)) == pytest.approx(table[0].mean() / 2)


def test_histogram_against_numpy() -> None:
    chance = random.Random(5)
    shares = [Fraction(chance.randrange(0, 41), 40) for _ in range(300)]
    # In fortieths every edge of the ten bins is a whole number, which numpy compares exactly.
    counts, _ = numpy.histogram([int(s * 40) for s in shares], bins=range(0, 41, 4))
    assert figures.histogram(shares) == counts.tolist()
    assert figures.histogram([Fraction(1)]) == [0] * 9 + [1]


def test_the_standard_error_of_measurement() -> None:
    # Deviation 10 and reliability 0.91 give 3: a textbook's usual example, worked by hand.
    assert figures.measurement_error(10.0, 0.91) == pytest.approx(3.0)
    assert figures.measurement_error(10.0, 1.0) == 0
    assert figures.measurement_error(10.0, -0.2) is None
    assert figures.measurement_error(None, 0.5) is None


def test_what_is_not_determined_is_told_and_never_guessed() -> None:
    one, two = Fraction(1), Fraction(2)
    assert figures.correlation([1, 2], [1, 2]) is None
    assert figures.correlation([1, 1, 1], [1, 2, 3]) is None
    assert figures.correlation([1, 2, 3], [4, 4, 4]) is None
    assert figures.alpha([[one, two, one]]) is None  # one item
    assert figures.alpha([[one], [two]]) is None  # one student
    assert figures.alpha([[one, two], [two, one]]) is None  # equal totals
    assert figures.difficulty([], one) is None
    assert figures.difficulty([Fraction(0)], Fraction(0)) is None
    assert figures.spread([]) is None
    alone = figures.spread([one])
    assert alone is not None
    assert alone.deviation is None
    nothing = figures.wilson(0, 0)
    assert (nothing.value, nothing.low, nothing.high) == (None, 0.0, 1.0)
    with pytest.raises(ValueError):
        figures.wilson(3, 2)


def test_perfect_agreement_and_its_opposite() -> None:
    assert figures.correlation([1, 2, 3], [10, 20, 30]) == 1.0
    assert figures.correlation([1, 2, 3], [9, 6, 3]) == -1.0
    same = [[Fraction(n) for n in range(5)]] * 4
    assert figures.alpha(same) == 1.0


def test_the_order_of_students_changes_nothing() -> None:
    items = some_points(8, 6, 15)
    order = list(range(15))
    random.Random(1).shuffle(order)
    mixed = [[row[place] for place in order] for row in items]
    assert figures.alpha(mixed) == figures.alpha(items)
    assert discriminations(mixed) == discriminations(items)
