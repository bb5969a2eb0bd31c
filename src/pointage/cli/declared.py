"""Commands from the signatures of functions: beside each parameter stands what is to be said of it.

    def water(*, target: Annotated[str, Option(help="The wanted temperature.")]) -> None: ...

A parameter without a default must be given; a bool is a flag; a list may be given several times.
Texts are translated when a command is built, in the language that is spoken then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, MutableMapping
from dataclasses import dataclass
from importlib import import_module
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


class Awaited(MutableMapping[str, click.Command]):
    """Commands by name, each made when it is first asked for: a process carries out one of them."""

    def __init__(self, makers: Mapping[str, Callable[[], click.Command]]) -> None:
        self._makers = dict(makers)
        self._made: dict[str, click.Command] = {}

    def __getitem__(self, name: str) -> click.Command:
        if name not in self._made:
            self._made[name] = self._makers[name]()
        return self._made[name]

    def __setitem__(self, name: str, made: click.Command) -> None:
        self._makers[name] = lambda: made
        self._made.pop(name, None)

    def __delitem__(self, name: str) -> None:
        del self._makers[name]
        self._made.pop(name, None)

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)


class Commands(click.Group):
    """Commands that are listed in their own order."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)


def awaited(functions: Mapping[str, str]) -> Awaited:
    """The commands of functions of `pointage.cli`, by name, none of whose modules is loaded yet.

    functions: where each is, such as "calculators.water:water".
    """

    def maker(name: str, place: str) -> Callable[[], click.Command]:
        module, _, function = place.partition(":")
        return lambda: command(getattr(import_module(f"pointage.cli.{module}"), function), name)

    return Awaited({name: maker(name, place) for name, place in functions.items()})


def command(function: Callable[..., Any], name: str) -> click.Command:
    """The command that calls `function`; its help is the function's own."""
    kinds = get_type_hints(function, include_extras=True)
    return click.Command(
        name,
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
