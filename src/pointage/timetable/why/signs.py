"""What a baked loaf can show, and how often each cause makes it show that.

Which cause makes which sign is common practice, no source. The odds are ours: they order the causes
that practice names, and say nothing finer.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class BreadSign(StrEnum):
    """What can be seen, felt or tasted of bread that did not come out as it should."""

    DENSE = "dense"
    GUMMY = "gummy"
    FLAT = "flat"
    TUNNELS = "tunnels"
    PALE = "pale"
    DARK = "dark"
    BURST = "burst"
    TOO_SOUR = "too sour"
    NOT_SOUR = "not sour"
    STALES = "stales soon"


class CauseKind(StrEnum):
    """The one thing that may have gone wrong."""

    SHORT_BULK = "short bulk"
    LONG_BULK = "long bulk"
    COLD_DOUGH = "cold dough"
    WARM_DOUGH = "warm dough"
    COLD_PLACE = "cold place"
    WARM_PLACE = "warm place"
    YOUNG_LEVAIN = "young levain"
    OLD_LEVAIN = "old levain"
    SLOW_CULTURE = "slow culture"
    QUICK_CULTURE = "quick culture"
    SHORT_PROOF = "short proof"
    LONG_PROOF = "long proof"
    COOL_OVEN = "cool oven"
    HOT_OVEN = "hot oven"
    SHORT_BAKE = "short bake"
    LONG_BAKE = "long bake"
    NO_STEAM = "no steam"


SELDOM = 0.04
"""A sign seen though its cause is not there: a rare mark on a loaf that is otherwise as it was."""

_S = BreadSign
_TOO_LITTLE = {_S.DENSE: 0.7, _S.TUNNELS: 0.4, _S.GUMMY: 0.35, _S.BURST: 0.35, _S.NOT_SOUR: 0.35}
_TOO_MUCH = {_S.FLAT: 0.7, _S.TOO_SOUR: 0.5, _S.PALE: 0.3, _S.DENSE: 0.2}

SHOWS: Mapping[CauseKind, Mapping[BreadSign, float]] = {
    CauseKind.SHORT_BULK: _TOO_LITTLE,
    CauseKind.COLD_DOUGH: _TOO_LITTLE,
    CauseKind.COLD_PLACE: _TOO_LITTLE,
    CauseKind.SLOW_CULTURE: _TOO_LITTLE,
    CauseKind.YOUNG_LEVAIN: _TOO_LITTLE | {_S.NOT_SOUR: 0.5},
    CauseKind.LONG_BULK: _TOO_MUCH,
    CauseKind.WARM_DOUGH: _TOO_MUCH,
    CauseKind.WARM_PLACE: _TOO_MUCH,
    CauseKind.QUICK_CULTURE: _TOO_MUCH,
    CauseKind.OLD_LEVAIN: {_S.TOO_SOUR: 0.7, _S.FLAT: 0.45, _S.DENSE: 0.35, _S.PALE: 0.25},
    CauseKind.SHORT_PROOF: {_S.BURST: 0.7, _S.DENSE: 0.45, _S.TUNNELS: 0.35, _S.GUMMY: 0.15},
    CauseKind.LONG_PROOF: {_S.FLAT: 0.7, _S.PALE: 0.35, _S.TOO_SOUR: 0.3, _S.DENSE: 0.15},
    CauseKind.COOL_OVEN: {_S.PALE: 0.7, _S.FLAT: 0.4, _S.GUMMY: 0.35, _S.DENSE: 0.25},
    CauseKind.HOT_OVEN: {_S.DARK: 0.85, _S.GUMMY: 0.4, _S.BURST: 0.25},
    CauseKind.SHORT_BAKE: {_S.GUMMY: 0.75, _S.PALE: 0.55},
    CauseKind.LONG_BAKE: {_S.DARK: 0.6, _S.STALES: 0.6},
    CauseKind.NO_STEAM: {_S.BURST: 0.6, _S.PALE: 0.5},
}
"""How often each cause shows each sign; SELDOM where none is given."""


def chance(signs: frozenset[BreadSign], cause: CauseKind | None) -> float:
    """How likely exactly these signs are: under a cause, or under none (a good loaf).

    Each sign is taken to come by itself. Dimensionless, 0 to 1.
    """
    shows = {} if cause is None else SHOWS[cause]
    found = 1.0
    for sign in BreadSign:
        often = shows.get(sign, SELDOM)
        found *= often if sign in signs else 1 - often
    return found
