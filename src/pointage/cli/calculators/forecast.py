"""`pointage forecast`: how a mixture ferments, and when it is ripe."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated, Any

from pointage.cli.declared import Option
from pointage.language import mark, say, written


def forecast(
    *,
    seed: Annotated[str, Option(help="The ripe culture that goes in, such as 50g.")],
    flour: Annotated[str, Option(help="The flour it is fed, such as 100g.")],
    water: Annotated[str, Option(help="The water it is fed, such as 100g.")],
    at: Annotated[str, Option(help="The temperature it is kept at, such as 25C.")],
    hours: Annotated[str, Option(help="How long to look ahead, such as 24 (hours).")] = "24h",
    flour_kind: Annotated[
        str, Option(help="Such as wheat-white, wheat-whole, rye-whole or spelt-whole.")
    ] = "wheat-white",
    ash: Annotated[
        str | None,
        Option(
            help="The flour's ash as on the sack, such as 0.65 (percent of the dry matter), "
            "'0.55 as bought' or '0.56 at 14'."
        ),
    ] = None,
    falling_number: Annotated[
        str | None, Option(help="Its falling number, such as 250 (seconds).")
    ] = None,
    moisture: Annotated[str | None, Option(help="Its moisture, such as 14.8 (percent).")] = None,
    salt: Annotated[str, Option(help="Salt, such as 2g.")] = "0g",
    temperatures: Annotated[
        str | None,
        Option(metavar="FILE.csv", help="A log of temperatures, in place of --at."),
    ] = None,
    log_column: Annotated[
        str | None, Option(metavar="NAME", help="Which column of the log, if there are several.")
    ] = None,
    log_unit: Annotated[
        str | None, Option(metavar="C|F", help="The log's unit, if neither heading nor cells say.")
    ] = None,
    log_dates: Annotated[
        str | None,
        Option(metavar="ORDER", help="The order of its dates: day-first, month-first, year-first."),
    ] = None,
    skip_bad_rows: Annotated[
        bool, Option("--skip-bad-rows", help="Leave out rows of the log that cannot be read.")
    ] = False,
    culture: Annotated[str | None, Option(help="A culture of the kitchen, by name.")] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Forecast the rise, acidity and ripe window of a mixture.

    Each with odds of 10, 50 and 90 %.
    """
    from pointage.bounds import FORECAST_H, MIXTURE_C, PART_G, WEIGHED_G
    from pointage.cli.files import read_log_text
    from pointage.cli.options import refuse_idle
    from pointage.cli.table import print_json
    from pointage.errors import Faults

    faults = Faults()
    take = faults.take
    seed_g, flour_g, water_g = (
        take(PART_G.read, text, field)
        for text, field in ((seed, "--seed"), (flour, "--flour"), (water, "--water"))
    )
    salt_g = take(WEIGHED_G.read, salt, "--salt")
    celsius = take(MIXTURE_C.read, at, "--at")
    length_h = take(FORECAST_H.read, hours, "--hours")
    series = faults.maybe(read_log_text, temperatures, "--temperatures")
    from pointage.desk.calculators.forecast import check_log, flour_of, known_culture
    from pointage.desk.calculators.forecast import forecast as ask  # the engine, once all is read

    log = None
    if temperatures is None:
        take(
            refuse_idle,
            "--temperatures",
            log_column=log_column,
            log_unit=log_unit,
            log_dates=log_dates,
            skip_bad_rows=skip_bad_rows,
        )
    else:
        from pointage.kitchen.log.read import LogOptions

        log = take(
            LogOptions.said,
            log_column,
            log_unit,
            log_dates,
            skip_bad_rows=skip_bad_rows,
            field="--log-{}",
        )
    given = {"ash": ash, "falling_number": falling_number, "moisture": moisture}
    record = take(flour_of, flour_kind, {n: text for n, text in given.items() if text is not None})
    if faults.found:  # else each is looked at once
        faults.maybe(known_culture, culture)
        if series is not None:
            take(check_log, series, log)
    faults.check()
    answer = ask(
        seed_g=seed_g,
        flour_g=flour_g,
        water_g=water_g,
        celsius=celsius,
        hours=length_h,
        flour_kind=flour_kind,
        record=record,
        salt_g=salt_g,
        series=series,
        log=log,
        culture=culture,
    ).as_json()
    if json:
        print_json(answer)
    else:
        _print(answer)


def _print(answer: dict[str, Any]) -> None:
    from pointage.cli.table import table
    from pointage.shown import degrees_sign, in_degrees

    spans = {
        mark("doubled"): "doubled_h",
        mark("pH below 4.2"): "ph_4_2_h",
        mark("ripe from"): "ripe_from_h",
        mark("at its peak"): "peak_h",
        mark("ripe until"): "ripe_until_h",
    }
    odds = [
        [say(name), *(_hours(answer[key][part]) for part in ("p10", "p50", "p90"))]
        for name, key in spans.items()
    ]
    print(table([say("hours from mixing"), "10 %", "50 %", "90 %"], odds))
    print()
    course = answer["course"]
    every = max(1, len(course) // 12)
    rows = [
        [
            written(f"{row['h']:.1f}"),
            written(f"{in_degrees(row['temperature_c']):.1f}"),
            written(f"{row['rise']:.2f}"),
            written(f"{row['ph']:.2f}"),
        ]
        for row in course[::every]
    ]
    print(table(["h", degrees_sign(), say("rise"), say("pH")], rows))
    if answer["look_at_h"] is not None:
        at, band = answer["look_at_h"], _narrows(answer)
        print(say("The best time to look is after {at:.1f} h: {band}.", at=at, band=band))
    for note in answer["notes"]:
        print(say("Note: {note}.", note=note))
    for warning in answer["warnings"]:
        print(say("Warning: {warning}.", warning=warning))


def _narrows(answer: dict[str, Any]) -> str:
    from pointage.desk.wording import narrowed

    before, after = (60 * answer[key] for key in ("narrows_from_h", "narrows_to_h"))
    return narrowed(timedelta(minutes=before), timedelta(minutes=after))


def _hours(value: float | None) -> str:
    return say("not by then") if value is None else written(f"{value:.1f}")
