"""typst, loaded when the first PDF or PNG is asked for, and asked again for each of the others."""

from __future__ import annotations

import os
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from ..files.installing import how_to_install
from ..language.told import ToldError
from .drawings.svg import in_own_font

if TYPE_CHECKING:
    import typst

FONTS = "RUNGWISE_FONTS"
"""Names a folder of fonts that are used besides those that typst carries."""
SANS_PACKAGE = "font_source_sans_pro"
"""Holds Source Sans Pro, under the SIL Open Font License 1.1."""
STANDARD: Literal["ua-1"] = "ua-1"
"""PDF/UA-1, ISO 14289-1: tagged, with a title, a language and words for every picture."""


class PdfError(ToldError):
    """A PDF that can't be made; the message says what mends it."""


@lru_cache(maxsize=1)
def _typst() -> Any:
    try:
        import typst
    except ImportError:
        raise PdfError(
            "PDF and PNG files need the package typst, which is not installed: "
            f"{how_to_install('paper')}. Text, HTML, SVG and JSON are made without it"
        ) from None
    return typst


def _sans() -> str:
    """The folder of the plain letters, which come as a package of their own."""
    found = find_spec(SANS_PACKAGE)
    if found is None or not found.submodule_search_locations:
        raise PdfError(
            "plain letters need the package font-source-sans-pro, which is not installed: "
            f'{how_to_install("paper")}. Or leave font = "sans" out'
        )
    return str(Path(found.submodule_search_locations[0]) / "files")


@lru_cache(maxsize=4)
def _compiler(fonts: str, sans: bool = False) -> typst.Compiler:
    """One compiler for all documents of a process: it reads the fonts once."""
    if fonts and not Path(fonts).is_dir():
        raise PdfError(f"{FONTS} names {fonts}, which is no folder: name one with font files")
    module = _typst()
    found = module.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=True,
        font_paths=[*([fonts] if fonts else []), *([_sans()] if sans else [])],
    )
    # Nothing is read from the root: it holds the program's own text only.
    root = str(Path(__file__).parent)
    made: typst.Compiler = module.Compiler(
        b"", root=root, font_paths=found, ignore_system_fonts=True
    )
    return made


def available() -> None:
    """See that there is a compiler.

    Raises:
        PdfError: typst is not installed, or the folder of fonts is none.
    """
    _compiler(os.environ.get(FONTS, ""))


def compiled(source: bytes, data: str, *, sans: bool = False) -> bytes:
    """The PDF of a ``source`` of ours, which reads ``data`` as the file "data".

    typst remembers what it has set, for documents to come, as long as all that it is set with is
    the same: data in ``sys.inputs`` would be held to belong to every word.

    Args:
        source: the program's own.
        data: what it sets.
        sans: whether it has use for plain letters.

    Raises:
        PdfError: typst is not installed, or refuses.
    """
    return _made({"main.typ": source, "data": data.encode()}, sans, "pdf")


_DRAWING = b"""#set page(width: auto, height: auto, margin: 0pt, fill: white)
#image("drawing.svg")
"""
_DENSITY = 192.0
"""Pixels of a PNG to an inch: two to each of the pixels in which pages measure."""


def png(svg: bytes, density: float = _DENSITY) -> bytes:
    """A drawing of ours, ``svg``, as PNG, for readers that show no SVG.

    ``density`` is in pixels to an inch.

    Raises:
        PdfError: typst is not installed, or refuses.
    """
    drawing = in_own_font(svg.decode()).encode()
    return _made({"main.typ": _DRAWING, "drawing.svg": drawing}, False, "png", density)


def _made(
    files: dict[str, bytes], sans: bool, kind: Literal["pdf", "png"], density: float = _DENSITY
) -> bytes:
    compiler = _compiler(os.environ.get(FONTS, ""), sans)
    # Files in memory; its stubs do not know of them yet.
    given: Any = files
    only: dict[str, Any] = {"pdf_standards": [STANDARD]} if kind == "pdf" else {"ppi": density}
    try:
        made = compiler.compile(input=given, format=kind, timestamp=0, **only)
    except _typst().TypstError as error:
        raise PdfError(f"typst could not set this: {error.message}") from None
    except BaseException as error:
        # What typst itself trips over comes as no Exception, so that nobody should go on; but
        # rare letters are enough for it, and a name from a roster must not end a whole run.
        if type(error).__name__ != "PanicException":
            raise
        raise PdfError("typst could not set this: it failed inside") from None
    assert isinstance(made, bytes)
    return made
