"""Lay the checkout out as it is installed, for mypy: ``.view/rungwise`` leads to the rooms.

Installed, the rooms are ``rungwise.problems``, ``rungwise.tutor`` and ``rungwise.content``; in
the checkout they lie at its top.  Git holds no links, which a checkout on Windows would turn
into text files: they are made here, and copies where the system allows no links.
"""

import os
import shutil
import sys
from pathlib import Path

ROOMS = ("content", "problems", "tutor")


def lay_out(root: Path) -> Path:
    """Make the view of a checkout anew.

    Args:
        root: the top of the checkout.

    Returns:
        The folder that holds the package, for ``mypy_path``.

    Raises:
        OSError: it cannot be made.
    """
    view = root / ".view"
    package = view / "rungwise"
    package.mkdir(parents=True, exist_ok=True)
    for room in ROOMS:
        place = package / room
        _clear(place)
        _lead(place, root / room)
    return view


def _clear(place: Path) -> None:
    if place.is_symlink() or not place.is_dir():
        place.unlink(missing_ok=True)
        return
    try:
        place.rmdir()  # a junction, which looks like a folder, or an empty folder
    except OSError:
        shutil.rmtree(place)


def _lead(place: Path, room: Path) -> None:
    try:
        place.symlink_to(os.path.relpath(room, place.parent), target_is_directory=True)
        return
    except OSError:  # Windows asks for a right that few have
        pass
    if sys.platform == "win32":
        import _winapi

        try:
            _winapi.CreateJunction(str(room), str(place))
            return
        except OSError:  # the file system knows none
            pass
    shutil.copytree(room, place, ignore=shutil.ignore_patterns("__pycache__"))


if __name__ == "__main__":
    lay_out(Path(__file__).resolve().parents[1])
