"""``rungwise`` run where the test runs: what a child process says, without starting one."""

from __future__ import annotations

import os
import subprocess
from unittest.mock import patch

from click.testing import CliRunner
from rungwise.tutor.cli.main import rungwise


def run_here(
    *words: str, stdin: str | bytes = "", **environment: str
) -> subprocess.CompletedProcess[str]:
    """As ``tests.tutor.cli.test_command.run``, for what depends on no process of its own.

    What is written to the standard output's handle, as exports to ``-`` are, is not seen here.
    """
    with patch.dict(os.environ, {"COLUMNS": "80", **environment}):  # commands change it, too
        done = CliRunner().invoke(rungwise, words, input=stdin, prog_name="rungwise")
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    out, told = done.stdout_bytes.decode(), done.stderr_bytes.decode()
    return subprocess.CompletedProcess(["rungwise", *words], done.exit_code, out, told)
