"""When a baker comes to a mixture: at the time that one reading of it leads her to expect.

She looks at the moment at which a fifth of what may be has come to it, or at bedtime before. If it
has, she takes it. Else the reading says which of the courses she believes in it may be, and so when
she comes back. What has not come to it by then she waits for; what had come before, she finds late.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pointage.mixture.learning.observation import RISE_ERROR
from pointage.mixture.learning.surface import FREEDOM
from pointage.timetable.baker.quarters import Quarters

Floats = NDArray[np.float64]
Steps = NDArray[np.intp]

LOOK_MIN = 5.0
MEMORY = 0.7
A_FIFTH = 20
"""She looks when so many in 100 of what she believes have come to it. Later is too late for the
quick; sooner, she stands by it for longer (docs/decisions/0050)."""
COMES_BACK = 0.1
"""She comes back when so much of what she believes has come to it, and then stays by it (ours)."""
UNLIKE = 2.0
"""Of the logarithm of a course that would have come by the look, where hers has not (ours)."""


@dataclass(frozen=True, eq=False)
class Believed:
    """What a baker believes of a mixture: equally likely courses. rise: (members, rows).

    comes: rows after which each is as wanted.
    """

    rise: Floats
    comes: Steps

    @property
    def look(self) -> int:
        """The row at which she looks."""
        return max(1, int(np.percentile(self.comes, A_FIFTH)))


@dataclass(frozen=True, eq=False)
class FoundAt:
    """When each member's baker comes to a mixture, as rows of its course, and what she read there.

    look: where she looked, 0 for one who did not; at_look, at_last: the rises that she read there
    and as she acted. logs: logarithms of the weights she then gives to what she believed. Of one
    who sees all there are rows alone.
    """

    rows: Steps
    look: Steps | None = None
    at_look: Floats | None = None
    at_last: Floats | None = None
    logs: Floats | None = None


def found_at(
    quarters: Quarters,
    start: Steps,
    rise: Floats,
    comes: Steps,
    known: Believed | None,
    *,
    learned: Floats | None,
    seed: int,
) -> FoundAt:
    """When each member's mixture is found to be as wanted, and what its baker then believes.

    comes: rows after which it is. known: None for a baker who never takes her eyes off it. learned:
    logarithms of the weights that each member's baker gives to those of `known`, from what she
    looked at before.
    """
    if known is None:
        return FoundAt(comes)
    members, last = rise.shape[0], min(rise.shape[1], known.rise.shape[1]) - 1
    rng = np.random.default_rng(seed)
    pick = np.arange(members)
    logs = np.zeros((members, len(known.comes))) if learned is None else MEMORY * learned
    # At bedtime what she would look at in the night; what stands too short a time for that, not.
    look = quarters.last_free(start + _quantile(known.comes, logs, A_FIFTH / 100), LOOK_MIN) - start
    looks, look = look > 0, np.clip(look, 1, last)
    reading = rise[pick, look] + RISE_ERROR * rng.standard_t(FREEDOM, members)
    come, gone = comes <= look, known.comes[None, :] <= look[:, None]
    fit = _log_fit(known.rise[:, look].T, reading) - UNLIKE * (~come[:, None] & gone)
    logs = logs + looks[:, None] * fit
    back = np.maximum(_quantile(known.comes, logs, COMES_BACK), np.where(looks, look, 1))
    found = np.where(looks & come, look, np.maximum(back, comes))
    acts = np.clip(found, 1, last)
    again = rise[pick, acts] + RISE_ERROR * rng.standard_t(FREEDOM, members)
    logs = logs + _log_fit(known.rise[:, acts].T, again)
    return FoundAt(found, np.where(looks, look, 0), reading, again, logs)


def _log_fit(rise: Floats, reading: Floats) -> Floats:
    gaps = (rise - reading[:, None]) / RISE_ERROR
    return np.asarray(-0.5 * (FREEDOM + 1) * np.log1p(gaps**2 / FREEDOM))


def _quantile(comes: Steps, logs: Floats, share: float) -> Steps:
    """The row by which so much of what each baker believes has come."""
    order = np.argsort(comes, kind="stable")
    weights = np.exp(logs - logs.max(axis=1, keepdims=True))[:, order]
    reached = np.cumsum(weights, axis=1)
    found = (reached < share * reached[:, -1:]).sum(axis=1)
    return np.asarray(comes[order][np.minimum(found, len(order) - 1)])
