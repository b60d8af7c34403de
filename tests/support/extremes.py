"""The extreme of a curve given on a grid, for the tests' own judges of a response."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from scipy.optimize import minimize_scalar


def extreme(
    level: Callable[[float], float], grid: np.ndarray, curve: np.ndarray, sign: float
) -> float:
    """Where a level is greatest (sign −1) or least (1), looked for around the grid's.

    Args:
        level: at any place.
        grid: places, increasing and positive.
        curve: the level at each of them.
        sign: −1 for the greatest, 1 for the least.
    """
    k = int(np.clip(np.argmin(sign * curve), 1, len(grid) - 2))
    best = minimize_scalar(
        lambda x: sign * level(math.exp(x)),
        bounds=(math.log(grid[k - 1]), math.log(grid[k + 1])),
        method="bounded",
        options={"xatol": 1e-13},
    )
    return math.exp(best.x)
