"""The lives of the kitchen's cultures: its file, the bakes that were done, and the daybook."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from pointage.culture.life import (
    Began,
    Dried,
    Event,
    Fed,
    Life,
    Moved,
    Renamed,
    Retired,
    Taken,
    lived,
)
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.replay import standing
from pointage.desk.answers import Bake
from pointage.desk.larder_told import exact
from pointage.formula.ingredients import ingredient
from pointage.formula.ladder import PourKind
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.standing import remembered
from pointage.larder.upkeep import upkeep
from pointage.timetable.plan import Step, StepKind

TOLD = frozenset(
    {EntryKind.FED, EntryKind.HELD, EntryKind.POURED_OFF, EntryKind.MIXED, EntryKind.CULTURE}
)
NOT_WASTE = {"kitchen": "the kitchen", "given": "somebody else"}
PUT_BACK = timedelta(minutes=1)
"""After its feed, so that one comes before the other."""


def lives(
    kitchen: Kitchen, entries: Iterable[Entry], bakes: Iterable[Bake], now: datetime
) -> list[Life]:
    """Every culture that the kitchen's file or the daybook knows of, retired ones too."""
    at_hand = {culture.name: culture for culture in kitchen.cultures}
    events: defaultdict[str, list[Event]] = defaultdict(list)
    for name, culture in at_hand.items():
        events[name] += _of_file(culture)
    for bake in bakes:
        kept = at_hand.get(bake.plan.culture)
        if kept is not None:
            events[kept.name] += _of_bake(bake, kept)
    for entry in standing(entries):
        if entry.kind in TOLD and entry.happened <= now:
            for name, event in _of_entry(entry):
                told = event
                if isinstance(event, Began) and event.grams and event.origin is not None:
                    told = _out_of(events[_now_called(events, event.origin)], event)
                events[_now_called(events, name)].append(told)
    return [lived(_begun(each)) for each in events.values()]


def _begun(events: list[Event]) -> list[Event]:
    """The events of a culture; one that was told of before its file's date had begun by then."""
    began = next((event for event in events if isinstance(event, Began)), None)
    first = min(event.at for event in events)
    if began is None or first >= began.at:
        return events
    before = [event for event in events if event is not began]
    return [replace(began, at=first), *before]


def as_lived(kitchen: Kitchen, found: Iterable[Life]) -> Kitchen:
    """The kitchen with its cultures as their lives have left them; those that live no more are
    left out, and such as began in the daybook are there once they were fed."""
    of_file = {culture.name: culture for culture in kitchen.cultures}
    cultures = []
    for life in found:
        file = next((of_file[name] for name in life.names if name in of_file), None)
        as_filed = file is not None and life.stands and life.stands[-1].fed.at == file.fed
        if file is not None and as_filed and len(life.names) == 1:
            told_more = life.mass_g != file.mass_g or life.place != file.place
            if not told_more and life.state == "living":
                cultures.append(file)
                continue
        if life.state == "living" and life.stands and life.place is not None:
            cultures.append(_at_hand(life))
    return replace(kitchen, cultures=tuple(cultures))


def takes(bakes: Iterable[Bake], culture: str) -> list[Taken]:
    """What the bakes in hand are still to take of a culture as it stands, the soonest first."""
    found = []
    for bake in bakes:
        if bake.plan.culture != culture:
            continue
        steps = [s for s in bake.plan.steps if s.kind in (StepKind.FEED, StepKind.BUILD)]
        if steps and bake.told(steps[0].key).done is None:
            seed, _, _ = _poured(bake, steps[0])
            found.append(Taken(steps[0].start, seed, bake.plan.formula))
    return sorted(found, key=lambda taken: taken.at)


def _at_hand(life: Life) -> CultureAtHand:
    last = life.stands[-1]
    first, *moves = last.places
    chilled = moves[-1][0] if moves else first[0]
    return CultureAtHand(
        name=life.name,
        flours=dict(life.flours),
        hydration=life.hydration,
        mass_g=life.mass_g,
        seed_share=last.fed.seed_g / last.fed.flour_g,
        fed=last.fed.at,
        warm_place=first[1],
        warm_hours=(chilled - first[0]) / timedelta(hours=1),
        place=last.places[-1][1],
        life=life,
    )


def _of_file(culture: CultureAtHand) -> list[Event]:
    (stand,) = remembered(culture)
    first, *moves = stand.places
    return [
        Began(
            culture.fed,
            culture.name,
            grams=culture.mass_g,
            flours=culture.flours,
            hydration=culture.hydration,
        ),
        replace(stand.fed, place=first[1]),
        *(Moved(at, place) for at, place in moves if place != first[1]),
    ]


def _of_bake(bake: Bake, culture: CultureAtHand) -> list[Event]:
    """Waking feeds and the build that were done; after the build it is fed up and put back."""
    found: list[Event] = []
    left = culture.mass_g
    for step in bake.plan.steps:
        done = bake.told(step.key).done
        if done is None or step.kind not in (StepKind.FEED, StepKind.BUILD):
            continue
        if step.ladder is not None and step.ladder.pours[0].kind is not PourKind.CULTURE:
            continue  # a later build, from the one before
        seed, flours, water = _poured(bake, step)
        if step.kind is StepKind.FEED:
            celsius = step.mixture_temperature_c
            found.append(Fed(done, seed, flours, water, celsius, step.place))
            left = seed + sum(flours.values()) + water
            continue
        found.append(Taken(done, seed, bake.plan.formula))
        left = max(left - seed, 0.0)
        fed = upkeep(culture, exact(left))
        at = done + PUT_BACK
        fresh = {kind: float(grams) for kind, grams in fed.flours.items()}
        water_g = float(fed.water_g)
        found.append(Fed(at, float(fed.seed_g), fresh, water_g, None, culture.warm_place))
        if culture.place != culture.warm_place:
            found.append(Moved(at + timedelta(hours=culture.warm_hours), culture.place))
    return found


def _poured(bake: Bake, step: Step) -> tuple[float, dict[str, float], float]:
    """Seed, flours by name and water of a feed, as the display told them or as planned."""
    ladder = bake.told(step.key).ladder or step.ladder
    seed, water = 0.0, 0.0
    flours: dict[str, float] = {}
    for pour in () if ladder is None else ladder.pours:
        if pour.kind is PourKind.CULTURE:
            seed += pour.grams
        elif pour.kind is PourKind.INGREDIENT and pour.name == "water":
            water += pour.grams
        elif pour.kind is PourKind.INGREDIENT and ingredient(pour.name).kind == "flour":
            flours[pour.name] = flours.get(pour.name, 0.0) + pour.grams
    return seed, flours, water


def _of_entry(entry: Entry) -> list[tuple[str, Event]]:
    """The events that an entry tells, each with the name of its culture."""
    body, at = entry.body, entry.happened
    name = str(body.get("culture", ""))
    match entry.kind:
        case EntryKind.FED:
            return [(name, _fed(body, at))]
        case EntryKind.HELD if name:
            return [(name, Moved(at, str(body["place"])))]
        case EntryKind.POURED_OFF if name:
            kept_for = NOT_WASTE.get(str(body.get("to")), "")
            return [(name, Taken(at, float(body["grams"]), kept_for))]
        case EntryKind.MIXED:
            parts = [part for part in body["parts"] if part.get("culture")]
            what_for = str(body.get("remark") or body.get("into") or "a mix")
            return [(p["culture"], Taken(at, float(p["grams"]), what_for)) for p in parts]
        case EntryKind.CULTURE:
            return _of_event(body, at, name)
    return []


def _of_event(body: Mapping[str, Any], at: datetime, name: str) -> list[tuple[str, Event]]:
    grams, origin = float(body.get("grams") or 0.0), body.get("origin")
    match body["event"]:
        case "began":
            return [(name, Began(at, name, origin, grams))]
        case "split":
            taken = Taken(at, grams, f"{name}, split off")
            return [(str(origin), taken), (name, Began(at, name, origin, grams))]
        case "renamed":
            return [(str(origin), Renamed(at, name))]
        case "dried":
            return [(name, Dried(at))]
    return [(name, Retired(at))]


def _out_of(events: list[Event], began: Began) -> Began:
    """A culture that began out of another, made of what that was made of then."""
    before = [event for event in events if event.at <= began.at]
    if not before:
        return began
    mother = lived(before)
    return replace(began, flours=mother.flours, hydration=mother.hydration)


def _fed(body: Mapping[str, Any], at: datetime) -> Fed:
    flours: dict[str, float] = {}
    water = 0.0
    for part in body["parts"]:
        kind, grams = part.get("ingredient"), float(part["grams"])
        if kind == "water":
            water += grams
        elif kind is not None and ingredient(kind).kind == "flour":
            flours[kind] = flours.get(kind, 0.0) + grams
    return Fed(
        at, float(body["seed_g"]), flours, water, body.get("temperature_c"), body.get("place")
    )


def _now_called(events: Mapping[str, list[Event]], name: str) -> str:
    """The name under which a culture's events are kept: the first it ever had."""
    for first, told in events.items():
        if any(isinstance(event, Renamed) and event.name == name for event in told):
            return first
    return name
