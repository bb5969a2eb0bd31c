"""`pointage calendar`: the tasks of bakes and cultures as a calendar file."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated

from pointage.cli.declared import Option


def calendar(
    *,
    out: Annotated[str, Option("-o", metavar="FILE", help="The file to write.")],
    alarm: Annotated[
        str, Option(help="How long before each task it reminds you, such as 10min; or no.")
    ] = "10min",
    now: Annotated[
        str | None,
        Option(help="The time to begin at, such as 2026-12-01T12:00; else the current time."),
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Write what is to be done as a calendar file, with reminders."""
    from pointage.cli.sheets.out import check_out, write_out
    from pointage.errors import Faults

    faults = Faults()
    path = faults.take(check_out, out, "-o")
    ahead = faults.take(_alarm, alarm)
    faults.check()
    from pointage.desk.at_hand import at_hand_at
    from pointage.desk.sheets.calendar import kitchen_calendar
    from pointage.desk.sheets.parts.warnings import calendar_warnings

    present, at = at_hand_at(now)
    made = kitchen_calendar(present, at, ahead)
    write_out(path, made.encode())
    warnings = list(calendar_warnings(present, at))
    if json:
        from pointage.cli.table import print_json

        tasks, size = made.count("BEGIN:VEVENT"), len(made.encode())
        print_json({"file": out, "tasks": tasks, "bytes": size, "warnings": warnings})
    for warning in () if json else warnings:
        print(warning)


def _alarm(text: str) -> timedelta | None:
    from pointage.errors import InputError
    from pointage.language import say
    from pointage.quantities import parse_duration

    if text.strip().casefold() == "no":
        return None
    ahead = parse_duration(text, "--alarm", "min")
    if not timedelta(0) <= ahead <= timedelta(days=1):
        raise InputError("--alarm", repr(text), say("from 0min to 24h, or no"))
    return ahead
