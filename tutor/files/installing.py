"""How a part of Rungwise that is not installed is installed, for this very installation."""

from __future__ import annotations

import json
from importlib import metadata
from urllib.parse import urlsplit
from urllib.request import url2pathname

from ..language.texts import plain


def how_to_install(extra: str) -> str:
    """The command that adds an extra, such as "paper", to what is installed.

    Installed from a checkout, it says so (``direct_url.json``, PEP 610): there pip would look for
    the name in an index, and find nothing or somebody else's.
    """
    try:
        known = metadata.distribution("rungwise")
        text, installed = known.read_text("direct_url.json"), known.read_text("INSTALLER")
        found = json.loads(text) if text else {}
        url, editable = found.get("url"), found.get("dir_info", {}).get("editable")
    except (metadata.PackageNotFoundError, ValueError, AttributeError, OSError):
        return _in_the_checkout(extra)
    if installed and not found:
        return f'`pip install "rungwise[{extra}]"`'
    parts = urlsplit(url if isinstance(url, str) else "")
    if parts.scheme != "file":
        return _in_the_checkout(extra)
    folder = plain(url2pathname(parts.path))
    return f'`pip install {"-e " if editable else ""}"{folder}[{extra}]"`'


def _in_the_checkout(extra: str) -> str:
    return f'`pip install ".[{extra}]"` in the folder of Rungwise\'s source'
