"""The command line: one command a file, in rooms as the desk's, and every error as one line."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from pointage import __version__
from pointage.cli import now, serve
from pointage.cli.bakes import plan
from pointage.cli.calculators import bake, forecast, water
from pointage.cli.cultures import raising
from pointage.cli.degrees import check_degrees, degrees_first, show_for
from pointage.cli.formulas import compare, label, scale
from pointage.cli.records import archive, check, sensor
from pointage.cli.terminal import harmless_streams
from pointage.errors import InputError, PointageError
from pointage.shown import PLAIN, showing

BAD_INPUT = 2
INTERRUPTED = 130  # 128 + SIGINT, as shells have it

app = typer.Typer(
    help="From a wild culture to bread on time.",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
app.command("water")(water.water)
app.command("forecast")(forecast.forecast)
app.command("scale")(scale.scale)
app.command("compare")(compare.compare)
app.command("raise")(raising.raise_culture)
app.command("now")(now.now)
app.command("plan")(plan.plan)
app.command("bake")(bake.bake)
app.command("label")(label.label)
app.command("export")(archive.export)
app.command("import")(archive.import_)
app.command("check")(check.check)
app.command("serve")(serve.serve)
app.add_typer(sensor.sensor, name="sensor")


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"pointage {__version__}")
        raise typer.Exit


@app.callback()
def _pointage(
    *,
    degrees: Annotated[
        str | None,
        typer.Option(
            metavar="C|F",
            help="Show temperatures in these degrees, wherever it stands; else as the kitchen "
            "shows them, or as they were typed.",
        ),
    ] = None,
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version and end."
        ),
    ] = False,
) -> None:
    """Options that stand before the command."""
    if degrees is not None:
        check_degrees(degrees)


def run(arguments: Sequence[str]) -> int:
    """Carry out a command line, and answer with the exit status."""
    with harmless_streams(sys.stdout, sys.stderr), showing(PLAIN):
        return _run(degrees_first(list(arguments)))


def _run(arguments: Sequence[str]) -> int:
    try:
        show_for(arguments)
        status = app(
            args=list(arguments) or ["--help"], prog_name="pointage", standalone_mode=False
        )
        sys.stdout.flush()
    except PointageError as error:
        return _refuse(*map(str, error.faults if isinstance(error, InputError) else (error,)))
    except typer.TyperException as error:
        return _refuse(error.format_message())
    except OverflowError:
        return _refuse("a number is too large to calculate with; use a smaller one")
    except (KeyboardInterrupt, typer.Abort):
        return INTERRUPTED
    except BrokenPipeError:
        # The reader has gone, as with `pointage plan … | head`; nothing more can be sent to it.
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
