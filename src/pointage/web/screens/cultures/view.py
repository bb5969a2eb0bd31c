"""The cultures: each jar as it stands, when it was fed, when it is fed next, how it fares."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from pointage.culture.life import Life
from pointage.desk.answers import Bake, CultureNow
from pointage.desk.now.bakes.bake import next_feed
from pointage.desk.wording import title
from pointage.desk.wording.needs import need_title
from pointage.kitchen.kitchen import CultureAtHand
from pointage.language import mark, say
from pointage.mixture.learning.scores import Scores
from pointage.quantities import print_number
from pointage.timetable.plan import CourseRow
from pointage.web.drawing.charts import rise_chart
from pointage.web.drawing.jar import jar
from pointage.web.forms.field import Choice
from pointage.web.frame import Frame
from pointage.web.screens.cultures.page import CultureNote, CulturesPage
from pointage.web.words.clock import Clock
from pointage.web.words.ripeness import past_words, ripe_words
from pointage.web.words.words import (
    length,
    lower_first,
    mass,
    percent,
    warmth,
)

NOTHING_LEFT = mark("Nothing is left in it.")
FLOURS = {
    "barley": mark("barley"),
    "buckwheat": mark("buckwheat"),
    "durum": mark("durum"),
    "einkorn-whole": mark("whole einkorn"),
    "emmer-whole": mark("whole emmer"),
    "khorasan-whole": mark("whole khorasan"),
    "maize-flour": mark("maize"),
    "millet-flour": mark("millet"),
    "oat-flour": mark("oat"),
    "rice-brown": mark("brown rice"),
    "rice-white": mark("white rice"),
    "rye-1150": mark("rye 1150"),
    "rye-dark": mark("dark rye"),
    "rye-medium": mark("medium rye"),
    "rye-white": mark("white rye"),
    "rye-whole": mark("whole rye"),
    "sorghum": mark("sorghum"),
    "spelt-white": mark("white spelt"),
    "spelt-whole": mark("whole spelt"),
    "teff": mark("teff"),
    "triticale-whole": mark("whole triticale"),
    "wheat-1050": mark("wheat 1050"),
    "wheat-812": mark("wheat 812"),
    "wheat-cake": mark("cake wheat"),
    "wheat-plain": mark("plain wheat"),
    "wheat-strong": mark("strong wheat"),
    "wheat-t110": mark("wheat T110"),
    "wheat-t65": mark("wheat T65"),
    "wheat-t80": mark("wheat T80"),
    "wheat-white": mark("white wheat"),
    "wheat-whole": mark("whole wheat"),
    "wheat-whole-soft": mark("soft whole wheat"),
}
"""What a culture is fed with, by the ingredient's name, as it reads within a line."""


def cultures_page(
    cultures: Sequence[CultureNow],
    bakes: Sequence[Bake],
    clock: Clock,
    frame: Frame,
    lives: Sequence[Life] = (),
) -> CulturesPage:
    """Those at hand, then those of `lives` whose jar is empty."""
    notes = [_note(each, bakes, clock) for each in cultures]
    notes += [_empty(life, clock) for life in lives if life.is_empty]
    return CulturesPage(frame, tuple(notes))


def jar_words(life: Life) -> str:
    """A jar of which no level is drawn, for those who hear it."""
    if life.is_empty:
        return say("The jar of {name}, empty", name=life.name)
    return say("The jar of {name}", name=life.name)


def _empty(life: Life, clock: Clock) -> CultureNote:
    fed = life.stands[-1].fed.at
    return CultureNote(
        name=life.name,
        jar=jar(None, None, None, empty=True),
        jar_words=jar_words(life),
        made_of=say(NOTHING_LEFT),
        facts=((say("Last fed"), f"{clock.text(fed)}, {clock.ahead(fed)}"),),
        chart=None,
        ripe="",
        past="",
        pending="",
        offers=(
            Choice(f"/cultures/{life.name}#tell", say("Start it again")),
            Choice(f"/cultures/{life.name}#tell", say("Retire")),
        ),
    )


def _note(now: CultureNow, bakes: Sequence[Bake], clock: Clock) -> CultureNote:
    culture, standing = now.culture, now.standing
    row = now.row(clock.now)
    drawn = jar(row.rise_p10, row.rise, row.rise_p90) if row else jar(None, None, None)
    ripe = ripe_words(standing, clock) if standing else ""
    chart = None
    if standing and row and len(standing.rows) > 1:
        words = say("Rise of {name} since its last feed.", name=culture.name)
        chart = rise_chart(standing, clock, (), f"{words} {ripe}." if ripe else words)
    return CultureNote(
        name=culture.name,
        jar=drawn,
        jar_words=_level_words(culture.name, row),
        made_of=made_of(culture),
        facts=tuple(_facts(now, row, bakes, clock)),
        chart=chart,
        ripe=ripe,
        past=past_words(standing, clock) if standing else "",
        pending=say("What its readings show is being calculated.") if now.under_way else "",
    )


def _level_words(name: str, row: CourseRow | None) -> str:
    if row is None:
        return say("The jar of {name}, its level not forecast", name=name)
    return say("The jar of {name}, now risen to {rise:.1f}", name=name, rise=row.rise)


def made_of(culture: CultureAtHand) -> str:
    """ "Whole rye, water 100 % of the flour"."""
    flours = sorted(culture.flours.items(), key=lambda each: -each[1])
    shares = [
        flour_words(kind) if len(flours) == 1 else f"{flour_words(kind)} {percent(share)}"
        for kind, share in flours
    ]
    water = say("water {percent} of the flour", percent=percent(culture.hydration))
    text = ", ".join([*shares, water])
    return text[:1].upper() + text[1:]


def flour_words(kind: str) -> str:
    """ "rye-whole" as the trade says it: whole rye; one that is not known by its own name."""
    if kind in FLOURS:
        return say(FLOURS[kind])
    grain, _, grade = kind.partition("-")
    return f"{grade} {grain}".strip()


def _facts(
    now: CultureNow, row: CourseRow | None, bakes: Sequence[Bake], clock: Clock
) -> list[tuple[str, str]]:
    culture = now.culture
    facts = [
        (say("Next"), _next_feed(now, bakes, clock)),
        (say("Fed"), f"{clock.text(culture.fed)}, {clock.ahead(culture.fed)}"),
        (say("Amount"), f"{mass(culture.mass_g)}, {lower_first(culture.place)}"),
    ]
    if row:
        now_words = say("risen to {rise:.1f}, pH {ph:.1f}", rise=row.rise, ph=row.ph)
        facts.append((say("Now"), now_words))
    if now.left_since:
        day = clock.day(clock.local(now.left_since).date())
        left = say("not calculated beyond {day}: it was left for too long", day=day)
        facts.append((say("Now"), left))
    if now.holds_until:
        likely = clock.day(clock.local(now.holds_until).date())
        surely = clock.day(clock.local(now.surely_until or now.holds_until).date())
        keeps = say(
            "nine times in ten until {surely}, one in two until {likely}",
            surely=surely,
            likely=likely,
        )
        facts.append((say("Keeps in the cold"), keeps))
    if now.young:
        signs = lower_first(say(now.young.signs()["title"]))
        facts.append((say("Raised"), say("day {n}: {signs}", n=now.young.calendar, signs=signs)))
    if now.to_peak_h is not None:
        hours = length(timedelta(hours=now.to_peak_h))
        peak = say("peaks {hours} after a feed of 1:2:2 at {place}", hours=hours, place=warmth(25))
        facts.append((say("Vigour"), peak))
    if now.accuracy is not None and now.accuracy.readings:
        facts.append((say("Forecasts"), _accuracy(now.accuracy)))
    return facts


def _accuracy(scores: Scores) -> str:
    """ "13 of 16 rises as forecast, meant for 8 in 10; off by 0.11 on average"."""
    inside = sum(score.inside for score in scores.each)
    return say(
        "{inside} of {readings} rises as forecast, meant for 8 in 10; off by {error} on average",
        inside=inside,
        readings=scores.readings,
        error=print_number(scores.error, 2),
    )


def _next_feed(now: CultureNow, bakes: Sequence[Bake], clock: Clock) -> str:
    first = next_feed(now.culture, bakes)
    if first is not None:
        return say("{what}, {time}", what=title(first), time=clock.text(first.start))
    need = now.need
    if need is None:
        return say("nothing planned")
    what, at = need_title(need), clock.text(need.at)
    if need.best_by >= clock.now:
        return say("{what}, {time}", what=what, time=at)
    late = length(clock.now - need.at)
    return say("{what}, {time}, {late} late", what=what, time=at, late=late)
