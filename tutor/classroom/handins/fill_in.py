"""Reading a sheet and its hand-in, and keeping the answers as they are given."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import click

from ....problems.sheets.documents import answers_template, sheet_of
from ....problems.sheets.model import Sheet, SheetError
from ...files.names import sheet_name
from ...files.tree import FolderTree
from ...language.errors import worded
from .cells import one_line
from .files import Answers, answers_csv, asked_in_words, read_csv, read_json
from .filling import Filling
from .table import BadTable

MOST_SHEET = 8 * 1024 * 1024
"""Longest sheet.json that is read; one of fifty problems has a tenth of it."""
MOST_HAND_IN = 1024 * 1024


def opened(source: Path, out: Path | None) -> tuple[Filling, Callable[[], None], Path]:
    """A sheet with its answers so far, what keeps them, and the hand-in they are kept in.

    The ``source`` is ``sheet.json`` or its folder, ``out`` the hand-in; without one it is
    ``answers.json`` beside the sheet.

    Raises:
        click.ClickException: a file can't be used.
    """
    if source.is_dir():
        source = source / "sheet.json"
    found = read_sheet(source)
    target = out or source.with_name("answers.json")
    if target.suffix.lower() not in (".json", ".csv"):
        raise click.BadParameter("a hand-in ends in .json or .csv", param_hint="--out")
    name = name_of(source, found)
    filling = Filling(found, name, earlier(target, name))
    return filling, keeper(filling, target), target


def read_sheet(path: Path) -> Sheet:
    """The sheet of a file.

    Raises:
        click.ClickException: there is none, or it is no sheet; says what mends it.
    """
    shown = one_line(str(path))
    data = _read(path, MOST_SHEET)
    if data is None:
        raise click.ClickException(
            f"{shown}: there is no such file, or it is too long. Give the sheet.json you were sent."
        )
    try:
        return sheet_of(json.loads(data.decode("utf-8-sig")))
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError):
        raise click.ClickException(
            f"{shown}: this is not JSON. Give the sheet.json itself."
        ) from None
    except SheetError as error:
        told = one_line("\n".join(worded(trouble.wording) for trouble in error.troubles))
        raise click.ClickException(f"{shown}: {told}") from None


def _read(path: Path, most: int) -> bytes | None:
    return FolderTree(path.parent, "").read(path.name, most)


def name_of(source: Path, sheet: Sheet) -> str:
    """What marking knows the ``sheet`` at ``source`` by: its template says, else its number."""
    data = _read(source.with_name("answers.json"), MOST_HAND_IN)
    if data is not None:
        try:
            return read_json(data).sheet or sheet_name(sheet.student.number)
        except BadTable:
            pass
    return sheet_name(sheet.student.number)


def earlier(target: Path, name: str) -> dict[str, str]:
    """The answers that the hand-in at ``target`` holds already, if it is of the sheet ``name``.

    Raises:
        click.ClickException: there is a file of that name that is no hand-in of this sheet.
    """
    if not target.exists():
        return {}
    shown = one_line(str(target))
    data = _read(target, MOST_HAND_IN)
    try:
        if data is None:
            raise BadTable("it can't be read", "")
        found: Answers = read_csv(data) if target.suffix.lower() == ".csv" else read_json(data)
    except BadTable as error:
        raise click.ClickException(
            f"{shown}: {one_line(error.what)}. Nothing was changed; name another file with --out."
        ) from None
    if found.sheet not in ("", name):
        raise click.ClickException(
            f"{shown}: this is a hand-in of sheet {one_line(found.sheet)}, not of {name}. "
            "Nothing was changed; name another file with --out."
        )
    return {number: texts[0] for number, texts in found.answers}


def keeper(filling: Filling, target: Path) -> Callable[[], None]:
    """What writes ``filling`` to ``target`` anew, whole or not at all."""
    tree = FolderTree(target.parent, "")
    told = asked_in_words(filling.sheet)
    # What else the template says, the title for one, stays.
    template = answers_template(filling.sheet, filling.name)

    def keep() -> None:
        document = {**template, **filling.document()}
        if target.suffix.lower() == ".csv":
            data = answers_csv(document, told).encode("utf-8-sig")
        else:
            data = (json.dumps(document, ensure_ascii=False, indent=2) + "\n").encode()
        tree.write(target.name, data)

    return keep
