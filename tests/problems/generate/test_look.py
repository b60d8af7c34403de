"""Looks: one right answer, proved; no answer likelier than its share; the same seed, the same."""

from __future__ import annotations

import cmath
import math
from collections import Counter, defaultdict
from collections.abc import Callable
from difflib import SequenceMatcher
from fractions import Fraction
from itertools import permutations

import pytest
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.analysis.structural import structural_facts
from rungwise.problems.catalogue.draw_values import draw
from rungwise.problems.catalogue.families import FAMILIES, find
from rungwise.problems.catalogue.groups import GROUP_OF, LOOKED_AT, SkillGroup
from rungwise.problems.catalogue.topologies import renamed, structure
from rungwise.problems.catalogue.topology_groups import group_of_ladder
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Element, Ladder, mapped, valueless
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.problems.generate.look import kinds_of_group, look_of, make_look
from rungwise.problems.generate.look_change import CHANGES, draw_asked
from rungwise.problems.generate.look_draw import HARDEST
from rungwise.problems.generate.look_made import MAKERS
from rungwise.problems.generate.look_many import PAIRS, PICTURES
from rungwise.problems.questions.analyse import pass_band_gain
from rungwise.problems.questions.lookalikes import idle_parts, regions, visibly_different
from rungwise.problems.questions.looks import TYPES, Facing, Look, LookKind
from rungwise.problems.questions.model import Face

from tests.support.made_once import made_look
from tests.support.samples import sample

SINGLE = tuple(kind for kind in LookKind if kind not in (*PICTURES, *PAIRS, *CHANGES, *MAKERS))
each_kind = pytest.mark.parametrize("kind", LookKind)
GROUPS = tuple(group for group in SkillGroup if group is not SkillGroup.OTHER)


def truth_by_facts(kind: LookKind, known: Facts) -> str:
    """What is right by the exact facts of the valued circuit: no letters, no certainty."""
    match kind:
        case LookKind.TYPE:
            return known.type.value
        case LookKind.LOW_END:
            return "passes" if known.gain_low else "blocked"
        case LookKind.HIGH_END:
            return "passes" if known.gain_high else "blocked"
        case LookKind.FED:
            assert known.fed is not None
            return known.fed.value
        case LookKind.POLES:
            return str(known.transfer.order)
        case LookKind.ORIGIN_ZEROS:
            return str(known.transfer.zeros_at_origin)
        case LookKind.LOW_SLOPE:
            return f"{known.slope_low:+d}" if known.slope_low else "0"
        case LookKind.HIGH_SLOPE:
            return str(known.slope_high)
        case LookKind.DC_OUTPUT:
            return {0: "nothing", 1: "all"}.get(known.gain_low, "part")
        case LookKind.CORNER_PHASE:
            assert known.corner_hz is not None and known.zeros == (0,) * len(known.zeros)
            turned = cmath.phase(known.transfer(2j * math.pi * known.corner_hz))
            return f"{round(math.degrees(turned)):+d}".replace("+0", "0").replace("-0", "0")
    raise AssertionError(kind)


@each_kind
def test_same_seed_same_look(kind: LookKind) -> None:
    for seed in (0, 7, 2**63 - 1):
        assert make_look(seed, kind) == make_look(seed, kind)
        assert make_look(seed, kind, hard=3) == make_look(seed, kind, hard=3)


@pytest.mark.parametrize("kind", SINGLE)
def test_the_truth_is_that_of_the_exact_facts(kind: LookKind) -> None:
    for seed in range(60):
        look = made_look(seed, kind, seed % (HARDEST + 1))
        assert look.truth == truth_by_facts(kind, facts(look.ladder))
        assert look.truth in look.answers
        assert (look.kind, look.seed, look.shown) == (kind, seed, ())
        assert look.structure == structure(look.ladder)
        assert look.group is group_of_ladder(look.ladder)


@each_kind
def test_looks_come_back_through_circuit_text(kind: LookKind) -> None:
    for seed in range(8):
        look = made_look(seed, kind, seed % 4)
        for ladder in (look.ladder, *look.shown):
            assert read_circuit(write_circuit(ladder)) == ladder
        assert look.ladder.valued
        twins = look.row.facing is Facing.TWINS  # four to choose from, beside it
        assert twins or look.ladder in (look.shown or (look.ladder,))


@pytest.mark.parametrize("hard", range(HARDEST + 1))
def test_no_structure_comes_twice_in_500_looks(hard: int) -> None:
    met: set[str] = set()
    kinds = (LookKind.TYPE, LookKind.TYPE, LookKind.POLES, LookKind.FED, LookKind.HIGH_SLOPE)
    for seed in range(500):
        look = make_look(seed, kinds[seed % len(kinds)], hard=hard, avoid=met)
        assert look.structure not in met
        met.add(look.structure)


def test_what_is_avoided_comes_again_when_nothing_else_is_left() -> None:
    every = {make_look(n, group=SkillGroup.ONE_POLE).structure for n in range(60)}
    assert len(every) == 8
    assert make_look(1, group=SkillGroup.ONE_POLE, avoid=every).structure in every


@pytest.mark.parametrize("kind", SINGLE + PICTURES + PAIRS + tuple(MAKERS))
def test_no_answer_is_likelier_than_its_share(kind: LookKind) -> None:
    """Whoever does not look is right in 1/choices + 1/20 of looks at most."""
    looks = sample(100, 160) if kind in (*PICTURES, *MAKERS) else sample(240, 400)
    looks = sample(60, 80) if kind is LookKind.STEP_OF_CIRCUIT else looks
    truths = Counter(made_look(seed, kind, seed % 4).truth for seed in range(looks))
    share = 1 / len(truths) if kind in PAIRS else 1 / len(make_look(0, kind).answers)
    # Three standard deviations of so many draws.
    slack = 3 * (share * (1 - share) / looks) ** 0.5
    assert max(truths.values()) / looks <= share + 0.05 + slack
    if kind not in PICTURES:
        assert set(truths) == set(make_look(0, kind).answers)


@pytest.mark.parametrize("kind", CHANGES)
def test_who_knows_which_part_doubles_but_not_the_circuit_guesses_no_better(
    kind: LookKind,
) -> None:
    draws = 20_000
    by_part: dict[str, Counter[str]] = defaultdict(Counter)
    for seed in range(draws):
        part, answer = draw_asked(kind, Chance(seed))
        by_part[part.value][answer] += 1
    right = sum(max(counts.values()) for counts in by_part.values())
    assert right / draws <= 1 / 3 + 0.05 + 0.01
    answers = sum(by_part.values(), Counter())
    assert max(answers.values()) / draws <= 1 / 3 + 0.05 + 0.01


@pytest.mark.parametrize("kind", CHANGES)
def test_a_doubled_part_does_what_is_said_at_any_values(kind: LookKind) -> None:
    for seed in range(40):
        look = made_look(seed, kind, seed % 4)
        ((key, part),) = look.values
        assert key == "part"
        chance = Chance(seed, "other values")
        for _ in range(3):
            ladder = _revalued(look.ladder, chance)
            before = facts(ladder)
            after = facts(_revalued(ladder, chance, double=str(part)))
            one, two = FIGURES[kind](before), FIGURES[kind](after)
            assert one is not None and two is not None
            assert look.truth == ("same" if one == two else "up" if two > one else "down")


FIGURES: dict[LookKind, Callable[[Facts], Fraction | None]] = {
    LookKind.CHANGE_CORNER: lambda known: known.corner_squared,
    LookKind.CHANGE_Q: lambda known: known.q_squared,
    LookKind.CHANGE_BANDWIDTH: lambda known: known.transfer.denominator[1],
    LookKind.CHANGE_GAIN: pass_band_gain,
}


def _revalued(ladder: Ladder, chance: Chance, double: str = "") -> Ladder:
    def value(element: Element) -> Element:
        assert element.value is not None
        factor = Fraction(1 + chance.below(50), 1 + chance.below(50))
        if double:
            factor = Fraction(2 if element.name == double else 1)
        return Element(element.kind, element.name, element.value * factor)

    return mapped(ladder, value)


@pytest.mark.parametrize("kind", PICTURES)
def test_of_four_pictures_one_belongs(kind: LookKind) -> None:
    for seed in range(25):
        look = made_look(seed, kind, seed % 4)
        assert len(look.shown) == 4
        assert look.shown[look.answers.index(look.truth)] == look.ladder
        seen = [_picture(kind, facts(ladder)) for ladder in look.shown]
        assert len(set(seen)) == 4


@pytest.mark.parametrize("kind", [LookKind.WHICH_RESPONSE, LookKind.WHICH_CIRCUIT])
def test_responses_are_told_apart_by_eye(kind: LookKind) -> None:
    for seed in range(25):
        look = made_look(seed, kind, seed % 4)
        known = [facts(ladder) for ladder in look.shown]
        for one, other in permutations(known, 2):
            assert visibly_different(one, other, Face.GAIN)


def _picture(kind: LookKind, known: Facts) -> tuple[object, ...]:
    """What letters alone decide of a picture: nothing that a value could change."""
    if kind is LookKind.WHICH_MAP:
        found = regions(known)
        transfer = known.transfer
        return found.zeros_at_origin, found.zero_pairs_on_axis, found.other_zeros, transfer.order
    if kind is LookKind.STEP_OF_CIRCUIT:
        return bool(known.gain_low), bool(known.gain_high)
    return known.type, known.slope_low, known.slope_high


def test_names_do_not_tell_which_circuit_is_right() -> None:
    for kind in (*PICTURES, *PAIRS):
        for seed in range(10):
            look = made_look(seed, kind, seed % 4)
            assert all(renamed(ladder) == ladder for ladder in look.shown)


def test_the_circuit_in_the_middle_is_no_likelier() -> None:
    """The others are changed from each other, not all from the right one."""
    looks = [made_look(seed, LookKind.WHICH_CIRCUIT, seed % 4) for seed in range(sample(100, 200))]
    for pick in (max, min):
        right = 0
        for look in looks:
            alike = [sum(_alike(one, other) for other in look.shown) for one in look.shown]
            right += look.answers[alike.index(pick(alike))] == look.truth
        assert right / len(looks) <= 0.30 + 3 * (0.25 * 0.75 / len(looks)) ** 0.5


def test_four_circuits_alone_do_not_say_which_has_the_same_transfer_function() -> None:
    """Of what stands there to choose from, one or two poles, nothing is likelier to be right."""
    likelier: Counter[tuple[int, bool]] = Counter()
    for seed in range(sample(160, 300)):
        look = made_look(seed, LookKind.SAME_TRANSFER)
        orders = [facts(ladder).transfer.order for ladder in look.shown]
        right = orders[look.answers.index(look.truth)]
        assert right == facts(look.ladder).transfer.order
        likelier[orders.count(1), right == 1] += 1
    assert set(likelier) == {(0, False), (2, False), (2, True)}
    mixed = likelier[2, True] + likelier[2, False]
    assert abs(likelier[2, True] / mixed - 0.5) <= 3 * 0.5 / mixed**0.5


def test_a_twin_has_exactly_the_same_transfer_function() -> None:
    for seed in range(60):
        look = made_look(seed, LookKind.SAME_TRANSFER)
        transfers = [facts(ladder).transfer for ladder in look.shown]
        same = [transfer == facts(look.ladder).transfer for transfer in transfers]
        assert same.index(True) == look.answers.index(look.truth) and sum(same) == 1
        shapes = {structure(ladder) for ladder in look.shown}
        assert len(shapes) == 4 and structure(look.ladder) not in shapes


def _alike(one: Ladder, other: Ladder) -> float:
    texts = [write_circuit(valueless(ladder), "; ") for ladder in (one, other)]
    return SequenceMatcher(None, *texts).ratio()


def test_pairs_are_of_one_type_or_of_two() -> None:
    for seed in range(60):
        look = made_look(seed, LookKind.SAME_TYPE, seed % 4)
        one, other = (facts(ladder).type for ladder in look.shown)
        assert look.truth == ("same" if one is other else "different")
        assert structure(look.shown[0]) != structure(look.shown[1])


def test_of_a_pair_one_is_what_is_asked_for() -> None:
    for seed in range(60):
        look = made_look(seed, LookKind.WHICH_ONE, seed % 4)
        asked = dict(look.values)["asked"]
        fit = [facts(ladder).type == asked for ladder in look.shown]
        assert fit == ([True, False] if look.truth == "first" else [False, True])


def test_circuits_shown_have_a_certain_type() -> None:
    for seed in range(60):
        look = made_look(seed, LookKind.TYPE, 3)
        assert structural_facts(look.ladder).certain
    for seed in range(30):
        look = made_look(seed, LookKind.SAME_TYPE, 2)
        assert all(structural_facts(ladder).certain for ladder in look.shown)


def test_nothing_idles_where_it_is_not_meant_to() -> None:
    looks = [made_look(seed, LookKind.LOW_END, 0) for seed in range(120)]
    assert not any(idle_parts(look.ladder) for look in looks)
    hard = [made_look(seed, LookKind.LOW_END, 3) for seed in range(120)]
    decoys = sum(look.group is SkillGroup.DECOYS for look in hard)
    assert 20 <= decoys <= 60


def test_harder_looks_have_more_to_look_at() -> None:
    def parts(hard: int) -> float:
        looks = [made_look(seed, LookKind.TYPE, hard) for seed in range(100)]
        return sum(1 for look in looks for _ in look.ladder.elements()) / 100

    sizes = [parts(hard) for hard in range(HARDEST + 1)]
    assert sizes == sorted(sizes)
    assert sizes[-1] > sizes[0] + 1


@pytest.mark.parametrize("group", GROUPS)
def test_a_group_is_asked_what_differs_in_it(group: SkillGroup) -> None:
    for kind in kinds_of_group(group):
        looks = [make_look(seed, kind, group=group) for seed in range(sample(3, 6))]
        if kind not in CHANGES:  # where a part must idle, it does so in another group
            assert {look.group for look in looks} == {group}


def test_a_group_in_which_nothing_differs_is_not_asked() -> None:
    assert LookKind.POLES not in kinds_of_group(SkillGroup.ONE_POLE)
    assert kinds_of_group(SkillGroup.OTHER) == ()
    with pytest.raises(LookupError, match="no two answers"):
        make_look(1, LookKind.POLES, group=SkillGroup.ONE_POLE)


@pytest.mark.parametrize("type_", TYPES)
def test_a_type_can_be_wanted(type_: str) -> None:
    for seed in range(10):
        assert make_look(seed, wanted=type_).truth == type_
        look = make_look(seed, LookKind.POLES, wanted=type_)
        assert facts(look.ladder).type_exact == type_


def test_what_cannot_be_is_said() -> None:
    with pytest.raises(LookupError, match="one-pole"):
        make_look(1, group=SkillGroup.ONE_POLE, wanted="notch")


# ------------------------------------------------------------------ a given circuit


# Of the circuits of real parts this alone is what it is at any values: its coil's loss lies in
# series with the source.
AT_ANY_VALUES = "series-resonator-with-coil-loss"


def test_families_are_asked_what_they_are() -> None:
    for row in FAMILIES:
        if GROUP_OF[row.group] not in LOOKED_AT and row.name != AT_ANY_VALUES:
            continue
        ladder = None
        for n in range(40):  # values that leave every end and Q where engineers look
            ladder = draw(row, Chance(n, row.name))
            look = look_of(ladder, LookKind.TYPE) if ladder is not None else None
            if look is not None:
                assert look.truth == row.type
                break
        else:
            assert row.type.value not in TYPES, row.name


def test_what_values_decide_is_not_asked_of_a_look() -> None:
    """Real parts: a look shows letters, and others would make another type of these circuits."""
    for row in FAMILIES:
        if GROUP_OF[row.group] in LOOKED_AT or row.name == AT_ANY_VALUES:
            continue
        drawn = [draw(row, Chance(n, row.name)) for n in range(10)]
        assert any(drawn), row.name
        assert not any(look_of(ladder, LookKind.TYPE) for ladder in drawn if ladder), row.name


def test_a_circuit_that_somebody_would_call_otherwise_is_not_asked() -> None:
    lossy = read_circuit("source 100k; shunt (L1 = 250u + R1 = 50) || C1 = 100p; load 1M")
    assert look_of(lossy, LookKind.TYPE) is None
    assert look_of(lossy, LookKind.LOW_END) is None
    look = look_of(lossy, LookKind.POLES)
    assert look is not None and look.truth == "2"


def test_a_notch_whose_ends_differ_is_not_asked() -> None:
    """The upper end lies 20 dB below the lower one, by a resistance beside an inductor.

    By exact zeros it is a notch; by what its gain does, hardly.
    """
    text = "source 10; series R1 = 900 || L1 = 1m; shunt L2 = 1m + C1 = 1u; load 100"
    known = facts(read_circuit(text))
    assert known.type_exact == "notch" and known.borderline
    assert known.gain_low > 9 * known.gain_high
    assert look_of(read_circuit(text), LookKind.TYPE) is None


def test_both_ends_of_a_notch_that_is_asked_are_passed_alike() -> None:
    for seed in range(40):
        known = facts(make_look(seed, wanted="notch", hard=seed % 4).ladder)
        assert known.gain_low == known.gain_high


def test_an_undamped_circuit_is_not_asked() -> None:
    assert look_of(read_circuit("series L = 1m; shunt C = 1u"), LookKind.TYPE) is None


def test_a_given_circuit_gets_its_pair_its_pictures_and_its_change() -> None:
    ladder = draw(find("series-fed-low-pass"), Chance(3))
    assert ladder is not None
    for kind in LookKind:
        look = look_of(ladder, kind, 5)
        if kind in (*MAKERS, LookKind.CHANGE_BANDWIDTH, LookKind.STEP_OF_CIRCUIT):
            # A low-pass has no band between edges; this one rings for longer than is shown, and
            # nothing damps it without its load.
            assert look is None
            continue
        assert look is not None, kind
        assert look == look_of(ladder, kind, 5)
        # Side by side, names are given anew: they must not tell which circuit is right.
        assert look.ladder == (renamed(ladder) if look.shown else ladder)


@pytest.mark.parametrize(
    ("text", "corner", "q"),
    [
        ("source 1k; shunt L1 = 1m || C1 = 100n; load 10k", "same", "up"),
        ("source 1k; shunt L1 = 1m + C1 = 100n; load 10k", "same", "down"),
        ("source 1k; shunt L1 = 1m || C1 = 100n; buffer; series R1 = 1k; load 10k", "same", "same"),
        ("source 1k; series R1 = 1k; shunt C1 = 100n; load 10k", "down", None),
        ("source 1k; shunt L1 = 1m; load 10k", "up", None),
        ("series L1 = 1m; shunt C1 = 100n; load 1k", None, None),  # nothing damps what is left
        ("source 1k; shunt C1 = 100n", None, None),
    ],
)
def test_a_given_circuit_is_asked_what_it_does_without_its_load(
    text: str, corner: str | None, q: str | None
) -> None:
    for kind, truth in (LookKind.LOAD_CORNER, corner), (LookKind.LOAD_Q, q):
        look = look_of(read_circuit(text), kind)
        assert (look.truth if look is not None else None) == truth


def _example() -> Look:
    return make_look(1)


def test_letters_are_the_default() -> None:
    assert not _example().valued
