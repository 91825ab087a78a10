"""Run times down and levels across: the cells that weigh what is believed of a battery.

Levels are steps of `STEP`; the first `BELOW` of them lie below empty.
"""

from __future__ import annotations

from functools import cache
from math import ceil, erfc, log, sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Grid = npt.NDArray[np.float64]

STEP = 0.02
BELOW, ROWS = 30, 78
LEAST, MOST = 0.18, 1.8
"""The run times looked at, as shares of the usual one."""
CELLS = BELOW + round(1 / STEP) + 1
ROW_STEP = log(MOST / LEAST) / (ROWS - 1)
"""How far apart the run times lie, by their logarithms."""
_AROUND = 192
"""At least twice the cells, and quick to transform."""
POINTS, _REACH = 49, 4.0


def cell_levels() -> Grid:
    """Return the level of each cell of a row; those below empty are negative."""
    import numpy as np

    levels: Grid = (np.arange(CELLS, dtype=np.float64) - BELOW) * STEP
    return levels


def bell(z: Grid) -> Grid:
    """Return the normal curve, 1 at its top."""
    import numpy as np

    bell: Grid = np.exp(-0.5 * z * z)
    return bell


def bell_below(z: Grid) -> Grid:
    """Return the share of the normal curve that lies below."""
    import numpy as np

    below: Grid = np.array([0.5 * erfc(-each / sqrt(2)) for each in z])
    return below


@cache
def points() -> tuple[Grid, Grid]:
    """Return standard normal values, evenly spaced, and their weights."""
    import numpy as np

    z = np.linspace(-_REACH, _REACH, POINTS)
    weights = bell(z)
    return z, weights / weights.sum()


def kernel(drops: Grid) -> Grid:
    """Return each row's chances of each drop, in cells; between two cells each has its share."""
    import numpy as np

    cells = np.minimum(drops / STEP, CELLS - 2)
    below = cells.astype(int)
    share = cells - below
    at = below + np.arange(ROWS)[:, None] * CELLS
    _, chance = points()
    chances: Grid = np.bincount(
        np.concatenate([at.ravel(), at.ravel() + 1]),
        np.concatenate([((1 - share) * chance).ravel(), (share * chance).ravel()]),
        minlength=ROWS * CELLS,
    ).astype(np.float64)
    return chances.reshape(ROWS, CELLS)


def lowered(weights: Grid, drops: Grid) -> Grid:
    """Lower the level of each row by its drops."""
    import numpy as np

    # A row's levels less its drops are a correlation, which is a product of Fourier transforms;
    # what drops below the lowest cell comes out at the far end and stays in the lowest.
    level = np.fft.rfft(weights, _AROUND, axis=1)
    drop = np.fft.rfft(kernel(drops), _AROUND, axis=1)
    around = np.fft.irfft(level * drop.conj(), _AROUND, axis=1).clip(0.0)
    lowered: Grid = around[:, :CELLS]
    lowered[:, 0] += around[:, CELLS:].sum(axis=1)
    return lowered


def widened(weights: Grid, variance: float) -> Grid:
    """Spread every row's weight to its neighbours, by a variance in squared steps of rows."""
    times = ceil(2 * variance)
    for _ in range(times):
        out = weights * (variance / times / 2)
        weights = weights - 2 * out
        weights[1:] += out[:-1]
        weights[:-1] += out[1:]
        weights[0] += out[0]
        weights[-1] += out[-1]
    return weights
