"""`pointage sample`: how far a dough is when a small jar of it shows so much."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Option
from pointage.language import say, written

if TYPE_CHECKING:
    from pointage.desk.calculators.sample import SampleAnswer


def sample(
    *,
    dough: Annotated[
        str,
        Option(metavar="MASS@TEMPERATURE", help="The dough as it was mixed, such as 4kg@26C."),
    ],
    jar: Annotated[str, Option(help="What was spooned into a small straight jar, such as 60g.")],
    room: Annotated[str, Option(help="The temperature where the jar stands, such as 17C.")],
    hours: Annotated[str, Option(help="The time since mixing, such as 4 (hours).")],
    shows: Annotated[str, Option(help="The jar's rise, 1 when just filled, such as 1.5.")],
    dough_room: Annotated[
        str | None, Option(help="The temperature where the dough stands; else that of --room.")
    ] = None,
    hydration: Annotated[str, Option(help="All the water in percent of all the flour.")] = "70%",
    salt: Annotated[str, Option(help="Salt in percent of all the flour.")] = "2%",
    seed: Annotated[
        str,
        Option(help="Ripe levain, half water, in percent of the flour that is not in it."),
    ] = "40%",
    flour_kind: Annotated[
        str, Option(help="Such as wheat-white, wheat-whole, rye-whole or spelt-whole.")
    ] = "wheat-white",
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Show how far a dough has risen by a spoon of it in a jar.

    The jar takes on the room's temperature long before the dough does.
    """
    from pointage.cli.table import print_json
    from pointage.desk.calculators.sample import sample_for

    answer = sample_for(
        dough,
        jar,
        room,
        hours,
        shows,
        dough_room=dough_room,
        hydration=hydration,
        salt=salt,
        seed=seed,
        flour_kind=flour_kind,
    )
    if json:
        print_json(answer.as_json())
    else:
        _print(answer)


def _print(answer: SampleAnswer) -> None:
    from pointage.desk.wording.amounts import length

    found = answer.found
    low, middle, high = (
        written(f"{each:.2f}") for each in (found.dough.p10, found.dough.p50, found.dough.p90)
    )
    print(say("dough  {rise} ({low} to {high}, 8 times in 10)", rise=middle, low=low, high=high))
    print(say("jar    {shows}", shows=written(f"{answer.shows:.2f}")))
    print(
        say(
            "The jar comes two thirds of the way to the temperature around it in {jar}, "
            "the dough in {dough}.",
            jar=length(timedelta(hours=answer.jar_follow_h)),
            dough=length(timedelta(hours=answer.dough_follow_h)),
        )
    )
    for warning in answer.warnings:
        print(say("Warning: {warning}.", warning=warning))
    print(say("Leave the jar's lid loose: the gas must get out."))
