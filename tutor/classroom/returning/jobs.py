"""What workers do to give solutions back: key and marks in, files out; nothing touches a disk."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ....problems.sheets.model import Plan, PlanTrouble, SheetError
from ...documents.rendered import rendered
from ...language.texts import plain, speaker
from ..interchange.class_folder import sheet_of_key
from ..marking.made_class import ClassMember
from ..marking.marks import StudentMarks
from .page import returned_page

say = speaker("returning")
FORMATS = {"html": "html", "pdf": "pdf", "text": "txt"}
"""What pages can be given back as, and how the names of such files end."""
STEM = "returned"


@dataclass(frozen=True, slots=True)
class ReturnJob:
    """One student's page to be made; ``key`` are the bytes of the ``key.json`` at ``path``."""

    entry: ClassMember
    marks: StudentMarks
    key: bytes
    path: Path
    formats: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReturnedFiles:
    """What was made of a job: files by name; or what is wrong."""

    files: tuple[tuple[str, bytes], ...] = ()
    troubles: tuple[PlanTrouble, ...] = ()


def return_batch(plan: Plan, jobs: Iterable[ReturnJob]) -> list[ReturnedFiles]:
    """Make the pages of some ``jobs`` of the class of a ``plan``."""
    return [_returned(plan, job) for job in jobs]


def _returned(plan: Plan, job: ReturnJob) -> ReturnedFiles:
    try:
        try:
            document = json.loads(job.key)
        except (ValueError, RecursionError):
            document = None
        given = sheet_of_key(plan, job.entry, document, job.path)
        page = returned_page(given, job.marks, plain(job.path.parents[2]))
    except SheetError as error:
        return ReturnedFiles(troubles=error.troubles)
    paper = given.sheet.heading.paper
    return ReturnedFiles(
        tuple((f"{STEM}.{FORMATS[form]}", rendered(page, form, paper)) for form in job.formats)
    )
