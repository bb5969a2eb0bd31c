"""How much hotter an oven bakes than it says, learned from bakes that were measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pointage.errors import Complaint, InputError
from pointage.heat.baking import LoafInOven, baked_for
from pointage.language import say

PRIOR_SD_K = 15.0  # ovens are off by some 10 to 20 K either way: common practice, no source
CORE_SD_K = 2.0  # a probe that is not quite in the core, and the model there (ours)
LOSS_SD = 0.012  # of the dough's mass: the scale is exact, the model is not (ours)
FARTHEST_K = 60.0
COARSE = 13  # offsets that are calculated; between them the course is smooth
FINE = 481


@dataclass(frozen=True, slots=True)
class MeasuredBake:
    """A bake that was measured: as it was set, its minutes, and a core (°C) or a loss (share)."""

    what: LoafInOven
    minutes: float
    core_c: float | None = None
    loss: float | None = None


@dataclass(frozen=True, slots=True)
class OwnOven:
    """The offset in K and its standard deviation; how many bakes it rests on."""

    offset_k: float
    spread_k: float
    bakes: int


def own_oven(measured: Sequence[MeasuredBake]) -> OwnOven:
    """The offset of the oven that made these bakes, by Bayes over a grid of offsets.

    The prior is 0 ± 15 K; each core is read within 2 K and each loss within 1.2 % of the dough.
    Loss says the more of the two: near the end a core has little left to rise, and no oven hurries
    it much. Bakes' own `offset_k` are not counted. Offsets beyond ± 60 K are not looked at.
    Raises InputError for a bake with neither core nor loss.
    """
    import numpy as np

    coarse = np.linspace(-FARTHEST_K, FARTHEST_K, COARSE)
    fine = np.linspace(-FARTHEST_K, FARTHEST_K, FINE)
    misfit = (fine / PRIOR_SD_K) ** 2
    for each in measured:
        if each.core_c is None and each.loss is None:
            raise InputError(
                "bake", Complaint(say("neither core nor loss")), say("one that was measured")
            )
        baked = [baked_for(replace(each.what, offset_k=float(k)), each.minutes) for k in coarse]
        for seen, spread, index in ((each.core_c, CORE_SD_K, 0), (each.loss, LOSS_SD, 1)):
            if seen is not None:
                expected = np.interp(fine, coarse, [row[index] for row in baked])
                misfit = misfit + ((expected - seen) / spread) ** 2
    weight = np.exp(-0.5 * (misfit - misfit.min()))
    weight /= weight.sum()
    offset = float(weight @ fine)
    return OwnOven(offset, float(np.sqrt(weight @ (fine - offset) ** 2)), len(measured))
