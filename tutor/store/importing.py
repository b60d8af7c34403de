"""Whatever form a file has that a record was given out as, read back."""

from __future__ import annotations

import io

from .exchange import BadFile, ReadRecord, read_csv, read_jsonl
from .xapi import read_xapi


def read(data: bytes) -> ReadRecord:
    """Whatever form a file has that was given out.

    Raises:
        BadFile: it has none of them.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFile(f"byte {error.start + 1} is no UTF-8 text") from None
    start = text.lstrip()[:1]
    if start == "[":
        return read_xapi(text)
    lines = io.StringIO(text, newline="")
    if start == "{":
        return read_jsonl(text.split("\n"))
    if not start:
        raise BadFile("the file is empty")
    return read_csv(lines)
