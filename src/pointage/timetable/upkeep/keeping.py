"""The feed that keeps a culture, right after a build has taken from it, within the build's time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from pointage.culture.life import (
    PUT_BACK,
    Built,
    Fed,
    Life,
    after,
)
from pointage.formula.ladder import (
    Pour,
    PourKind,
    PourState,
)
from pointage.kitchen.culture_state import life_of, place_of
from pointage.kitchen.kitchen import CultureAtHand
from pointage.kitchen.pours import pouring
from pointage.kitchen.vessel import Vessel, VesselUse
from pointage.mixture.mixture import raw
from pointage.mixture.temperature.temper import Tempered, temper
from pointage.timetable.plan import Feed, Keeping
from pointage.timetable.problem import Problem, wanted_c
from pointage.timetable.ways import bands
from pointage.timetable.ways.amounts import Amounts, seed_grams
from pointage.timetable.ways.levains import FEED_MINUTES
from pointage.timetable.ways.stands import CULTURE_GROWS

IN_JAR = (VesselUse.JAR, VesselUse.TUB)


def keeping(problem: Problem, amounts: Amounts, run: bands.Run) -> Keeping | None:
    """The feed of what the first build leaves; None of a culture that nobody knows how to keep.

    Its amounts are those that the culture's life assumes where nobody records the feed
    (culture/keeping.py), for what will be left once it was woken and built from as planned.
    """
    waking = len(amounts.feeds)
    fed = _life_after(problem, amounts, [each.at for each in run.feeds])
    stand = fed.stands[-1]
    if not stand.assumed or fed.unfed is None:
        return None
    feed, left = stand.fed, fed.unfed[0].mass_g
    place = place_of(problem.kitchen, stand.places[0][1])
    mixed = _mixed(problem, run, feed, wanted_c(None, place, feed.at))
    state = PourState.RIPE if waking else PourState.PLAIN
    pours = [
        Pour(PourKind.CULTURE, problem.culture.name, _weighed(feed.seed_g), state=state),
        Pour(
            PourKind.INGREDIENT,
            "water",
            _weighed(feed.water_g),
            temperature_c=round(mixed.water_c, 1),
        ),
        *(Pour(PourKind.INGREDIENT, kind, _weighed(g)) for kind, g in feed.flours_g.items()),
    ]
    moves = [(at - PUT_BACK, name) for at, name in stand.places[1:]]
    moved, then = moves[-1] if moves else (None, "")
    return Keeping(
        ladder=pouring(problem.kitchen, _jar(problem, feed.mass_g), pours),
        discard_g=_weighed(max(left - feed.seed_g, 0.0)),
        place=place.name,
        mixture_temperature_c=round(mixed.mixture.temperature_c, 1),
        then=then,
        moved=moved,
    )


def _weighed(grams: float) -> float:
    """Finer than any scale of a kitchen: the display is rounded once, the feed is not."""
    return round(grams, 3)


def _jar(problem: Problem, grams: float) -> Vessel:
    """The culture's own jar, where one is named after it, else the smallest that will hold it."""
    name, litres = problem.culture.name.casefold(), grams / 1000 * CULTURE_GROWS
    kitchen = problem.kitchen
    for vessel in kitchen.vessels:
        if name in vessel.name.casefold() and vessel.takes(litres, grams):
            return vessel
    return kitchen.vessel_for(IN_JAR, litres, grams)


def kept_after(problem: Problem, amounts: Amounts, feeds: Sequence[Feed]) -> CultureAtHand:
    """The culture as a later bake finds it: woken and built from as planned, and fed to be kept."""
    life = _life_after(problem, amounts, [each.at for each in feeds])
    return replace(problem.culture, life=life)


def _life_after(problem: Problem, amounts: Amounts, feeds: Sequence[datetime]) -> Life:
    """The culture's life once its waking feeds and the first build were done as planned."""
    life = life_of(problem.culture)
    for grams, at in zip(amounts.feeds, feeds, strict=False):
        fresh = {k: float(g) for k, g in grams.items() if k not in ("seed", "water") and g}
        seed, water = float(grams["seed"]), float(grams["water"])
        life = after(life, Fed(_done(at), seed, fresh, water, for_bake=True))
    built = _done(feeds[len(amounts.feeds)])
    return after(life, Built(built, float(seed_grams(amounts.builds[0])) + amounts.besides_g))


def _mixed(problem: Problem, run: bands.Run, feed: Fed, wanted: float) -> Tempered:
    record = problem.kitchen.record(feed.flours_g)
    dry = raw(feed.flours_g, celsius=problem.room_c(feed.at), record=record)
    return temper([run.left.scaled(feed.seed_g), dry], feed.water_g, wanted)


def _done(at: datetime) -> datetime:
    return at + timedelta(minutes=FEED_MINUTES)
