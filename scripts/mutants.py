"""Break the program on purpose, one small change at a time, and see whether the tests notice.

    .venv/bin/python scripts/mutants.py
    .venv/bin/python scripts/mutants.py --only "a feed without flour"

Each mutant is a copy of the repository with one piece of its source replaced, in which the tests
named beside it are run. Prints one JSON object and exits with 1 when a mutant survives or its piece
of source is no longer there once.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[1]
PATIENCE_S = 900
COPIED = ("src", "tests", "examples", "docs", "scripts", "pyproject.toml", "README.md")
WHOLE = "tests/whole/test_figures.py"
EARLIER = "tests/test_earlier_versions.py"


@dataclass(frozen=True, slots=True)
class Mutant:
    """before, after: the piece of `file` (in src/pointage) and what stands there instead."""

    name: str
    file: str
    before: str
    after: str
    tests: tuple[str, ...] = (WHOLE,)


NOW = "tests/desk/now"
PLANS = "tests/desk/test_plan_document.py"
DOORS = "tests/web/test_set_aside.py"

MUTANTS = (
    Mutant(
        "a feed without flour",
        "culture/life.py",
        "    if event.flour_g <= 0:\n",
        "    if event.flour_g < 0:\n",
    ),
    Mutant(
        "more discarded than there is",
        "culture/life.py",
        "    if event.grams > life.mass_g + SLACK_G:\n",
        "    if event.grams > 1000 * life.mass_g + SLACK_G:\n",
    ),
    Mutant(
        "a withdrawal ignored",
        "daybook/replay.py",
        "    if last.kind is EntryKind.WITHDRAWN:\n        return None\n",
        "",
    ),
    Mutant(
        "a correction ignored",
        "daybook/replay.py",
        "    body = root.body if end.body is None else end.body\n",
        "    body = root.body\n",
    ),
    Mutant(
        "a late entry not put in its order",
        "desk/now/fold.py",
        "            at = bisect_left(events, each[0], key=_key)\n"
        "            events.insert(at, each)\n",
        "            at = len(events)\n            events.insert(at, each)\n",
        (WHOLE, NOW),
    ),
    Mutant(
        "a state saved too early is gone on from",
        "desk/now/fold.py",
        "        kept = [each for each in self.saved if each[0] <= first]\n",
        "        kept = [*self.saved]\n",
        (NOW,),
    ),
    Mutant(
        "what an entry said stays when it is corrected",
        "desk/now/replayed.py",
        "            self._lives(events_of_entry(entry), ())\n",
        "            pass\n",
        (WHOLE, NOW),
    ),
    Mutant(
        "an entry that cannot be used raises nothing and counts",
        "desk/now/replayed.py",
        '            self._aside[entry.id] = set_aside("entry", entry.id, error)\n'
        "            return\n",
        "            return\n",
        (DOORS, NOW),
    ),
    Mutant(
        "the door lets in what is set aside",
        "desk/records/records.py",
        "                raise each.error()\n",
        "                continue\n",
        (WHOLE, DOORS),
    ),
    Mutant(
        "a keeper that never looks again",
        "desk/now/keeper.py",
        "        if held is not None and held.change == self._store.changes(self._id):\n",
        "        if held is not None:\n",
    ),
    Mutant(
        "a write that is no change",
        "daybook/store/database.py",
        "    .values(changes=_KITCHEN.c.changes + 1)\n",
        "    .values(changes=_KITCHEN.c.changes)\n",
        ("tests/daybook/test_store.py",),
    ),
    Mutant(
        "a split that takes nothing from its mother",
        "desk/now/cultures/lives.py",
        "    lives = lives.with_life(left)\n",
        "",
    ),
    Mutant(
        "what a bake takes of its culture not counted",
        "culture/life.py",
        "mass_g=_left(life, event.grams), made=(*life.made, taken), unfed=None)",
        "made=(*life.made, taken), unfed=None)",
        (WHOLE, "tests/culture/test_life.py"),
    ),
    Mutant(
        "an over-pour read as planned",
        "desk/now/cultures/lives.py",
        "    return bake.step_news(step.key).ladder or step.ladder\n",
        "    return step.ladder\n",
    ),
    Mutant(
        "a culture that stays when it is retired",
        "culture/life.py",
        '            return replace(life, state="retired", mass_g=0.0)\n',
        "            return life\n",
    ),
    Mutant(
        "a move that is not heard",
        "culture/life.py",
        "    last = replace(last, places=(*before, (event.at, event.place)))\n",
        "",
    ),
    Mutant(
        "a stock-take ignored",
        "desk/now/ledger.py",
        "        return keyed([Counted(key, name, at, grams, lot)])\n",
        "        return []\n",
    ),
    Mutant(
        "a feed that takes no flour from the stores",
        "desk/now/ledger.py",
        '            for number, part in enumerate(body["parts"])\n',
        '            for number, part in enumerate(body["parts"][:0])\n',
    ),
    Mutant(
        "the bounds of a rise doubled",
        "bounds.py",
        '"a rise", "", 0.3, 10.0',
        '"a rise", "", 0.15, 20.0',
        (WHOLE, "tests/test_bounds.py"),
    ),
    Mutant(
        "a time still to come accepted",
        "desk/records/records.py",
        "        if not LONG_AGO <= happened <= self._clock() + SKEW:\n",
        "        if not LONG_AGO <= happened:\n",
    ),
    Mutant(
        "an export without what was withdrawn",
        "daybook/archive/export.py",
        '    query = select(*said, number.label("number")).order_by(\n',
        '    query = select(*said, number.label("number")).where(\n'
        '        columns.kind != "withdrawn"\n'
        "    ).order_by(\n",
    ),
    Mutant(
        "an export without earlier formulas",
        "daybook/archive/export.py",
        "    for row in sorted(rows, key=lambda row: (row.kitchen, row.slug, row.revision)):\n",
        "    for row in sorted(rows, key=lambda row: (row.kitchen, row.slug, row.revision))[:5]:\n",
        (WHOLE, EARLIER),
    ),
    Mutant(
        "a kitchen whose cultures are as its file says",
        "desk/now/present.py",
        "replace(self.kitchen_through(since), cultures=cultures)",
        "self.kitchen_through(since)",
    ),
    Mutant(
        "a plan's course written without its last row",
        "desk/plans/shapes.py",
        "    table = {name: tuple(getattr(row, name) for row in rows) for name in COLUMNS}\n",
        "    rows = rows[:-1] or rows\n"
        "    table = {name: tuple(getattr(row, name) for row in rows) for name in COLUMNS}\n",
        (PLANS,),
    ),
)


def pytest_in(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The tests in a copy of the repository, on SQLite, with the copy's own program."""
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n", "0", "-p", "no:cacheprovider", "--tb=no",
         "-k", "not postgresql", *words],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(folder / "src"), "CI": "1"},  # with the longest
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )  # fmt: skip


def copied(folder: Path) -> None:
    """The repository's files in `folder`."""
    for name in COPIED:
        if (ROOT / name).is_dir():
            ignored = shutil.ignore_patterns("__pycache__")
            shutil.copytree(ROOT / name, folder / name, ignore=ignored)
        else:
            shutil.copy(ROOT / name, folder / name)


def failing(tests: set[str]) -> list[str]:
    """What fails without any mutant, and so can tell nothing of one."""
    with TemporaryDirectory() as folder:
        copied(Path(folder))
        said = pytest_in(Path(folder), *sorted(tests)).stdout
    return [line.split()[1] for line in said.splitlines() if line.startswith("FAILED ")]


def outcome(mutant: Mutant, folder: Path, known: list[str]) -> str:
    """killed, survives, or why it could not be tried."""
    source = ROOT / "src" / "pointage" / mutant.file
    text = source.read_text("utf-8") if source.exists() else ""
    if text.count(mutant.before) != 1:
        return f"its piece of {mutant.file} is there {text.count(mutant.before)} times"
    copied(folder)
    changed = text.replace(mutant.before, mutant.after)
    (folder / "src" / "pointage" / mutant.file).write_text(changed, "utf-8")
    left_out = [f"--deselect={name}" for name in known]
    done = pytest_in(folder, "-x", *left_out, *mutant.tests)
    if done.returncode == 1:
        return "killed"
    return "survives" if done.returncode == 0 else f"pytest ended with {done.returncode}"


def main(mutants: tuple[Mutant, ...] = MUTANTS) -> None:
    """Try those of `mutants` that are asked for on the command line."""
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--only", help="Mutants with this in their name.")
    wanted = arguments.parse_args()
    found: dict[str, str] = {}
    begun = time.monotonic()
    chosen = [each for each in mutants if not wanted.only or wanted.only in each.name]
    known = failing({name for mutant in chosen for name in mutant.tests})
    for mutant in chosen:
        with TemporaryDirectory() as folder:
            found[mutant.name] = outcome(mutant, Path(folder), known)
        print(f"mutants: {mutant.name}: {found[mutant.name]}", file=sys.stderr, flush=True)
    left = {name: what for name, what in found.items() if what != "killed"}
    seconds = round(time.monotonic() - begun)
    told = {"tried": len(found), "left": left, "failing_without": known, "seconds": seconds}
    print(json.dumps(told, indent=2))
    sys.exit(bool(left))


if __name__ == "__main__":
    main()
