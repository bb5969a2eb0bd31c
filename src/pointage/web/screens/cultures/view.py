"""The cultures: each jar as it stands, when it was fed, when it is fed next, how it fares."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from pointage.culture.life import Life
from pointage.desk.answers import Bake, CultureNow
from pointage.desk.now.bakes.bake import next_feed
from pointage.desk.wording import title
from pointage.kitchen.kitchen import CultureAtHand
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

NOTHING_LEFT = "Nothing is left in it."


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
    return f"The jar of {life.name}, empty" if life.is_empty else f"The jar of {life.name}"


def _empty(life: Life, clock: Clock) -> CultureNote:
    fed = life.stands[-1].fed.at
    return CultureNote(
        name=life.name,
        jar=jar(None, None, None, empty=True),
        jar_words=jar_words(life),
        made_of=NOTHING_LEFT,
        facts=(("Last fed", f"{clock.text(fed)}, {clock.ahead(fed)}"),),
        chart=None,
        ripe="",
        past="",
        pending="",
        offers=(
            Choice(f"/cultures/{life.name}#tell", "Start it again"),
            Choice(f"/cultures/{life.name}#tell", "Retire"),
        ),
    )


def _note(now: CultureNow, bakes: Sequence[Bake], clock: Clock) -> CultureNote:
    culture, standing = now.culture, now.standing
    row = now.row(clock.now)
    drawn = jar(row.rise_p10, row.rise, row.rise_p90) if row else jar(None, None, None)
    ripe = ripe_words(standing, clock) if standing else ""
    chart = None
    if standing and row and len(standing.rows) > 1:
        words = f"Rise of {culture.name} since its last feed." + (f" {ripe}." if ripe else "")
        chart = rise_chart(standing, clock, (), words)
    return CultureNote(
        name=culture.name,
        jar=drawn,
        jar_words=(
            f"The jar of {culture.name}, now at {row.rise:.1f} of its mark"
            if row
            else f"The jar of {culture.name}, its level not forecast"
        ),
        made_of=made_of(culture),
        facts=tuple(_facts(now, row, bakes, clock)),
        chart=chart,
        ripe=ripe,
        past=past_words(standing, clock) if standing else "",
        pending="What its readings show is being calculated." if now.under_way else "",
    )


def made_of(culture: CultureAtHand) -> str:
    """ "Whole rye, water 100 % of the flour"."""
    flours = sorted(culture.flours.items(), key=lambda each: -each[1])
    shares = [
        flour_words(kind) if len(flours) == 1 else f"{flour_words(kind)} {percent(share)}"
        for kind, share in flours
    ]
    text = ", ".join([*shares, f"water {percent(culture.hydration)} of the flour"])
    return text[:1].upper() + text[1:]


def flour_words(kind: str) -> str:
    """ "rye-whole" as the trade says it: whole rye."""
    grain, _, grade = kind.partition("-")
    return f"{grade} {grain}".strip()


def _facts(
    now: CultureNow, row: CourseRow | None, bakes: Sequence[Bake], clock: Clock
) -> list[tuple[str, str]]:
    culture = now.culture
    facts = [
        ("Fed", f"{clock.text(culture.fed)}, {clock.ahead(culture.fed)}"),
        ("Amount", f"{mass(culture.mass_g)}, {lower_first(culture.place)}"),
    ]
    if row:
        facts.append(("Now", f"{row.rise:.1f} of its mark, pH {row.ph:.1f}"))
    if now.left_since:
        day = clock.day(clock.local(now.left_since).date())
        facts.append(("Now", f"not calculated beyond {day}: it was left for too long"))
    if now.holds_until:
        facts.append(
            ("Keeps in the cold", f"until {clock.day(clock.local(now.holds_until).date())}")
        )
    if now.young:
        title = now.young.signs()["title"]
        facts.append(("Raised", f"day {now.young.number}: {lower_first(title)}"))
    facts.append(("Next", _next_feed(now, bakes, clock)))
    if now.to_peak_h is not None:
        hours = length(timedelta(hours=now.to_peak_h))
        facts.append(("Vigour", f"peaks {hours} after a feed of 1:2:2 at {warmth(25)}"))
    if now.accuracy is not None and now.accuracy.readings:
        facts.append(("Forecasts", _accuracy(now.accuracy)))
    return facts


def _accuracy(scores: Scores) -> str:
    """ "13 of 16 rises within the 8-in-10 band, off by 0.11 on average"."""
    inside = sum(score.inside for score in scores.each)
    return (
        f"{inside} of {scores.readings} rises within the 8-in-10 band, "
        f"off by {print_number(scores.error, 2)} on average"
    )


def _next_feed(now: CultureNow, bakes: Sequence[Bake], clock: Clock) -> str:
    first = next_feed(now.culture, bakes)
    if first is not None:
        return f"{clock.text(first.start)}, {lower_first(title(first))}"
    due = now.feed_due
    if due is None or now.young is None:
        return "nothing planned"
    late = f", {length(clock.now - due)} late" if due < clock.now else ""
    return f"{clock.text(due)}, the feed of day {now.young.number + 1}{late}"
