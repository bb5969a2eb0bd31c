"""Change a culture to another flour or hydration: the feeds, and what is left of the old."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, log

from pointage.errors import InputError
from pointage.language import say
from pointage.rounding import round_to_total

GONE = Fraction(1, 100)
"""A hundredth of the old left passes for a changed culture: ours."""
MOST_FEEDS = 30


@dataclass(frozen=True, slots=True)
class Made:
    """What a culture is made of. flours: shares by kind, 1 in all; hydration: water over flour."""

    flours: Mapping[str, Fraction]
    hydration: Fraction


@dataclass(frozen=True, slots=True)
class ChangeFeed:
    """One feed on the way: grams of what is kept and added, and what it is made of then.

    old: share of the first mass still in it. reached: whether the hydration is the wanted one.
    """

    number: int
    keep_g: Fraction
    flours_g: Mapping[str, Fraction]
    water_g: Fraction
    made: Made
    old: Fraction
    reached: bool


def remaining(keep_shares: Iterable[Fraction]) -> tuple[Fraction, ...]:
    """Share of the first mass that is left after each feed: the product of the shares kept.

    Keeping the same share k, that is the geometric series' k, k², k³ …
    """
    left = Fraction(1)
    found = []
    for share in keep_shares:
        left *= share
        found.append(left)
    return tuple(found)


def feeds_until(keep_share: Fraction, left: Fraction = GONE) -> int:
    """Feeds after which no more than `left` of the first mass remains, n = ⌈ln left / ln k⌉.

    Raises InputError for a share that is not between 0 and 1.
    """
    if not 0 < keep_share < 1:
        raise InputError("keep", f"{float(keep_share):.3g}", say("a share between 0 and 1"))
    feeds = ceil(log(left) / log(keep_share) - 1e-9)
    while keep_share**feeds > left:
        feeds += 1
    return feeds


def change(
    now: Made,
    wanted: Made,
    *,
    keep_share: Fraction,
    total_g: Fraction,
    step_g: Fraction = Fraction(1),
    feeds: int | None = None,
) -> tuple[ChangeFeed, ...]:
    """The feeds that turn a culture `now` into one `wanted`, each making `total_g` in all.

    keep_share: of the whole after the feed, kept from before it. feeds: how many; enough to leave a
    hundredth of the old when not given. Each feed adds the new flour and the water that makes the
    whole the wanted hydration, or none where it is too wet already. Raises InputError.
    """
    count = feeds_until(keep_share) if feeds is None else feeds
    if not 1 <= count <= MOST_FEEDS:
        expected = say("1 to {most}, or a smaller seed", most=MOST_FEEDS)
        raise InputError("feeds", count, expected)
    left = remaining([keep_share] * count)
    made, found = now, []
    for number in range(1, count + 1):
        keep = keep_share * total_g
        kept_flour = keep / (1 + made.hydration)
        flour = total_g / (1 + wanted.hydration) - kept_flour
        fresh = total_g - keep
        flour = min(flour, fresh)
        if flour <= 0:
            raise InputError(
                "keep", f"{float(keep_share):.0%}", say("a smaller share, to leave room for flour")
            )
        parts = {f"flour {kind}": flour * share for kind, share in wanted.flours.items()}
        rounded = round_to_total({"keep": keep, **parts, "water": fresh - flour}, step_g)
        flours_g = {kind: rounded[f"flour {kind}"] for kind in wanted.flours}
        made = _made(made, rounded["keep"], flours_g, rounded["water"])
        reached = abs(made.hydration - wanted.hydration) <= Fraction(2, 100) * wanted.hydration
        found.append(
            ChangeFeed(
                number, rounded["keep"], flours_g, rounded["water"], made, left[number - 1], reached
            )
        )
    return tuple(found)


def _made(
    before: Made, keep_g: Fraction, flours_g: Mapping[str, Fraction], water_g: Fraction
) -> Made:
    """What a culture is made of after a feed."""
    kept_flour = keep_g / (1 + before.hydration)
    grams = {kind: kept_flour * share for kind, share in before.flours.items()}
    for kind, fresh in flours_g.items():
        grams[kind] = grams.get(kind, Fraction()) + fresh
    flour = sum(grams.values(), Fraction())
    shares = {kind: mass / flour for kind, mass in grams.items()}
    return Made(shares, (keep_g - kept_flour + water_g) / flour)
