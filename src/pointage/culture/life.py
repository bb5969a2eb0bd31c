"""A culture's life as a line of events, and what they make of it: what it is, where, how much.

The events come from the kitchen's file and the daybook in the order in which they happened. One
that cannot be (more taken than there is, a feed without flour) changes nothing: it is set aside
with its reason, until a correction puts it right.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.culture.keeping import feed_back
from pointage.errors import At, Complaint, InputError
from pointage.language import say

SLACK_G = 1.0
"""A scale's step: so much more than there was is no mistake."""
CUSTOMARY_SHARE = 0.2
"""Seed over fresh flour of a culture of which nobody has said it: common practice, no source."""
BY_HAND_WITHIN = timedelta(hours=6)
"""A feed recorded so soon after a levain was built is the one that keeps what was left."""
PUT_BACK = timedelta(minutes=1)
"""After a levain was built, so that one comes before the other."""


@dataclass(frozen=True, slots=True)
class Began:
    """It began: from flour and water, or out of `origin` (another culture) with `grams` of it.

    flours, hydration, stands: what those grams were made of, and the feeds they remember.
    habit: how it is kept, where the kitchen's file says so.
    """

    at: datetime
    name: str
    origin: str | None = None
    grams: float = 0.0
    flours: Mapping[str, float] = field(default_factory=dict)
    hydration: float = 1.0
    stands: tuple[FeedStand, ...] = ()
    habit: FeedStand | None = None
    source: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Fed:
    """Fed: `seed_g` of it kept, the rest of the tub gone, flour and water added.

    for_bake: to wake it for a levain; else it is how the culture is kept.
    """

    at: datetime
    seed_g: float
    flours_g: Mapping[str, float]
    water_g: float
    celsius: float | None = None
    place: str | None = None
    for_bake: bool = False
    source: str = field(default="", compare=False)

    @property
    def flour_g(self) -> float:
        """Fresh flour of all kinds."""
        return sum(self.flours_g.values())

    @property
    def mass_g(self) -> float:
        """All of it after the feed."""
        return self.seed_g + self.flour_g + self.water_g


@dataclass(frozen=True, slots=True)
class Stated:
    """What the kitchen's file says of it: how it was fed, and where it stood from then on."""

    at: datetime
    stand: FeedStand
    flours: Mapping[str, float]
    hydration: float
    mass_g: float
    source: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Moved:
    """Put into another place."""

    at: datetime
    place: str
    source: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Taken:
    """Some of it taken: for a mix (`what_for`), split off, discarded or given away.

    bake: by its key, the one at whose build it was discarded.
    """

    at: datetime
    grams: float
    what_for: str = ""
    bake: str = ""
    source: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Built:
    """A levain was built of it; what is left is fed back to what is kept, and put back.

    fed: that feed as it was recorded with the build; None where nobody did, then it is assumed.
    weighed: whether its amounts were read off the scale, so that no later feed can be the same one.
    """

    at: datetime
    grams: float
    what_for: str = ""
    bake: str = ""
    fed: Fed | None = None
    weighed: bool = False
    source: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Renamed:
    """It has another name from now on."""

    at: datetime
    name: str
    source: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Dried:
    """Dried or frozen for keeping, or begun to be; it lives again with its next feed. state: of its
    life from then on."""

    at: datetime
    state: str = "dried"
    source: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Retired:
    """It is no more."""

    at: datetime
    source: str = field(default="", compare=False)


Event = Began | Stated | Fed | Moved | Taken | Built | Renamed | Dried | Retired


@dataclass(frozen=True, slots=True)
class Oddity:
    """An event that cannot be: why, and what would put it right. source: the entry behind it.

    counts: it is gone by all the same, for what is missing is something before it.
    """

    at: datetime
    source: str
    field: str
    value: str
    expected: str
    counts: bool = False


@dataclass(frozen=True, slots=True)
class FeedStand:
    """A feed and where the culture stood from then on: places, each from an instant on.

    bake: by its key, the one whose levain was built before this feed of what it left. assumed:
    nobody recorded it; it follows from that build. stated: the kitchen's file says it, and nothing
    of what was done before.
    """

    fed: Fed
    places: tuple[tuple[datetime, str], ...] = ()
    assumed: bool = False
    bake: str = ""
    stated: bool = False

    def place(self, now: datetime) -> str | None:
        """Where it is at `now`."""
        there = [name for at, name in self.places if at <= now]
        return there[-1] if there else self.places[0][1] if self.places else None


@dataclass(frozen=True, slots=True)
class Life:
    """What the events make of a culture.

    flours: shares by kind, 1 in all. stands: every feed, the latest last, of which the first
    `inherited` are those of the culture it came out of. names: all it has had. made: what was taken
    of it and what for; wasted: what was discarded, at feeds too. state: living, drying, dried,
    frozen or retired; since: when it was last dried or frozen, or that began. habit: how it was
    kept before its first feed that is known.
    """

    name: str
    began: datetime
    origin: str | None = None
    flours: Mapping[str, float] = field(default_factory=dict)
    hydration: float = 1.0
    mass_g: float = 0.0
    stands: tuple[FeedStand, ...] = ()
    inherited: int = 0
    names: tuple[str, ...] = ()
    made: tuple[Taken, ...] = ()
    wasted: tuple[Taken, ...] = ()
    state: str = "living"
    since: datetime | None = None
    habit: FeedStand | None = None
    oddities: tuple[Oddity, ...] = ()
    unfed: tuple[Life, Built] | None = field(default=None, compare=False, repr=False)
    """Before the last build's feed, while that may still turn out to have been another one."""

    @property
    def place(self) -> str | None:
        """Where it is, or will be once the last move that is known of is over."""
        places = self.stands[-1].places if self.stands else ()
        return places[-1][1] if places else None

    @property
    def last_fed(self) -> Fed | None:
        """Its last feed."""
        return self.stands[-1].fed if self.stands else None

    @property
    def kept(self) -> FeedStand | None:
        """The last feed that was for keeping it, which says how it is kept."""
        own = [stand for stand in self.stands if not stand.fed.for_bake]
        return own[-1] if own else self.habit or (self.stands[-1] if self.stands else None)

    @property
    def seed_share(self) -> float:
        """Seed over fresh flour, as it is kept."""
        shares = [
            stand.fed.seed_g / stand.fed.flour_g
            for stand in (*([self.habit] if self.habit else []), *self.stands)
            if not stand.fed.for_bake and stand.fed.seed_g > 0
        ]
        return shares[-1] if shares else CUSTOMARY_SHARE

    @property
    def is_empty(self) -> bool:
        """Whether nothing is left in its jar."""
        return self.state == "living" and bool(self.stands) and self.mass_g <= 0


def begun(event: Began) -> Life:
    """The life that begins so."""
    return Life(
        event.name, event.at, event.origin, event.flours, event.hydration, event.grams,
        stands=event.stands, inherited=len(event.stands), names=(event.name,), habit=event.habit,
    )  # fmt: skip


def lived(events: Sequence[Event]) -> Life:
    """The life of `events`, in order of time; the first must be that it began."""
    first, *rest = sorted(events, key=lambda event: (event.at, not isinstance(event, Began)))
    assert isinstance(first, Began)
    life = begun(first)
    for event in rest:
        life = after(life, event)
    return life


def after(life: Life, event: Event) -> Life:
    """The life after one more event; one that cannot be is added to its oddities, and no more."""
    try:
        return _after(life, event)
    except InputError as error:
        oddity = Oddity(event.at, event.source, error.field, str(error.value), error.expected)
        return replace(life, oddities=(*life.oddities, oddity))


def _after(life: Life, event: Event) -> Life:  # noqa: PLR0911, one line for each kind of event
    if life.state == "retired":
        raise InputError("culture", life.name, say("one that was not retired before this"))
    match event:
        case Fed():
            return _fed(life, event)
        case Stated():
            return _stated(life, event)
        case Moved():
            return _moved(life, event)
        case Taken():
            return _taken(life, event)
        case Built():
            return _built(life, event)
        case Renamed():
            named = replace(life, name=event.name, names=(*life.names, event.name))
            return replace(named, unfed=_unfed_too(life, event))
        case Dried():
            return replace(life, state=event.state, since=event.at, unfed=None)
        case Retired():
            return replace(life, state="retired", mass_g=0.0)
        case Began():
            raise InputError("culture", life.name, say("a name that no culture has had"))


def _fed(life: Life, event: Fed) -> Life:
    if event.flour_g <= 0:
        raise InputError(
            At("flour", ("flour_g",)),
            Complaint(say("no fresh flour")),
            say("the grams of fresh flour in the feed"),
        )
    if life.unfed is not None and not event.for_bake:
        before, built = life.unfed
        soon = event.at - built.at <= BY_HAND_WITHIN + PUT_BACK
        if soon and event.seed_g <= before.mass_g + SLACK_G:
            life = before  # this is the feed that was assumed
    known = bool(life.stands) or life.mass_g > 0
    if known and event.seed_g > life.mass_g + SLACK_G:
        # The scale was there and the record was not: a feed or a note is missing in between.
        expected = say(
            "at most the {mass:.0f} g that there were of {name}",
            mass=life.mass_g,
            name=life.name,
        )
        odd = Oddity(event.at, event.source, "seed_g", f"{event.seed_g:.0f} g", expected, True)
        life = replace(life, oddities=(*life.oddities, odd))
    seed_flour = event.seed_g / (1 + life.hydration) if life.flours else 0.0
    grams = {kind: seed_flour * share for kind, share in life.flours.items()}
    for kind, fresh in event.flours_g.items():
        grams[kind] = grams.get(kind, 0.0) + fresh
    flour = sum(grams.values())
    place = event.place or life.place
    left = life.mass_g - event.seed_g if known else 0.0
    gone = Taken(event.at, left, source=event.source)
    return replace(
        life,
        began=min(life.began, event.at),
        wasted=(*life.wasted, gone) if left > SLACK_G else life.wasted,
        flours={kind: mass / flour for kind, mass in grams.items()},
        hydration=(event.seed_g - seed_flour + event.water_g) / flour,
        mass_g=event.mass_g,
        stands=(*life.stands, FeedStand(event, ((event.at, place),) if place else ())),
        state="living",
        unfed=None,
    )


def _stated(life: Life, event: Stated) -> Life:
    return replace(
        life,
        flours=event.flours,
        hydration=event.hydration,
        mass_g=event.mass_g,
        stands=(*life.stands, event.stand),
        state="living",
        unfed=None,
    )


def _moved(life: Life, event: Moved) -> Life:
    if not life.stands:
        raise InputError("culture", life.name, say("one that was fed before it was moved"))
    last = life.stands[-1]
    before = tuple(each for each in last.places if each[0] < event.at)
    last = replace(last, places=(*before, (event.at, event.place)))
    return replace(life, stands=(*life.stands[:-1], last), unfed=None)


def _taken(life: Life, event: Taken) -> Life:
    if event.bake and life.unfed is not None and event.bake == life.unfed[1].bake:
        before, built = life.unfed  # it went before the rest was fed
        return _kept_on(_taken(replace(before, unfed=None), event), built)
    if event.grams > life.mass_g + SLACK_G:
        expected = say(
            "at most the {mass:.0f} g that there are of {name}",
            mass=life.mass_g,
            name=life.name,
        )
        raise InputError("grams", f"{event.grams:.0f} g", expected)
    life = replace(
        life,
        began=min(life.began, event.at),
        mass_g=_left(life, event.grams),
        unfed=_unfed_too(life, event),
    )
    if event.what_for:
        return replace(life, made=(*life.made, event))
    return replace(life, wasted=(*life.wasted, event))


def _unfed_too(life: Life, event: Taken | Renamed) -> tuple[Life, Built] | None:
    """What the event makes of it had it not been fed yet; None where it must have been."""
    if life.unfed is None:
        return None
    before, built = life.unfed
    try:
        return _after(before, event), built
    except InputError:
        return None


def _left(life: Life, grams: float) -> float:
    left = life.mass_g - grams
    return left if left > 1e-9 else 0.0


def _built(life: Life, event: Built) -> Life:
    """What a build took, it took, whatever was thought to be there."""
    taken = Taken(event.at, event.grams, event.what_for, event.bake, event.source)
    life = replace(life, mass_g=_left(life, event.grams), made=(*life.made, taken), unfed=None)
    return _kept_on(life, event)


def _kept_on(life: Life, built: Built) -> Life:
    """What is left of it, fed back to how it was kept and put back where it stood."""
    kept = life.kept
    if kept is None or not life.flours or not kept.places:
        return life
    at = built.at + PUT_BACK
    fed = fed_back(life, kept, at)
    if built.fed is not None and (built.weighed or built.fed.seed_g <= life.mass_g + SLACK_G):
        fed = replace(built.fed, at=at, place=fed.place)
    (since, warm), *moves = kept.places
    put_back = [(fed.at + (at - since), place) for at, place in moves[-1:] if place != warm]
    places = ((fed.at, warm), *put_back)
    stand = FeedStand(fed, places, assumed=built.fed is None, bake=built.bake)
    unfed = None if built.weighed else (life, built)
    return replace(_fed(life, fed), stands=(*life.stands, stand), unfed=unfed)


def fed_back(life: Life, kept: FeedStand, at: datetime) -> Fed:
    """The feed that brings what is left of it back to how it was kept.

    Its flour and water are in the shares of the feed it was kept by; where that had no flour, in
    those of the culture.
    """
    flours, hydration = life.flours, life.hydration
    if kept.fed.flour_g > 0:
        flours, hydration = kept.fed.flours_g, kept.fed.water_g / kept.fed.flour_g
    parts = {kind: _exact(part) for kind, part in flours.items()}
    whole = sum(parts.values(), Fraction())
    found = feed_back(
        {kind: part / whole for kind, part in parts.items()},
        _exact(hydration),
        _exact(kept.fed.mass_g),
        _exact(life.seed_share),
        _exact(life.mass_g),
    )
    fresh = {kind: float(grams) for kind, grams in found.flours.items()}
    return Fed(at, float(found.seed_g), fresh, float(found.water_g), None, kept.places[0][1])


def _exact(value: float) -> Fraction:
    """The decimal that was meant, or near enough for a share such as a third."""
    return Fraction(value).limit_denominator(10**6)


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
