"""A server killed with SIGKILL during a write. `python -m tests.faults.killed --rounds N URL`.

Each round prepares a form, forks a server that is sent it, and kills that server after a moment of
chance. Whatever became of it, the form is then sent again to another server on the same store: all
of it is there once and in effect. It prints one JSON object.
"""

from __future__ import annotations

import argparse
import json
import os
import select
import signal
import time
from collections import Counter
from collections.abc import Callable
from random import Random

from tests import unsynced
from tests.faults.form import Form
from tests.faults.injector import begun, counts, is_acknowledged, send
from tests.faults.writing import CASES
from tests.remembered import remembered
from tests.timetable.hall import NOW
from tests.whole.hall import Hall

LONGEST_S = 0.06
"""About twice what a form takes, so that half of them are killed on the way."""
SLOW = {"/week/wish", "/week/moves/take", "/week/moves/undo", "/week/plan/take"}
"""Making a plan takes seconds, and writes for a thousandth of one."""


def one_round(url: str, case: Callable[[Hall], Form], chance: Random) -> tuple[str, str]:
    """How the server ended, and what is wrong, or nothing."""
    with Hall(url, NOW) as hall:
        form = case(hall)
        before = counts(hall)
    answer = _killed(url, form, chance.uniform(0, LONGEST_S))
    with Hall(url, NOW) as hall:
        between = {name: now - before[name] for name, now in counts(hall).items()}
        if any(n > form.adds.get(name, 0) for name, n in between.items()):
            return answer, f"killed, and added {between}"
        if answer == "acknowledged" and not form.took_effect(hall):
            return answer, "acknowledged, and not in effect"
        again = send(hall, form)
        if not is_acknowledged(again, form):
            return answer, f"sent again it was answered {again and again.status_code}"
        added = {n: now - before[n] for n, now in counts(hall).items() if now != before[n]}
        if added != form.adds or not form.took_effect(hall):
            return answer, f"sent again it is not there once: {added}"
    return answer, ""


def _killed(url: str, form: Form, after_s: float) -> str:
    """ "acknowledged", "refused" or "killed": what the server said before it was killed."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reads)
            hall = Hall(url, NOW)
            hall.desk.present()
            os.write(writes, b"o")
            answer = send(hall, form)
            os.write(writes, b"a" if is_acknowledged(answer, form) else b"r")
            time.sleep(60)
        finally:
            os._exit(1)
    os.close(writes)
    select.select([reads], [], [], 60)
    heard = os.read(reads, 1)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while more := os.read(reads, 16):
        heard += more
    os.close(reads)
    return {b"oa": "acknowledged", b"or": "refused"}.get(heard, "killed")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("url")
    parser.add_argument("--rounds", type=int, default=100)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    url, chance = begun(asked.url), Random(asked.seed)
    paths = sorted(set(CASES) - SLOW)
    found: Counter[str] = Counter()
    wrong = []
    for _ in range(asked.rounds):
        path = chance.choice(paths)
        answer, fault = one_round(url, CASES[path], chance)
        found[answer] += 1
        if fault:
            wrong.append([path, answer, fault])
    print(json.dumps({"counts": found, "wrong": wrong}))


if __name__ == "__main__":
    unsynced.begin()
    remembered.begin()
    remembered.on = True
    main()
