"""What is working now: the course of each mixture that stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

from pointage.daybook.readings import KINDS, ReadingKind, reading_words
from pointage.desk.answers import Bake
from pointage.desk.now.learned.friction import AFTER
from pointage.desk.wording import caution, fridge_note, narrowed, note, title
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say, written
from pointage.quantities import print_duration
from pointage.shown import FIXED, degrees_sign
from pointage.timetable.plan import (
    CourseRow,
    Step,
    StepCourse,
    StepKind,
)
from pointage.web.drawing.charts import Seen, rise_chart
from pointage.web.frame import Doubt
from pointage.web.screens.bench.level import level_words
from pointage.web.screens.bench.page import CourseLine, Touch, Working
from pointage.web.screens.bench.slip import Slip
from pointage.web.words.aside import questioned_words
from pointage.web.words.clock import Clock, quiet_spans
from pointage.web.words.ripeness import past_words, ripe_words
from pointage.web.words.words import lower_first, warmth

TABLE_LINES = 10
ON_TIME = timedelta(minutes=15)
LATE = timedelta(hours=12)
"""So long after its planned end a mixture that nobody has used still stands there."""
FOLLOWS = mark("the forecast is on its way")
# The steps that end whatever stood until then.
USE_UP = frozenset(
    {StepKind.FEED, StepKind.BUILD, StepKind.MIX, StepKind.DIVIDE, StepKind.SHAPE, StepKind.BAKE}
)


def working(
    kitchen: Kitchen, bakes: Sequence[Bake], clock: Clock, slip: Slip | None
) -> tuple[Working, ...]:
    """Every mixture that stands now, the one that began last first."""
    found = [
        (step, standing, bake)
        for bake in bakes
        for step in bake.plan.steps
        if (standing := step.standing) is not None and _stands(bake, step, standing, clock)
    ]
    found.sort(key=lambda each: each[0].start, reverse=True)
    return tuple(
        replace(
            _working(bake, step, standing, clock, slip),
            look="" if bake.under_way else look_words(standing, kitchen, clock),
        )
        for step, standing, bake in found
    )


def _stands(bake: Bake, step: Step, standing: StepCourse, clock: Clock) -> bool:
    """Within its course, or left standing after it; every hand that had to come before has come,
    none has used it up."""
    rows = standing.rows
    if len(rows) < 2 or not rows[0].at <= clock.now <= rows[-1].at + LATE:
        return False
    hands = [each for each in bake.plan.steps if each.hands]
    done = [each for each in hands if bake.step_news(each.key).done]
    needed = [each.start for each in hands if each.start < step.start or each is step]
    come = not needed or any(each.start >= max(needed) for each in done)
    used = any(each.start > step.start and each.kind in USE_UP for each in done)
    return come and not used


def _working(
    bake: Bake, step: Step, standing: StepCourse, clock: Clock, slip: Slip | None
) -> Working:
    ripe, past = ripe_words(standing, clock), past_words(standing, clock)
    name, since = step.mixture or title(step), clock.text(standing.rows[0].at)
    readings, zone = bake.step_news(step.key).readings, ZoneInfo(bake.plan.zone)
    seen = [
        Seen(each.at, each.value)
        for each in readings
        if each.kind is ReadingKind.RISE and each.value is not None
    ]
    mine = slip if slip and slip.concerns(bake, step, *ReadingKind, "note") else None
    return Working(
        bake=bake.key,
        step=step.key,
        title=name,
        where=say("{place}, since {time}", place=lower_first(step.place), time=since),
        note=fridge_note(step, zone) if step.hands else note(step, zone),
        level=level_words(standing, clock),
        caution=caution(standing, zone) if clock.now <= standing.rows[-1].at else "",
        ripe=ripe,
        past=past,
        chart=rise_chart(standing, clock, seen, _words(name, standing, ripe or past, clock)),
        course=course_lines(standing.rows, clock),
        readings=tuple(
            say(
                "{reading} at {time}",
                reading=reading_words(each).replace(" °", f"{FIXED}°"),
                time=clock.text(each.at),
            )
            for each in readings
            if not each.questioned
        ),
        doubts=tuple(
            Doubt(questioned_words(each, each.at - standing.rows[0].at, clock), each.entry)
            for each in readings
            if each.questioned
        ),
        touches=_touches(asks=_asks(bake, step, clock)),
        drift=say(FOLLOWS) if bake.under_way else drift_words(bake.step_news(step.key).ahead),
        typed_kind=mine.field if mine else "",
        typed=mine.typed if mine else "",
        error=mine.error if mine else "",
    )


def _touches(*, asks: bool) -> tuple[Touch, ...]:
    """What can be said of it in a touch, the dough's temperature first when that is asked for."""
    found = [
        Touch(
            kind=kind.value,
            title=degrees_sign() if kind is ReadingKind.TEMPERATURE else say(known.title),
            prompt=say(known.prompt),
            example="" if known.bound is None else known.bound.typed_example,
            numbered=known.bound is not None,
            warm=known.bound is not None and known.bound.is_warmth,
        )
        for kind, known in KINDS.items()
        if known.prompt
    ]
    if asks:
        temperature = next(each for each in found if each.kind == ReadingKind.TEMPERATURE)
        found.remove(temperature)
        found.insert(0, replace(temperature, title=say("Dough temperature"), main=True))
    return tuple(found)


def _asks(bake: Bake, step: Step, clock: Clock) -> bool:
    """A dough mixed a moment ago whose temperature nobody has recorded yet."""
    if step.kind not in (StepKind.MIX, StepKind.BULK):
        return False
    typed = any(each.kind is ReadingKind.TEMPERATURE for each in bake.step_news(step.key).readings)
    mixes = [each.key for each in bake.plan.steps if each.kind is StepKind.MIX]
    mixed = next((done for key in mixes if (done := bake.step_news(key).done)), None)
    return not typed and mixed is not None and clock.now <= mixed + AFTER


def drift_words(ahead: timedelta | None) -> str:
    """ "about 40 min ahead of the plan", or nothing when it is on time to a quarter of an hour."""
    if ahead is None or abs(ahead) < ON_TIME:
        return ""
    rounded = timedelta(minutes=5 * round(abs(ahead) / timedelta(minutes=5)))
    length = print_duration(rounded)
    if ahead > timedelta():
        return say("about {length} ahead of the plan", length=length)
    return say("about {length} behind the plan", length=length)


def look_words(standing: StepCourse, kitchen: Kitchen, clock: Clock) -> str:
    """ "Best time to look: 13:10. ± 70 min becomes ± 25 min.", of what is ahead and awake."""
    ahead = [look for look in standing.looks if look.at >= clock.now]
    if not ahead:
        return ""
    asleep = quiet_spans(kitchen.hours.sleep, clock, clock.now, ahead[-1].at + ON_TIME)
    awake = [look for look in ahead if not any(low <= look.at < high for low, high in asleep)]
    best = min(awake, key=lambda look: look.left_h, default=None)
    if best is None:
        return ""
    band = narrowed(timedelta(hours=standing.half_h), timedelta(hours=best.left_h))
    return say("Best time to look: {time}. {band}.", time=clock.text(best.at), band=band)


def _words(name: str, standing: StepCourse, ripe: str, clock: Clock) -> str:
    """What the chart shows, in a sentence."""
    first, last, rise = standing.rows[0], standing.rows[-1], standing.rise_at(clock.now)
    sentences = [
        say(
            "Rise of {name} from {start} to {end}, from {least:.1f} to {most:.1f}.",
            name=name,
            start=clock.text(first.at),
            end=clock.text(last.at),
            least=first.rise,
            most=last.rise,
        )
    ]
    if rise is not None:
        sentences.append(say("Now {rise:.1f}.", rise=rise))
    if ripe:
        sentences.append(f"{ripe[:1].upper()}{ripe[1:]}.")
    return " ".join(sentences)


def course_lines(rows: Sequence[CourseRow], clock: Clock) -> tuple[CourseLine, ...]:
    """The course as a short table, evenly spaced, first and last row included."""
    if len(rows) <= TABLE_LINES:
        chosen = list(rows)
    else:
        last = len(rows) - 1
        chosen = [rows[round(n * last / (TABLE_LINES - 1))] for n in range(TABLE_LINES)]
    return tuple(
        CourseLine(
            at=clock.text(row.at),
            rise=written(f"{row.rise:.1f}"),
            band=say("{low:.1f} to {high:.1f}", low=row.rise_p10, high=row.rise_p90),
            temperature=warmth(row.temperature_c),
            ph=written(f"{row.ph:.1f}"),
        )
        for row in chosen
    )
