"""`pointage sensor`: make a sensor for a probe, give it another token, list what there is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Argument, Option
from pointage.language import say

if TYPE_CHECKING:
    from pointage.desk.records.sensors import NewSensor, SensorDesk

Name = Annotated[str, Argument(help="What the sensor is called.")]
Json = Annotated[bool, Option("--json", help="Print one JSON object.")]


def add(
    name: Name,
    *,
    place: Annotated[str, Option(help="The place in the kitchen where it is.")],
    kind: Annotated[str, Option(help="What it measures: temperature or height.")] = "temperature",
    json: Json = False,
) -> None:
    """Make a sensor and show its token, once."""
    from pointage.cli.options import as_options

    with as_options(place=place, kind=kind):
        made = _desk().add(name, kind, place)
    _show(made, json)


def token(name: Name, *, json: Json = False) -> None:
    """Give a sensor another token; the old one stops working."""
    _show(_desk().renew(name), json)


def list_all(*, json: Json = False) -> None:
    """List the sensors."""
    from pointage.cli.table import print_json, table

    every = _desk().all()
    if json:
        rows = [{"name": s.name, "kind": s.kind.value, "place": s.place} for s in every]
        print_json({"sensors": rows})
    else:
        headings = [say("sensor"), say("kind"), say("place")]
        print(table(headings, [[s.name, s.kind, s.place] for s in every]))


def _desk() -> SensorDesk:
    from datetime import UTC, datetime

    from pointage.desk.opening import open_own

    return open_own(datetime.now(UTC)).sensors


def _show(made: NewSensor, json: bool) -> None:
    from pointage.cli.table import print_json

    if json:
        print_json({"sensor": made.sensor.name, "token": made.token})
        return
    print(
        say(
            "{name} at {place}. Its token, which is shown this once:\n",
            name=made.sensor.name,
            place=made.sensor.place,
        )
    )
    print(f"  {made.token}\n")
    print(say("docs/daybook.md describes how a probe posts with it."))
