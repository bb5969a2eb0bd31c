"""What is known of a culture's past: its courses, its vigour, its forecasts, its waste."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from pointage.culture.life import Life
from pointage.culture.vigour import Vigour
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import ReadingKind, readings_of
from pointage.desk.answers import Bake
from pointage.desk.jobs import JobAnswer
from pointage.desk.wording import title
from pointage.language import mark, say
from pointage.timetable.plan import Step, StepKind

STIRRED = (StepKind.FEED, StepKind.BUILD)
HOUR = timedelta(hours=1)
_EVENTS = {
    "began": mark("Began"),
    "split": mark("Split"),
    "renamed": mark("Renamed"),
    "drying": mark("Drying"),
    "dried": mark("Dried"),
    "frozen": mark("Frozen"),
    "retired": mark("Retired"),
}


@dataclass(frozen=True, slots=True)
class SeenCourse:
    """Rises read off one mixture: hours since it was mixed, and the volume then."""

    title: str
    at: datetime
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class RipeForecast:
    """A mixture that was forecast to be ripe, and when it was seen to be; hours from `ripe_from`.

    early_h, until_h: the 10 % edge of its beginning and the middle of its end.
    """

    title: str
    at: datetime
    early_h: float
    until_h: float
    seen_h: float

    @property
    def kept(self) -> bool:
        """Seen ripe within the window."""
        return self.early_h <= self.seen_h <= self.until_h


@dataclass(frozen=True, slots=True)
class Wasted:
    """Grams discarded in the week that began then."""

    begins: date
    grams: float


@dataclass(frozen=True, slots=True)
class CultureChange:
    """Something recorded of the culture that may have changed it."""

    at: datetime
    words: str


@dataclass(frozen=True, slots=True)
class CulturePast:
    """under_way: the vigour is being worked out."""

    name: str
    courses: tuple[SeenCourse, ...]
    vigour: tuple[Vigour, ...]
    under_way: bool
    forecasts: tuple[RipeForecast, ...]
    waste: tuple[Wasted, ...]
    changes: tuple[CultureChange, ...]


def culture_past(
    life: Life,
    bakes: Iterable[Bake],
    entries: Sequence[Entry],
    vigour: JobAnswer[tuple[Vigour, ...]],
    zone: ZoneInfo,
    *,
    week_from: int = 0,
) -> CulturePast:
    """A culture's past, out of the bakes that took of it and what was recorded of itself.

    entries: those that name the culture, in order. week_from: the day on which weeks begin, Monday
    is 0.
    """
    own = sorted(
        (bake for bake in bakes if bake.plan.culture in life.names), key=lambda b: b.plan.ready
    )
    courses = [*_of_bakes(own), *_of_feeds(entries)]
    return CulturePast(
        name=life.name,
        courses=tuple(sorted(courses, key=lambda each: each.at)),
        vigour=vigour.found or (),
        under_way=vigour.waits,
        forecasts=tuple(forecasts(own)),
        waste=tuple(_waste(life, zone, week_from)),
        changes=tuple(_changes(entries)),
    )


def course_of(bake: Bake, step: Step, title: str) -> SeenCourse:
    """What was read off a step, from the instant it was mixed."""
    began = began_at(bake, step)
    points = tuple(
        ((each.at - began) / HOUR, each.value)
        for each in bake.step_news(step.key).readings
        if each.kind is ReadingKind.RISE and each.value is not None and each.at > began
    )
    return SeenCourse(title, began, points)


def began_at(bake: Bake, step: Step) -> datetime:
    """When what stands in a step was mixed: as recorded, else as planned."""
    if step.kind in STIRRED:
        done = bake.step_news(step.key).done
        return step.start if done is None else done - (step.end - step.start)
    mix = next((each for each in bake.plan.steps if each.kind is StepKind.MIX), step)
    done = bake.step_news(mix.key).done
    return mix.start if done is None else done - (mix.end - mix.start)


def _of_bakes(bakes: Iterable[Bake]) -> list[SeenCourse]:
    found = [
        course_of(
            bake, step, say("{step} for {formula}", step=title(step), formula=bake.plan.formula)
        )
        for bake in bakes
        for step in bake.plan.steps
        if step.kind in STIRRED
    ]
    return [each for each in found if each.points]


def _of_feeds(past_entries: Sequence[Entry]) -> list[SeenCourse]:
    """Rises measured between one feed and the next."""
    feeds = [entry for entry in past_entries if entry.kind is EntryKind.FED]
    found = []
    for number, fed in enumerate(feeds):
        until = feeds[number + 1].happened if number + 1 < len(feeds) else None
        points = tuple(
            ((each.happened - fed.happened) / HOUR, reading.value)
            for each in past_entries
            if each.happened > fed.happened and (until is None or each.happened < until)
            for reading in readings_of(each)
            if reading.kind is ReadingKind.RISE and reading.value is not None
        )
        if points:
            found.append(SeenCourse(say("Fed"), fed.happened, points))
    return found


def forecasts(bakes: Iterable[Bake]) -> list[RipeForecast]:
    """Every mixture that was forecast to be ripe and then seen to be, the oldest first."""
    found = []
    for bake in bakes:
        for step in bake.plan.steps:
            standing = step.standing
            if standing is None or standing.ripe_from is None or standing.ripe_until is None:
                continue
            ripe = [r.at for r in bake.step_news(step.key).readings if r.kind is ReadingKind.RIPE]
            if ripe:
                shift = began_at(bake, step) - step.start  # mixed later, it is ripe later
                start = standing.ripe_from.p50 + shift
                found.append(
                    RipeForecast(
                        say("{step} for {formula}", step=title(step), formula=bake.plan.formula),
                        min(ripe),
                        (standing.ripe_from.p10 + shift - start) / HOUR,
                        (standing.ripe_until.p50 + shift - start) / HOUR,
                        (min(ripe) - start) / HOUR,
                    )
                )
    return found


def _waste(life: Life, zone: ZoneInfo, week_from: int) -> list[Wasted]:
    """By weeks of the kitchen's own days, those between that were without waste too."""
    by_week: dict[date, float] = {}
    for taken in life.wasted:
        day = taken.at.astimezone(zone).date()
        begins = day - timedelta(days=(day.weekday() - week_from) % 7)
        by_week[begins] = by_week.get(begins, 0.0) + taken.grams
    if not by_week:
        return []
    first, last = min(by_week), max(by_week)
    weeks = (last - first).days // 7 + 1
    starts = [first + timedelta(weeks=n) for n in range(weeks)]
    return [Wasted(begins, by_week.get(begins, 0.0)) for begins in starts]


def _changes(past_entries: Sequence[Entry]) -> list[CultureChange]:
    found = []
    before: Mapping[str, float] = {}
    for entry in past_entries:
        if entry.kind is EntryKind.NOTE:
            found.append(CultureChange(entry.happened, str(entry.body["text"])))
        elif entry.kind is EntryKind.CULTURE:
            found.append(
                CultureChange(
                    entry.happened,
                    say(_EVENTS.get(event := str(entry.body["event"]), event.capitalize())),
                )
            )
        elif entry.kind is EntryKind.FED:
            flours = {
                part["ingredient"]: part["grams"]
                for part in entry.body["parts"]
                if part.get("ingredient") not in (None, "water")
            }
            if before and flours.keys() != before.keys():
                found.append(
                    CultureChange(
                        entry.happened, say("Fed with {flours}", flours=", ".join(sorted(flours)))
                    )
                )
            before = flours or before
    return found
