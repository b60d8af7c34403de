"""The command line (thin): reads the words typed after ``rungwise`` and opens the right room.

Each command imports what it needs when it runs, so that ``--help`` stays quick.  Errors say
what is wrong, where, and how to mend it; the exit status of bad usage is 2.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ...problems.catalogue.groups import LEVELS as CATALOGUE_LEVELS
from ...problems.catalogue.groups import LOOKED_AT, SkillGroup
from ...problems.questions.kinds import kinds_of
from ...problems.questions.model import Task
from ..language.errors import worded
from ..learning.request import ProblemRequest, draw_seed
from ..version import VERSION
from .console import complain, fail, in_ascii, names_in, read_bytes, shown, width, write
from .lazy import LazyGroup, ToldGroup
from .sheet import sheet
from .tutor import FIRST_LEVEL, check_terminal, open_tutor, patient_keeper

if TYPE_CHECKING:
    from ..screens.opening.screen import OpeningScreen

LEVELS = click.IntRange(CATALOGUE_LEVELS[0], CATALOGUE_LEVELS[-1])
MIXED = "mixed"
TASKS = (*(task.value for task in Task), MIXED)
GROUPS = tuple(group.value for group in LOOKED_AT)
SEEDS = click.IntRange(0, 2**63 - 1)
MAX_FILE = 64 * 1024
"""Most bytes read as circuit text; far more than a circuit may have."""


def _name_learner(context: click.Context, option: click.Parameter, name: str | None) -> None:
    """Whose record everything that follows is about; the environment carries it there."""
    if name is None:
        return
    from ..store.folder import LEARNER, BadName, display_name

    try:
        os.environ[LEARNER] = display_name(name)
    except BadName as error:
        raise click.BadParameter(f"{error}.", context, option) from None


whose = click.option(
    "--learner",
    metavar="NAME",
    expose_value=False,
    callback=_name_learner,
    help="Whose record to keep; each learner has their own.",
)


@click.group(
    cls=ToldGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(VERSION, "-V", "--version", message="rungwise %(version)s")
@whose
@click.pass_context
def rungwise(context: click.Context) -> None:
    """A tutor and self-check drill for passive filters.

    Without a command it opens the full-screen tutor.
    """
    if context.invoked_subcommand is None:
        open_tutor()


rungwise.add_command(sheet)  # its rooms open when one of its commands runs


@rungwise.command()
@click.option("--plain", is_flag=True, help="Ask in plain lines instead of the full screen.")
@click.option("--level", type=LEVELS, help="Level of the circuits, 1 to 7; the default is 1.")
@click.option("--family", metavar="NAME", help="One family of circuits; see `rungwise families`.")
@click.option(
    "--task",
    type=click.Choice(TASKS),
    default=TASKS[0],
    show_default=True,
    help="Analyse, sketch, find circuits, read and predict, or all of these mixed.",
)
@click.option(
    "--kinds", metavar="KINDS", help="Ask only these, separated by commas: type,corner,q …"
)
@click.option("--seed", type=SEEDS, help="The same seed gives the same problems.")
@click.option("--count", type=click.IntRange(1, 1000), help="Number of problems (with --plain).")
@click.option("--draw", is_flag=True, help="Draw each circuit as well (with --plain).")
@whose
def drill(
    plain: bool,
    level: int | None,
    family: str | None,
    task: str,
    kinds: str | None,
    seed: int | None,
    count: int | None,
    draw: bool,
) -> None:
    """Climb problems: question by question up a circuit drawn at random.

    In plain lines, `?` asks for a hint, `.` shows the answer, and an empty line skips.
    """
    if family is not None:
        check_family(family, level)
    elif level is None:
        level = FIRST_LEVEL
    asked = None if task == MIXED else Task(task)
    chosen = names_in("--kinds", kinds, kinds_of(Task.ANALYSE))
    if chosen and asked is not Task.ANALYSE:
        raise click.UsageError("--kinds chooses what an analysis asks; leave out --task.")
    first = draw_seed() if seed is None else seed
    wish = ProblemRequest(level, family, first, asked, kinds=chosen)
    if not plain:
        if count is not None or draw:
            raise click.UsageError("--count and --draw belong to --plain.")
        open_tutor(wish)
        return
    from ..plain.drill import drill as plain_drill

    plain_drill(wish, count or 1, width(), draw, patient_keeper())


def check_family(name: str, level: int | None) -> None:
    """Refuse a family whose ``name`` does not exist, or does not belong to the ``level``.

    Raises:
        SystemExit: with status 2, after saying which names come near.
    """
    from ...problems.catalogue.families import UnknownFamily, find

    try:
        family = find(name)
    except UnknownFamily as error:
        fail(f"--family: {worded(error)}. `rungwise families` lists them all.")
    if level is not None and family.level != level:
        fail(f"--family: {name} is of level {family.level}; leave out --level {level}.")


@rungwise.command()
@click.option("--plain", is_flag=True, help="Ask in plain lines instead of the full screen.")
@click.option("--seed", type=SEEDS, help="The same seed and answers give the same looks.")
@click.option("--count", type=click.IntRange(1, 1000), help="Number of looks; the default is 24.")
@click.option(
    "--kinds", metavar="KINDS", help="What to ask, separated by commas: type,poles,high-slope …"
)
@click.option("--group", type=click.Choice(GROUPS), help="Circuits of one group.")
@whose
def inspect(
    plain: bool, seed: int | None, count: int | None, kinds: str | None, group: str | None
) -> None:
    """Name filters by inspection: one circuit, one question, one key.

    In plain lines, `?` asks for a hint, `.` shows the answer, and an empty line skips.
    """
    from ...problems.questions.looks import LookKind
    from .inspect import in_lines, on_screen

    asked = names_in("--kinds", kinds, tuple(LookKind))
    of = SkillGroup(group) if group is not None else None
    (in_lines if plain else on_screen)(seed, count, asked, of)


@rungwise.command()
def families() -> None:
    """List the families of circuits, by level."""
    from ...problems.catalogue.families import FAMILIES
    from ..language.texts import Words

    words = Words.load()
    widest = max(len(family.name) for family in FAMILIES)
    for level in sorted({family.level for family in FAMILIES}):
        write(words.ui("command.level", level=level))
        for family in FAMILIES:
            if family.level == level:
                write(f"  {family.name:<{widest}}  {words.family(family.name)}")


_RECORD = {
    "backup": "record.backup",
    "check": "record.check",
    "erase": "record.erase",
    "export": "record.export",
    "import": "record.take_in",
    "learners": "record.learners",
    "where": "record.where",
}


@rungwise.group(cls=LazyGroup, later=_RECORD)
@whose
def record() -> None:
    """Look after the record of what a learner did."""


@rungwise.command()
@click.argument("level", type=LEVELS, default=FIRST_LEVEL)
@click.option("--plain", is_flag=True, help="Ask in plain lines instead of the full screen.")
@click.option("--draw", is_flag=True, help="Draw each circuit as well (with --plain).")
@whose
def lesson(level: int, plain: bool, draw: bool) -> None:
    """Work the lesson of a LEVEL, 1 to 7: say what a change will do, then see it.

    In plain lines, `.` shows the answer, an empty line skips, and the end of the input leaves.
    """
    if draw and not plain:
        raise click.UsageError("--draw belongs to --plain.")
    from .lesson import in_lines, on_screen

    if plain:
        in_lines(level, draw)
    else:
        on_screen(level)


@rungwise.command()
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object for programs.")
@click.option("--csv", "as_csv", is_flag=True, help="Print a table of all skills for spreadsheets.")
@click.option("--html", "as_html", is_flag=True, help="Print a page to keep, or to print on paper.")
@whose
def progress(as_json: bool, as_csv: bool, as_html: bool) -> None:
    """Say where you stand: skills, slips, and the days up to the exam.

    The page of --html is one file that loads nothing from elsewhere; write it with
    `rungwise progress --html > progress.html`.
    """
    if as_json + as_csv + as_html > 1:
        raise click.UsageError("Give one of --json, --csv and --html, not both or all.")
    from .progress import report

    report("json" if as_json else "csv" if as_csv else "html" if as_html else "page", width())


@rungwise.command()
@click.option("--plain", is_flag=True, help="Ask in plain lines instead of the full screen.")
@click.option(
    "--problems",
    metavar="COUNT",
    type=click.IntRange(1, 30),
    default=6,
    show_default=True,
    help="Number of problems.",
)
@click.option(
    "--minutes",
    type=click.IntRange(1, 600),
    help="Time for all of them; by default as much as their questions need.",
)
@click.option("--seed", type=SEEDS, help="The same seed and record give the same problems.")
@click.option("--draw", is_flag=True, help="Draw each circuit as well (with --plain).")
@whose
def rehearse(plain: bool, problems: int, minutes: int | None, seed: int | None, draw: bool) -> None:
    """Rehearse the exam: timed, mixed, no hints, nothing marked until you hand in.

    It asks about all groups of circuits. An interrupted rehearsal goes on, with
    the time that was left. At its end every question is reviewed.
    """
    if not plain:
        if draw:
            raise click.UsageError("--draw belongs to --plain.")

        def begin(opening: OpeningScreen) -> None:
            from ..screens.opening.rehearsing import begin

            begin(opening, problems, minutes, seed)

        open_tutor(then=begin)
        return
    from ..plain.rehearsal import rehearse

    rehearse(patient_keeper(), problems, minutes, seed, width(), draw)


@rungwise.command()
@click.argument("file", required=False)
@click.option("--text", help="The circuit itself; `;` stands for a line break.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object for programs.")
def solve(file: str | None, text: str | None, as_json: bool) -> None:
    """Say what the circuit in FILE (or - for standard input) does, exactly."""
    if (file is None) == (text is None):
        raise click.UsageError("Give either a FILE (- for standard input) or --text, not both.")
    from .solve import run

    circuit = read_file(file) if file is not None else text
    status, answer, trouble = run(circuit or "", as_json, min(width(), 100), ascii=in_ascii())
    write(answer, end="")
    complain(trouble, end="")
    raise SystemExit(status)


@rungwise.command()
@click.argument("file", required=False)
@click.option("--text", help="The circuit itself; `;` stands for a line break.")
@click.option("--family", metavar="NAME", help="A circuit of a family; see `rungwise families`.")
@click.option(
    "--script", metavar="FILE", help="Step through a list of changes, one a line of this file."
)
@click.option("--plain", is_flag=True, help="Print the steps of --script in plain lines.")
def bench(
    file: str | None, text: str | None, family: str | None, script: str | None, plain: bool
) -> None:
    """Turn the parts of a circuit and watch its responses.

    The circuit is read from FILE (or - for standard input), or is one of the catalogue.

    \b
    A list of changes for --script, in front of a class:
      circuit: series R1 = 100 Ω; series L1 = 10 mH; shunt C1 = 100 nF
      # a note shown to the class
      R1 x 2          also R1 = 2.2 kΩ, R1 / 2, R1 doubles, R1 halves
      ask tap L1      asked before it is shown; also output across L1 + C1
      load 1 kΩ       also no load, source 50 Ω, no source
      swap L1 C1      also turn C1, loss L1 10 Ω, without R1, keep, drop
    """  # noqa: D301 (click leaves these lines alone only for a real backspace)
    if sum(given is not None for given in (file, text, family)) > 1:
        raise click.UsageError("Give one circuit: a FILE, --text or --family.")
    if plain and script is None:
        raise click.UsageError("--plain belongs to --script.")
    if script == file == "-":
        raise click.UsageError("Standard input is either the circuit or the list, not both.")
    from ..drafting.bench import example
    from .bench import USUAL_FAMILY, circuit_in, in_lines, script_in

    if file is not None or text is not None:
        given = read_file(file) if file is not None else text or ""
        ladder = circuit_in(given, file or "--text")
    else:
        name = family or USUAL_FAMILY
        check_family(name, None)
        ladder = example(name)
    listed = None if script is None else script_in(read_file(script), script, ladder)
    if listed is not None and plain:
        in_lines(listed, width())
        return
    if "-" in (file, script):
        take_keyboard()
    check_terminal()
    from ..screens.app import Rungwise
    from ..screens.bench.screen import BenchScreen
    from ..screens.bench.scripted import ScriptScreen

    first = BenchScreen(ladder) if listed is None else ScriptScreen(listed)
    app = Rungwise(first=first)
    app.run()
    raise SystemExit(app.return_code or 0)


@rungwise.command()
@click.argument("files", metavar="[FILE]...", nargs=-1)
@click.option("--text", "texts", multiple=True, help="A circuit itself; may be repeated.")
@click.option("--family", metavar="NAME", help="A circuit of a family; see `rungwise families`.")
@click.option("--seed", type=SEEDS, help="Which circuit of the family.")
@click.option("--vary", metavar="PART=VALUES", help="One part in several values: R1=100,1k,10k.")
@click.option("--label", "labels", multiple=True, help="What a curve is called; one for each.")
@click.option(
    "--figures",
    metavar="FIGURES",
    help="Of circuit,gain,phase,bode,map,step; the default is circuit,bode,map,step.",
)
@click.option(
    "--formats", metavar="FORMATS", help="Of svg,png,html, for a folder; the default is svg."
)
@click.option("--to", default="figures", show_default=True, help="A folder, or one file.")
@click.option("--dark", is_flag=True, help="Light lines on a dark ground.")
@click.option("--force", is_flag=True, help="Replace files that exist.")
def draw(
    files: tuple[str, ...],
    texts: tuple[str, ...],
    family: str | None,
    seed: int | None,
    vary: str | None,
    labels: tuple[str, ...],
    figures: str | None,
    formats: str | None,
    to: str,
    dark: bool,
    force: bool,
) -> None:
    """Draw circuits, their curves and maps, for slides.

    Up to four circuits share a chart. FILE may be - for standard input; in --text, `;` stands
    for a line break.
    """
    from .draw import DrawingRequest, FigureFormat, FigureKind, circuits_of, run

    if family is not None:
        check_family(family, None)
    named = [(name, read_file(name)) for name in files]
    several = len(texts) > 1
    named += [(f"--text {n}" if several else "--text", text) for n, text in enumerate(texts, 1)]
    request = DrawingRequest(
        circuits_of(named, family, seed),
        vary,
        tuple(map(shown, labels)),
        names_in("--figures", figures, tuple(FigureKind)),
        names_in("--formats", formats, tuple(FigureFormat)),
        Path(to),
        dark,
        force,
    )
    run(request)


@rungwise.command()
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8017,
    show_default=True,
    help="Port of the loopback address; 0 for any free one.",
)
@click.option(
    "--visitors",
    type=click.IntRange(1, 200),
    default=16,
    show_default=True,
    help="Maximum number of visitors at once.",
)
@click.option(
    "--idle",
    metavar="MINUTES",
    type=click.FloatRange(0.05, 1440),
    default=30,
    show_default=True,
    help="Minutes without a key after which a visitor must leave.",
)
def serve(port: int, visitors: int, idle: float) -> None:
    """Offer the tutor in a browser, on a loopback address, for a room.

    Each visitor gives a name and has a record of their own. There is no password: never let
    the internet reach it.
    """
    if idle != idle:  # "nan" is a number to a range too
        raise click.BadParameter("'nan' is no number of minutes.", param_hint="'--idle'")
    try:
        from ..browser.serve import run
    except ImportError as error:
        fail(f"`rungwise serve` needs a package that is not installed: {error.name}.")
    run(port, visitors, idle)


def take_keyboard() -> None:
    """Read keys from the terminal itself: standard input was a pipe and is used up.

    Raises:
        SystemExit: there is no terminal (status 2).
    """
    try:
        terminal = os.open("/dev/tty", os.O_RDWR)
    except OSError:
        fail("there is no terminal to read keys from.")
    os.dup2(terminal, 0)
    os.close(terminal)


def read_file(name: str) -> str:
    """The text of a file, or of standard input for "-".

    No more is read than can be a circuit, so that an endless file does no harm.

    Raises:
        SystemExit: it cannot be opened, or is no UTF-8 text (status 2).
    """
    try:
        data = read_bytes(name, MAX_FILE)
    except OSError as error:
        fail(f"{name}: {error.strerror or error}. Give the name of a file with circuit text.")
    if len(data) > MAX_FILE:
        fail(f"{name} is too long for a circuit: at most {MAX_FILE} bytes are read.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        fail(f"{name}: byte {error.start + 1} is no UTF-8 text. Save the file as UTF-8.")


def main() -> None:
    """Run the command line; an interruption ends it quietly."""
    try:
        rungwise.main(prog_name="rungwise", standalone_mode=False)
    except click.exceptions.Exit as stop:
        raise SystemExit(stop.exit_code) from None
    except click.ClickException as error:
        error.show()
        raise SystemExit(2) from None
    except (click.Abort, KeyboardInterrupt):
        raise SystemExit(130) from None
