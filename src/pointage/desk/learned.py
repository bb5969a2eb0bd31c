"""What the daybook has taught of a culture over all its bakes, and how good its forecasts were."""

from __future__ import annotations

import threading
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
        self._scoring = threading.Lock()
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
        """How good the forecasts of a culture's mixes were, each from those before; None: none.

        That takes seconds after months of bakes. So what it was before the last news is told until
        the new is worked out beside, and nothing while the first is.
        """
        seen = _seen(bakes, culture, "")
        told, kept = _told(seen), self._scores.get(culture)
        if kept is not None and kept[0] == told:
            return kept[1]
        if kept is None:
            return self._score(culture, told, seen)
        arguments = (culture, told, seen)
        threading.Thread(target=self._score, args=arguments, daemon=True).start()
        return kept[1]

    def _score(self, culture: str, told: _Told, seen: Iterable[Bake]) -> Scores | None:
        """Work the scores out, unless that is going on; then what was known before."""
        if not self._scoring.acquire(blocking=False):
            kept = self._scores.get(culture)
            return None if kept is None else kept[1]
        try:
            watched = _watched(seen)
            found = scores(watched, SEED) if watched else None
            self._scores[culture] = (told, found)
            return found
        finally:
            self._scoring.release()


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
