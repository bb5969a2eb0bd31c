"""What is known of a culture's past: its courses, its vigour, its forecasts, its waste."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from pointage.culture.life import Life
from pointage.culture.vigour import Vigour, Window, vigour_in, windows
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import ReadingKind, readings_of
from pointage.desk.answers import Bake
from pointage.desk.watch import SEED, histories
from pointage.mixture.learning import Watched
from pointage.timetable.plan import Step, StepKind

STIRRED = (StepKind.FEED, StepKind.BUILD)
HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class SeenCourse:
    """Rises read off one mixture: hours since it was mixed, and the volume then."""

    title: str
    at: datetime
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Foretold:
    """A mixture that was foretold to be ripe, and when it was seen to be; hours from `ripe_from`.

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
    """Grams poured off in the week that began on `monday`."""

    monday: date
    grams: float


@dataclass(frozen=True, slots=True)
class Change:
    """Something that was told of the culture and may have changed it."""

    at: datetime
    words: str


@dataclass(frozen=True, slots=True)
class CulturePast:
    """pending: so many points of the vigour are still being worked out."""

    name: str
    courses: tuple[SeenCourse, ...]
    vigour: tuple[Vigour, ...]
    pending: int
    foretold: tuple[Foretold, ...]
    waste: tuple[Wasted, ...]
    changes: tuple[Change, ...]


class Vigours:
    """Vigour by window, worked out one after the other behind the page, and kept.

    Nothing new in a window: the answer stays. Learning takes about a second a window.
    """

    def __init__(self) -> None:
        self._kept: dict[tuple[str, datetime, int], Future[Vigour | None]] = {}
        self._worker = ThreadPoolExecutor(1, thread_name_prefix="vigour")

    def of(self, culture: str, bakes: Sequence[Bake]) -> tuple[tuple[Vigour, ...], int]:
        """What is worked out so far, and how many windows are not."""
        seen = [bake for bake in bakes if any(news.readings for news in bake.news.values())]
        if not seen:
            return (), 0
        times = [_first(bake) for bake in seen]
        pending, found = 0, []
        for window in windows(min(times), max(times)):
            within = [b for b, at in zip(seen, times, strict=True) if _near(window, at)]
            told = hash(tuple((bake.key, repr(sorted(bake.news.items()))) for bake in within))
            key = (culture, window.since, told)
            if key not in self._kept:
                self._kept[key] = self._worker.submit(_worked_out, window, within)
            future = self._kept[key]
            if not future.done():
                pending += 1
            elif (vigour := future.result()) is not None:
                found.append(vigour)
        return tuple(found), pending

    def wait(self) -> None:
        """Until all that was asked for is worked out."""
        for future in list(self._kept.values()):
            future.result()


def _worked_out(window: Window, bakes: Sequence[Bake]) -> Vigour | None:
    watched: list[Watched] = [each for bake in bakes for each in histories(bake)]
    return vigour_in(window, watched, SEED)


def _first(bake: Bake) -> datetime:
    return min(step.start for step in bake.plan.steps)


def _near(window: Window, first: datetime) -> bool:
    """Whether mixes of a bake that begins then may fall into the window."""
    return window.since - timedelta(days=3) <= first < window.until


def culture_past(
    life: Life,
    bakes: Iterable[Bake],
    entries: Sequence[Entry],
    vigours: Callable[[str, Sequence[Bake]], tuple[tuple[Vigour, ...], int]],
    zone: ZoneInfo,
) -> CulturePast:
    """A culture's past, out of the bakes that took of it and what was told of itself."""
    own = sorted(
        (bake for bake in bakes if bake.plan.culture in life.names), key=lambda b: b.plan.ready
    )
    told = [entry for entry in entries if entry.body.get("culture") in life.names]
    vigour, pending = vigours(life.name, own)
    courses = [*_of_bakes(own), *_of_feeds(told)]
    return CulturePast(
        name=life.name,
        courses=tuple(sorted(courses, key=lambda each: each.at)),
        vigour=vigour,
        pending=pending,
        foretold=tuple(foretold(own)),
        waste=tuple(_waste(life, zone)),
        changes=tuple(_changes(told)),
    )


def course_of(bake: Bake, step: Step, title: str) -> SeenCourse:
    """What was read off a step, from the instant it was mixed."""
    began = began_at(bake, step)
    points = tuple(
        ((each.at - began) / HOUR, each.value)
        for each in bake.told(step.key).readings
        if each.kind is ReadingKind.RISE and each.value is not None and each.at > began
    )
    return SeenCourse(title, began, points)


def began_at(bake: Bake, step: Step) -> datetime:
    """When what stands in a step was mixed: as told, else as planned."""
    if step.kind in STIRRED:
        done = bake.told(step.key).done
        return step.start if done is None else done - (step.end - step.start)
    mix = next((each for each in bake.plan.steps if each.kind is StepKind.MIX), step)
    done = bake.told(mix.key).done
    return mix.start if done is None else done - (mix.end - mix.start)


def _of_bakes(bakes: Iterable[Bake]) -> list[SeenCourse]:
    found = [
        course_of(bake, step, f"{step.title} for {bake.plan.formula}")
        for bake in bakes
        for step in bake.plan.steps
        if step.kind in STIRRED
    ]
    return [each for each in found if each.points]


def _of_feeds(told: Sequence[Entry]) -> list[SeenCourse]:
    """Rises measured between one feed and the next."""
    feeds = [entry for entry in told if entry.kind is EntryKind.FED]
    found = []
    for number, fed in enumerate(feeds):
        until = feeds[number + 1].happened if number + 1 < len(feeds) else None
        points = tuple(
            ((each.happened - fed.happened) / HOUR, reading.value)
            for each in told
            if each.happened > fed.happened and (until is None or each.happened < until)
            for reading in readings_of(each)
            if reading.kind is ReadingKind.RISE and reading.value is not None
        )
        if points:
            found.append(SeenCourse("Fed", fed.happened, points))
    return found


def foretold(bakes: Iterable[Bake]) -> list[Foretold]:
    """Every mixture that was foretold to be ripe and then seen to be, the oldest first."""
    found = []
    for bake in bakes:
        for step in bake.plan.steps:
            standing = step.standing
            if standing is None or standing.ripe_from is None or standing.ripe_until is None:
                continue
            ripe = [r.at for r in bake.told(step.key).readings if r.kind is ReadingKind.RIPE]
            if ripe:
                shift = began_at(bake, step) - step.start  # mixed later, it is ripe later
                start = standing.ripe_from.p50 + shift
                found.append(
                    Foretold(
                        f"{step.title} for {bake.plan.formula}",
                        min(ripe),
                        (standing.ripe_from.p10 + shift - start) / HOUR,
                        (standing.ripe_until.p50 + shift - start) / HOUR,
                        (min(ripe) - start) / HOUR,
                    )
                )
    return found


def _waste(life: Life, zone: ZoneInfo) -> list[Wasted]:
    """By weeks of the kitchen's own days, those between that were without waste too."""
    by_week: dict[date, float] = {}
    for taken in life.wasted:
        day = taken.at.astimezone(zone).date()
        monday = day - timedelta(days=day.weekday())
        by_week[monday] = by_week.get(monday, 0.0) + taken.grams
    if not by_week:
        return []
    first, last = min(by_week), max(by_week)
    weeks = (last - first).days // 7 + 1
    mondays = [first + timedelta(weeks=n) for n in range(weeks)]
    return [Wasted(monday, by_week.get(monday, 0.0)) for monday in mondays]


def _changes(told: Sequence[Entry]) -> list[Change]:
    found = []
    before: Mapping[str, float] = {}
    for entry in told:
        if entry.kind is EntryKind.NOTE:
            found.append(Change(entry.happened, str(entry.body["text"])))
        elif entry.kind is EntryKind.CULTURE:
            found.append(Change(entry.happened, str(entry.body["event"]).capitalize()))
        elif entry.kind is EntryKind.FED:
            flours = {
                part["ingredient"]: part["grams"]
                for part in entry.body["parts"]
                if part.get("ingredient") not in (None, "water")
            }
            if before and flours.keys() != before.keys():
                found.append(Change(entry.happened, "Fed with " + ", ".join(sorted(flours))))
            before = flours or before
    return found
