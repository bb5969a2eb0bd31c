"""How much quicker or slower than its likeliest course a mixture may be, for quick odds.

Members of the ensemble differ most in pace: what takes t hours in the middle takes t·f. PACES are
as many f as are asked, each as likely as the next, with ln f spread normally by SPREAD.
"""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

SPREAD = 0.38
"""Of ln f: half the 80 % band of when a feed of an unknown culture is ripe, over 1.28 (decision
0021's ensemble; ours)."""
ASKED = 15
PACES: Floats = np.exp(
    SPREAD * np.array([NormalDist().inv_cdf((i + 0.5) / ASKED) for i in range(ASKED)])
)
AHEAD = 0.75
"""From this share of the way to its ripe window on a levain may go into the fridge (ours)."""


def met(free: Flags, start: Floats, ripe_from: Floats, ripe_until: Floats) -> Flags:
    """By which of PACES hands are free while a mixture is ripe or nearly so, (mixtures, PACES).

    free: of each step of the grid; start: of each mixture, in steps; ripe_from and ripe_until: in
    steps after it. What lies beyond the grid counts as free.
    """
    counted = np.concatenate([[0], np.cumsum(free)])
    low = np.ceil(start[:, None] + AHEAD * ripe_from[:, None] * PACES)
    high = np.floor(start[:, None] + ripe_until[:, None] * PACES) + 1
    beyond = high > len(free)
    first, last = (np.clip(each, 0, len(free)).astype(np.intp) for each in (low, high))
    return np.asarray((counted[last] > counted[first]) | beyond)
