"""The lives of the kitchen's cultures: its file, the bakes that were done, and the daybook."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from pointage.culture.life import (
    Aimed,
    Began,
    Built,
    Dried,
    Event,
    Fed,
    Life,
    Moved,
    Oddity,
    Renamed,
    Retired,
    Stated,
    Taken,
    after,
    begun,
)
from pointage.daybook.entry import Entry, EntryKind
from pointage.desk.answers import Bake
from pointage.desk.now.bakes.bake import done_at
from pointage.desk.now.fold import Key
from pointage.errors import MISSING, InputError
from pointage.formula.ingredients import ingredient
from pointage.formula.ladder import Ladder, PourKind, feed_of
from pointage.kitchen.culture_state import at_hand_of, said_of
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.language import mark, say
from pointage.timetable.plan import Step, StepKind

LIVES_OF = frozenset(
    {EntryKind.FED, EntryKind.HELD, EntryKind.POURED_OFF, EntryKind.MIXED, EntryKind.CULTURE}
)
"""Kinds of entry that say something of what a culture is, or how much there is of it."""
A_MIX = mark("a mix")
PUT_TO_USE = {"kitchen": mark("the kitchen"), "given": mark("somebody else")}


@dataclass(frozen=True, slots=True)
class SplitOff:
    """Some of a culture begins a life of its own."""

    at: datetime
    name: str
    origin: str
    grams: float
    source: str


FIRST = (Began, SplitOff, Renamed)
"""What happens before all else of its instant: a culture that begins is fed at once."""


@dataclass(frozen=True, slots=True)
class NamedEvent:
    """Something that happened to the culture then called `name`."""

    name: str
    event: Event | SplitOff


@dataclass(frozen=True, slots=True)
class Lives:
    """Every culture that was ever known here, by the first name it had, in small letters.

    called: that first name by each name it has had since. stray: what happened to none of them.
    """

    lives: Mapping[str, Life] = field(default_factory=dict)
    called: Mapping[str, str] = field(default_factory=dict)
    stray: tuple[Oddity, ...] = ()

    def named(self, name: str) -> Life | None:
        """The culture that has or had that name."""
        first = self.called.get(name.casefold())
        return None if first is None else self.lives[first]

    @property
    def oddities(self) -> Iterable[Oddity]:
        """All that cannot be, of every culture."""
        yield from self.stray
        for life in self.lives.values():
            yield from life.oddities

    def with_life(self, life: Life) -> Lives:
        """With this life in the place of the one it was."""
        first = life.names[0].casefold()
        known = {name.casefold(): first for name in life.names}
        return replace(self, lives={**self.lives, first: life}, called={**self.called, **known})


def of_file(kitchen: Kitchen) -> tuple[Lives, list[tuple[Key, NamedEvent]]]:
    """The cultures of the kitchen's file before anything happened, and what the file says of each.

    What the daybook says of one before the file's date belongs to it too: it had begun by then.
    """
    lives, events = Lives(), []
    for culture in kitchen.cultures:
        began, said = said_of(culture)
        lives = lives.with_life(begun(began))
        events.append(((culture.fed, 0, culture.name), NamedEvent(culture.name, said)))
    return lives, events


def with_event(lives: Lives, happened: NamedEvent) -> Lives:
    """The lives after one more event."""
    event, known = happened.event, lives.named(happened.name)
    if isinstance(event, SplitOff):
        return _split(lives, event, known)
    if isinstance(event, Began):
        if known is None or known.state == "retired" or known.is_empty or _is_to_come(known):
            return lives.with_life(begun(_out_of(lives, event)))
    elif isinstance(event, Stated) and (known is None or known.state == "retired"):
        known = begun(Began(event.at, happened.name, habit=event.stand))  # another of that name
    elif known is None:
        if not isinstance(event, Fed) or event.for_bake:
            return _strayed(lives, event.at, event.source, happened.name)
        known = begun(Began(event.at, happened.name, source=event.source))  # brought from elsewhere
    return lives.with_life(after(known, event))


def _is_to_come(life: Life) -> bool:
    """Whether the kitchen's file alone has it, as of later: this is another of its name."""
    return life.habit is not None and not life.stands


def _split(lives: Lives, event: SplitOff, mother: Life | None) -> Lives:
    """Its part is taken out of the mother; no more can be than there is of her."""
    if mother is None:
        return _strayed(lives, event.at, event.source, event.origin)
    taken = Taken(event.at, event.grams, f"{event.name}, split off", source=event.source)
    left = after(mother, taken)
    lives = lives.with_life(left)
    if len(left.oddities) > len(mother.oddities):
        return lives
    child = Began(event.at, event.name, event.origin, event.grams, source=event.source)
    return with_event(lives, NamedEvent(event.name, child))


def _strayed(lives: Lives, at: datetime, source: str, name: str) -> Lives:
    known = ", ".join(life.name for life in lives.lives.values()) or say("none is kept yet")
    odd = Oddity(
        at, source, "culture", repr(name), say("a culture of this kitchen: {known}", known=known)
    )
    return replace(lives, stray=(*lives.stray, odd))


def _out_of(lives: Lives, event: Began) -> Began:
    """A culture that begins out of another is made of what that is made of, and stands beside it.

    Its feeds are the mother's until it has its own.
    """
    mother = None if event.origin is None else lives.named(event.origin)
    if mother is None or not event.grams:
        return event
    return replace(event, flours=mother.flours, hydration=mother.hydration, stands=mother.stands)


def events_of_bake(bake: Bake) -> list[tuple[Key, NamedEvent]]:
    """What a bake did to its culture: waking feeds, and the levain that was built of it."""
    culture = bake.plan.culture
    found = []
    for number, step in enumerate(bake.plan.steps):
        done = done_at(bake, step)
        if done is None or not _takes_of_culture(step):
            continue
        seed, flours, water = feed_of(_ladder(bake, step))
        event: Event
        if step.kind is StepKind.FEED:
            celsius = step.mixture_temperature_c
            event = Fed(done, seed, flours, water, celsius, step.place, for_bake=True)
        else:
            kept, weighed = _kept(bake, step, done)
            event = Built(done, seed, bake.plan.formula, bake.key, kept, weighed)
        # Done at one instant, they were done in the order of the plan.
        found.append(((done, 1, f"{bake.key}/{number:03}"), NamedEvent(culture, event)))
    return found


def _kept(bake: Bake, build: Step, done: datetime) -> tuple[Fed | None, bool]:
    """The feed of what a build left, if it was recorded with it; and whether it was weighed."""
    keep = build.keep
    if keep is None:
        return None, False
    weighed = bool(bake.step_news(keep.key).poured)
    if not weighed and bake.step_news(build.key).done is None:
        return None, False  # nobody has said that it was done
    seed, flours, water = feed_of(_ladder(bake, keep))
    return Fed(done, seed, flours, water, keep.mixture_temperature_c, keep.place), weighed


def _ladder(bake: Bake, step: Step) -> Ladder | None:
    """The ladder of a step as the display showed it, or as planned."""
    return bake.step_news(step.key).ladder or step.ladder


def events_of_entry(entry: Entry) -> list[tuple[Key, NamedEvent]]:
    """What an entry says of cultures. Raises InputError for what cannot be."""
    return [
        ((entry.happened, 1 if isinstance(each.event, FIRST) else 2, f"{entry.id}/{number}"), each)
        for number, each in enumerate(_said(entry))
    ]


def _said(entry: Entry) -> list[NamedEvent]:
    body, at, source = entry.body, entry.happened, entry.id
    name = str(body.get("culture", ""))
    match entry.kind:
        case EntryKind.FED:
            return [NamedEvent(name, _fed(body, at, source))]
        case EntryKind.HELD if name:
            return [NamedEvent(name, Moved(at, str(body["place"]), source))]
        case EntryKind.POURED_OFF if name:
            what_for = PUT_TO_USE.get(str(body.get("to")), "")
            taken = Taken(at, float(body["grams"]), what_for, str(body.get("bake", "")), source)
            return [NamedEvent(name, taken)]
        case EntryKind.MIXED:
            what_for = str(body.get("remark") or body.get("into") or A_MIX)
            return [
                NamedEvent(
                    part["culture"], Taken(at, float(part["grams"]), what_for, source=source)
                )
                for part in body["parts"]
                if part.get("culture")
            ]
        case EntryKind.CULTURE:
            return [_happened(body, at, name, source)]
    return []


def _happened(body: Mapping[str, Any], at: datetime, name: str, source: str) -> NamedEvent:
    grams, origin = float(body.get("grams") or 0.0), body.get("origin")
    if not name:
        raise InputError("culture", MISSING, say("the name of a culture"))
    match body["event"]:
        case "began":
            return NamedEvent(name, Began(at, name, origin, grams, source=source))
        case "split":
            return NamedEvent(str(origin), SplitOff(at, name, str(origin), grams, source))
        case "renamed":
            return NamedEvent(str(origin), Renamed(at, name, source))
        case "changing":
            kind = str(body.get("flour") or "")
            flours = {kind: 1.0} if kind and ingredient(kind, "flour").kind == "flour" else {}
            hydration, place = float(body.get("hydration") or 0.0), str(body.get("place") or "")
            keep = float(body.get("keep") or 0.0)
            return NamedEvent(name, Aimed(at, flours, hydration, place, keep, source))
        case "drying" | "dried" | "frozen" as state:
            return NamedEvent(name, Dried(at, state, source))
    return NamedEvent(name, Retired(at, source))


def _fed(body: Mapping[str, Any], at: datetime, source: str) -> Fed:
    flours: dict[str, float] = {}
    water = 0.0
    for part in body["parts"]:
        kind, grams = part.get("ingredient"), float(part["grams"])
        if kind == "water":
            water += grams
        elif kind is not None and ingredient(kind, "flour").kind == "flour":
            flours[kind] = flours.get(kind, 0.0) + grams
    celsius, place = body.get("temperature_c"), body.get("place")
    return Fed(at, float(body["seed_g"]), flours, water, celsius, place, source=source)


def at_hand(lives: Lives) -> tuple[CultureAtHand, ...]:
    """The cultures of which something can be made: living, fed, with something in the jar."""
    return tuple(
        at_hand_of(life)
        for life in lives.lives.values()
        if life.state == "living" and life.place is not None and not life.is_empty
    )


@dataclass(frozen=True, slots=True)
class Take:
    """What a step still to come takes of a culture. fresh_g: what a waking feed adds before that.

    left_g: what is left of it then; kept_g: what there is once that was fed again.
    """

    at: datetime
    what_for: str
    grams: float
    fresh_g: float
    left_g: float
    kept_g: float


def to_come(bakes: Iterable[Bake], life: Life) -> list[Fed | Built]:
    """What the bakes in hand are still to do to a culture, the soonest first."""
    steps = [
        (step.start, bake, step)
        for bake in bakes
        if is_of(bake, life)
        for step in bake.plan.steps
        if _takes_of_culture(step) and not step.left and done_at(bake, step) is None
    ]
    found: list[Fed | Built] = []
    for at, bake, step in sorted(steps, key=lambda each: each[0]):
        seed, flours, water = feed_of(_ladder(bake, step))
        if step.kind is StepKind.FEED:
            found.append(Fed(at, seed, flours, water, place=step.place, for_bake=True))
        else:
            found.append(Built(at, seed, bake.plan.formula, bake.key))
    return found


def takes(bakes: Iterable[Bake], life: Life) -> list[Take]:
    """What the bakes in hand are still to take of a culture as it stands, the soonest first.

    Each waking feed counts, and so does the feed of what a build leaves.
    """
    found, fresh_g = [], 0.0
    for event in to_come(bakes, life):
        if isinstance(event, Fed):
            fed = replace(event, seed_g=min(event.seed_g, life.mass_g))
            before, life = life.mass_g, after(life, fed)
            fresh_g += life.mass_g - before
            continue
        had, seed = life.mass_g, event.grams
        life = after(life, event)
        found.append(Take(event.at, event.what_for, seed, fresh_g, had - seed, life.mass_g))
        fresh_g = 0.0
    return found


def is_of(bake: Bake, life: Life) -> bool:
    """Whether a bake is made from this culture, under any of the names it has had."""
    return bake.plan.culture.casefold() in {name.casefold() for name in life.names}


def _takes_of_culture(step: Step) -> bool:
    """A waking feed, or the build that takes from the culture; later builds do from that one."""
    if step.kind not in (StepKind.FEED, StepKind.BUILD):
        return False
    return step.ladder is None or step.ladder.pours[0].kind is PourKind.CULTURE
