"""`pointage bake`: minutes in the oven, the core, the loss, and when to cut."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Option
from pointage.language import say

if TYPE_CHECKING:
    from pointage.desk.calculators.bake import BakeAnswer

ROWS = 8  # of the printed course; --json has every minute


def bake(
    *,
    mass: Annotated[str, Option(help="The mass of the dough of one loaf, such as 900g.")],
    shape: Annotated[str, Option(help="boule, bâtard, tin, roll or flat.")],
    oven: Annotated[str, Option(help="What the oven is set to, such as 240C or 465F.")],
    start: Annotated[
        str,
        Option(
            "--from", help="The dough's temperature as it goes in, such as 24C; 5C from the fridge."
        ),
    ],
    altitude: Annotated[
        str | None,
        Option(
            help="The height above the sea, such as 1600m or 5250ft; without it, your kitchen's, "
            "or 0m."
        ),
    ] = None,
    core: Annotated[
        str | None,
        Option(
            help="The core temperature to reach, such as 97C; without it, the usual for its type."
        ),
    ] = None,
    steam: Annotated[
        str | None,
        Option(
            help="How long there is steam, such as 10min; in a pot, how long the lid stays on. "
            "Without it: 10min, 20min in a pot, none in a tin."
        ),
    ] = None,
    on: Annotated[
        str | None,
        Option(help="What it is baked on or in: stone, sheet, pot or tin. Without it: stone."),
    ] = None,
    loaves: Annotated[str, Option(help="How many loaves go in together.")] = "1",
    offset: Annotated[
        str | None,
        Option(
            help="How much hotter your oven bakes than its dial, such as 5C; -10C for cooler. "
            "Without it, what is recorded for your kitchen's first oven, or 0C."
        ),
    ] = None,
    bread: Annotated[
        str,
        Option(
            "--type",
            help="lean, soft (enriched) or rye (and whole grain): it sets the usual core.",
        ),
    ] = "lean",
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Show how long a loaf bakes and when to cut it.

    Also how hot its core and crust get, and what it loses.
    """
    from pointage.cli.options import as_options
    from pointage.cli.table import print_json
    from pointage.desk.calculators.bake import bake_for, own_oven

    given = {
        "mass": mass, "shape": shape, "oven": oven, "from": start, "altitude": altitude,
        "core": core, "steam": steam, "on": on, "loaves": loaves, "offset": offset, "type": bread,
    }  # fmt: skip
    if altitude is None or offset is None:
        height, hotter = own_oven(datetime.now(UTC))
        altitude, offset = altitude or height, offset or hotter
    with as_options(**given):
        answer = bake_for(
            mass,
            shape,
            oven,
            start,
            altitude=altitude,
            core=core,
            steam=steam,
            on=on,
            loaves=loaves,
            offset=offset,
            bread=bread,
        )
    if json:
        print_json(answer.as_json())
    else:
        _print(answer)


def _print(answer: BakeAnswer) -> None:
    from pointage.cli.table import table
    from pointage.desk.calculators.bake import SCALDS
    from pointage.desk.wording.amounts import length, percent
    from pointage.quantities import print_number
    from pointage.shown import degrees_sign, in_degrees, warmth

    baked = answer.baked
    print(
        say(
            "bake   {minutes:.0f} min, until the core is at {core}",
            minutes=baked.minutes,
            core=warmth(baked.done_c),
        )
    )
    print(
        say(
            "       {grams} g when it comes out: {loss} lost",
            grams=print_number(answer.baked_g, 0),
            loss=percent(baked.loss, 1),
        )
    )
    if baked.cut_after_minutes is not None:
        time = length(timedelta(minutes=round(baked.cut_after_minutes, -1)))
        print(
            say(
                "cut    after {time} on a rack, at {core} in the core",
                time=time,
                core=warmth(baked.cut_at_c),
            )
        )
    course = baked.course
    every = max(1, round(baked.minutes / ROWS))
    shown = [*range(0, len(course.minutes) - 1, every), len(course.minutes) - 1]
    if len(shown) > 1 and shown[-1] - shown[-2] < every / 2:
        del shown[-2]
    print()
    print(
        table(
            (
                say("minute"),
                say("core {degrees}", degrees=degrees_sign()),
                say("crust {degrees}", degrees=degrees_sign()),
            ),
            [
                (
                    print_number(course.minutes[i], 0),
                    f"{in_degrees(course.core_c[i]):.0f}",
                    f"{in_degrees(course.surface_c[i]):.0f}",
                )
                for i in shown
            ],
        )
    )
    print()
    print(
        say(
            "Water boils at {boils} there, and the core gets no hotter. Trust the "
            "thermometer over the clock.",
            boils=warmth(baked.boils_c, tenths=True),
        )
    )
    for warning in answer.warnings:
        print(say("Warning: {warning}.", warning=warning))
    if answer.doubt:
        print(say("Is it so? {doubt}", doubt=answer.doubt))
    print(say(SCALDS))
