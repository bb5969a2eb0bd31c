"""In which degrees a command answers: as asked, as the kitchen shows them, or as they were typed.

JSON is always °C.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from pointage.errors import InputError
from pointage.language import say
from pointage.shown import PLAIN, WORDS, show_here

OPTION = "--degrees"
ON_PAPER = ("sheet",)
"""What such a command prints is for people, though its answer be JSON."""
_TYPED = re.compile(r"\d\s*°?([CF])\b", re.IGNORECASE)


def degrees_first(arguments: list[str]) -> list[str]:
    """The arguments with --degrees before the command, wherever it was typed."""
    for at, each in enumerate(arguments):
        if each == "--":
            break
        if each == OPTION and at + 1 < len(arguments):
            return [*arguments[at : at + 2], *arguments[:at], *arguments[at + 2 :]]
        if each.startswith(f"{OPTION}="):
            return [each, *arguments[:at], *arguments[at + 1 :]]
    return arguments


def show_for(arguments: Sequence[str]) -> None:
    """Show things as these arguments, --degrees first, ask for: JSON in °C, what is asked in °F in
    °F where nothing is asked in °C."""
    if "--json" in arguments and not any(each in ON_PAPER for each in arguments[:3]):
        show_here(PLAIN, whatever_the_kitchen=True)
        return
    asked = "".join(arguments[:2]).removeprefix(OPTION).lstrip("=")[:1].upper()
    if arguments[:1] and arguments[0].startswith(OPTION) and asked in WORDS["degrees"]:
        show_here(PLAIN.with_({"degrees": asked}), whatever_the_kitchen=True)
        return
    typed = {found.upper() for each in arguments for found in _TYPED.findall(each)}
    show_here(PLAIN.with_({"degrees": "F"} if typed == {"F"} else {}))


def check_degrees(degrees: str) -> None:
    """Raises InputError for what is neither C nor F."""
    if degrees.upper() not in WORDS["degrees"]:
        raise InputError(OPTION, repr(degrees), say("C or F"))
