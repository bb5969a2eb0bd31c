"""A culture's life as a line of events, and what they make of it: what it is, where, how much.

The events come from the daybook in the order in which they happened. One that cannot be (a feed
with more seed than there is, a move before it began) is kept and told as an oddity: a later entry
can put it right, and until then the line goes on as best it may.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Began:
    """It began: from flour and water, or out of `origin` (another culture) with `grams` of it.

    flours, hydration: what those grams were made of.
    """

    at: datetime
    name: str
    origin: str | None = None
    grams: float = 0.0
    flours: Mapping[str, float] = field(default_factory=dict)
    hydration: float = 1.0


@dataclass(frozen=True, slots=True)
class Fed:
    """Fed: `seed_g` of it kept, the rest of the tub gone, flour and water added."""

    at: datetime
    seed_g: float
    flours_g: Mapping[str, float]
    water_g: float
    celsius: float | None = None
    place: str | None = None

    @property
    def flour_g(self) -> float:
        """Fresh flour of all kinds."""
        return sum(self.flours_g.values())


@dataclass(frozen=True, slots=True)
class Moved:
    """Put into another place."""

    at: datetime
    place: str


@dataclass(frozen=True, slots=True)
class Taken:
    """Some of it taken: for a build (`what_for`), split off, poured off or given away."""

    at: datetime
    grams: float
    what_for: str = ""


@dataclass(frozen=True, slots=True)
class Renamed:
    """It has another name from now on."""

    at: datetime
    name: str


@dataclass(frozen=True, slots=True)
class Dried:
    """Dried for keeping; it lives again with its next feed."""

    at: datetime


@dataclass(frozen=True, slots=True)
class Retired:
    """It is no more."""

    at: datetime


Event = Began | Fed | Moved | Taken | Renamed | Dried | Retired


@dataclass(frozen=True, slots=True)
class Oddity:
    """An event that does not fit with those before it, and what would put it right."""

    at: datetime
    sentence: str


@dataclass(frozen=True, slots=True)
class Stand:
    """A feed and where the culture stood from then on: places, each from an instant on."""

    fed: Fed
    places: tuple[tuple[datetime, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Life:
    """What the events make of a culture.

    flours: shares by kind, 1 in all. stands: every feed, the latest last. names: all it has had.
    made: what was taken of it and what for; wasted: what was poured off, at feeds too. state:
    living, dried or retired.
    """

    name: str
    began: datetime
    origin: str | None = None
    flours: Mapping[str, float] = field(default_factory=dict)
    hydration: float = 1.0
    mass_g: float = 0.0
    stands: tuple[Stand, ...] = ()
    names: tuple[str, ...] = ()
    made: tuple[Taken, ...] = ()
    wasted: tuple[Taken, ...] = ()
    state: str = "living"
    oddities: tuple[Oddity, ...] = ()

    @property
    def place(self) -> str | None:
        """Where it is now."""
        places = self.stands[-1].places if self.stands else ()
        return places[-1][1] if places else None

    @property
    def last_fed(self) -> Fed | None:
        """Its last feed."""
        return self.stands[-1].fed if self.stands else None


SLACK_G = 1.0  # a scale's step: so much more than there was is no oddity


def lived(events: Sequence[Event]) -> Life:
    """The life that `events` tell, in order of time; the first must be that it began."""
    first, *rest = in_order = sorted(events, key=_in_time)
    if not isinstance(first, Began):
        first, rest = Began(first.at, ""), in_order
    life = Life(
        first.name, first.at, first.origin, first.flours, first.hydration, first.grams,
        names=(first.name,),
    )  # fmt: skip
    for event in rest:
        life = _after(life, event)
    return life


def _in_time(event: Event) -> tuple[datetime, bool]:
    """Of events at one instant, that it began comes first."""
    return event.at, not isinstance(event, Began)


def _after(life: Life, event: Event) -> Life:  # noqa: PLR0911, one line for each kind of event
    if life.state == "retired" and not isinstance(event, Began):
        return _odd(life, event.at, f"{life.name} was retired before this; take that back first")
    match event:
        case Fed():
            return _fed(life, event)
        case Moved():
            return _moved(life, event)
        case Taken():
            return _taken(life, event)
        case Renamed():
            return replace(life, name=event.name, names=(*life.names, event.name))
        case Dried():
            return replace(life, state="dried")
        case Retired():
            return replace(life, state="retired", mass_g=0.0)
        case Began():
            return _odd(life, event.at, f"{life.name} had begun already")


def _fed(life: Life, event: Fed) -> Life:
    if life.stands and event.seed_g > life.mass_g + SLACK_G:
        sentence = (
            f"{event.seed_g:.0f} g were kept, and there were {life.mass_g:.0f} g: correct the "
            "keep, or tell of the feed between"
        )
        life = _odd(life, event.at, sentence)
    seed_flour = event.seed_g / (1 + life.hydration) if life.flours else 0.0
    grams = {kind: seed_flour * share for kind, share in life.flours.items()}
    for kind, fresh in event.flours_g.items():
        grams[kind] = grams.get(kind, 0.0) + fresh
    flour = sum(grams.values())
    if flour <= 0:
        return _odd(life, event.at, "a feed without flour: tell how much there was")
    place = event.place or life.place
    left = life.mass_g - event.seed_g if life.stands else 0.0
    return replace(
        life,
        wasted=(*life.wasted, Taken(event.at, left)) if left > SLACK_G else life.wasted,
        flours={kind: mass / flour for kind, mass in grams.items()},
        hydration=(event.seed_g - seed_flour + event.water_g) / flour,
        mass_g=event.seed_g + event.flour_g + event.water_g,
        stands=(*life.stands, Stand(event, ((event.at, place),) if place else ())),
        state="living",
    )


def _moved(life: Life, event: Moved) -> Life:
    if not life.stands:
        return _odd(
            life, event.at, f"{life.name} was moved before it was ever fed: tell of the feed"
        )
    last = life.stands[-1]
    last = replace(last, places=(*last.places, (event.at, event.place)))
    return replace(life, stands=(*life.stands[:-1], last))


def _taken(life: Life, event: Taken) -> Life:
    if event.grams > life.mass_g + SLACK_G:
        sentence = f"{event.grams:.0f} g were taken, and there were {life.mass_g:.0f} g"
        life = _odd(life, event.at, sentence + ": correct one of them")
    life = replace(life, mass_g=max(life.mass_g - event.grams, 0.0))
    if event.what_for:
        return replace(life, made=(*life.made, event))
    return replace(life, wasted=(*life.wasted, event))


def _odd(life: Life, at: datetime, sentence: str) -> Life:
    return replace(life, oddities=(*life.oddities, Oddity(at, sentence)))


def descendants(lives: Sequence[Life]) -> dict[str, tuple[str, ...]]:
    """The family line: each culture by name, with those that came out of it, the oldest first."""
    names = {name: life.name for life in lives for name in life.names}
    return {
        life.name: tuple(
            each.name
            for each in sorted(lives, key=lambda each: each.began)
            if each.origin is not None and names.get(each.origin, each.origin) == life.name
        )
        for life in lives
    }
