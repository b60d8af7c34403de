"""Out of a record and back: nothing is lost, nothing is believed, nothing is run."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import shutil
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.questions.model import Rung, Verdict
from rungwise.problems.questions.written import plain_truth
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import MoveKind, Other
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.store import exchange, importing
from rungwise.tutor.store.events import ClimbEvents, read_move, start_of
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Append, Record

from tests.support.children import limited_fork
from tests.support.commands import run_here
from tests.tutor.cli.test_command import run

from .climbing import kept_once, problem, some_climbs

FORMS = {"jsonl": "out.jsonl", "csv": "out.csv", "xapi": "out.json"}


@pytest.fixture
def filled(home: Path) -> Path:
    """A record of some climbs, with answers of every kind."""
    kept_once("exchange", home, fill)
    return record_file()


def fill() -> None:
    keeper = Keeper("")
    some_climbs(keeper, 8, 11, finish=False)
    climb = Climb(problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7)))
    for text in ("=cmd|' /C calc'!A0", "+1", "-2", "−3", "@x", "'q", 'a,b"c', "\u202ex", "Ω µ ½"):
        climb.answer(text)
    rungs = [question.rung for question in climb.problem.questions]
    climb = Climb(
        problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7)), rungs[:2]
    )
    climb.work()
    climb.take_over()
    keeper.set("exam", "2027-01-31")
    keeper.close()


def rows(path: Path) -> list[tuple[object, ...]]:
    """The events, without their numbers."""
    with closing(sqlite3.connect(path)) as db:
        return db.execute(
            "SELECT uid, step, at, kind, body FROM events JOIN climbs ON climbs.id = climb"
            " ORDER BY climb, step"
        ).fetchall()


def derived(path: Path) -> list[list[tuple[object, ...]]]:
    with closing(sqlite3.connect(path)) as db:
        return [
            db.execute(f"SELECT {what} ORDER BY 1, 2").fetchall()
            for what in ("at, rung, outcome, tries, slips, seconds FROM evidence", "* FROM skills")
        ]


@pytest.mark.parametrize("form", FORMS)
def test_there_and_back_nothing_is_lost(form: str, filled: Path, tmp_path: Path) -> None:
    out = tmp_path / FORMS[form]
    done = run_here("record", "export", str(out))
    assert done.returncode == 0 and done.stderr == "", done.stderr
    assert done.stdout.startswith("Exported")
    done = run_here("record", "--learner", "Ada", "import", str(out))
    assert done.returncode == 0 and "Already there: 0." in done.stdout, done.stderr
    copy = record_file("Ada")
    assert rows(copy) == rows(filled) and derived(copy) == derived(filled)
    if form == "jsonl":
        ada = Keeper("Ada")
        assert ada.setting("exam") == "2027-01-31"
        ada.close()
    again = run_here("record", "--learner", "Ada", "import", str(out))
    assert "New events: 0." in again.stdout and rows(copy) == rows(filled)


@pytest.mark.parametrize("form", FORMS)
def test_by_a_pipe_as_by_a_file(form: str, filled: Path, tmp_path: Path) -> None:
    out = tmp_path / FORMS[form]
    run_here("record", "export", str(out))
    piped = run("record", "export", "-", "--form", form)
    assert piped.stdout.encode() == out.read_bytes()
    done = run_here("record", "--learner", "Bo", "import", "-", stdin=piped.stdout)
    assert done.returncode == 0 and rows(record_file("Bo")) == rows(filled)


@pytest.mark.parametrize("form", FORMS)
def test_what_was_chosen_for_a_climb_comes_back(form: str, home: Path, tmp_path: Path) -> None:
    wish = ProblemRequest(1, None, 7, kinds=(Rung.TYPE, Rung.POLES))
    made = problem(ProblemRequest(1, None, 7))
    spare = frozenset(question.rung for question in made.questions[1:3])
    start = start_of("1" * 32, wish, made, spare=spare)
    with closing(Record.open(record_file())) as record:
        record.append([Append(start, 10**15, Other.BEGAN)])
    run_here("record", "export", str(tmp_path / FORMS[form]))
    run_here("record", "--learner", "Ada", "import", str(tmp_path / FORMS[form]))
    assert rows(record_file("Ada")) == rows(record_file()) and "spare" in str(rows(record_file()))


def test_a_newer_part_of_a_climb_is_added_to_the_part_that_is_here(tmp_path: Path) -> None:
    keeper = Keeper("")
    climb = Climb(problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7)))
    climb.hint()
    run("record", "export", str(tmp_path / "one.jsonl"))
    climb.skip()
    run("record", "export", str(tmp_path / "two.jsonl"))
    keeper.close()
    for name, new in (("one", 2), ("two", 1), ("one", 0), ("two", 0)):
        done = run_here("record", "--learner", "Ada", "import", str(tmp_path / f"{name}.jsonl"))
        assert f"New events: {new}." in done.stdout
    assert rows(record_file("Ada")) == rows(record_file())


# -------------------------------------------------------------------- the forms


def test_no_cell_of_a_table_is_a_formula(filled: Path, tmp_path: Path) -> None:
    run_here("record", "export", str(tmp_path / "out.csv"))
    data = (tmp_path / "out.csv").read_bytes()
    text = data.decode("utf-8")
    assert not data.startswith(b"\xef\xbb\xbf")
    # RFC 4180: lines end with CR LF; a lone LF is inside quotation marks only.
    assert text.endswith("\r\n")
    outside = re.sub(r'"(?:[^"]|"")*"', "", text)
    assert "\n" not in outside.replace("\r\n", "") and '"' not in outside
    lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert {len(line) for line in lines} == {len(exchange.COLUMNS)}
    cells = [cell for line in lines for cell in line if cell]
    assert not [cell for cell in cells if cell[0] in "=+-−@＝＋－＠\t\r\n"]
    assert "'=cmd|' /C calc'!A0" in cells and "''q" in cells


def test_statements_of_the_version_before_are_read(filled: Path) -> None:
    text = exported("xapi")
    older = text.replace('"version":"2.0.0"', '"version":"1.0.3"')
    assert older.count('"version":"1.0.3"') == len(rows(filled))
    assert importing.read(older.encode()) == importing.read(text.encode())


@given(st.text(max_size=8))
def test_a_guarded_cell_comes_back(text: str) -> None:
    assert exchange.unguarded(exchange.guarded(text)) == text


def test_statements_are_those_of_the_standard(filled: Path, tmp_path: Path) -> None:
    """IEEE 9274.1.1, the parts that it demands of every statement."""
    out = tmp_path / "out.json"
    assert run_here("record", "--learner", "", "export", str(out)).returncode == 0
    statements = json.loads(out.read_text(encoding="utf-8"))
    assert len(statements) == len(rows(filled))
    ids = {statement["id"] for statement in statements}
    assert len(ids) == len(statements)
    verbs = set()
    allowed = {
        "id", "actor", "verb", "object", "result", "context", "timestamp", "version",
    }  # fmt: skip
    iri = re.compile(r"[a-z][a-z0-9+.-]*:[^\s<>\"{}|\\^`]+")
    for statement in statements:
        assert set(statement) <= allowed
        assert UUID(statement["id"]).version == 5
        assert statement["version"] == "2.0.0"
        assert datetime.fromisoformat(statement["timestamp"]).tzinfo is not None
        actor = statement["actor"]
        # Exactly one inverse functional identifier: here an account.
        assert set(actor) <= {"objectType", "name", "account"} and actor["objectType"] == "Agent"
        assert set(actor["account"]) == {"homePage", "name"} and actor["account"]["name"]
        verbs.add(statement["verb"]["id"])
        activity = statement["object"]
        for found in (statement["verb"]["id"], activity["id"], activity["definition"]["type"]):
            assert iri.fullmatch(found), found
        kind = activity["definition"].get("interactionType")
        assert kind in (None, "choice", "fill-in")
        result = statement["result"]
        assert set(result) <= {"success", "response", "duration", "extensions"}
        if "duration" in result:
            assert re.fullmatch(r"PT\d+(\.\d{1,2})?S", result["duration"])
        assert all(iri.fullmatch(key) for key in result["extensions"])
        assert UUID(statement["context"]["registration"]).version == 4
    assert {verb.rpartition("/")[2] for verb in verbs} >= {"initialized", "answered", "interacted"}
    wrong = [s for s in statements if s["result"].get("success") is False]
    assert wrong and all(s["verb"]["id"].endswith("/answered") for s in wrong)


def test_no_file_shows_a_right_answer_that_was_not_given(filled: Path, tmp_path: Path) -> None:
    keeper = Keeper("Eve")
    climb = Climb(problem(ProblemRequest(1, None, 3)), keeper.begin(ProblemRequest(1, None, 3)))
    climb.answer("⌘ three bananas")
    keeper.close()
    texts = {str(plain_truth(q.truth)) for q in climb.problem.questions}
    truths = {text for text in texts if len(text) > 6}
    assert truths
    # Which choice is right stands nowhere; kinds of question and of circuit are no answers.
    known = {climb.problem.family, *(q.rung.value for q in climb.problem.questions)}
    for form in FORMS:
        run_here("record", "--learner", "Eve", "export", str(tmp_path / FORMS[form]))
        text = (tmp_path / FORMS[form]).read_bytes().decode("utf-8")
        for name in known:
            text = text.replace(name, "")
        assert not [truth for truth in truths if truth in text]
    assert not [t for t in truths if t.encode() in _without(record_file("Eve"), known)]


def _without(path: Path, known: set[str]) -> bytes:
    data = path.read_bytes()
    for name in known:
        data = data.replace(name.encode(), b"")
    return data


# --------------------------------------------------------------- what is not believed


def exported(form: str) -> str:
    with TemporaryDirectory() as folder:
        out = Path(folder) / FORMS[form]
        assert run_here("record", "export", str(out)).returncode == 0
        return out.read_bytes().decode("utf-8")


def mutations(text: str, chance: Random) -> Iterator[str]:
    """The text, spoilt in many ways."""
    lines = text.splitlines(keepends=True)
    for _ in range(12):
        i = chance.randrange(len(lines))
        yield "".join(lines[:i] + lines[i + 1 :])
        yield "".join([*lines[: i + 1], lines[i], *lines[i + 1 :]])
        at = chance.randrange(len(text))
        yield text[:at]
        yield text[:at] + chance.choice("\"\\{[\x00\ud7ff,\n'0}]e-") + text[at + 1 :]
        yield text[:at] + "9" * 30 + text[at:]
        digits = list(re.finditer(r"\d+", text))
        found = chance.choice(digits)
        new = chance.choice(["-1", "1e999", "NaN", "null", "true", "[]", '"x"', "9" * 5000])
        yield text[: found.start()] + new + text[found.end() :]
        words = list(re.finditer(r"[a-z]{4,}", text))
        found = chance.choice(words)
        yield text[: found.start()] + "nosuch" + text[found.end() :]
    shuffled = lines[1:]
    chance.shuffle(shuffled)
    yield "".join([lines[0], *shuffled])


@pytest.mark.parametrize("form", FORMS)
def test_a_spoilt_file_is_told_and_never_fails(form: str, filled: Path) -> None:
    text = exported(form)
    told, taken = list[str](), 0
    target = Record.open(record_file("Ada"))
    for spoilt in mutations(text, Random(form)):
        try:
            found = importing.read(spoilt.encode("utf-8", "surrogatepass"))
        except exchange.BadFile as error:
            told.append(str(error))
            continue
        assert bool(found.complaints) == bool(found.passed_over)
        assert all(len(c) < 300 for c in found.complaints)
        for climb in found.climbs:  # whatever is taken is whole
            course = ClimbEvents(climb.start)
            assert [row.step for row in climb.rows] == list(range(1, len(climb.rows) + 1))
            for row in climb.rows:
                if row.kind not in ("left", "took-over"):
                    course.take(read_move(row.kind, row.body), row.at)
        target.take_in(found.climbs)
        taken += 1
    assert taken > 20 and len(told) + taken > 80
    assert all(0 < len(why) < 200 for why in told)
    target.close()
    ada = Keeper("Ada")
    assert ada.evidence() and ada.states() and not ada.trouble
    ada.close()


def test_the_shuffled_and_the_whole_are_the_same(filled: Path) -> None:
    lines = exported("jsonl").splitlines(keepends=True)
    mixed = lines[1:]
    Random(1).shuffle(mixed)
    found = importing.read("".join([lines[0], *mixed]).encode())
    assert not found.complaints
    record = Record.open(record_file("Ada"))
    record.take_in(found.climbs)
    record.close()
    assert sorted(rows(record_file("Ada")), key=str) == sorted(rows(filled), key=str)


SPOILT = [
    (b"", "empty"),
    (b"\n\n", "empty"),
    (b"\xff\xfe{", "byte 1 is no UTF-8"),
    (b"hello", "does not name the columns"),
    (b"{}", "does not say"),
    (b'{"format": "rungwise.record/9"}\n{}', "later release"),
    (b'{"format": 7}', "does not say"),
    (b"[" * 100_000, "no whole JSON"),
    (b"[{]", "no whole JSON in line 1"),
    (b'{"a":' * 50_000, "line 1: no JSON"),
    (b"SQLite format 3\0" + b"x" * 500, "another program"),
    (b"SQLite format 3\0" + b"x" * 20, "damaged"),
    (b"\x89PNG\r\n", "UTF-8"),
]


@pytest.mark.parametrize(("data", "why"), SPOILT, ids=[why for _, why in SPOILT])
def test_a_file_that_is_none_is_refused_in_one_sentence(data: bytes, why: str, home: Path) -> None:
    done = run_here("record", "import", "-", stdin=data)
    assert done.returncode == 1 and done.stdout == ""
    assert why in done.stderr and "Traceback" not in done.stderr
    assert not list(home.glob("*.sqlite3"))


def test_a_line_with_a_fault_is_named_and_nothing_is_taken_unless_asked(
    filled: Path, tmp_path: Path
) -> None:
    lines = exported("jsonl").splitlines()
    at = next(i for i, line in enumerate(lines) if '"verdict":"wrong"' in line)
    lines[at] = lines[at].replace('"verdict":"wrong"', '"verdict":"\\u001b[31m"')
    bad = tmp_path / "bad.jsonl"
    bad.write_text("\n".join(lines), encoding="utf-8")
    done = run_here("record", "--learner", "Ada", "import", str(bad))
    assert done.returncode == 1 and f"line {at + 1}: 'verdict' is none of right" in done.stderr
    assert "\x1b" not in done.stderr and not record_file("Ada").exists()
    done = run_here("record", "--learner", "Ada", "import", "--skip-bad", str(bad))
    assert done.returncode == 0 and 0 < len(rows(record_file("Ada"))) < len(rows(filled))


@settings(max_examples=150)
@given(st.binary(max_size=300))
def test_any_bytes_at_all(data: bytes) -> None:
    try:
        found = importing.read(data)
    except exchange.BadFile:
        return
    assert not found.climbs


KEYS = st.sampled_from(
    ["climb", "step", "at", "kind", "rung", "result", "extensions", "body", "wish", "rungs"]
)


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=5),
        max_leaves=12,
    )
)
def test_any_json_at_all(value: object) -> None:
    head = json.dumps({"format": exchange.FORMAT, "settings": value})
    text = f"{head}\n{json.dumps(value)}\n"
    found = importing.read(text.encode("utf-8", "replace"))
    assert not found.climbs and all(isinstance(v, str) for v in found.settings.values())
    with suppress(exchange.BadFile):
        importing.read(json.dumps([value]).encode("utf-8", "replace"))


# ---------------------------------------------------------------------- copies


def test_a_copy_is_whole_in_itself_and_comes_back(filled: Path, tmp_path: Path) -> None:
    keeper = Keeper("")  # also while a tutor is open, with answers still in the log
    some_climbs(keeper, 1, 3)
    copy = tmp_path / "copy.sqlite3"
    done = run("record", "backup", str(copy))
    assert done.returncode == 0 and [p.name for p in tmp_path.glob("copy*")] == ["copy.sqlite3"]
    with closing(sqlite3.connect(f"{copy.as_uri()}?immutable=1", uri=True)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert rows(copy) == rows(filled)
    keeper.close()
    assert "there already" in run_here("record", "backup", str(copy)).stderr
    done = run_here("record", "--learner", "Ada", "import", str(copy))
    assert done.returncode == 0 and rows(record_file("Ada")) == rows(filled)
    shutil.copy(copy, record_file("Bo"))  # put in place by hand, it is a record
    bo = Keeper("Bo")
    assert len(bo.evidence()) > 0 and bo.setting("exam") == "2027-01-31"
    bo.close()


def test_a_damaged_copy_gives_what_it_has(filled: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite3"
    run_here("record", "backup", str(copy))
    data = bytearray(copy.read_bytes())
    data[-4096 * 3 : -4096] = bytes(4096 * 2)
    data[40:44] = b"\xff" * 4  # the schema cookie
    copy.write_bytes(data[: len(data) // 2])
    done = run_here("record", "--learner", "Ada", "import", str(copy))
    assert done.returncode == 1 and "damaged" in done.stderr
    done = run_here("record", "--learner", "Ada", "import", "--skip-bad", str(copy))
    assert done.returncode == 0 and "Traceback" not in done.stderr


def test_events_of_an_old_copy(home: Path) -> None:
    from tests.tutor.store.records.make import file_of

    done = run_here("record", "import", str(file_of(1)))
    assert done.returncode == 0, done.stderr
    keeper = Keeper("")
    assert keeper.place() is not None and keeper.states()
    keeper.close()


def test_answers_keep_their_verdicts_over_all_forms(filled: Path) -> None:
    """A right answer stays right although another release might mark it otherwise."""
    for form in FORMS:
        found = importing.read(exported(form).encode())
        moves = [
            read_move(row.kind, row.body)
            for climb in found.climbs
            for row in climb.rows
            if row.kind == MoveKind.ANSWERED
        ]
        assert {m.verdict for m in moves} >= {Verdict.RIGHT, Verdict.WRONG, Verdict.UNCLEAR}


def test_the_name_goes_everywhere_harmlessly(home: Path, tmp_path: Path) -> None:
    name = "=Zoë <b>\x1b[31m\u202e"
    for words in (
        ["drill", "--plain", "--seed", "7"],
        ["record", "where"],
        ["record", "learners"],
        ["record", "export", str(tmp_path / "a.json")],
        ["record", "export", str(tmp_path / "a.csv")],
        ["record", "backup", str(tmp_path / "a.sqlite3")],
        ["record", "erase", "--yes"],
    ):
        done = run(*words, RUNGWISE_LEARNER=name, stdin="a\n")
        assert done.returncode == 0, done.stderr
        assert "\x1b" not in done.stdout + done.stderr and "\u202e" not in done.stdout
    actor = json.loads((tmp_path / "a.json").read_text())[0]["actor"]
    assert actor["name"] == "=Zoë <b>[31m"
    assert not home.exists() or not list(home.glob("*.sqlite3"))
    done = run("record", "where", RUNGWISE_LEARNER="Zoë", PYTHONIOENCODING="ascii")
    assert done.returncode == 0 and " Zoe " in done.stdout


# -------------------------------------------------------------------- commands


def test_where_and_learners(home: Path) -> None:
    assert str(record_file()) in run_here("record", "where").stdout
    assert run_here("record", "learners").stdout == "Nobody has a record yet.\n"
    for name in ("", "Ada"):
        keeper = Keeper(name)
        some_climbs(keeper, 1, 1)
        keeper.close()
    (home / "record-broken.sqlite3").write_bytes(b"x" * 200)
    done = run_here("record", "learners")
    assert done.returncode == 0 and "Ada (climbs: 1" in done.stdout
    assert "record-broken.sqlite3: " in done.stdout
    assert "Events: " in run_here("record", "where").stdout


def test_commands_without_a_record(home: Path, tmp_path: Path) -> None:
    for words in (["export", str(tmp_path / "x.csv")], ["backup", str(tmp_path / "x")], ["erase"]):
        done = run_here("record", *words)
        assert done.returncode == 1 and "no record" in done.stderr
    assert run_here("record", "export", "x.txt").returncode == 2
    assert run_here("record", "--learner", "x" * 99, "where").returncode == 2
    assert not home.exists()


def test_no_room_for_an_export_leaves_nothing_behind(filled: Path, tmp_path: Path) -> None:
    done = run_here("record", "export", str(tmp_path / "no" / "such" / "x.csv"))
    assert done.returncode == 1 and "Traceback" not in done.stderr
    out = tmp_path / "x.csv"
    out.write_text("mine")
    assert run_here("record", "export", str(out)).returncode == 2 and out.read_text() == "mine"
    assert run_here("record", "export", "--force", str(out)).returncode == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["x.csv"]
    if sys.platform.startswith("linux"):
        done = run("record", "export", "--form", "csv", "--force", "/dev/full")
        assert "Traceback" not in done.stderr


def test_erasing_asks_and_then_leaves_nothing(filled: Path, home: Path) -> None:
    (home / "record.damaged-20260101T000000Z.sqlite3").write_bytes(b"x")
    other = Keeper("Ada")
    some_climbs(other, 1, 1)
    other.close()
    for stdin in ("", "n\n", "\n"):
        done = run_here("record", "erase", stdin=stdin)
        assert done.returncode == 1 and "Nothing was erased." in done.stdout
    assert filled.exists()
    done = run_here("record", "erase", stdin="y\n")
    assert done.returncode == 0
    assert sorted(p.name for p in home.iterdir()) == [
        record_file("Ada").name,
        f"{record_file('Ada').name}-copies",
        f"{record_file('Ada').name}-lock",
    ]


def test_a_record_that_a_tutor_is_at_is_not_erased(home: Path) -> None:
    keeper = Keeper("")
    Climb(problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7))).hint()
    done = run("record", "erase", "--yes")
    assert done.returncode == 1 and "open" in done.stderr and record_file().exists()
    keeper.close()
    assert run_here("record", "erase", "--yes").returncode == 0


# ----------------------------------------------------------------------- a terminal


HOSTILE = "\x1b]0;mine\x07\x9b31m\u202e\x7f\x85"
"""What would name a window, colour and turn round what follows, and begin a line."""


@pytest.fixture
def hostile(home: Path) -> Path:
    """A record of which another hand has put control characters into every text."""
    keeper = Keeper("")
    some_climbs(keeper, 2, 3)
    keeper.set("exam", HOSTILE)
    keeper.close()
    path = record_file()
    with closing(sqlite3.connect(path)) as db:
        db.execute("INSERT OR REPLACE INTO about VALUES ('learner', ?)", (f"Eve{HOSTILE}",))
        for number, body in db.execute("SELECT id, body FROM events WHERE step > 0").fetchall():
            entry = json.loads(body)
            if "text" in entry:
                entry |= {"text": HOSTILE, "understood": HOSTILE}
            db.execute("UPDATE events SET body = ? WHERE id = ?", (json.dumps(entry), number))
        db.commit()
    return path


def on_a_terminal(*words: str) -> str:
    """What ``rungwise`` writes to a terminal."""
    import pty

    pieces: list[bytes] = []

    def read(handle: int) -> bytes:
        pieces.append(os.read(handle, 4096))
        return b""  # nothing of it to the terminal of whoever runs this

    child, terminal = pty.fork()
    if not child:
        os.execv(sys.executable, [sys.executable, "-m", "rungwise.tutor", *words])
    with limited_fork(child):
        with suppress(OSError):
            while not pieces or pieces[-1]:
                read(terminal)
        os.close(terminal)
        os.waitpid(child, 0)
    return b"".join(pieces).decode("utf-8")


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
@pytest.mark.parametrize("form", [None, *FORMS])
def test_a_terminal_is_sent_no_escapes(form: str | None, hostile: Path) -> None:
    export = ("record", "export", "-", "--form", str(form))
    words = export if form else ("record", "learners")
    said = on_a_terminal(*words)
    assert len(said) > 20
    assert not set(said) - {"\r", "\n"} & set(map(chr, [*range(32), *range(127, 160), 0x202E]))
    if form is None:
        return
    piped = run(*words).stdout
    if form == "csv":
        # The terminal makes a CR LF of each LF.
        shown = list(csv.reader(io.StringIO(said.replace("\r\n", "\n"), newline="")))
        assert [len(line) for line in shown] == [
            len(line) for line in csv.reader(io.StringIO(piped, newline=""))
        ]
    else:  # escaped, and the same
        strip = said.replace("\r\n", "\n")
        for one, two in zip(strip.splitlines(), piped.split("\n"), strict=False):
            with suppress(ValueError):
                assert json.loads(one.rstrip(",")) == json.loads(two.rstrip(","))
