"""A package read by an open reader of QTI 2.1: ``python -m tests.studies.read_package FOLDER``.

FOLDER is a package that ``rungwise sheet export`` wrote as a folder.  The reader is the library
pyslet (PyPI, BSD licence; tried with 0.7.20170805), which has to be installed for this: it refuses
whatever its model of the specification does not allow, and carries response processing out.  It
knows no MathML, so formulas are read as their words, and takes the list of two tolerances for one
word, so that items with a tolerance are read but not carried out.  Of each other item that a
program marks, the right answer is handed in, then nothing, then what each branch looks for.
"""

from __future__ import annotations

import io
import re
import sys
import warnings
from collections import Counter
from pathlib import Path

from lxml import etree

QTI = "{http://www.imsglobal.org/xsd/imsqti_v2p1}"
_MATH = re.compile(rb'<math [^>]*alttext="([^"]*)".*?</math>', re.DOTALL)


def scored(read: object, values: list[str]) -> list[float]:
    """The score of each of some answers, as the reader comes to it."""
    from pyslet.qtiv2 import variables  # type: ignore[import-not-found]

    scores = []
    for value in values:
        state = variables.ItemSessionState(read)
        state.begin_session()
        if value:
            state["RESPONSE"].set_value(value)
        read.ResponseProcessing.run(state)  # type: ignore[attr-defined]
        scores.append(float(state["SCORE"].value or 0.0))
    return scores


def main() -> None:
    """Read every document, hand in answers, and say what it came to."""
    warnings.simplefilter("ignore")
    from pyslet.qtiv2 import xml as reader  # type: ignore[import-not-found]

    folder = Path(sys.argv[1])
    read: Counter[str] = Counter()
    right = wrong = 0
    for path in sorted(folder.rglob("*.xml")):
        if path.name == "imsmanifest.xml":
            continue
        data = _MATH.sub(rb"\1", path.read_bytes())
        document = reader.QTIDocument()
        document.read(src=io.BytesIO(data))
        read[type(document.root).__name__] += 1
        tree = etree.fromstring(data)
        truth = tree.findtext(f"{QTI}responseDeclaration/{QTI}correctResponse/{QTI}value")
        if truth is None or b"tolerance=" in data:
            continue
        branches = tree.iterfind(f".//{QTI}responseElseIf//{QTI}baseValue")
        most = float(tree.find(f"{QTI}outcomeDeclaration").get("normalMaximum"))
        guesses = [
            one.text or ""
            for one in branches
            if etree.QName(one.getparent()).localname in ("equal", "match")
            and etree.QName(one.getparent().getparent()).localname == "responseElseIf"
        ]
        first, nothing, *others = scored(document.root, [truth, "", *guesses])
        right += first == most and nothing == 0
        wrong += first != most or nothing != 0 or any(others)
    print(f"{sum(read.values())} documents read: {dict(read)}")
    print(f"{right} items give the right answer all points and nothing none; {wrong} do not")


if __name__ == "__main__":
    main()
