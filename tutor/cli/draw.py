"""``rungwise draw``: circuits, curves and maps as figures for slides."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import NoReturn

from ...problems.circuits.altered import with_value
from ...problems.circuits.model import CircuitError, Element, Ladder, mapped
from ...problems.circuits.statement import NotationError
from ...problems.circuits.step_value import USUAL
from ...problems.circuits.text import read_circuit
from ...problems.generate.analyse import generate
from ...problems.quantities.read import read_quantity
from ...problems.quantities.units import QuantityError
from ...problems.quantities.write import write_quantity
from ..documents.drawings import slide, slide_curves, slide_plane
from ..documents.drawings.svg import VectorDrawing
from ..documents.pdf_compiler import png
from ..drafting.bench import example
from ..files.tree import whole_file
from ..language.errors import worded
from ..language.texts import fill
from .console import MISUSED, complain, fail, in_ascii, reason, say, shown, warn, width
from .solve import trouble


class FigureKind(StrEnum):
    """What can be drawn of a circuit."""

    CIRCUIT = "circuit"
    GAIN = "gain"
    PHASE = "phase"
    BODE = "bode"
    MAP = "map"
    STEP = "step"


class FigureFormat(StrEnum):
    """What a figure is written as; a page holds all figures."""

    SVG = "svg"
    PNG = "png"
    HTML = "html"


USUALLY = (FigureKind.CIRCUIT, FigureKind.BODE, FigureKind.MAP, FigureKind.STEP)
_CURVES: dict[
    FigureKind,
    Callable[[Sequence[slide.SlideCircuit], slide.SlideTheme], VectorDrawing],
] = {
    FigureKind.GAIN: slide_curves.gain,
    FigureKind.PHASE: slide_curves.phase,
    FigureKind.BODE: slide_curves.bode,
    FigureKind.MAP: slide_plane.roots,
    FigureKind.STEP: slide_curves.step,
}


@dataclass(frozen=True)
class DrawingRequest:
    """What is to be drawn, as it was asked for.

    ``circuits`` are (where it was read, circuit); ``vary`` is such as "R1=100,1k"; without
    ``figures`` or ``formats`` it is the usual ones.
    """

    circuits: tuple[tuple[str, Ladder], ...]
    vary: str | None
    labels: tuple[str, ...]
    figures: tuple[FigureKind, ...]
    formats: tuple[FigureFormat, ...]
    to: Path
    dark: bool
    force: bool


def _refuse(key: str, **values: object) -> NoReturn:
    fail(fill("draw", f"trouble.{key}", values.items()))


def circuits_of(
    texts: Sequence[tuple[str, str]], family: str | None, seed: int | None
) -> tuple[tuple[str, Ladder], ...]:
    """The circuits that were named, as (where, circuit).

    Args:
        texts: (where it was read, circuit text).
        family: one of the catalogue, which exists.
        seed: which circuit of it; by default that of the bench.

    Raises:
        SystemExit: one cannot be read, or there is none, or too many (status 2).
    """
    found: list[tuple[str, Ladder]] = []
    for where, text in texts:
        try:
            found.append((shown(where), read_circuit(text)))
        except NotationError as error:
            head = f"rungwise draw: {shown(where)}"
            complain(trouble(head, text, error, min(width(), 100), in_ascii()), end="")
            raise SystemExit(MISUSED) from None
        except (CircuitError, QuantityError) as error:
            fail(f"{shown(where)}: {worded(error)}")
    if seed is not None and family is None:
        _refuse("seed")
    if family is not None:
        one = example(family) if seed is None else generate(seed, family=family).ladder
        found.append((family, one))
    if not found:
        _refuse("none")
    if len(found) > slide.MOST:
        _refuse("many", count=len(found), most=slide.MOST)
    return tuple(found)


def run(request: DrawingRequest) -> None:
    """Draw what was asked for and write it; everything is drawn before anything is written.

    Raises:
        SystemExit: it cannot be done (status 2); nothing has been written then.
        PdfError: a PNG is asked for, and typst is not installed.
    """
    count = len(request.circuits) if request.vary is None else len(_varied(request)[1])
    if request.labels and len(request.labels) != count:
        _refuse("labels", labels=len(request.labels), count=count)
    theme = slide.DARK if request.dark else slide.LIGHT
    places, formats = _places(request)
    drawings, small = _drawn(request, theme)
    if places is not None and formats[0] is not FigureFormat.HTML and len(drawings) > 1:
        _refuse("one-file", to=shown(request.to), count=len(drawings))
    folder = request.to if places is None else None
    files: list[tuple[Path, bytes]] = []
    for name, drawing in drawings:
        svg = drawing.svg.encode()
        for form in formats:
            if form is FigureFormat.HTML:
                continue
            data = svg + b"\n" if form is FigureFormat.SVG else png(svg, slide.DENSITY)
            files.append((folder / f"{name}.{form}" if folder else request.to, data))
    if FigureFormat.HTML in formats:
        page = slide.page([drawing for _, drawing in drawings], theme).encode()
        files.append((folder / "figures.html" if folder else request.to, page))
    _written(request, files)
    for name in small:
        warn(fill("draw", "done.small", [("file", name)]))


def _places(request: DrawingRequest) -> tuple[Path | None, tuple[FigureFormat, ...]]:
    """(the one file, or none for a folder, formats)."""
    ending = request.to.suffix.lower().lstrip(".")
    if not ending or request.to.is_dir():
        return None, request.formats or (FigureFormat.SVG,)
    if ending not in tuple(FigureFormat):
        _refuse("ending", to=shown(request.to))
    if request.formats:
        _refuse("format", to=shown(request.to))
    return request.to, (FigureFormat(ending),)


def _drawn(
    request: DrawingRequest, theme: slide.SlideTheme
) -> tuple[list[tuple[str, VectorDrawing]], list[str]]:
    """((name, figure) in the order asked for, names of those with small letters)."""
    kinds = request.figures or USUALLY
    found: list[tuple[str, VectorDrawing]] = []
    small: list[str] = []
    curves = _curves(request) if any(kind in _CURVES for kind in kinds) else []
    for kind in kinds:
        if kind is FigureKind.CIRCUIT:
            for name, drawing, large in _circuits(request, theme):
                found.append((name, drawing))
                small += [] if large else [name]
            continue
        try:
            found.append((kind.value, _CURVES[kind](curves, theme)))
        except (ArithmeticError, QuantityError) as error:
            _refuse("response", where=kind.value, why=worded(error))
    return found, small


def _circuits(
    request: DrawingRequest, theme: slide.SlideTheme
) -> list[tuple[str, VectorDrawing, bool]]:
    ladders = [ladder for _, ladder in request.circuits]
    if request.vary is not None:
        # The value that is varied is none of the circuit's.
        part = _varied(request)[0]
        ladders = [mapped(ladders[0], lambda e: Element(e.kind, e.name) if e.name == part else e)]
    several = len(ladders) > 1
    found = []
    for n, ladder in enumerate(ladders):
        label = request.labels[n] if request.labels and request.vary is None else ""
        drawing, large = slide.circuit(ladder, theme, label)
        found.append((f"circuit-{n + 1}" if several else "circuit", drawing, large))
    return found


def _curves(request: DrawingRequest) -> list[slide.SlideCircuit]:
    """The circuits of a chart, each with its label, and their responses known to exist."""
    if request.vary is not None:
        name, values = _varied(request)
        where, ladder = request.circuits[0]
        unit = ladder.part(name).kind.unit
        circuits = [(where, with_value(ladder, name, value)) for value in values]
        texts = [write_quantity(value, unit) for value in values]
        labels = [fill("draw", "legend.value", [("name", name), ("value", t)]) for t in texts]
    else:
        circuits = list(request.circuits)
        labels = [""] * len(circuits)
    labels = list(request.labels) or labels
    found = []
    for (where, ladder), label in zip(circuits, labels, strict=True):
        empty = next((e for e in ladder.elements() if e.value is None), None)
        if empty is not None:
            usual = write_quantity(USUAL[empty.kind], empty.kind.unit)
            _refuse("no-value", where=where, name=empty.name, example=usual)
        one = slide.SlideCircuit(ladder, label)
        try:
            _ = one.told, one.edges
        except (CircuitError, QuantityError, ArithmeticError) as error:
            _refuse("response", where=where, why=worded(error))
        found.append(one)
    return found


def _varied(request: DrawingRequest) -> tuple[str, list[Fraction]]:
    """The part that is varied, and its values; a semicolon parts values with decimal commas."""
    typed = request.vary or ""
    told = shown(typed)
    if len(request.circuits) != 1:
        _refuse("vary-one", count=len(request.circuits))
    name, equals, rest = (piece.strip() for piece in typed.partition("="))
    if not (name and equals and rest):
        _refuse("vary-form", typed=told, most=slide.MOST)
    parts = {e.name: e for e in request.circuits[0][1].elements()}
    if name not in parts:
        _refuse("vary-name", typed=told, name=shown(name), names=", ".join(parts))
    values: list[Fraction] = []
    pieces = rest.split(";" if ";" in rest else ",")
    if len(pieces) > slide.MOST:
        _refuse("vary-many", typed=told, count=len(pieces), most=slide.MOST)
    for piece in pieces:
        if not piece.strip():
            _refuse("vary-empty", typed=told)
        try:
            value = read_quantity(piece, parts[name].kind.unit).value
            Element(parts[name].kind, name, value)
        except (QuantityError, CircuitError) as error:
            _refuse("vary-value", typed=told, value=shown(piece.strip()), why=worded(error))
        values.append(value)
    return name, values


def _written(request: DrawingRequest, files: Sequence[tuple[Path, bytes]]) -> None:
    there = [shown(place) for place, _ in files if place.exists()]
    if there and not request.force:
        _refuse("exists", files=", ".join(there))
    try:
        for place, data in files:
            place.parent.mkdir(parents=True, exist_ok=True)
            with whole_file(place) as out:
                out.write(data)
            say("draw", "done.wrote", file=shown(place))
    except OSError as error:
        _refuse("folder", to=shown(request.to), why=reason(error))
