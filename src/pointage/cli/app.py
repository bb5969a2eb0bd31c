"""The command line: one command a file, in rooms as the desk's, and every error as one line."""

from __future__ import annotations

import gc
import io
import os
import sys
from collections.abc import Mapping, Sequence

import click

from pointage import __version__
from pointage.cli.declared import Commands, awaited, translate_click
from pointage.cli.degrees import OPTION, check_degrees, degrees_first, show_for
from pointage.cli.terminal import harmless_streams
from pointage.desk.invented import watched
from pointage.errors import InputError, PointageError
from pointage.language import ENGLISH, Language, best, language, say, speaking
from pointage.shown import PLAIN, showing

BAD_INPUT = 2
INTERRUPTED = 130  # 128 + SIGINT, as shells have it


COMMANDS = {
    "water": "calculators.water:water",
    "forecast": "calculators.forecast:forecast",
    "sample": "calculators.sample:sample",
    "read": "formulas.read:read",
    "scale": "formulas.scale:scale",
    "compare": "formulas.compare:compare",
    "raise": "cultures.raising:raise_culture",
    "now": "now:now",
    "plan": "bakes.plan:plan",
    "week": "bakes.week:week",
    "bake": "calculators.bake:bake",
    "label": "formulas.label:label",
    "share": "documents.share:share",
    "sheet": "sheets.sheet:sheet",
    "calendar": "sheets.calendar:calendar",
    "export": "records.archive:export",
    "import": "records.archive:import_",
    "check": "records.check:check",
    "serve": "serve:serve",
}
OF_INGREDIENTS = {
    "list": "larder.ingredient:list_all",
    "add": "larder.ingredient:add",
    "correct": "larder.ingredient:correct",
    "remove": "larder.ingredient:remove",
    "bring-back": "larder.ingredient:bring_back",
}
OF_SENSORS = {
    "add": "records.sensor:add",
    "token": "records.sensor:token",
    "list": "records.sensor:list_all",
}
"""Where each command is, in the order in which they are listed."""


def build() -> Commands:
    """All commands, with their help in the language that is spoken when each is asked for."""
    every = Commands(
        "pointage",
        help=say("From a wild culture to bread on time."),
        commands=awaited(COMMANDS),
    )
    for name, words, functions in (
        ("ingredient", say("Ingredients of your own."), OF_INGREDIENTS),
        ("sensor", say("Probes that post what they measure."), OF_SENSORS),
    ):
        every.add_command(Commands(name, help=words, commands=awaited(functions)))
    click.option(
        OPTION,
        metavar="C|F",
        expose_value=False,
        callback=lambda _, __, value: value if value is None else check_degrees(value),
        help=say(
            "Show temperatures in these degrees, wherever it stands; else as the kitchen shows "
            "them, or as they were typed."
        ),
    )(every)
    click.version_option(
        __version__, message="pointage %(version)s", help=say("Print the version and end.")
    )(every)
    return every


app = build()


def run(arguments: Sequence[str]) -> int:
    """Carry out a command line, and answer with the exit status."""
    with (
        harmless_streams(sys.stdout, sys.stderr),
        showing(PLAIN),
        speaking(language_for(arguments, os.environ)),
    ):
        return _run(degrees_first(list(arguments)))


def language_for(arguments: Sequence[str], environ: Mapping[str, str]) -> Language:
    """The language of the answer: that of messages, as the environment names it (POSIX.1, 8.2).

    JSON is for programs, and its sentences are English for whoever runs them.
    """
    if "--json" in arguments:
        return ENGLISH
    named = (environ.get(name) for name in ("LC_ALL", "LC_MESSAGES", "LANG"))
    return best(next(filter(None, named), ""))


def _run(arguments: Sequence[str]) -> int:
    try:
        show_for(arguments)
        translate_click()
        commands = app if language() is ENGLISH else build()
        words = list(arguments) or ["--help"]
        with commands.make_context("pointage", words) as context, watched() as stood_in:
            status = commands.invoke(context)
        sys.stdout.flush()
        if stood_in.words and "--json" not in arguments:  # which programs read
            print(f"pointage: {stood_in.words}", file=sys.stderr)
    except click.exceptions.Exit as end:
        status = end.exit_code
    except PointageError as error:
        return _refuse(*map(str, error.faults if isinstance(error, InputError) else (error,)))
    except click.ClickException as error:
        return _refuse(error.format_message())
    except OverflowError:
        return _refuse(say("a number is too large to calculate with; use a smaller one"))
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # The reader has gone, as with `pointage plan … | head`; nothing more can be sent to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return status if isinstance(status, int) else 0


def _refuse(*messages: str) -> int:
    for message in dict.fromkeys(messages):  # one file may have been given twice
        print("pointage: " + " ".join(message.split()), file=sys.stderr)
    return BAD_INPUT


def main() -> None:
    """The `pointage` command."""
    # Most of a short command is importing, which makes much and throws away little: looking for
    # what could be thrown away every 700 objects takes a tenth of it.
    gc.set_threshold(100_000, 20, 50)
    # Else the first model looks through all that is installed for plugins, of which there are none.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that has no ° still gets its answer
    sys.exit(run(sys.argv[1:]))
