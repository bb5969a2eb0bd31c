"""Wander through a kitchen at random and look whether all that must hold holds.

    .venv/bin/python scripts/wander.py --rounds 200 --seed 1
    .venv/bin/python scripts/wander.py --postgresql --minutes 5
    .venv/bin/python scripts/wander.py --replay moves.json

Prints one JSON object: how many rounds and moves were made, each distinct fault with the shortest
list of moves found that shows it, and the first of them as a list to be replayed.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any, TypeVar
from uuid import uuid4

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from tests.conftest import server  # noqa: E402
from tests.whole.journey import Fault, Journey  # noqa: E402
from tests.whole.moves import MAKERS, Move  # noqa: E402

T = TypeVar("T")
ALL_PAGES_EVERY = 10
EXCHANGED_AT_END = 4
"""One round in so many ends with an export and an import."""


class Found:
    """Distinct faults, each with the moves that led to it."""

    def __init__(self) -> None:
        self.faults: dict[str, dict[str, Any]] = {}
        self.first: list[Move] | None = None

    def add(self, fault: Fault, moves: list[Move], new_url: Callable[[], str]) -> None:
        self.first = self.first or moves
        known = self.faults.get(fault.signature)
        if known is not None:
            known["times"] += 1
            return
        shortest = shortened(moves, fault, new_url)
        self.faults[fault.signature] = {
            "where": fault.where, "what": fault.what, "at": fault.at, "times": 1,
            "moves": shortest,
        }  # fmt: skip
        print(f"wander: {fault} after {json.dumps(shortest)}", file=sys.stderr, flush=True)


def shortened(moves: list[Move], fault: Fault, new_url: Callable[[], str]) -> list[Move]:
    """As few of the moves as still show the fault, each left out in turn, the last first."""
    for at in range(len(moves) - 1, -1, -1):
        fewer = moves[:at] + moves[at + 1 :]
        again = replayed(fewer, new_url, fault)
        if again is not None and again.signature == fault.signature:
            moves = fewer
    return moves


def replayed(
    moves: Sequence[Move], new_url: Callable[[], str], shown: Fault | None = None
) -> Fault | None:
    """The fault that these moves show: the one that was shown before, or else any."""
    journey = Journey(new_url, looks=None)
    try:
        for move in moves:
            if move == ["exchange"]:
                journey.exchange()
            else:
                journey.make(move, look=False)
        if shown is None:
            journey.look()
        else:
            journey.show(shown)
    except Fault as fault:
        return fault
    finally:
        journey.close()
    return None


def one_round(rng: Random, steps: int, found: Found, new_url: Callable[[], str]) -> int:
    """A round of so many moves, or until the first fault: how many were made."""
    names = [name for name, (_, often) in MAKERS.items() for _ in range(often)]
    journey = Journey(new_url)
    try:
        for _ in range(steps):
            maker, _often = MAKERS[rng.choice(names)]
            journey.make(maker(rng.choice, journey.hall))
        if rng.randrange(EXCHANGED_AT_END) == 0:
            journey.made.append(["exchange"])
            journey.exchange()
    except Fault as fault:
        found.add(fault, list(journey.made), new_url)
    finally:
        journey.close()
    return len(journey.made)


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--rounds", type=int, default=100)
    arguments.add_argument("--steps", type=int, default=20)
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument("--minutes", type=float, help="End after so long, rounds left or not.")
    arguments.add_argument("--replay", type=Path, help="A file with a list of moves.")
    arguments.add_argument("--postgresql", action="store_true", help="On a server of its own.")
    wanted = arguments.parse_args()
    found, moves, begun, rounds = Found(), 0, time.monotonic(), 0
    with TemporaryDirectory() as folder, ExitStack() as stack:
        running = stack.enter_context(server()) if wanted.postgresql else None

        def new_url() -> str:
            if running is not None:
                return running.new_database()
            return f"sqlite:///{folder}/{uuid4().hex}.sqlite3"

        if wanted.replay is not None:
            fault = replayed(json.loads(wanted.replay.read_text("utf-8")), new_url)
            print(json.dumps({"fault": fault and str(fault)}))
            sys.exit(fault is not None)
        for rounds in range(1, wanted.rounds + 1):
            rng = Random(f"{wanted.seed} {rounds}")
            moves += one_round(rng, wanted.steps, found, new_url)
            for path in Path(folder).iterdir():
                path.unlink()
            if wanted.minutes and time.monotonic() - begun > 60 * wanted.minutes:
                break
    seconds = round(time.monotonic() - begun, 1)
    told = {"rounds": rounds, "moves": moves, "seconds": seconds, "seed": wanted.seed,
            "faults": list(found.faults.values()), "first": found.first}  # fmt: skip
    print(json.dumps(told, indent=2))
    sys.exit(bool(found.faults))


if __name__ == "__main__":
    main()
