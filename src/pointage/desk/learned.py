"""What the daybook has taught of a culture, over all its bakes."""

from __future__ import annotations

from collections.abc import Iterable

from pointage.desk.answers import Bake
from pointage.desk.watch import SEED, histories
from pointage.mixture.learning import Posterior, learn

LATEST = 12
"""So many bakes with something seen are learned from, the latest: a culture changes over months."""


def learned(bakes: Iterable[Bake], culture: str, but: str = "") -> Posterior | None:
    """Beliefs about a culture from its bakes, but for the one called `but`; None: nothing seen."""
    told = [
        bake
        for bake in sorted(bakes, key=lambda each: each.plan.ready)
        if bake.plan.culture == culture
        and bake.key != but
        and any(news.readings for news in bake.news.values())
    ]
    watched = [each for bake in told[-LATEST:] for each in histories(bake)]
    return learn(None, watched, SEED) if watched else None
