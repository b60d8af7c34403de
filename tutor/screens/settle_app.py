"""A class being settled, on its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .app import Rungwise
from .settle.screen import SettleScreen

if TYPE_CHECKING:
    from ..classroom.marking.settling import Settling


class SettleApp(Rungwise):
    """The tutor with nothing but answers to be settled.

    It returns whether the class is to be marked again.

    Args:
        settling: The class.
    """

    def __init__(self, settling: Settling) -> None:
        super().__init__(first=SettleScreen(settling))
        self.settling = settling
