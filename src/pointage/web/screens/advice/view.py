"""Advice on a culture in words and small tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction
from math import isnan
from urllib.parse import urlencode

from pointage.culture.habits import LAST_BAKE, Habit, KeptBetween
from pointage.culture.rest import LONGEST_D
from pointage.culture.trouble import Cause, TroubleQuestion
from pointage.culture.upkeep import Unkept
from pointage.culture.weeks import Chore, ChoreKind
from pointage.desk.cultures.care import Care, Diagnosis, KeepAdvice, NoWay, RestAdvice
from pointage.desk.wording import odds_words
from pointage.language import mark, say, say_many, written
from pointage.quantities import print_number
from pointage.web.forms.field import Choice
from pointage.web.frame import Frame
from pointage.web.screens.advice.page import CauseNote, TroublePage
from pointage.web.screens.culture.page import Table
from pointage.web.words.clock import Clock
from pointage.web.words.words import lower_first, warmth

TIGHT = mark(
    "A lid shut tight on a live culture can burst a glass jar: close it so that gas gets out."
)


@dataclass(frozen=True, slots=True)
class Said:
    """What stands above a question: its title (with {name}), a sentence, and the button.

    In English, and translated where they are shown.
    """

    title: str
    lead: str
    button: str


MOST_CAUSES = 3
KEEP = Said(
    mark("Keep {name} going"),
    mark(
        "For how often you bake: what to keep and feed, where it stands, and what is the least "
        "work and waste."
    ),
    mark("Calculate"),
)
REST = Said(
    mark("When to chill {name}"),
    mark(
        "How long it keeps in the fridge after some hours in the warm, and the feeds it then needs."
    ),
    "",
)
WEEKS = Said(
    mark("Bake days ahead for {name}"),
    mark(
        "Give the days. The plan shows when to keep it warm, when to chill it and when "
        "to feed it, with as few jobs as possible."
    ),
    mark("Plan them"),
)
TROUBLE = Said(
    mark("What is wrong with {name}?"),
    mark("Answer what you can. The likeliest causes come first, each with a feed that helps."),
    mark("Find the cause"),
)


def keeping(advice: KeepAdvice) -> Table:
    """The ways side by side, the best first."""
    return Table(
        say("The ways, the best first"),
        ("", say("times a week"), say("flour a week, g"), say("discard a week, g"), say("lasts")),
        tuple(
            (
                way_words(each),
                print_number(float(each.a_week(Fraction(each.feeds))), 1),
                _g(each.a_week(each.flour_g)),
                _g(each.a_week(each.waste_g)),
                say("surely") if each.sure else say("perhaps"),
            )
            for each in advice.ways
        ),
    )


def way_words(it: Habit) -> str:
    """How it is kept, as a row begins."""
    place = it.place
    match it.way:
        case KeptBetween.WARM:
            assert it.upkeep is not None
            if it.upkeep.rhythm.every_h == 12:
                return say("{place}, twice a day", place=place)
            return say("{place}, daily", place=place)
        case KeptBetween.COLD:
            return say("In the fridge, fed again in time")
        case KeptBetween.LEFT:
            return say("In the fridge, left alone")
        case KeptBetween.DRIED:
            return say("Dried")


def keeping_steps(advice: KeepAdvice) -> Table | None:
    """What to do between two bakes, the best way; None for a feed that is always the same."""
    best = advice.ways[0] if advice.ways else None
    if best is None or not best.chores:
        return None
    rows = []
    for each in best.chores:
        rows.append((
            _when(each, best),
            say(_CHORES[each.kind]),
            *(_g(grams) if each.total_g else "" for grams in (each.seed_g, each.flour_g)),
            _g(each.water_g) if each.total_g else "",
            _g(each.total_g) if each.total_g else "",
        ))  # fmt: skip
    headings = (say("when"), say("do"), say("keep"), say("flour"), say("water"), say("in all"))
    return Table(say("From one bake to the next, in grams"), headings, tuple(rows))


def _when(chore: Chore, habit: Habit) -> str:
    """ "right after the bake", "9 days after it", "24 h before the next"."""
    after_h = (chore.at - LAST_BAKE) / timedelta(hours=1)
    if chore.kind is ChoreKind.WAKE:
        before_h = (habit.next_bake - chore.at) / timedelta(hours=1)
        return say("{hours:.0f} h before the next bake", hours=before_h)
    if after_h >= 24:
        return say_many("{n} day after the bake", "{n} days after the bake", round(after_h / 24))
    if after_h > 0:
        return say("{hours:.0f} h after that", hours=after_h)
    return say("right after the bake")


def keeping_notes(advice: KeepAdvice) -> tuple[str, ...]:
    """The best way in words, what it wastes beside the next best, and why a rhythm cannot be."""
    notes = []
    if advice.ways:
        notes += _best(advice)
    else:
        notes.append(say("No way keeps it so. Bake with less of it, or find it a larger jar."))
    return (*notes, *(_no_way(each, advice) for each in advice.failed))


def _best(advice: KeepAdvice) -> list[str]:
    best, *others = advice.ways
    notes = []
    if best.upkeep is not None:
        it, feed = best.upkeep, best.upkeep.feed
        notes.append(
            say(
                "{place}: keep {seed} g, add {water} g of water and {flour} g of flour. That is "
                "{total} g; the jar takes {jar} g.",
                place=way_words(best),
                seed=_g(feed.seed_g),
                water=_g(feed.water_g),
                flour=_g(feed.flour_g),
                total=_g(feed.total_g),
                jar=print_number(advice.jar_g, 0),
            )
        )
        begin, end = (None if each is None else round(each) for each in it.ripe_h)
        if end is not None and end < it.rhythm.every_h:
            notes.append(
                say(
                    "It is ripe {begin} to {end} hours after a feed; build then. Until the next it "
                    "sinks, which it bears.",
                    begin=begin,
                    end=end,
                )
            )
        else:
            notes.append(say("It is ripe from about {begin} hours after a feed on.", begin=begin))
    elif advice.rest is not None:
        rest = advice.rest
        if best.way is not KeptBetween.DRIED:
            notes.append(
                say(
                    "Nine times in ten it keeps {surely:.0f} days in the {place}. A bake wants "
                    "{feeds} first, {hours:.0f} h apart, and takes it when it is ripe.",
                    surely=rest.surely_d,
                    place=lower_first(rest.cold_place),
                    feeds=say_many(
                        "{n} feed", "{n} feeds",
                        sum(each.kind is ChoreKind.WAKE for each in best.chores),
                    ),
                    hours=rest.waking_h,
                )
            )  # fmt: skip
        if not best.sure:
            notes.append(
                say(
                    "{days:.0f} days are longer than that: most come back with these feeds (common "
                    "practice, no source), and a backup is there for the one that does not.",
                    days=best.every_d,
                )
            )
        top = max((each.total_g for each in best.chores), default=Fraction())
        if top > advice.jar_g:
            notes.append(
                say(
                    "The last feed is {total} g and the jar takes {jar} g: mix it in a tub.",
                    total=_g(top),
                    jar=print_number(advice.jar_g, 0),
                )
            )
    for other in others[:1]:
        more = other.a_week(other.waste_g) - best.a_week(best.waste_g)
        if more >= 1:
            notes.append(
                say(
                    "The next best, {way}, wastes {more} g more a week.",
                    way=lower_first(way_words(other)),
                    more=_g(more),
                )
            )
    return notes


_WHY = {
    Unkept.SLOW: mark(
        "{place}, every {hours:.0f} h: it has not risen when it is fed again and gets thinner each "
        "time. Feed less often, or find a warmer place."
    ),
    Unkept.WEAK: mark(
        "{place}, every {hours:.0f} h: it stands hungry too long and rises less and less. Feed "
        "more often, or find a cooler place."
    ),
    Unkept.JAR: mark(
        "{place}, every {hours:.0f} h: the least feed that is enough is more than the {jar} g that "
        "its jar takes."
    ),
}


def _no_way(it: NoWay, advice: KeepAdvice) -> str:
    jar = print_number(advice.jar_g, 0)
    return say(_WHY[it.why], place=it.place, hours=it.every_h, jar=jar)


BACKUP_DRIED = mark(
    "A backup: spread a ripe spoonful thinly on baking paper, let it dry in moving air below "
    "{warmth}, crumble it and keep it closed, dry and dark; it lasts about a year. Back again: "
    "{flakes} g of flakes in as much lukewarm water for an hour, then {flour} g of flour; feed it "
    "every half day to day after that, four times in all, until it doubles twice running (common "
    "practice, no source)."
)
BACKUP_FROZEN = mark(
    "Or freeze a ripe spoonful, fed stiff, in small portions; it lasts about three months. Back "
    "again: thaw it in the fridge overnight, then feed it in the same way (common practice, no "
    "source). “Make a backup” on its page puts either on the Bench."
)


def backups() -> tuple[str, ...]:
    """How to keep one in reserve, and the way back."""
    return (say(BACKUP_DRIED, warmth=warmth(30), flakes=5, flour=10), say(BACKUP_FROZEN))


def resting(advice: RestAdvice) -> tuple[Table, ...]:
    rests = Table(
        say("Chilled after a feed"),
        (say("hours warm"), say("risen to"), say("safe for"), say("most likely")),
        tuple(
            (
                say("{hours} h", hours=print_number(each.warm_h)),
                written(print_number(each.rise, 2)),
                _days(each.days.p10),
                _days(each.days.p50),
            )
            for each in advice.rests
        ),
    )
    wakes = Table(
        say("Refreshing it, every twelve hours"),
        (say("days in the fridge"), say("feeds")),
        tuple((print_number(days, 0), str(feeds)) for days, feeds in advice.waking.items()),
    )
    return rests, wakes


def resting_notes(advice: RestAdvice) -> tuple[str, ...]:
    best = advice.best
    warm_place, cold_place = lower_first(advice.warm_place), lower_first(advice.cold_place)
    hours = print_number(best.warm_h)
    warm = (
        say("after a feed and {hours} h in the {warm_place}", hours=hours, warm_place=warm_place)
        if best.warm_h
        else say("at once after a feed")
    )
    return (
        say(
            "It keeps longest when it goes into the {cold_place} {warm}: nine times in ten "
            "{nearly_sure}, one time in two {likely}.",
            cold_place=cold_place,
            warm=warm,
            nearly_sure=_days(best.days.p10),
            likely=_days(best.days.p50),
        ),
        say(
            "Feed it again by day {day:.0f}. To refresh it, feed one part of it with two of flour.",
            day=advice.remind_after_d,
        ),
        say(
            "No paper we found measured how long a culture lasts in the cold: the range is "
            "wide. Your own records narrow it."
        ),
    )


def chores(found: Sequence[Chore], clock: Clock) -> Table:
    return Table(
        say("What to do"),
        (say("when"), say("do"), say("keep"), say("flour"), say("water")),
        tuple(
            (
                f"{clock.day(clock.local(each.at).date())}, {clock.time(each.at)}",
                say(_CHORES[each.kind]),
                *(_g(grams) if each.total_g else "" for grams in (each.seed_g, each.flour_g)),
                _g(each.water_g) if each.total_g else "",
            )
            for each in found
        ),
    )


def chores_notes(found: Sequence[Chore]) -> tuple[str, ...]:
    flour = sum((each.flour_g for each in found), Fraction())
    hands = sum(each.kind is not ChoreKind.BUILD for each in found)
    jobs = say_many("{n} job", "{n} jobs", hands)
    return (say("{jobs} besides the builds, and {flour} g of flour.", jobs=jobs, flour=_g(flour)),)


_CHORES = {
    ChoreKind.FEED: mark("feed it"),
    ChoreKind.CHILL: mark("into the fridge"),
    ChoreKind.WAKE: mark("take it out and feed it"),
    ChoreKind.REFRESH: mark("feed it, then back to the fridge"),
    ChoreKind.BUILD: mark("build from it"),
}


def trouble_page(
    frame: Frame,
    care: Care,
    found: Diagnosis,
    said: Mapping[str, str],
    asked: Mapping[str, TroubleQuestion],
) -> TroublePage:
    """What is asked next, what was answered, and what it may be."""
    name = care.culture.name
    path = f"/cultures/{name}/trouble"

    def address(answers: Mapping[str, str]) -> str:
        return f"{path}?{urlencode(answers)}" if answers else path

    answered = tuple(
        Choice(
            address({k: text for k, text in said.items() if k != key}),
            f"{asked[key].asks} {asked[key].answers[text]}",
        )
        for key, text in said.items()
        if text in asked[key].answers
    )
    ask = found.ask
    answers = tuple(
        Choice(address({**said, ask.key: key}), text) for key, text in ask.answers.items()
    ) if ask else ()  # fmt: skip
    likely = found.causes if said or ask is None else ()
    return TroublePage(
        frame=frame,
        back=Choice(f"/cultures/{name}", name),
        title=say(TROUBLE.title, name=name),
        known=_known(found.known, said),
        asks=ask.asks if ask else "",
        answers=answers,
        answered=answered,
        causes=tuple(_cause(each, asked, found.known) for each in likely[:MOST_CAUSES]),
        cautions=trouble_cautions(found.causes),
    )


def _known(known: Mapping[str, str], said: Mapping[str, str]) -> str:
    """What need not be asked, in a sentence."""
    words = {
        "young": say("it is less than ten days old"), "grown": say("it is grown"),
        "no": say("it has not been in the cold lately"),
        "short": say("it has been in the cold for up to a week"),
        "long": say("it has been in the cold for more than a week"),
    }  # fmt: skip
    parts = [words[text] for key, text in known.items() if key not in said and text in words]
    return say("Known already: {what}.", what=", ".join(parts)) if parts else ""


def _cause(it: Cause, asked: Mapping[str, TroubleQuestion], known: Mapping[str, str]) -> CauseNote:
    answers = [f"{asked[key].asks} {asked[key].answers[known[key]]}" for key in it.evidence]
    signs = say("What speaks for it: {answers}.", answers="; ".join(answers)) if answers else ""
    engine = say("So does what its last feed should have done where it stands.")
    do = ""
    if it.remedy is not None:
        do = say_many(
            "Feed it once: keep {seed} g, add {water} g of water and {flour} g of flour, at about "
            "{warmth}.",
            "Feed it {n} times, each when it has risen or after a day: keep {seed} g, add {water} "
            "g of water and {flour} g of flour, at about {warmth}.",
            it.remedy.feeds,
            seed=_g(it.remedy.seed_g),
            flour=_g(it.remedy.flour_g),
            water=_g(it.remedy.water_g),
            warmth=warmth(it.remedy.celsius),
        )
    if it.discard:
        do = say("Throw all of it away now, do not taste or smell it closely; scald the jar.")
    return CauseNote(
        say("{cause}: {odds}", cause=it.title, odds=odds_words(it.odds)),
        tuple(filter(None, (it.why, signs, engine if it.expected and signs else ""))),
        do,
        it.watch,
        say("When to stop: {when}", when=lower_first(it.give_up))
        if it.give_up and not it.discard
        else "",
    )


def trouble_cautions(found: Sequence[Cause]) -> tuple[str, ...]:
    if found and found[0].discard:
        return (
            say("Throw all of it away, do not taste or smell it closely, and wash the tub hot."),
        )
    return (say("Fuzzy spots, or pink or orange anywhere: throw all of it away, always."),)


def _days(days: float) -> str:
    if isnan(days):
        return say("over {days} days", days=LONGEST_D)
    return say("{days:.0f} days", days=days)


def _g(grams: Fraction) -> str:
    return print_number(float(grams), 0)
