"""Forecast one mixture: seed, flour and water at a temperature, for so many hours.

The kitchen and its records are imported only where a culture or a log asks for them: they take as
long to import as the forecast to make.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import isnan
from typing import TYPE_CHECKING, Any

import numpy as np

from pointage.culture.mature import mature
from pointage.desk.wording.flags import flag_words
from pointage.errors import Faults
from pointage.formula.flour.figures import read_figures
from pointage.language import say, say_many
from pointage.mixture.course import (
    DOUBLED,
    Band,
    Course,
    band,
)
from pointage.mixture.flours import FlourRecord, flour_record
from pointage.mixture.hold import hold
from pointage.mixture.learning.look import Looks, looks
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.temperature.surroundings import Constant, Surroundings
from pointage.mixture.traits import Traits, draw_traits

if TYPE_CHECKING:
    from pointage.kitchen.log.read import Log, LogOptions

MEMBERS = 400
SEED = 20261125
ROW_MIN = 30
LESS = 0.85
USUAL, CULTURE = "wheat-white", "--culture"


@dataclass(frozen=True, eq=False)
class ForecastAnswer:
    """The course of a mixture with its bands; hours are from mixing.

    looks: what a reading of the rise would leave of the band of `ripe_from`, where it comes to it.
    """

    course: Course
    peak: Band
    ripe_from: Band
    ripe_until: Band
    doubled: Band
    soured: Band
    looks: Looks | None = None
    notes: tuple[str, ...] = ()
    culture: Mapping[str, Any] | None = None

    def as_json(self) -> dict[str, Any]:
        """The JSON object of `pointage forecast`; None stands for "not within the hours asked"."""
        course = self.course
        best = None if self.looks is None else self.looks.best
        low, middle, high = np.percentile(course.rise, (10, 50, 90), axis=0)
        columns = {
            "temperature_c": np.median(course.temperature, axis=0),
            "rise": middle,
            "rise_p10": low,
            "rise_p90": high,
            "ph": np.median(course.ph, axis=0),
            "yeast_per_g": np.median(course.yeast, axis=0),
            "lab_per_g": np.median(course.bacteria, axis=0),
        }
        return {
            "peak_h": _json(self.peak),
            "ripe_from_h": _json(self.ripe_from),
            "ripe_until_h": _json(self.ripe_until),
            "doubled_h": _json(self.doubled),
            "ph_4_2_h": _json(self.soured),
            "look_at_h": best and best.at_h,
            "narrows_from_h": best and self.looks and self.looks.half_h,
            "narrows_to_h": best and best.half_h,
            "rise_at_peak": float(np.median(course.rise.max(axis=1))),
            "warnings": [flag_words(each) for each in course.flags],
            "notes": list(self.notes),
            "culture": None if self.culture is None else dict(self.culture),
            "course": [
                {"h": float(h), **{name: float(values[i]) for name, values in columns.items()}}
                for i, h in enumerate(course.hours)
            ],
        }


def forecast(
    *,
    seed_g: float,
    flour_g: float,
    water_g: float,
    celsius: float,
    hours: float,
    flour_kind: str = "wheat-white",
    record: FlourRecord | None = None,
    salt_g: float = 0.0,
    series: str | None = None,
    log: LogOptions | None = None,
    culture: str | None = None,
    now: datetime | None = None,
) -> ForecastAnswer:
    """Forecast a mixture of ripe seed, flour, water and salt.

    record: of the flour (`flour_of`); None for what the tables say of its kind. The seed is fed
    with the same flour.

    The seed is the named culture of the kitchen as it stands now, by the members that its page goes
    by (`desk.now.cultures.ensemble`); else one in its prime on the same flour at 100 % hydration,
    by MEMBERS drawn from the priors. The mixture stands at `celsius`, or in a logged `series` (CSV
    text, read as `log` says), which starts at mixing. Raises InputError for a log that cannot be
    used and a culture that is not there.
    """
    record = record or flour_record(flour_kind)
    now = now or datetime.now(UTC)
    around: Surroundings = Constant(celsius)
    start = now
    log_notes: tuple[str, ...] = ()
    if series is not None:
        found, log_notes = _logged(series, now, hours, log)
        around, start = found.surroundings(found.first, hours), found.first
        celsius = float(found.celsius[0])
    about: Mapping[str, Any] | None = None
    if culture is None:
        traits = draw_traits(MEMBERS, SEED)
        seed = mature({flour_kind: 1.0}, 1.0, traits, record)
    else:
        traits, seed, about = _of_kitchen(culture, now)
    flour = raw({flour_kind: flour_g}, water_g, salt_g, celsius=celsius, record=record)
    mixed = mix([seed.scaled(seed_g).at_temperature(celsius), flour])
    course = hold(mixed, around, start, hours, traits, every_min=ROW_MIN)
    ripe_from, ripe_until = course.ripe()
    return ForecastAnswer(
        course=course,
        peak=band(course.peak_h()),
        ripe_from=band(ripe_from),
        ripe_until=band(ripe_until),
        doubled=band(course.reaches(DOUBLED)),
        soured=band(course.sour_h()),
        looks=looks(course, ripe_from),
        notes=(*_notes(flour_kind), *log_notes),
        culture=about,
    )


def known_culture(name: str) -> None:
    """Raises InputError where the kitchen at hand has no such culture."""
    from pointage.desk.at_hand import at_hand

    at_hand(datetime.now(UTC)).kitchen.culture(name, CULTURE)


def check_log(series: str, options: LogOptions | None) -> None:
    """Raises InputError for a log of temperatures that cannot be used."""
    _logged(series, datetime.now(UTC), 0.0, options)


def flour_of(kind: str, figures: Mapping[str, str]) -> FlourRecord:
    """What is known of a flour. figures: what its sack says, as it is typed (`read_figures`).

    Raises InputError with every fault; where the kind is not known, figures are read as wheat's.
    """
    faults = Faults()
    faults.take(flour_record, kind, field="--flour-kind")
    own = faults.take(read_figures, figures, USUAL if faults.found else kind, _option)
    faults.check()
    return flour_record(kind, own)


def _option(figure: str) -> str:
    return f"--{figure.replace('_', '-')}"


def _notes(flour_kind: str) -> tuple[str, ...]:
    """What to know of a flour that rises less than white wheat."""
    white, this = flour_record("wheat-white").retention, flour_record(flour_kind).retention
    if this > LESS * white:
        return ()
    return (
        say(
            "{flour_kind} holds about {share:.0%} of the gas that white wheat holds: it "
            "rises less, and is ripe before it doubles",
            flour_kind=flour_kind,
            share=this / white,
        ),
    )


def _logged(
    series: str, now: datetime, hours: float, options: LogOptions | None
) -> tuple[Log, tuple[str, ...]]:
    """The log, and what to know of it. Raises InputError for one that cannot be used."""
    from pointage.desk.at_hand import zone_at_hand
    from pointage.kitchen.log.read import LogOptions, gap_notes, read_log

    zone = zone_at_hand(now)
    options = options or LogOptions()
    log = read_log(series, zone, "--temperatures", options, start=now)
    log = log.taken("--temperatures", skip_bad_rows=options.skip_bad_rows)
    end = log.first + timedelta(hours=hours)
    notes = [
        say("the log has {gap}", gap=gap)
        for gap in gap_notes([g for g in log.gaps if g[0] < end], zone)
    ]
    if log.last < end:
        logged_h = (log.last - log.first).total_seconds() / 3600
        notes.append(
            say(
                "the log ends after {hours:.1f} h, and its last reading is used from there on",
                hours=logged_h,
            )
        )
    if log.left:
        notes.append(
            say_many(
                "{n} bad rows of the log were left out",
                "{n} bad rows of the log were left out",
                log.left,
            )
        )
    return log, (*(say("in the log {note}", note=each) for each in log.notes), *notes)


def _of_kitchen(culture: str, now: datetime) -> tuple[Traits, Mixture, Mapping[str, Any]]:
    """The members and the state of a culture of the kitchen, and what is known of it now."""
    from pointage.desk.at_hand import at_hand
    from pointage.desk.kitchen.figures import culture_json
    from pointage.desk.now.cultures.culture import ensemble
    from pointage.kitchen.culture_state import culture_at

    present = at_hand(now)
    kitchen = present.kitchen
    found = kitchen.culture(culture, CULTURE)
    traits = ensemble(present.learning.beliefs_now(found.name))
    return traits, culture_at(found, kitchen, now, traits), culture_json(present, found.name, now)


def _json(found: Band) -> dict[str, float | None]:
    values = {"p10": found.p10, "p50": found.p50, "p90": found.p90}
    return {name: None if isnan(value) else value for name, value in values.items()}
