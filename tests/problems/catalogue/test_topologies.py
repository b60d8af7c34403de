"""Topologies: names and keys, roles, how many there are, and which group each belongs to."""

from __future__ import annotations

from itertools import islice

import pytest
from rungwise.problems.analysis.arms import End, PlacedArm
from rungwise.problems.analysis.structural import structural_facts
from rungwise.problems.catalogue.families import FAMILIES, Family
from rungwise.problems.catalogue.groups import GROUP_OF, LOOKED_AT, SkillGroup
from rungwise.problems.catalogue.topologies import (
    ARMS,
    MOST_ARMS,
    Role,
    draw_loop,
    draw_topology,
    named,
    renamed,
    structure,
)
from rungwise.problems.catalogue.topology_groups import group_of_ladder
from rungwise.problems.catalogue.topology_values import with_values
from rungwise.problems.chance import Chance
from rungwise.problems.circuits import preferred
from rungwise.problems.circuits.model import Kind, Place, merged
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit

from tests.support.preferred import is_preferred
from tests.support.topologies import PATTERNS, random_topology, topologies

# By hand: what is the same circuit, and what is not.
SAME = [
    ("series R; shunt C", "series Ra = 1 k; shunt Cb = 1 n"),
    ("series R; series L; shunt C", "series L1 + R2; shunt C"),
    ("source Rs; shunt R; shunt L + C; load RL", "source Rs; shunt R || (C + L); load RL"),
    ("series R1 || L1; shunt C1", "series L || R; shunt C"),
]
DIFFERENT = [
    ("series R; shunt C", "series C; shunt R"),
    ("series R; shunt C", "source Rs; shunt C"),
    ("series L || C; load RL", "series L + C; load RL"),
    ("series R; shunt C; buffer; series R2; shunt C2", "series R; shunt C; series R2; shunt C2"),
    ("series C; shunt R", "series C; load RL"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_names_values_and_order_within_an_arm_make_no_structure(one: str, other: str) -> None:
    assert structure(read_circuit(one)) == structure(read_circuit(other))


@pytest.mark.parametrize(("one", "other"), DIFFERENT)
def test_everything_else_does(one: str, other: str) -> None:
    assert structure(read_circuit(one)) != structure(read_circuit(other))


def test_a_structure_can_be_read() -> None:
    ladder = read_circuit("source Rs; series C1; shunt L1 || R1; buffer; series R2 + C2; load RL")
    assert structure(ladder) == "source; series C; shunt L||R; buffer; series C+R; load"


def test_names_are_canonical() -> None:
    arms = [
        (Place.SERIES, (None, (Kind.C,))),
        (Place.SHUNT, PATTERNS[0]),
        (Place.BUFFER, None),
        (Place.SERIES, (None, (Kind.C,))),
    ]
    assert write_circuit(named(arms, source=True, load=True), "; ") == (
        "source Rs; series C1; shunt R1; buffer; series C2; load RL"
    )


def test_names_given_anew_keep_values_and_places() -> None:
    ladder = read_circuit(
        "source Rx = 1 k; series La = 1 m + R7 = 10; shunt C9 = 1 n; load Ry = 2 k"
    )
    assert write_circuit(renamed(ladder), "; ") == (
        "source 1 kΩ; series L1 = 1 mH + R1 = 10 Ω; shunt C1 = 1 nF; load 2 kΩ"
    )
    assert renamed(renamed(ladder)) == renamed(ladder)


def test_there_are_nine_arms_of_one_part_or_two_different_ones() -> None:
    assert len(PATTERNS) == 9
    assert {p for some in ARMS[Place.SERIES].values() for p in some} == set(PATTERNS)
    assert {p for some in ARMS[Place.SHUNT].values() for p in some} == set(PATTERNS)


@pytest.mark.parametrize("place", [Place.SERIES, Place.SHUNT])
@pytest.mark.parametrize("role", Role)
def test_an_arm_does_what_its_role_says(place: Place, role: Role) -> None:
    stops = {
        Role.LOW: (True, False),
        Role.HIGH: (False, True),
        Role.BOTH: (True, True),
    }.get(role, (False, False))
    for pattern in ARMS[place][role]:
        stage = named([(place, pattern)], source=True, load=True).stages[0]
        assert stage.arm is not None
        arm = PlacedArm(place, stage.arm)
        assert (arm.stops(End.LOW), arm.stops(End.HIGH)) == stops
        found = structural_facts(named([(place, pattern)], source=True, load=True))
        assert found.nulls == (role is Role.NULL)
        assert (found.type == "other") == (role is Role.SHELF)


def test_all_of_three_arms_are_listed() -> None:
    found = {structure(ladder) for ladder in topologies(2)}
    assert sum(1 for _ in topologies(2)) == (2 * 9) ** 2 * 4
    assert structure(read_circuit("source Rs; series L; shunt C || R; load RL")) in found
    assert sum(1 for _ in islice(topologies(3), 30_000)) == (2 * 9) ** 3 * 4


def test_more_than_ten_thousand_structures_have_a_certain_type() -> None:
    """By a sample of four arms; ``tests.studies.count_topologies`` counts them all."""
    drawn = 1500
    keys, certain = set(), 0
    for seed in range(drawn):
        ladder = random_topology(Chance(seed, "count"), MOST_ARMS)
        key = structure(ladder)
        if key not in keys and structural_facts(ladder).certain:
            certain += 1
        keys.add(key)
    # Of N equally likely structures, n draws hit n²/2N twice at most: so few repeats mean that
    # N is in the tens of thousands.
    repeats = drawn - len(keys)
    assert drawn**2 / (2 * max(repeats, 1)) * certain / drawn > 10_000


def test_drawn_circuits_hold_no_more_than_four_arms() -> None:
    for seed in range(300):
        chance = Chance(seed, "draw")
        roles = [chance.pick(tuple(Role)) for _ in range(1 + chance.below(3))]
        ladder = draw_topology(roles, chance, pairs=6, buffers=6, decoy=chance.pick(tuple(Kind)))
        arms = [stage for stage in ladder.stages if stage.arm is not None]
        assert 1 <= len(arms) <= MOST_ARMS
        assert ladder == draw_again(seed)


def draw_again(seed: int) -> object:
    chance = Chance(seed, "draw")
    roles = [chance.pick(tuple(Role)) for _ in range(1 + chance.below(3))]
    return draw_topology(roles, chance, pairs=6, buffers=6, decoy=chance.pick(tuple(Kind)))


def test_one_loop_gives_every_tap_of_a_series_circuit() -> None:
    found = {structure(draw_loop((Kind.R, Kind.L, Kind.C), Chance(n))) for n in range(200)}
    assert {
        "series L+R; shunt C",
        "series C+R; shunt L",
        "series C+L; shunt R",
        "series R; shunt C+L",
        "source; shunt C+L",
        "source; series L; shunt C",
    } <= found


# receiver-tank-with-trimmer: two capacitors that make one, so a circuit of hidden parts by its
# structure; the catalogue has it among the tanks, where a trimmer belongs.
NOT_BY_STRUCTURE = {"receiver-tank-with-trimmer": SkillGroup.DECOYS}


# What circuits of real parts look like without their values, which alone tell a loss from a part.
WITHOUT_VALUES = {
    "tank-with-coil-loss": SkillGroup.LC_ARMS,
    "series-resonator-with-coil-loss": SkillGroup.LC_ARMS,
    "series-notch-with-coil-loss": SkillGroup.LC_ARMS,
    "shunt-notch-with-coil-loss": SkillGroup.LC_ARMS,
    "low-pass-with-trap": SkillGroup.DECOYS,
    "leaky-high-pass": SkillGroup.LOADED,
    "high-pass-with-coil-loss": SkillGroup.LOADED,
    "lag-network-with-inductor": SkillGroup.LOADED,
    "lead-network": SkillGroup.LOADED,
    "lead-network-with-inductor": SkillGroup.LOADED,
    "lag-lead-network": SkillGroup.CASCADES,
    "shelf-up": SkillGroup.CASCADES,
    "shelf-down": SkillGroup.CASCADES,
}


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_families_belong_to_their_own_groups(family: Family) -> None:
    elsewhere = {**NOT_BY_STRUCTURE, **WITHOUT_VALUES}
    expected = elsewhere.get(family.name, GROUP_OF[family.group])
    assert group_of_ladder(family.ladder) is expected


def test_no_structure_belongs_to_the_group_of_real_parts() -> None:
    """So no look is of that group; just the families that it gathers look like others."""
    real = {f.name for f in FAMILIES if GROUP_OF[f.group] is SkillGroup.REAL_PARTS}
    assert real == set(WITHOUT_VALUES)
    assert SkillGroup.REAL_PARTS not in LOOKED_AT
    drawn = (random_topology(Chance(n, "groups"), 1 + n % MOST_ARMS) for n in range(300))
    assert {group_of_ladder(ladder) for ladder in drawn} <= set(LOOKED_AT)


@pytest.mark.parametrize(
    ("text", "group"),
    [
        ("source Rs; shunt C", SkillGroup.ONE_POLE),
        ("series C; load RL", SkillGroup.ONE_POLE),
        ("source Rs; series C; load RL", SkillGroup.LOADED),
        ("source Rs; series L; shunt C", SkillGroup.TAPS),
        ("series L; shunt C || R", SkillGroup.L_SECTIONS),
        ("series R1; shunt L || C; series R2; load RL", SkillGroup.LC_ARMS),
        ("series L1; shunt R1; series L2; load RL", SkillGroup.CASCADES),
        ("series L1; shunt C1; series L2; load RL", SkillGroup.LADDERS),
        ("shunt R1; series C; load RL", SkillGroup.DECOYS),
        ("series R1; shunt R2", SkillGroup.DECOYS),
    ],
)
def test_groups_by_structure(text: str, group: SkillGroup) -> None:
    assert group_of_ladder(read_circuit(text)) is group


def test_values_are_preferred_and_in_the_drawers() -> None:
    valued = 0
    for seed in range(200):
        chance = Chance(seed, "values")
        ladder = with_values(random_topology(chance, 1 + seed % 4), chance)
        if ladder is None:
            continue
        valued += 1
        for element in ladder.elements():
            drawer = preferred.DRAWERS[element.kind]
            assert element.value is not None
            assert is_preferred(element.value)
            assert preferred.value(drawer.least) <= element.value <= preferred.value(drawer.most)
        assert merged(ladder).valued
    assert valued > 150
