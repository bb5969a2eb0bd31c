"""What is seen of a young culture, and how well it agrees with each member of an ensemble."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from pointage.bounds import PH, RISE
from pointage.culture.young import RISES, Floats, YoungDay
from pointage.data import load
from pointage.errors import InputError
from pointage.language import say

TURNED_PH = 5.0
"""Sour enough that the early flora has lost: it is hardly seen to grow below (kinetics.toml)."""
RISE_SPREAD = 0.15  # of the logarithm of (rise − 1) + a tenth, as read off a tub: ours
BY_EYE_SPREAD = 0.5  # of the same logarithm, of a rise that was only looked at: ours
PH_SPREAD = 0.15  # of a strip or a cheap meter: ours
STRAY = 0.02  # odds that a sign was misread: ours
TELLING_H = 8.0  # before, a nose and an eye say more of the day before: ours


class Phase(StrEnum):
    """Where a young culture is on its way."""

    QUIET = "quiet"
    FALSE_START = "false-start"
    SOURING = "souring"
    WAKING = "waking"
    STRONG = "strong"


KINDS = (Phase.QUIET, Phase.FALSE_START, Phase.SOURING, Phase.WAKING)
"""What a day can be to one member, in the order of data/raising.toml."""


@dataclass(frozen=True, slots=True)
class Sign:
    """What was seen of a day: the rise, the pH, or words for it.

    hours: after the feed that began it; None for its end, the rise then its highest. sure: it was
    asked about and was so. words: of a nose or an eye (data/raising.toml); one that is
    not known there says nothing of the day.
    """

    day: int
    rise: float | None = None
    ph: float | None = None
    sure: bool = False
    words: tuple[str, ...] = ()
    hours: float | None = None


def kinds_of(day: YoungDay) -> NDArray[np.int64]:
    """Which of KINDS the day is to each member."""
    rise, sour = day.peak_rise, day.ph <= TURNED_PH
    fresh = np.where(rise >= RISES, 1, 0)
    return np.where(sour, np.where((day.yeast > 0.5) & (rise >= RISES), 3, 2), fresh)


def weighed(day: YoungDay, weights: Floats, signs: Sequence[Sign]) -> Floats:
    """The members' weights after the day's signs, each of which may be misread, the sure aside."""
    for sign in signs:
        for agrees in fits(day, sign):
            # As logarithms: one that is sure may lie beyond all members.
            with np.errstate(divide="ignore"):
                logs = np.log(weights) + (
                    agrees if sign.sure else np.logaddexp(agrees, np.log(STRAY))
                )
            weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def fits(day: YoungDay, sign: Sign) -> Iterator[Floats]:
    """Log of how well each member's day agrees with what was seen, 0 at best: rise, then pH."""
    if sign.rise is not None:
        highest = day.peak_rise if sign.hours is None else day.risen_by(sign.hours)
        gap = np.log(highest - 0.9) - np.log(max(sign.rise - 0.9, 0.05))
        yield -0.5 * (gap / RISE_SPREAD) ** 2
    if sign.ph is not None:
        ph = day.ph if sign.hours is None else day.ph_at(sign.hours)
        yield -0.5 * ((ph - sign.ph) / PH_SPREAD) ** 2
    known = load("raising.toml")
    early = sign.hours is not None and sign.hours < TELLING_H
    for word in () if early else sign.words:
        if word in known["rise_words"]:
            highest = day.peak_rise if sign.hours is None else day.risen_by(sign.hours)
            gap = np.log(highest - 0.9) - np.log(known["rise_words"][word] - 0.9)
            yield -0.5 * (gap / BY_EYE_SPREAD) ** 2
        for sense, of in (("smell", "smell_words"), ("bubbles", "bubble_words")):
            if word in known[of]:
                odds = np.log(known[sense][known[of][word]])
                yield (odds - odds.max())[kinds_of(day)]


def check_sign(sign: Sign) -> None:
    if sign.rise is not None:
        RISE.check(sign.rise, "rise")
    if sign.ph is not None:
        PH.check(sign.ph, "pH")
    if sign.day < 1:
        raise InputError("day", sign.day, say("1 or later"))
