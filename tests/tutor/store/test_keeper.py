"""What is kept, and that coming back finds everything as it was left."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import FORMAT
from rungwise.tutor.files import locks
from rungwise.tutor.language.errors import worded
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.evidence import Evidence
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.skill_map import skill_of
from rungwise.tutor.learning.skills import SkillState, advance
from rungwise.tutor.store import states
from rungwise.tutor.store.events import LeftOff, new_uid, read_start, start_of, write_start
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Record

from tests.tutor.cli.test_command import modules

from .climbing import problem, some_climbs, step, wrong_text

WISH = ProblemRequest(1, None, 7)


def begun(keeper: Keeper, wish: ProblemRequest = WISH) -> Climb:
    return Climb(problem(wish), keeper.begin(wish))


def again(keeper: Keeper) -> Climb:
    """The climb that goes on."""
    place = keeper.place()
    assert place is not None
    climb = Climb(problem(place.wish), keeper.resume(place))
    assert climb.replay(place.moves) == len(place.moves)
    return climb


def state_of(climb: Climb) -> list[object]:
    """Where a climb is and all that was said on its rungs; why one was not understood in words."""
    rungs = [
        (
            state.question,
            state.course,
            [(replace(mark, trouble=None), worded(mark.trouble)) for mark in state.marks],
        )
        for state in climb.rungs
    ]
    return [climb.position, *rungs]


def test_an_answer_is_on_the_disk_before_its_mark_is_known(home: Path) -> None:
    keeper = Keeper("")
    climb = begun(keeper)
    kept = []

    def look(typed: str) -> None:
        # Another connection, as another program would read it: only what was committed is seen.
        with sqlite3.connect(home / "record.sqlite3") as db:
            kept.append(
                db.execute(
                    "SELECT count(*) FROM events WHERE json_extract(body, '$.text') = ?", (typed,)
                ).fetchone()[0]
            )

    for _ in range(3):
        right = right_text(climb.current.question)
        wrong = wrong_text(climb.current.question)
        climb.answer(wrong)
        look(wrong)
        climb.answer(right)
        look(right)
    assert all(kept) and not keeper.trouble
    keeper.close()


@pytest.mark.parametrize("seed", range(12))
def test_coming_back_finds_the_exact_place(seed: int) -> None:
    chance = Random(seed)
    keeper = Keeper("")
    climb = begun(
        keeper, ProblemRequest(chance.choice([1, 2, 3, 4]), None, chance.randrange(1, 12))
    )
    for _ in range(chance.randrange(40)):
        if climb.position == len(climb.rungs) - 1:
            break
        step(climb, chance)
    keeper.draft("4.7 k", climb.position)
    keeper.close()
    back = Keeper("")
    place = back.place()
    assert place is not None
    assert (place.draft, place.position) == ("4.7 k", climb.position)
    assert state_of(again(back)) == state_of(climb)
    back.close()


def test_a_climb_goes_on_as_the_same_climb(home: Path) -> None:
    keeper = Keeper("")
    climb = begun(keeper)
    for _ in range(2):
        climb.answer(right_text(climb.current.question))
        keeper.close()
        keeper = Keeper("")
        climb = again(keeper)
    while not climb.done:
        climb.answer(right_text(climb.current.question))
    keeper.close()
    with sqlite3.connect(home / "record.sqlite3") as db:
        assert db.execute("SELECT count(*) FROM climbs").fetchone() == (1,)
    last = Keeper("")
    assert last.place() is None
    assert [e.outcome for e in last.evidence()] == [Outcome.CLEAN] * len(climb.rungs)
    last.close()


def test_a_climb_begun_under_an_earlier_meaning_of_seeds_goes_on_under_it() -> None:
    """Its seed asks more now, and the one after it leads to what it leads to now."""
    seed = next(
        seed
        for seed in range(40)
        if ProblemRequest(2, None, seed).problem().questions
        != ProblemRequest(2, None, seed, format=1).problem().questions
    )
    old = ProblemRequest(2, None, seed, format=1)
    keeper = Keeper("")
    climb = begun(keeper, old)
    climb.answer(right_text(climb.current.question))
    keeper.draft("4.7 k", climb.position)
    keeper.close()
    back = Keeper("")
    place = back.place()
    assert place is not None and place.wish == old
    assert place.fits(place.wish.problem())
    assert not place.fits(ProblemRequest(2, None, seed).problem())
    gone_on = again(back)
    assert state_of(gone_on) == state_of(climb) and gone_on.problem.format == 1
    assert place.wish.next() == ProblemRequest(2, None, seed + 1)
    back.close()


def test_a_climb_of_a_later_release_is_no_problem_of_ours() -> None:
    start = start_of(new_uid(), WISH, WISH.problem())
    read = read_start(write_start(replace(start, format=FORMAT + 5)))
    assert (read.format, read.wish) == (FORMAT + 5, WISH)
    assert not LeftOff(read).fits(read.wish.problem())


def test_a_climb_left_for_another_is_not_gone_back_to() -> None:
    keeper = Keeper("")
    begun(keeper).hint()
    begun(keeper, WISH.next()).hint()
    keeper.close()
    back = Keeper("")
    place = back.place()
    assert place is not None and place.wish == WISH.next()
    back.leave(place)
    assert back.place() is None
    back.close()


def test_a_problem_only_looked_at_is_gone_back_to_as_well() -> None:
    keeper = Keeper("")
    begun(keeper)
    keeper.close()
    back = Keeper("")
    place = back.place()
    assert place is not None and place.wish == WISH and not place.moves
    back.close()


def test_a_finished_climb_is_no_place_and_another_tutor_may_have_it(home: Path) -> None:
    keeper = Keeper("")
    climb = Climb(problem(WISH), keeper.begin(WISH))
    climb.skip()
    assert Keeper("").place() is None  # this tutor is at it
    while not climb.done:
        climb.skip()
    assert keeper._climbing is not None and keeper.path is not None
    assert locks.is_free(keeper.path, keeper._climbing.start.uid)
    keeper.close()
    assert Keeper("").place() is None


def test_evidence_and_states_come_from_the_events() -> None:
    keeper = Keeper("")
    climb = begun(keeper)
    question = climb.current.question
    climb.answer("⌘ nonsense")
    climb.answer(wrong_text(question))
    climb.hint()
    climb.answer(right_text(question))
    climb.show()
    climb.skip()
    keeper.close()
    found = Keeper("").evidence()
    assert [(e.outcome, e.tries, e.hints) for e in found] == [
        (Outcome.RIGHT, 2, 1),
        (Outcome.SHOWN, 0, 0),
        (Outcome.SKIPPED, 0, 0),
    ]
    first = found[0]
    made = climb.problem
    assert (first.family, first.level, first.seed, first.task) == (
        made.family,
        made.level,
        made.seed,
        made.task,
    )
    assert first.choices == len(question.choices) and first.rung == question.rung
    assert first.slips == tuple(hit.slip for hit in climb.rungs[0].marks[1].slips)
    assert Keeper("").states() == folded(found)


def folded(evidence: list[Evidence]) -> dict[str, SkillState]:
    """Each skill's state, worked out by hand."""
    states: dict[str, SkillState] = {}
    for found in evidence:
        skill = skill_of(found.family, found.rung)
        states[skill] = advance(states.get(skill), found)
    return states


@pytest.mark.parametrize("seed", range(4))
def test_what_is_carried_on_is_what_is_made_anew(seed: int) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 6, seed, finish=False)
    keeper.close()
    before = snapshot()
    record = Record.open(record_file())
    record.derive()
    record.close()
    assert snapshot() == before
    keeper = Keeper("")
    assert keeper.states() == folded(keeper.evidence())


def snapshot() -> list[list[tuple[object, ...]]]:
    with sqlite3.connect(record_file()) as db:
        return [
            db.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall()
            for table in ("climbs", "evidence", "skills", "events")
        ]


def test_recent_and_since() -> None:
    keeper = Keeper("")
    some_climbs(keeper, 3, 5)
    found = keeper.evidence()
    assert len(found) > 20
    assert keeper.recent(7) == found[-7:]
    assert keeper.evidence(found[5].when) == found[5:]
    keeper.close()


def test_settings() -> None:
    keeper = Keeper("")
    assert keeper.setting("exam") == ""
    keeper.set("exam", "2027-01-31")
    assert keeper.setting("exam") == "2027-01-31"
    keeper.set("exam", "")
    assert keeper.setting("exam") == ""
    keeper.close()


def test_nothing_is_made_by_asking(home: Path) -> None:
    keeper = Keeper("")
    assert keeper.place() is None and keeper.states() == {} and keeper.evidence() == []
    assert keeper.recent(3) == [] and keeper.setting("exam") == ""
    keeper.close()
    assert not home.exists()


def test_a_keeper_and_a_look_import_nothing_heavy() -> None:
    loaded = modules(
        "from rungwise.tutor.store.keeper import Keeper\n"
        "k = Keeper()\nassert k.place() is None and k.states() == {}"
    )
    assert not loaded & {"textual", "flint", "click", "fsrs"}


def test_each_learner_has_a_record(home: Path) -> None:
    for name in ("", "Ada", "Zoë"):
        keeper = Keeper(name)
        begun(keeper).skip()
        keeper.close()
    assert len(list(home.glob("*.sqlite3"))) == 3
    ada = Keeper("ADA")  # capitals are no other learner
    assert len(ada.evidence()) == 1
    ada.close()


def test_the_environment_names_the_learner(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RUNGWISE_LEARNER", "  Ada\x1b[31m\u202e  Lovelace ")
    keeper = Keeper()
    assert keeper.learner == "Ada[31m Lovelace"
    assert keeper.path == record_file("ada[31m lovelace")


def test_a_name_that_cannot_be_is_a_trouble_and_no_failure() -> None:
    keeper = Keeper("x" * 61)
    assert "60" in keeper.trouble
    climb = begun(keeper)
    climb.answer(right_text(climb.current.question))
    assert climb.position == 1 and keeper.trouble
    keeper.close()


@given(st.text(max_size=60))
def test_any_name_is_a_safe_file(name: str) -> None:
    from rungwise.tutor.store.folder import BadName, slug

    try:
        part = slug(name)
    except BadName:
        return
    assert set(part) <= set("abcdefghijklmnopqrstuvwxyz0123456789-_")
    assert len(record_file(name, Path("x")).name) < 100


HOSTILE = [
    "../../etc/passwd", "con", "NUL", "a/b", "a\\b", ".", "..", "~", "$HOME", "%2e%2e", "-rf",
    "'; DROP TABLE events; --", "[bold]x[/bold]", "{name}", "名前", "👩‍🔬", "ﬁlter", "I", "ı", "ß",
    "SS",
]  # fmt: skip


def test_names_apart_are_files_apart(home: Path) -> None:
    files = {name: record_file(name) for name in HOSTILE}
    for path in files.values():
        assert path.parent == home and "/" not in path.name and "\\" not in path.name
    apart = {name.casefold() for name in HOSTILE}
    assert len(set(files.values())) >= len(apart) - 1  # "ß" and "SS" fold to one name


def test_no_home_to_be_found_is_no_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RUNGWISE_HOME", "~nobody-of-that-name/x")
    keeper = Keeper()
    climb = begun(keeper)
    climb.answer(right_text(climb.current.question))
    assert climb.position == 1
    keeper.close()


def test_states_of_another_release_are_made_anew(home: Path) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 4, 2)
    right = keeper.states()
    keeper.close()
    with sqlite3.connect(record_file()) as db:
        db.execute("UPDATE about SET value = '0' WHERE key = 'states'")
        db.execute("UPDATE skills SET state = replace(state, '0.', '0.0')")
    keeper = Keeper("")
    end = time.monotonic() + 20
    while keeper.states() != right and time.monotonic() < end:
        time.sleep(0.02)
    assert keeper.states() == right
    keeper.close()


def test_states_made_anew_miss_nothing_that_is_added_meanwhile(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 3, 2)
    record, fold, times = Record.open(record_file()), states.fold, []

    def slowly(found: dict[str, SkillState], evidence: Iterable[Evidence]) -> None:
        fold(found, evidence)
        if not times:
            some_climbs(keeper, 1, 9)  # another tutor, in between
        times.append(1)

    monkeypatch.setattr(states, "fold", slowly)
    record.renew_states()
    record.close()
    assert len(times) == 2 and keeper.states() == folded(keeper.evidence())
    keeper.close()


def test_worked_steps_are_kept_until_they_are_taken_over() -> None:
    keeper = Keeper("")
    rungs = [question.rung for question in problem(WISH).questions]
    climb = Climb(problem(WISH), keeper.begin(WISH), rungs[:3])
    climb.work()
    keeper.close()
    keeper = Keeper("")
    place = keeper.place()
    assert place is not None and place.worked == frozenset(rungs[:3]) and place.reached == 1
    climb = Climb(problem(WISH), keeper.resume(place), place.worked)
    climb.replay(place.moves)
    assert climb.example
    climb.take_over()
    keeper.close()
    keeper = Keeper("")
    place = keeper.place()
    assert place is not None and not place.worked and place.reached == 1
    assert [e.outcome for e in keeper.evidence()] == [Outcome.WORKED]
    assert [state.asked for state in keeper.states().values()] == [0]  # it was nobody's answer
    keeper.close()
