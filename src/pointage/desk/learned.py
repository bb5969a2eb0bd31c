"""What the daybook has taught of a culture over all its bakes, and how good its forecasts were."""

from __future__ import annotations

from collections.abc import Iterable

from pointage.desk.answers import Bake
from pointage.desk.watch import SEED, histories
from pointage.mixture.learning import Posterior, Watched, learn
from pointage.mixture.scores import Scores, scores

LATEST = 12
"""So many bakes with something seen are learned from, the latest: a culture changes over months."""
MOST_KEPT = 20

_Told = tuple[tuple[str, str], ...]


class Beliefs:
    """Beliefs about cultures, kept for as long as nothing new is told: learning takes a moment."""

    def __init__(self) -> None:
        self._beliefs: dict[_Told, Posterior | None] = {}
        self._scores: dict[str, tuple[_Told, Scores | None]] = {}

    def of(self, bakes: Iterable[Bake], culture: str, but: str = "") -> Posterior | None:
        """What is believed of a culture from its bakes but the one called `but`; None: nothing."""
        seen = _seen(bakes, culture, but)
        told = _told(seen)
        if told not in self._beliefs:
            watched = _watched(seen)
            if len(self._beliefs) >= MOST_KEPT:
                self._beliefs.pop(next(iter(self._beliefs)))
            self._beliefs[told] = learn(None, watched, SEED) if watched else None
        return self._beliefs[told]

    def foretold(self, bakes: Iterable[Bake], culture: str) -> Scores | None:
        """How good the forecasts of a culture's mixes were, each from those before; None: none."""
        seen = _seen(bakes, culture, "")
        kept = self._scores.get(culture)
        if kept is None or kept[0] != _told(seen):
            watched = _watched(seen)
            kept = (_told(seen), scores(watched, SEED) if watched else None)
            self._scores[culture] = kept
        return kept[1]


def _seen(bakes: Iterable[Bake], culture: str, but: str) -> list[Bake]:
    """The latest bakes of a culture of which something was seen, in the order of their hour."""
    told = [
        bake
        for bake in sorted(bakes, key=lambda each: each.plan.ready)
        if bake.plan.culture == culture
        and bake.key != but
        and any(news.readings for news in bake.news.values())
    ]
    return told[-LATEST:]


def _watched(bakes: Iterable[Bake]) -> list[Watched]:
    return [each for bake in bakes for each in histories(bake)]


def _told(bakes: Iterable[Bake]) -> _Told:
    return tuple((bake.key, repr(sorted(bake.news.items()))) for bake in bakes)
