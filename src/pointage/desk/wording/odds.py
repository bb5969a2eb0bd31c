"""Odds in words, with the number beside; and how far a look narrows a forecast."""

from __future__ import annotations

from datetime import timedelta

from pointage.language import mark, say
from pointage.quantities import print_duration

WORTH_CASES = 30
"""The members of an ensemble share one engine and one idea of the kitchen: together they are worth
about so many cases seen (ours). By the rule of succession odds then end at 3 and 97 in 100."""
WORDS = (
    (95, mark("nearly sure")),
    (70, mark("likely")),
    (60, mark("more likely than not")),
    (40, mark("an even chance")),
    (10, mark("unlikely")),
    (0, mark("hardly likely")),
)
"""From so many in 100 on; ours."""
LIKELY = 70
TO_MIN = 5


def in_hundred(share: float) -> int:
    """The odds to be shown of what a share of the members say: (k + 1) / (n + 2), in 100."""
    return round(100 * (WORTH_CASES * share + 1) / (WORTH_CASES + 2))


def is_likely(share: float) -> bool:
    """Whether it may stand in the colour of what is well."""
    return in_hundred(share) >= LIKELY


def odds_words(share: float) -> str:
    """ "likely (81 in 100)"."""
    shown = in_hundred(share)
    word = next(word for least, word in WORDS if shown >= least)
    return say("{odds} ({number} in 100)", odds=say(word), number=shown)


def narrowed(before: timedelta, after: timedelta) -> str:
    """ "± 70 min becomes ± 25 min", to five minutes."""
    wide, narrow = (
        _length(max(round(each / timedelta(minutes=TO_MIN)), 1) * TO_MIN)
        for each in (before, after)
    )
    return say("± {wide} becomes ± {narrow}", wide=wide, narrow=narrow)


def _length(minutes: int) -> str:
    if minutes < 100:
        return say("{minutes} min", minutes=minutes)
    return print_duration(timedelta(minutes=minutes))
