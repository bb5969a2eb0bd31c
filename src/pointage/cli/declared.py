"""Commands from the signatures of functions: beside each parameter stands what is to be said of it.

    def water(*, target: Annotated[str, Option(help="The wanted temperature.")]) -> None: ...

A parameter without a default must be given; a bool is a flag; a list may be given several times.
Texts are translated when a command is built, in the language that is spoken then.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from inspect import Parameter, cleandoc, signature
from typing import Annotated, Any, get_args, get_type_hints

import click

from pointage.language import ENGLISH, language, say, translated, translated_many


@dataclass(frozen=True, slots=True)
class Argument:
    """A word without a name before it, by its place."""

    help: str
    metavar: str | None = None


@dataclass(frozen=True, slots=True)
class Option:
    """flag: such as --from, where it is not made of the parameter's name."""

    flag: str | None = None
    help: str = ""
    metavar: str | None = None


KitchenFile = Annotated[
    str | None,
    Option(
        metavar="FILE",
        help="The kitchen's file; else the stored kitchen, or the demonstration one.",
    ),
]
PlannedFrom = Annotated[
    str | None,
    Option(help="The time to plan from, such as 2026-12-01T12:00; else the current time."),
]


class Commands(click.Group):
    """Commands that are listed in their own order."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)


def command(function: Callable[..., Any], name: str | None = None) -> click.Command:
    """The command that calls `function`; its help is the function's own."""
    kinds = get_type_hints(function, include_extras=True)
    return click.Command(
        name or function.__name__,
        callback=function,
        help=say(cleandoc(function.__doc__ or "")),
        params=[
            _parameter(each, kinds[each.name]) for each in signature(function).parameters.values()
        ],
    )


def _parameter(given: Parameter, kind: Any) -> click.Parameter:
    what, about = get_args(kind)
    must = given.default is Parameter.empty
    if isinstance(about, Argument):
        return click.Argument(
            [given.name], required=must, help=say(about.help), metavar=about.metavar
        )
    flag = about.flag or f"--{given.name.replace('_', '-')}"
    several = list[str] in get_args(what)
    return click.Option(
        [given.name, flag],
        type=int if what is int else bool if what is bool else str,
        is_flag=what is bool or None,  # False would stand for a value that may be left out
        multiple=several,
        callback=_listed if several else None,
        required=must,
        show_default=what is not bool,
        help=say(about.help),
        metavar=about.metavar,
        **({} if must else {"default": given.default}),
    )


def _listed(_: click.Context, __: click.Parameter, value: tuple[str, ...]) -> list[str] | None:
    return list(value) or None


def translate_click() -> None:
    """Let what click says itself ("Usage:", "Missing option") go through `language` as well.

    It takes its texts from gettext's functions under names of its own, and asks them each time.
    """
    if language() is ENGLISH:
        return
    for module in (click.core, click.decorators, click.exceptions, click.formatting, click.types):
        texts = vars(module)
        texts["_"] = translated
        if "ngettext" in texts:
            texts["ngettext"] = translated_many
