"""What keeping a culture takes out of the stores, and what of it is poured off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.kitchen.kitchen import CultureAtHand

REST = timedelta(days=7)
"""How long a chilled culture goes without a feed: once a week, common practice, no source."""


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A feed that brings a culture back to the mass that is kept of it, in exact grams.

    seed_g: carried over. flours, water_g: fresh. poured_off_g: culture left over, with what clings
    to tub and spoon.
    """

    seed_g: Fraction
    flours: Mapping[str, Fraction]
    water_g: Fraction
    poured_off_g: Fraction


@dataclass(frozen=True, slots=True)
class Discard:
    """Culture poured off: its grams, its hydration (water over flour) and its flours by share."""

    culture: str
    grams: Fraction
    hydration: Fraction
    flours: Mapping[str, Fraction]

    @property
    def flour_g(self) -> dict[str, Fraction]:
        """Grams of each flour in it."""
        flour = self.grams / (1 + self.hydration)
        return {kind: flour * share for kind, share in self.flours.items()}


def upkeep(culture: CultureAtHand, at_hand_g: Fraction | None = None) -> Upkeep:
    """The feed that keeps a culture: F = M / (s + 1 + h), seed s·F, flour F, water h·F.

    M: the mass that is kept; s: seed over fresh flour; h: hydration. at_hand_g: what is there of
    the culture before the feed, else M. With less at hand than the seed all of it is carried over,
    and fresh flour and water make up the mass. Units: grams.
    """
    mass, hydration = _exact(culture.mass_g), _exact(culture.hydration)
    share = _exact(culture.seed_share)
    at_hand = mass if at_hand_g is None else at_hand_g
    seed = min(share * mass / (share + 1 + hydration), at_hand)
    flour = (mass - seed) / (1 + hydration)
    return Upkeep(
        seed_g=seed,
        flours={kind: flour * part for kind, part in flour_shares(culture).items()},
        water_g=flour * hydration,
        poured_off_g=at_hand - seed,
    )


def flour_shares(culture: CultureAtHand) -> dict[str, Fraction]:
    """The culture's flours as exact shares that sum to 1."""
    parts = {kind: _exact(part) for kind, part in culture.flours.items()}
    whole = sum(parts.values(), Fraction())
    return {kind: part / whole for kind, part in parts.items()}


def discard_of(culture: CultureAtHand, grams: Fraction) -> Discard:
    """So many grams of this culture poured off."""
    return Discard(culture.name, grams, _exact(culture.hydration), flour_shares(culture))


def idle_feeds(fed: datetime, start: datetime, end: datetime) -> list[datetime]:
    """When a culture last fed at `fed` is due for a feed in a span, once for each week of rest."""
    due = max(fed + REST, start)  # one that is overdue is fed at once
    found = []
    while due < end:
        found.append(due)
        due += REST
    return found


def _exact(value: float) -> Fraction:
    """The decimal that was meant, or near enough for a share such as a third."""
    return Fraction(value).limit_denominator(10**6)
