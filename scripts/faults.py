"""Every writing route under faults, thousands of times: `scripts/faults.py --rounds N`.

Prints one JSON object: how many rounds of each fault there were, how they were answered, and what
was wrong. Ends with 1 when anything was. The store is a fresh SQLite file, or --store, which must
be empty.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections import Counter, defaultdict
from contextlib import closing
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.faults.beside import BESIDE, BESIDE_FAULTS, Door, beside_round
from tests.faults.injector import FAULTS, KILLED, apply, begun, sqlite_url
from tests.faults.killed import SLOW, one_round
from tests.faults.writing import CASES
from tests.timetable.hall import NOW
from tests.whole.hall import Hall

PER_STORE = 200
"""Rounds before a fresh store is begun: the daybook of a real one does not hold so many bakes."""
BESIDE_SHARE = 0.2
"""Of the rounds: of forms that write beside the store, who may come in and who reads the calendar.
"""


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--store", help="the URL of an empty store; only one is used then")
    asked = parser.parse_args()
    chance = Random(asked.seed)
    answers: defaultdict[str, Counter[str]] = defaultdict(Counter)
    wrong: list[dict[str, object]] = []
    paths = sorted(set(CASES) - SLOW)
    with tempfile.TemporaryDirectory() as folder:
        url = ""
        for number in range(asked.rounds):
            if not url or (number % PER_STORE == 0 and not asked.store):
                url = begun(asked.store or sqlite_url(Path(folder), str(number)))
            if chance.random() < BESIDE_SHARE:
                path, fault = chance.choice(sorted(BESIDE)), chance.choice(BESIDE_FAULTS)
                place = Path(folder, f"beside-{number}")
                place.mkdir()
                with closing(Door(url, place)) as door:
                    answer, what = beside_round(door, path, fault, chance)
                answers[f"{fault}, beside the store"][answer] += 1
                if what:
                    wrong.append({"round": number, "route": path, "fault": fault, "wrong": what})
                continue
            # A plan takes seconds: it has its turn, but not one in twenty-five.
            path = chance.choice(sorted(SLOW) if chance.random() < 0.005 else paths)
            fault = chance.choice([*FAULTS, KILLED])
            if fault == KILLED and path not in SLOW:
                answer, what = one_round(url, CASES[path], chance)
            else:
                fault = "none" if fault == KILLED else fault
                # What the other rounds made up of a culture may leave nothing that can be planned.
                fresh = path in SLOW and not asked.store
                where = begun(sqlite_url(Path(folder), f"own-{number}")) if fresh else url
                with Hall(where, NOW) as hall:
                    outcome = apply(hall, CASES[path], fault)
                answer, what = outcome.answer, outcome.wrong
            answers[fault][answer] += 1
            if what:
                wrong.append({"round": number, "route": path, "fault": fault, "wrong": what})
    rounds = {fault: sum(each.values()) for fault, each in sorted(answers.items())}
    print(json.dumps({"rounds": rounds, "answers": answers, "wrong": wrong}, indent=1))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
