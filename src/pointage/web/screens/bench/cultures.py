"""What cultures need next, as the Bench prints it: when, what to weigh, what being late does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction

from pointage.desk.answers import NO_NEWS
from pointage.desk.wording.needs import need_title
from pointage.formula.ladder import Ladder
from pointage.kitchen.needs import CultureNeed, NeedKind
from pointage.language import mark, say, say_many
from pointage.quantities import print_number
from pointage.web.screens.bench.action import SOON, ladder_table
from pointage.web.screens.bench.page import CultureAction
from pointage.web.words.clock import Clock
from pointage.web.words.words import lower_first, mass

LATE = {
    NeedKind.RAISE: mark(
        "It has waited past its hour: it is sourer and hungrier, and the next rise comes later. "
        "Feed it as said; nothing is lost."
    ),
    NeedKind.FEED: mark(
        "It is well past its height: it sinks and sours, and rises later after this feed."
    ),
    NeedKind.WAKE: mark("It is well past its height again: it needs this feed before all else."),
    NeedKind.CHILL: mark(
        "It has gone on rising in the warm: it will keep fewer days in the cold. If it has sunk, "
        "feed it first."
    ),
    NeedKind.REFRESH: mark(
        "One feed may no longer refresh it. Feed it now, and twice or three times before a bake."
    ),
    NeedKind.DISCARD: "",
    NeedKind.STORE: mark("Dry flakes draw moisture from the air: put them away soon."),
    NeedKind.REVIVE: mark("It was left for longer than one feed mends."),
}
WHY = {
    NeedKind.RAISE: "",
    NeedKind.FEED: mark("It will be past its height."),
    NeedKind.WAKE: mark("It does not yet rise as it used to."),
    NeedKind.CHILL: mark("So it keeps for its next bake."),
    NeedKind.REFRESH: mark("After two more days it may have rested too long."),
    NeedKind.DISCARD: mark(
        "Mould, or pink or orange, was seen in it: all of it goes, for its threads go deeper than "
        "they show. Do not taste it or smell it closely; scald the jar. If that was a slip, "
        "withdraw it in the daybook."
    ),
    NeedKind.STORE: mark(
        "It is dry when it snaps and no longer bends. Crumble it into a small jar, close it, and "
        "keep it dry and dark."
    ),
    NeedKind.REVIVE: mark(
        "Look first: fuzz, or pink or orange anywhere, and all of it goes away. Grey or brown "
        "liquid on top is only hunger: pour it off, and take from below the top."
    ),
}
LOOKED_AT = (NeedKind.DISCARD, NeedKind.STORE, NeedKind.REVIVE)
STIR = mark(
    "Stir it and wait; it is fed once something happens. If it bubbles or has risen, record "
    "that instead."
)
LOOKED_BEFORE = timedelta(hours=4)
"""A look so long before its hour is that day's: ours."""
LOOKED = "looked"
"""What the button of a day that is only waited sends."""
USE = mark("for pancakes or crackers, baked through; it keeps a week in the fridge")
TOO_OLD = mark("into the compost: it is too old to be good")
COMPOST = mark("into the compost: it is not for eating yet")


@dataclass(frozen=True, slots=True)
class Needed:
    """What a culture needs, with its ladder. eaten: whether its discard may go into food.
    first: what is done before its feed; label: what is written on it; either may be empty."""

    need: CultureNeed
    ladder: Ladder | None = None
    vessel: str = ""
    eaten: bool = True
    first: str = ""
    label: str = ""


def culture_actions(needs: Sequence[Needed], clock: Clock) -> tuple[CultureAction, ...]:
    return tuple(_action(each, clock) for each in needs)


def _action(it: Needed, clock: Clock) -> CultureAction:
    need, feed = it.need, it.need.feed
    due, late = need.at <= clock.now, need.best_by < clock.now
    raised = need.kind is NeedKind.RAISE
    is_wait = raised and feed is None
    return CultureAction(
        title=need_title(need),
        at=clock.moment(need.at),
        away=clock.ahead(need.at) if due or need.at - clock.now <= SOON or raised else "",
        due=due,
        why=_why(need.kind, late=late and not is_wait),
        late=late,
        steps=_steps(it),
        ladder=ladder_table(it.ladder, NO_NEWS) if it.ladder else None,
        path=f"/cultures/{need.culture}{'/raising' if raised else ''}",
        sent=_sent(it),
        button=_button(need, clock),
    )


def _button(need: CultureNeed, clock: Clock) -> str:
    if need.feed or need.kind in (NeedKind.CHILL, NeedKind.DISCARD, NeedKind.STORE):
        return say("Done")
    soon = need.kind is NeedKind.RAISE and need.at - clock.now <= LOOKED_BEFORE
    return say("Stirred, nothing yet") if soon else ""


def _why(kind: NeedKind, *, late: bool) -> str:
    """Why it is due, and what being late has done; what to look at stays."""
    parts = [LATE[kind] if late else "", WHY[kind] if not late or kind in LOOKED_AT else ""]
    return " ".join(say(each) for each in parts if each)


def _steps(it: Needed) -> tuple[str, ...]:
    """What to do, in sentences."""
    need, found = it.need, [it.first] if it.first else []
    if it.label:
        return (say("On its label: “{label}”.", label=it.label),)
    if need.kind is NeedKind.RAISE and need.feed is None:
        return (say(STIR),)
    if need.discard_g >= 1:
        use = USE if it.eaten else COMPOST
        gone = say(TOO_OLD if need.kind is NeedKind.REVIVE else use)
        found.append(say("Discard {mass}, {use}.", mass=mass(need.discard_g), use=gone))
    if need.feeds > 1:
        found.append(
            say_many(
                "{n} such feed, {hours:.0f} to {later:.0f} h apart, until it doubles.",
                "{n} such feeds, {hours:.0f} to {later:.0f} h apart, until it doubles.",
                need.feeds,
                hours=need.every_h,
                later=2 * need.every_h,
            )
        )
    if need.feed is not None:
        place = lower_first(need.place)
        if need.then:
            found.append(
                say(
                    "Then in the {place} until it has risen by half, {hours} h or more, and into "
                    "the {then}.",
                    hours=print_number(need.then_h),
                    place=place,
                    then=lower_first(need.then),
                )
            )
        elif place:
            found.append(say("After that it stands here: {place}.", place=place))
    return tuple(found)


def _sent(it: Needed) -> tuple[tuple[str, str], ...]:
    """What its button records, by field."""
    need, feed = it.need, it.need.feed
    if need.kind is NeedKind.DISCARD:
        return (("culture", need.culture), ("event", "retired"))
    if need.kind is NeedKind.STORE:
        return (("culture", need.culture), ("event", "dried"))
    if need.kind is NeedKind.RAISE and feed is None:
        return (("culture", need.culture), ("event", LOOKED))
    sent = [("culture", need.culture), ("place", need.place)]
    if feed is not None:
        sent += [("seed_g", _plain(feed.seed_g)), ("water_g", _plain(feed.water_g))]
        sent += [(f"flour.{kind}", _plain(grams)) for kind, grams in feed.flours_g.items()]
        sent.append(("into", it.vessel))
    return tuple(sent)


def _plain(grams: Fraction) -> str:
    return f"{float(grams):g}"
