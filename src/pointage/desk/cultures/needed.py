"""What a culture needs next, ready for hands: its ladder, and what is recorded once it was done."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction

from pointage.culture.raising import Phase, RaisedDay
from pointage.daybook.entry import Entry, EntryKind
from pointage.formula.ladder import Ladder, Pour, PourKind, ladder
from pointage.kitchen.culture_state import place_of
from pointage.kitchen.kitchen import Kitchen, PlaceKind, Vessel
from pointage.kitchen.needs import CultureNeed
from pointage.mixture.mixture import raw
from pointage.mixture.temperature.temper import temper

MIXED_C = (20.0, 28.0)
"""Between these a feed is mixed, whatever its place: common practice, no source."""


def vessel_of(kitchen: Kitchen, culture: str, said: list[Entry]) -> Vessel:
    """What it was last fed in, as the daybook has it, else its jar. said: of this culture."""
    fed = [entry for entry in said if entry.kind is EntryKind.FED and entry.body.get("into")]
    named = str(fed[-1].body["into"]).casefold() if fed else ""
    found = [each for each in kitchen.vessels if each.name.casefold() == named]
    return found[0] if found else kitchen.jar_of(culture)


def need_ladder(
    need: CultureNeed, vessel: Vessel, kitchen: Kitchen, now: datetime
) -> Ladder | None:
    """The readings of its feed, the tare of its vessel counted; None where nothing is fed."""
    feed = need.feed
    if feed is None:
        return None
    pours = [
        Pour(PourKind.CULTURE, need.culture, float(feed.seed_g)),
        Pour(
            PourKind.INGREDIENT, "water", float(feed.water_g),
            temperature_c=round(
                _water_c(need, kitchen, now) if need.water_c is None else need.water_c, 1
            ),
        ),
        *(Pour(PourKind.INGREDIENT, kind, float(g)) for kind, g in feed.flours_g.items()),
    ]  # fmt: skip
    step = kitchen.scale_for(float(feed.total_g) + vessel.tare_g).step_g
    return ladder(vessel.name, vessel.tare_g, float(step), [pour for pour in pours if pour.grams])


def is_eaten(day: RaisedDay | None) -> bool:
    """Whether its discard may go into food: of a young one not before yeast has woken."""
    return day is None or day.phase in (Phase.WAKING, Phase.STRONG)


def _water_c(need: CultureNeed, kitchen: Kitchen, now: datetime) -> float:
    """Of the water that brings the mix to its place's warmth, within MIXED_C."""
    assert need.feed is not None
    feed, at = need.feed, max(need.at, now)
    place = place_of(kitchen, need.place)
    low, high = MIXED_C
    wanted = min(max(place.mean_c(at, 0.0, 24.0), low), high)
    here = kitchen.room.mean_c(at, 0.0, 24.0)
    fridges = [each for each in kitchen.places if each.kind is PlaceKind.FRIDGE]
    seed_c = fridges[0].mean_c(at, 0.0, 1.0) if need.then and fridges else here
    flours = {kind: float(grams) for kind, grams in feed.flours_g.items()}
    half = float(feed.seed_g / 2)
    parts = [raw(flours, celsius=here, record=kitchen.record(flours))]
    if half:
        parts.append(raw({next(iter(flours)): half}, half, celsius=seed_c))
    return temper(parts, float(feed.water_g or Fraction(1)), wanted).water_c
