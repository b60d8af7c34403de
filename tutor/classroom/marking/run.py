"""Marking a class: what came back is looked through, marked by workers, and written out.

    hand-ins ─▶ whose? ─▶ which counts? ─▶ marks (workers) ─▶ tables, marks.json, feedback
                  └────────────┴──────────────┴──▶ apart: a reason and a remedy each

All of it is ordered by student or path, so that nothing depends on the order in which files are
found or workers answer.  Nothing is put in place before all is marked; a run that is killed, at
whatever moment, comes to the same bytes when it is begun again.

Every file that is looked at has a fate (``hand_in.py``), which ``files.csv`` says; which of several
hand-ins counts, ``which_counts.py`` says.  A hand-in that is blank altogether is none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import chain
from pathlib import Path

from ...files.tree import BusyError, only_one
from ...language.texts import speaker
from ..handins.cells import one_line
from ..handins.files import Answers
from ..handins.table import BadTable
from ..making.workers import Workers, batches
from .alike import text_part
from .decided import KEPT, Decisions
from .graded import Leniency
from .hand_in import FileFate, HandIn
from .jobs import DecidedQuestion, MarkingJob, MarkingResult, mark_batch
from .keeping import take_decisions
from .made_class import ClassMember, ClassRoll, ClassSettings, NobodysError, whose
from .mark import as_typed, tag
from .marks import HandInState, SetApart, StudentMarks
from .out import WORK, MarksFolder
from .papers import FILE as PAPERS
from .papers import NO_PAPERS, Papers, blank_note, waiting, with_paper
from .settled import SettledRow, bad, set_apart
from .tables import FileRow, MarkedStudent
from .which_counts import CountingRules, KnownHandIn, chosen
from .write import Tell, Writing, WritingOutcome

BATCH = 16
"""Hand-ins of one job: enough to be worth sending, few enough to be stopped soon."""
MOST_UNREAD = 4
"""Files that are not read, as they are named for a student."""
_STRAY = b""
"""The path of what is listed apart and is no file of the folder: it comes first."""
_say = speaker("handins")
_AS_PLANNED = Leniency()
_FORMER = "marking.sqlite"
"""What earlier releases kept in the work folder: marks, of no use any more."""


@dataclass(frozen=True, slots=True)
class Marking:
    """What is to be marked, and where marks go.

    Attributes:
        course: what all sheets have in common.
        entries: the class.
        hand_ins: what came back, in any order.
        key: the bytes of a student's ``key.json``; ``None`` where there is none.
        out: the folder for the marks.
        leniency: what the teacher allows beyond the plan, or short of it.
        is_given: whether a file of a name and a SHA-256 is, byte for byte, one of those that the
            student was given.
        counting: which of several hand-ins counts, and what is late.
        papers: what was entered of papers.
        before: what was decided in other classes, to be suggested.
        left: who is no longer in the class.
    """

    course: ClassSettings
    entries: Iterable[ClassMember]
    hand_ins: Iterable[HandIn]
    key: Callable[[ClassMember], bytes | None]
    out: Path
    leniency: Leniency = _AS_PLANNED
    is_given: Callable[[ClassMember, str, str], bool] = lambda entry, name, digest: False
    counting: CountingRules = field(default_factory=CountingRules)
    papers: Papers = NO_PAPERS
    before: Decisions = field(default_factory=Decisions)
    left: Iterable[ClassMember] = ()


def mark(
    marking: Marking, workers: Workers, tell: Tell = lambda what, done: None
) -> WritingOutcome:
    """Mark a class.

    Args:
        marking: what is to be marked.
        workers: who marks it.
        tell: called with what is being done and how often so far: "read" (hand-ins) or
            "mark" (students).

    Raises:
        BusyError: another process is at work in the folder.
        WorkersError: the workers can't do it.
        SheetError: the class is not as it was made.
        OSError: something can't be written.
    """
    place = MarksFolder(marking.out)
    work = marking.out / WORK
    work.mkdir(mode=0o700, exist_ok=True)
    with only_one(work / "marking") as alone:
        if not alone:
            raise BusyError("rungwise sheet mark", marking.out)
        for ending in ("", "-wal", "-shm", "-journal"):
            (work / f"{_FORMER}{ending}").unlink(missing_ok=True)
        run = _Run(marking, place, tell)
        run.look_through()
        run.take_decisions()
        with workers:
            marked = run.have_marked(workers)
        tolerance = marking.leniency.tolerance
        Writing(
            marked, run.apart(), run.files(), place, marking.course, tolerance, run.outcome
        ).write()
    return run.outcome


@dataclass(frozen=True, slots=True)
class StudentStanding:
    """What became of a student's hand-ins; ``counts`` is the one to be marked.

    ``by_hand`` are points that were entered from paper, by question.
    """

    entry: ClassMember
    state: HandInState
    file: str = ""
    notes: str = ""
    counts: KnownHandIn | None = None
    by_hand: Mapping[str, str] = field(default_factory=dict)


class _Run:
    """One run."""

    def __init__(self, marking: Marking, place: MarksFolder, tell: Tell) -> None:
        self.outcome = WritingOutcome(credited=marking.leniency.credit_slips)
        self._marking, self._place, self._tell = marking, place, tell
        self._roll = ClassRoll(marking.entries, marking.left)
        self._came: dict[int, list[KnownHandIn]] = {}
        self._set_apart: list[tuple[bytes, SetApart]] = []
        self._sheets_apart = set[int]()
        self._unread: dict[int, list[tuple[bytes, str]]] = {}
        self._files: dict[bytes, FileRow] = {}
        self._decided: dict[int, list[SettledRow]] = {}
        self._alike = Decisions()

    def look_through(self) -> None:
        """Find out whose each hand-in is."""
        for hand_in in self._marking.hand_ins:
            if hand_in.fate is not None:
                self._pass_over(hand_in, hand_in.fate)
            else:
                self._look_at(hand_in)
            self.outcome.files += 1
            self._tell("read", self.outcome.files)
        for of_sheet in self._came.values():
            of_sheet.sort(key=lambda came: came.path)

    def _pass_over(self, hand_in: HandIn, fate: FileFate) -> None:
        """A file that is nobody's.  What systems leave behind is counted, and not listed."""
        if fate is FileFate.SYSTEM:
            self.outcome.fates[fate] += 1
        else:
            self._files[hand_in.path] = FileRow(hand_in.file, 0, fate, hand_in.what)

    def _look_at(self, hand_in: HandIn) -> None:
        try:
            found = whose(self._roll, self._marking.course, hand_in.answers, hand_in.names)
        except BadTable as error:
            concerns = error.concerns if isinstance(error, NobodysError) else ()
            sheet = concerns[0] if len(concerns) == 1 else 0
            self._apart(set_apart(hand_in.file, sheet, error), hand_in.path)
            self._sheets_apart.update(concerns)  # none of them is just without a hand-in
            return
        number, answers = found.number, hand_in.answers
        if answers is not None:
            notes = "; ".join((*found.notes, *answers.notes))
            came = KnownHandIn(
                hand_in.path, hand_in.file, answers, notes, hand_in.when, hand_in.known_by
            )
            self._came.setdefault(number, []).append(came)
        elif self._is_given(hand_in, number):
            self._files[hand_in.path] = FileRow(hand_in.file, number, FileFate.GIVEN)
        else:
            fate = FileFate.UNREAD if hand_in.unread else FileFate.APART
            remedy = hand_in.remedy
            if hand_in.unread and not number:
                remedy = _say("whose.nowhere", remedy=remedy)
            self._apart(
                SetApart(file=hand_in.file, sheet=number, what=hand_in.what, remedy=remedy),
                hand_in.path,
                fate,
            )

    def _is_given(self, hand_in: HandIn, number: int) -> bool:
        """Whether a file that is not read is just the sheet that the student was given."""
        entry, digest = self._roll.members.get(number), hand_in.digest
        return bool(digest and entry and self._marking.is_given(entry, hand_in.name, digest))

    def _apart(
        self, found: SetApart, path: bytes = _STRAY, fate: FileFate = FileFate.APART
    ) -> None:
        """List something apart: the file at a path, or what is no file of the folder."""
        apart = replace(found, what=one_line(found.what), remedy=one_line(found.remedy))
        self._set_apart.append((path, apart))
        if path == _STRAY:
            return
        self._files[path] = FileRow(apart.file, apart.sheet, fate, apart.what)
        if fate is FileFate.UNREAD:
            self._unread.setdefault(apart.sheet, []).append((path, apart.file))
        else:
            self._sheets_apart.add(apart.sheet)

    def files(self) -> list[FileRow]:
        """Every file that was looked at but those of systems, and what became of it, in order."""
        return [self._files[path] for path in sorted(self._files)]

    def apart(self) -> list[SetApart]:
        """All that is listed apart, in order."""

        def place(one: tuple[bytes, SetApart]) -> tuple[bytes, int, str, str]:
            return one[0], one[1].sheet, one[1].what, one[1].remedy

        return [apart for _, apart in sorted(self._set_apart, key=place)]

    def take_decisions(self) -> None:
        """Read what a human decided, now and before, and keep all of it at once."""
        taken = take_decisions(self._place)
        for trouble in taken.troubles:
            self._apart(trouble)
        self._alike, self._decided = taken.decisions, taken.decisions.of_sheets()
        for sheet in self._decided.keys() - self._roll.members:
            for decided in self._decided[sheet]:
                error = bad("no-sheet", line=decided.line, sheet=decided.sheet)
                self._apart(set_apart(KEPT, 0, error))

    def have_marked(self, workers: Workers) -> list[MarkedStudent]:
        """Have all marked; the class by number."""
        for trouble in self._marking.papers.troubles:
            self._apart(trouble)
        standings = [
            self._with_paper(self._standing(entry)) for entry in self._roll.members.values()
        ]
        jobs = ((batch,) for batch in batches(self._jobs(standings), BATCH))
        results = chain.from_iterable(workers.in_order(mark_batch, jobs))
        marked = []
        for standing in standings:
            result = MarkingResult()
            if standing.counts:
                result = next(results)
            marked.append(MarkedStudent(self._marks(standing, result), result.strays))
            self._tell("mark", len(marked))
        self.outcome.deaths = workers.deaths
        return marked

    def _standing(self, entry: ClassMember) -> StudentStanding:
        """Which of a student's hand-ins counts, if any does."""
        number, came = entry.number, self._came.get(entry.number, [])
        found = chosen(number, came, self._marking.counting)
        for one, fate in found.fates:
            self._files[one.path] = FileRow(one.file, number, fate)
        for one, why in found.reasons:
            fate = self._files[one.path].fate
            self._apart(set_apart(one.file, number, why), one.path, fate)
        unread = [file for _, file in sorted(self._unread.get(number, []))[:MOST_UNREAD]]
        also = (_say("note.unread", files=", ".join(unread)),) if unread else ()
        if found.counts is not None:
            counts = found.counts
            notes = "; ".join(filter(None, (counts.notes, *found.notes, *also)))
            return StudentStanding(entry, HandInState.MARKED, counts.file, notes, counts)
        if found.reasons:
            return StudentStanding(entry, HandInState.APART)
        state = HandInState.UNREAD if unread else HandInState.MISSING
        if number in self._sheets_apart or number in self._marking.papers.former:
            state = HandInState.APART
        blank = (_say("note.blank"),) if came else ()
        file = next(iter((*(one.file for one in came), *unread)), "")
        return StudentStanding(entry, state, file, "; ".join((*blank, *also)))

    def _with_paper(self, standing: StudentStanding) -> StudentStanding:
        """A student's hand-in with what was entered of their paper, if anything was."""
        number = standing.entry.number
        entered = self._marking.papers.of.get(number, ())
        if not entered:
            return standing
        counts = standing.counts
        if counts is None and any(not one.answers.blank for one in self._came.get(number, [])):
            self._apart(waiting(number))
            return standing
        paper = with_paper(
            number,
            counts.answers if counts else None,
            entered,
            lambda: self._marking.key(standing.entry),
        )
        if paper is None:
            blank = () if counts else (blank_note(),)
            return replace(standing, notes="; ".join(filter(None, (standing.notes, *blank))))
        for trouble in paper.troubles:
            self._apart(trouble)
        notes = "; ".join(filter(None, (standing.notes, paper.note)))
        file = counts.file if counts else PAPERS
        path = counts.path if counts else _STRAY
        marked = KnownHandIn(path, file, paper.filled.answers, notes)
        return StudentStanding(
            standing.entry, HandInState.MARKED, file, notes, marked, paper.filled.points
        )

    def _jobs(self, standings: Iterable[StudentStanding]) -> Iterator[MarkingJob]:
        """What has to be marked; keys are read when their turn comes."""
        for standing in standings:
            if standing.counts:
                entry, answers = standing.entry, standing.counts.answers
                key = self._marking.key(entry)
                decisions = () if key is None else tuple(self._decisions(entry.number, answers))
                settled = {decided.question for decided in decisions if not decided.tag}
                decisions += tuple(
                    DecidedQuestion(question, "", points, "")
                    for question, points in standing.by_hand.items()
                    if key is not None and question not in settled
                )
                yield MarkingJob(entry.number, key, answers, self._marking.leniency, decisions)

    def _decisions(self, sheet: int, answers: Answers) -> Iterator[DecidedQuestion]:
        """The decisions about a hand-in that were made about these very answers.

        Of those about alike answers, all about this text: which of them are of this question and
        its right answer is known where its key is.
        """
        texts = {question: as_typed(given) for question, given in answers.answers}
        about: dict[str, list[SettledRow]] = {}
        for found in sorted(self._decided.get(sheet, []), key=lambda one: (one.question, one.line)):
            about.setdefault(found.question, []).append(found)
        for question, of_it in about.items():
            known = tag(sheet, question, texts.get(question, ""))
            fit = next((one for one in of_it if one.tag in ("", known)), None)
            if fit is not None:
                yield DecidedQuestion(question, "", fit.points, fit.text)
                continue
            for found in of_it:
                error = bad("other-answer", line=found.line, question=question)
                self._apart(set_apart(KEPT, sheet, error))
        for question, typed in texts.items():
            for before, kept in (False, self._alike), (True, self._marking.before):
                for one in kept.of_text(text_part(typed)) if typed else ():
                    yield DecidedQuestion(question, one.tag, *one.content, one.every, before)

    def _marks(self, standing: StudentStanding, result: MarkingResult) -> StudentMarks:
        entry, state, file, notes = standing.entry, standing.state, standing.file, standing.notes
        for question, why in result.refused:
            error = bad("refused", question=question, sheet=entry.number, why=why)
            self._apart(set_apart(KEPT, entry.number, error))
        if result.trouble:
            state, file, notes = HandInState.APART, "", ""
            self._apart(
                SetApart(
                    file=f"keys/{entry.folder}/key.json",
                    sheet=entry.number,
                    what=result.trouble,
                    remedy="run `rungwise sheet make` again",
                )
            )
        return StudentMarks(
            number=entry.number,
            folder=entry.folder,
            name=entry.name,
            id=entry.id,
            group=entry.group,
            variant=entry.variant,
            state=state,
            file=file,
            notes=(notes,) if notes else (),
            problems=result.problems,
        )
