"""Reduced motion: nothing slides.  A cursor never blinks here in any case.

The environment may ask for it (RUNGWISE_STILL=1, or Textual's own TEXTUAL_ANIMATIONS=none), or
the learner by the command palette, which is kept with the record.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

ENVIRONMENT = "RUNGWISE_STILL"
SETTING = "still"
"""The name of the learner's setting: "1" while nothing is to move."""


def still(environ: Mapping[str, str] | None = None) -> bool:
    """Whether the environment asks for stillness."""
    told = (os.environ if environ is None else environ).get(ENVIRONMENT, "").strip().lower()
    return told not in ("", "0", "no", "off", "false")
