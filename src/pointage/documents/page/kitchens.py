"""Other kitchens, as arrays: what a reader of a shared formula may set of theirs."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

WARMEST_AT = 15.0
"""The hour of the clock at which a kitchen is warmest: common practice, no source."""


@dataclass(frozen=True, eq=False)
class OtherKitchens:
    """One value a kitchen of each.

    stands_c: mean of the place of levain and dough, swing_k: half of what it moves through in a
    day, °C. fridge_c: °C. pace: doubling times of its culture's cells over the usual (2 is half as
    fast). batch_kg: of dough. taken: where in its ripe window the levain is taken, 0 to 1.
    fed_at: the hour of the clock at which the (last) levain is fed.
    """

    stands_c: Floats
    swing_k: Floats
    fridge_c: Floats
    pace: Floats
    batch_kg: Floats
    taken: Floats
    fed_at: Floats

    def __len__(self) -> int:
        return len(self.stands_c)

    def repeated(self, times: int) -> OtherKitchens:
        """Each of them so many times, one after the other."""
        return OtherKitchens(*(np.repeat(getattr(self, f.name), times) for f in fields(self)))

    def some(self, chosen: slice) -> OtherKitchens:
        """Some of them."""
        return OtherKitchens(*(getattr(self, f.name)[chosen] for f in fields(self)))

    def with_fridge(self, celsius: Floats) -> OtherKitchens:
        """The same with other fridges."""
        return replace(self, fridge_c=celsius)

    def around(self, since_h: Floats, clock: Floats) -> Floats:
        """°C of the place of the dough, (kitchens, rows): since_h after the feed, then by clock.

        T = mean + swing·cos(2π (hour − WARMEST_AT)/24)
        """
        hour = (self.fed_at + since_h)[:, None] + clock[None, :]
        wave = np.cos(2 * np.pi * (hour - WARMEST_AT) / 24)
        return np.asarray(self.stands_c[:, None] + self.swing_k[:, None] * wave)


def steady(
    stands_c: Floats, pace: Floats, batch_kg: Floats, taken: float | Floats = 0.5
) -> OtherKitchens:
    """Kitchens whose place keeps its temperature, every combination given row by row."""
    count = len(stands_c)
    return OtherKitchens(
        stands_c=stands_c,
        swing_k=np.zeros(count),
        fridge_c=np.full(count, 5.0),
        pace=pace,
        batch_kg=batch_kg,
        taken=np.broadcast_to(np.asarray(taken, dtype=np.float64), count),
        fed_at=np.zeros(count),
    )
