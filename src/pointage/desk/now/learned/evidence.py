"""What is learned from: bakes as they were recorded, and stands of a culture as they were held."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from pointage.desk.answers import Bake
from pointage.desk.now.bakes.at_once import read_before
from pointage.desk.now.bakes.record import BakeRecord
from pointage.desk.now.bakes.watch import histories
from pointage.desk.now.cultures.between_feeds import SeenStand, history_of
from pointage.errors import PointageError
from pointage.kitchen.culture_state import REMEMBERED, at_hand_of
from pointage.kitchen.kitchen import Kitchen
from pointage.mixture.learning.update import Watched

Seen = BakeRecord | SeenStand

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Evidence:
    """All that something is learned from: what is the same, field for field, teaches the same.

    A bake is not put to the engine for this. twice: entries whose readings count elsewhere.
    """

    each: tuple[Bake | Watched, ...]
    twice: frozenset[str] = frozenset()

    def watched(self) -> list[Watched]:
        """What was seen, each reading once."""
        found: list[Watched] = []
        for each in self.each:
            if isinstance(each, Watched):
                found.append(each)
                continue
            try:
                found += histories(each, self.twice)
            except PointageError as error:
                log.warning("nothing is learned of bake %s: %s", each.key, error)
        return found


def evidence_of(
    seen: Sequence[Seen],
    through: Callable[[datetime], Kitchen],
    but: frozenset[str] = frozenset(),
) -> Evidence:
    """What was seen, as it is learned from. through: as of `Learning`. but: as `Evidence.twice`."""
    return Evidence(
        tuple(each.bake if isinstance(each, BakeRecord) else _held(each, through) for each in seen),
        but | read_before(bakes_of(seen)),
    )


def bakes_of(seen: Sequence[Seen]) -> list[Bake]:
    """The bakes among what was seen."""
    return [each.bake for each in seen if isinstance(each, BakeRecord)]


def _held(seen: SeenStand, through: Callable[[datetime], Kitchen]) -> Watched:
    since = seen.life.stands[max(seen.number - 2 * REMEMBERED, 0)].fed.at
    return history_of(seen, at_hand_of(seen.life), through(since))
