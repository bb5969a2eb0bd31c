"""The command line on the same store: lines that are to end with 0 or 2, whatever is stored."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from tests.whole.hall import Hall, Said

FORMULAS = Path(__file__).parents[2] / "examples" / "formulas"
RYE, LOAF = str(FORMULAS / "tinned-rye.toml"), str(FORMULAS / "harbour-loaf.toml")
GOOD, NOT_WHOLE, BAD_INPUT = 0, 1, 2

Line = Callable[[Hall], list[str]]


def _same(*line: str) -> Line:
    return lambda hall: [*line]


def _check(hall: Hall) -> list[str]:
    return ["check", "--store", hall.url, "--json"]


def _forecast(hall: Hall) -> list[str]:
    """For the culture that was begun last."""
    names = [life.name for life in hall.desk.lives()] or ["Gannet"]
    return ["forecast", "--seed", "50g", "--flour", "100g", "--water", "100g", "--at", "25C",
            "--hours", "3", "--json", f"--culture={names[-1]}"]  # fmt: skip


COMMANDS: Sequence[Line] = (
    _check,
    _forecast,
    _same("scale", RYE, "--pieces", "3", "--json"),
    _same("scale", LOAF, "--loads", "1"),
    _same("label", RYE, "--json"),
    _same("compare", RYE, LOAF, "--json"),
    _same("water", "--target", "25C", "--water", "600g", "--part", "flour:600g@18C", "--json"),
    _same("raise", "--flour-kind", "rye-whole", "--vessel", "2l", "--at", "24C", "--days", "3"),
    _same("sensor", "list", "--json"),
)


def fits_command(name: str, said: Said) -> bool:
    """Exit 0, or 2 with a line for each fault; `check` may also find the store not whole."""
    if "Traceback" in said.err:
        return False
    if said.status == BAD_INPUT:
        lines = said.err.splitlines()
        return bool(lines) and all(line.startswith("pointage: ") for line in lines)
    return said.status == GOOD or (name == "check" and said.status == NOT_WHOLE)
