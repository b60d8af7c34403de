"""Plan files: what is no TOML is told like what is no plan, with its place and remedy."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from rungwise.problems.chance import Chance
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.cli.sheet_plan import MOST_BYTES, PlanError, plan_in, read_plan

from .plans import example, example_text

LEAST = 'format = "rungwise.plan/1"\ntitle = "T"\nseed = 3\n[[sections]]\nproblems = 2\n'


def lines(text: str | bytes) -> tuple[str, ...]:
    with pytest.raises(PlanError) as caught:
        plan_in(text.encode() if isinstance(text, str) else text, "plan.toml")
    return caught.value.lines


def test_the_example_is_read(tmp_path: Path) -> None:
    plain = tmp_path / "plain.toml"
    plain.write_text(example_text(), encoding="utf-8")
    assert read_plan(str(plain)) == plan_of(example())
    marked = tmp_path / "marked.toml"
    marked.write_bytes(b"\xef\xbb\xbf" + example_text().encode().replace(b"\n", b"\r\n"))
    assert read_plan(str(marked)) == plan_of(example())


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (LEAST + "levels = [1, 2\n", "plan.toml: end of the file: unclosed array; mend"),
        ("title\n", "plan.toml: line 1, column 6: expected '=' after a key"),
        ("a = 1\na = 2\n", "plan.toml: line 2, column 6: cannot overwrite a value"),
        ("a = " + "[" * 5000, "plan.toml: too many brackets within brackets"),
        ("a = " + "9" * 5000, "plan.toml: a number is too long"),
        (b"title = 'Jos\xe9'", "plan.toml: line 1: 0xe9: no UTF-8 text; save it as UTF-8"),
        ("#" * (MOST_BYTES + 1), "plan.toml: too long for a plan"),
        (LEAST.replace("problems", "problmes"), "did you mean problems?"),
        (LEAST + "levels = [9]", "plan.toml: sections[0].levels: there is no level 9; levels go"),
        (LEAST.replace('"T"', '"\\u001b[31m"'), "there is a control character"),
    ],
)
def test_troubles_name_file_place_value_and_remedy(text: str | bytes, told: str) -> None:
    found = lines(text)
    assert any(told in line for line in found), found
    assert all(line.startswith("plan.toml: ") and line.isprintable() for line in found)


def test_all_troubles_are_told_at_once() -> None:
    found = lines(
        LEAST.replace("seed = 3", "seed = -1\nsymbol = 3") + 'ask = ["tpye"]\nlevels = [8]\n'
    )
    places = ("seed:", "symbol:", "sections[0].ask:", "sections[0].levels:")
    for place in places:
        assert any(f"plan.toml: {place}" in line for line in found), found
    assert "did you mean symbols?" in str(found) and "did you mean type?" in str(found)


def test_a_file_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    for name in (str(tmp_path / "none.toml"), str(tmp_path), "a\0b", str(tmp_path / "a\x1b[2J")):
        with pytest.raises(PlanError, match="rungwise sheet start") as caught:
            read_plan(name)
        assert caught.value.lines[0].isprintable()


def test_a_thousand_spoilt_files_are_read_or_told() -> None:
    whole, chance = example_text().encode(), Chance(5, "spoilt plans")
    told: list[tuple[str, ...]] = []
    for _ in range(1000):
        data = bytearray(whole)
        for _ in range(1 + chance.below(4)):
            place, length = chance.below(len(data)), chance.below(12)
            other = chance.below(len(whole))
            match chance.below(4):
                case 0:
                    del data[place : place + length]
                case 1:
                    data[place : place + length] = whole[other : other + length]
                case 2:
                    data[place] = chance.below(256)
                case _:
                    data[place:place] = chance.pick([b"[", b"'''", b'"', b"=", b"\n", b"999e99"])
        try:
            plan_in(bytes(data), "plan.toml")
        except PlanError as error:
            told.append(error.lines)
    assert 300 < len(told) < 1000 and all(told)
    for line in (line for lines_ in told for line in lines_):
        assert re.fullmatch(r"plan\.toml: \S.*", line) and line.isprintable(), line
