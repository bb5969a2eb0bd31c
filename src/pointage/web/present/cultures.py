"""The cultures: each jar as it stands, when it was fed, when it is fed next, how it fares."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from pointage.desk.answers import Bake, CultureNow
from pointage.desk.wording import title
from pointage.kitchen.kitchen import CultureAtHand
from pointage.mixture.scores import Scores
from pointage.quantities import print_number
from pointage.timetable.plan import CourseRow, StepKind
from pointage.web.charts import rise_chart
from pointage.web.pages import CultureNote, CulturesPage, Frame
from pointage.web.present.bench import steps_left
from pointage.web.present.clock import Clock
from pointage.web.present.jar import jar
from pointage.web.present.ripeness import past_words, ripe_words
from pointage.web.present.words import length, lower_first, mass, percent, warmth

FEEDS = frozenset({StepKind.FEED, StepKind.BUILD})


def cultures_page(
    cultures: Sequence[CultureNow], bakes: Sequence[Bake], clock: Clock, frame: Frame
) -> CulturesPage:
    return CulturesPage(frame, tuple(_note(each, bakes, clock) for each in cultures))


def _note(now: CultureNow, bakes: Sequence[Bake], clock: Clock) -> CultureNote:
    culture, standing = now.culture, now.standing
    row = _row_now(standing.rows, clock) if standing else None
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


def _row_now(rows: Sequence[CourseRow], clock: Clock) -> CourseRow | None:
    """The row nearest to now, if the course reaches as far."""
    if not rows or not rows[0].at <= clock.now <= rows[-1].at:
        return None
    return min(rows, key=lambda row: abs(row.at - clock.now))


def _facts(
    now: CultureNow, row: CourseRow | None, bakes: Sequence[Bake], clock: Clock
) -> list[tuple[str, str]]:
    culture = now.culture
    facts = [
        ("Fed", f"{clock.text(culture.fed)}, {clock.ahead(culture.fed)}"),
        ("Stands", f"{mass(culture.mass_g)}, {lower_first(culture.place)}"),
    ]
    if row:
        facts.append(("Now", f"{row.rise:.1f} of its mark, pH {row.ph:.1f}"))
    if now.left_since:
        day = clock.day(clock.local(now.left_since).date())
        facts.append(("Now", f"not calculated beyond {day}: it was left for too long"))
    if now.holds_until:
        facts.append(("Cold rest holds", f"until {clock.day(clock.local(now.holds_until).date())}"))
    facts.append(("Next", _next_feed(culture, bakes, clock) or "nothing planned"))
    if now.doubling_h is not None:
        doubling = length(timedelta(hours=now.doubling_h))
        facts.append(("Vigour", f"doubles in {doubling} at {warmth(25)}"))
    if now.foretold is not None and now.foretold.readings:
        facts.append(("Foretold", _foretold(now.foretold)))
    return facts


def _foretold(scores: Scores) -> str:
    """ "13 of 16 rises within the band meant for 8 in 10, off by 0.11 in the mean"."""
    inside = sum(score.inside for score in scores.each)
    return (
        f"{inside} of {scores.readings} rises within the band meant for 8 in 10, "
        f"off by {print_number(scores.error, 2)} in the mean"
    )


def _next_feed(culture: CultureAtHand, bakes: Sequence[Bake], clock: Clock) -> str:
    steps = [
        step
        for bake in bakes
        if bake.plan.culture == culture.name
        for step in steps_left(bake)
        if step.kind in FEEDS
    ]
    if not steps:
        return ""
    first = min(steps, key=lambda step: step.start)
    return f"{clock.text(first.start)}, {lower_first(title(first))}"
