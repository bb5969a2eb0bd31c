"""The command line: one command a file, and every error as one line."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence

import click

from pointage import __version__
from pointage.cli import (
    archive,
    bake,
    check,
    compare,
    forecast,
    label,
    now,
    plan,
    raising,
    scale,
    sensor,
    serve,
    water,
)
from pointage.cli.declared import Commands, command
from pointage.cli.terminal import harmless_streams
from pointage.errors import InputError, PointageError

BAD_INPUT = 2
INTERRUPTED = 130  # 128 + SIGINT, as shells have it

app = Commands(
    "pointage",
    help="From a wild culture to bread on time.",
    commands=[
        command(water.water),
        command(forecast.forecast),
        command(scale.scale),
        command(compare.compare),
        command(raising.raise_culture, "raise"),
        command(now.now),
        command(plan.plan),
        command(bake.bake),
        command(label.label),
        command(archive.export),
        command(archive.import_, "import"),
        command(check.check),
        command(serve.serve),
        Commands(
            "sensor",
            help="Probes that post what they measure.",
            commands=[
                command(sensor.add),
                command(sensor.token),
                command(sensor.list_all, "list"),
            ],
        ),
    ],
)
click.version_option(
    __version__, message="pointage %(version)s", help="Print the version and end."
)(app)


def run(arguments: Sequence[str]) -> int:
    """Carry out a command line, and answer with the exit status."""
    with harmless_streams(sys.stdout, sys.stderr):
        return _run(arguments)


def _run(arguments: Sequence[str]) -> int:
    try:
        with app.make_context("pointage", list(arguments) or ["--help"]) as context:
            status = app.invoke(context)
        sys.stdout.flush()
    except click.exceptions.Exit as end:
        status = end.exit_code
    except PointageError as error:
        return _refuse(*map(str, error.faults if isinstance(error, InputError) else (error,)))
    except click.ClickException as error:
        return _refuse(error.format_message())
    except OverflowError:
        return _refuse("a number is too large to calculate with; give a smaller one")
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # The reader has gone, as with `pointage plan … | head`; nothing more can be told it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return status if isinstance(status, int) else 0


def _refuse(*messages: str) -> int:
    for message in messages:
        print("pointage: " + " ".join(message.split()), file=sys.stderr)
    return BAD_INPUT


def main() -> None:
    """The `pointage` command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that has no ° still gets its answer
    sys.exit(run(sys.argv[1:]))
