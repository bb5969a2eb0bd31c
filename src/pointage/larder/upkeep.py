"""What keeping a culture takes out of the stores, and what of it is discarded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.culture.keeping import FeedBack, feed_back
from pointage.kitchen.kitchen import CultureAtHand

REST = timedelta(days=7)
"""How long a chilled culture goes without a feed: once a week, common practice, no source."""


@dataclass(frozen=True, slots=True)
class Discard:
    """Discarded culture: its grams, its hydration (water over flour) and its flours by share."""

    culture: str
    grams: Fraction
    hydration: Fraction
    flours: Mapping[str, Fraction]

    @property
    def flour_g(self) -> dict[str, Fraction]:
        """Grams of each flour in it."""
        flour = self.grams / (1 + self.hydration)
        return {kind: flour * share for kind, share in self.flours.items()}


def upkeep(culture: CultureAtHand, at_hand_g: Fraction | None = None) -> FeedBack:
    """The feed that keeps a culture at its mass. at_hand_g: what there is of it, else that mass."""
    kept = _exact(culture.kept_g)
    return feed_back(
        flour_shares(culture),
        _exact(culture.hydration),
        kept,
        _exact(culture.seed_share),
        kept if at_hand_g is None else at_hand_g,
    )


def flour_shares(culture: CultureAtHand) -> dict[str, Fraction]:
    """The culture's flours as exact shares that sum to 1."""
    parts = {kind: _exact(part) for kind, part in culture.flours.items()}
    whole = sum(parts.values(), Fraction())
    return {kind: part / whole for kind, part in parts.items()}


def discard_of(culture: CultureAtHand, grams: Fraction) -> Discard:
    """So many grams of this culture, discarded."""
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
