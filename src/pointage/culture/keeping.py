"""The feed that keeps a culture at the mass it is kept at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class FeedBack:
    """A feed back up to the mass that is kept, in exact grams.

    seed_g: carried over. flours, water_g: fresh. discard_g: culture left over.
    """

    seed_g: Fraction
    flours: Mapping[str, Fraction]
    water_g: Fraction
    discard_g: Fraction


def feed_back(
    flours: Mapping[str, Fraction],
    hydration: Fraction,
    kept_g: Fraction,
    seed_share: Fraction,
    there_g: Fraction,
) -> FeedBack:
    """The feed that keeps a culture: F = M / (s + 1 + h), seed s·F, flour F, water h·F.

    M: kept_g, the mass that is kept; s: seed_share, seed over fresh flour; h: hydration, water over
    flour; flours: shares, 1 in all; there_g: what there is of it before the feed. With less there
    than the seed all of it is carried over, and fresh flour and water make up the mass. Grams, each
    nought or more. Mass balance; no source is needed.
    """
    seed = min(seed_share * kept_g / (seed_share + 1 + hydration), there_g)
    flour = (kept_g - seed) / (1 + hydration)
    return FeedBack(
        seed_g=seed,
        flours={kind: flour * part for kind, part in flours.items()},
        water_g=flour * hydration,
        discard_g=there_g - seed,
    )
