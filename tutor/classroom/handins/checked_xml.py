"""XML of workbooks, gone through before anything is made of it: no DOCTYPE, so many elements.

Without a DOCTYPE there are no entities but XML's own five and numbers of characters, so that
nothing grows and nothing else is fetched (the attacks are listed by the package defusedxml).  The
spreadsheets' formats have none (ECMA-376 part 2, 10.1.4; ISO/IEC 26300-2, 2.2).  What was gone
through is then parsed by the same parser, expat, and so is the same text to it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from xml.parsers.expat import ExpatError, ParserCreate

from .cells import one_line
from .table import BadTable, refused

MOST_ELEMENTS = 250_000
"""Elements of XML in all the parts of a workbook; a cell has two or three."""
MOST_DEPTH = 64


class CheckedXml:
    """Goes through parts of one workbook.

    Args:
        take: is given the name, without its prefix, and the attributes of every element; may
            raise :class:`BadTable`.
    """

    def __init__(self, take: Callable[[str, Mapping[str, str]], None] = lambda name, _: None):
        self._take = take
        self._count = self._depth = 0

    def through(self, data: bytes) -> None:
        """Go through the bytes of a part.

        Raises:
            BadTable: it is too large, damaged, or made to do harm; says what mends it.
        """
        self._depth = 0
        parser = ParserCreate()
        parser.StartDoctypeDeclHandler = self._doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        try:
            parser.Parse(data, True)
        except BadTable:
            raise
        except (ExpatError, ValueError, LookupError) as error:
            raise refused("workbook.damaged", why=one_line(str(error))[:100]) from None

    def _doctype(self, *_: object) -> None:
        raise refused("workbook.entities")

    def _start(self, name: str, attributes: Mapping[str, str]) -> None:
        self._count += 1
        self._depth += 1
        if self._count > MOST_ELEMENTS:
            raise refused("workbook.large", most=MOST_ELEMENTS)
        if self._depth > MOST_DEPTH:
            raise refused("workbook.damaged", why="its parts are too deep")
        self._take(name.rpartition(":")[2], attributes)

    def _end(self, _: str) -> None:
        self._depth -= 1
