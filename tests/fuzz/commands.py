"""Every command with every option, in this process; both are listed by the program itself."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from tempfile import mkdtemp
from typing import Any
from unittest import mock

from tests.fuzz import readers as files
from tests.fuzz import spoil
from tests.fuzz.meter import Reader, Wrong
from tests.whole.commands import fits_command
from tests.whole.hall import command

from pointage.cli.app import app
from pointage.daybook.store.store import open_store
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in
from pointage.web.door.listening import listen_on, names_of

LOAF, KITCHEN, LOG, RECIPE = "loaf.toml", "kitchen.toml", "log.csv", "recipe.txt"
FILES = {
    LOAF: files.formulas()[0], KITCHEN: files.kitchens()[0], LOG: files.LOGS[0],
    RECIPE: files.RECIPES[0],
}  # fmt: skip
VALID: dict[str, list[str]] = {
    "water": ["--target", "25C", "--water", "600g", "--part", "flour:1000g@18C"],
    "forecast": ["--seed", "50g", "--flour", "100g", "--water", "100g", "--at", "25C",
                 "--hours", "3"],
    "sample": ["--dough", "4kg@26C", "--jar", "60g", "--room", "17C", "--hours", "4",
               "--shows", "1.5"],
    "scale": [LOAF, "--pieces", "2"],
    "compare": [LOAF, LOAF],
    "read": [RECIPE],
    "raise": ["--flour-kind", "rye-whole", "--vessel", "2l", "--at", "24C", "--days", "3"],
    "plan": [LOAF, "--ready", "2026-11-28T09:00", "--now", "2026-11-25T09:00"],
    "bake": ["--mass", "900g", "--shape", "boule", "--oven", "240C", "--from", "24C"],
    "label": [LOAF],
    "sheet": [LOAF, "-o", "out.pdf"],
    "calendar": ["-o", "out.ics"],
    "export": ["out.zip", "--replace"],
    "import": ["out.zip"],
    "serve": ["--port", "0"],
    "sensor add": ["Probe", "--place", "Hall"],
    "sensor token": ["Probe"],
}  # fmt: skip
"""A line that each command takes; one that is not here begins with nothing."""

PATHS = (".", "/", "", "..", "a\0b", "a" * 5000, "no/such", "no such", "~", "/proc/self/mem", LOAF,
         "\udc80", "\x1b[2J", LOG)  # fmt: skip
STORES = ("", ".", "/", "://", "sqlite://", "sqlite:///", "sqlite:///.", "mysql://x/y", "a\0b",
          "postgresql://[", "postgresql://u:p@localhost:abc/x", "postgresql://127.0.0.1:1/x",
          "postgresql://127.0.0.1:99999/x", "postgresql:///x?host=nowhere", "sqlite:///no/such/x",
          "sqlite:///\udc80", "x" * 5000, "sqlite:///x?y=z", "sqlite+nope:///x", LOAF,
          "postgresql://%zz@127.0.0.1:1/x", "\x1b[2J")  # fmt: skip
_EXAMPLE = re.compile(r"such as ([^ ,;.)]+)(?: or ([^ ,;.)]+))?")
_WORDS = re.compile(r"\b[a-z]+(?:-[a-z]+)*\b")


def commands() -> dict[str, Any]:
    """Every command by its words, those of a group too."""
    return dict(_under(app, ""))


def _under(group: Any, before: str) -> Iterator[tuple[str, Any]]:
    for name, each in group.commands.items():
        if hasattr(each, "commands"):
            yield from _under(each, f"{before}{name} ")
        else:
            yield f"{before}{name}", each


class Lines:
    """Lines for the commands, in a folder with the files that they name."""

    def __init__(self) -> None:
        self._folder = Path(mkdtemp(prefix="pointage-"))
        self._commands = commands()
        self._url = f"sqlite:///{self._folder}/store.sqlite3"
        with open_store(self._url) as store:  # no past: learning from it takes a moment each time
            take_in(store, demonstration_text(), demonstration_formulas(), files.NOW)
        self._kept = (self._folder / "store.sqlite3").read_bytes()

    def close(self) -> None:
        shutil.rmtree(self._folder, ignore_errors=True)

    def make(self, rng: Random) -> tuple[list[str], dict[str, str]]:
        """A command's line, and the files that are not as they should be when it is run."""
        name = rng.choice(sorted(self._commands))
        line = list(VALID.get(name, []))
        options = [each for each in self._commands[name].params if each.param_type_name == "option"]
        for option in rng.sample(options, min(len(options), rng.choice((0, 1, 1, 2, 3)))):
            flag = rng.choice(option.opts)
            if option.is_flag:
                line.append(flag)
            else:
                value = self._value(rng, option)
                line += [f"{flag}={value}"] if rng.random() < 0.5 else [flag, value]
        if line and rng.random() < 0.3:
            at = rng.randrange(len(line))
            if line[at].startswith("--"):
                del line[at]
            elif line[at].endswith((".toml", ".zip", ".csv")):
                line[at] = rng.choice(PATHS)
            elif VALID.get(name, [])[at : at + 1] == [line[at]]:
                line[at] = spoil.text(rng, line[at])
        if rng.random() < 0.2:
            line.append("--json")
        spoiled: dict[str, str] = {}
        if rng.random() < 0.25:
            file, flag = rng.choice(((LOAF, ""), (KITCHEN, "--kitchen"), (LOG, "--temperatures")))
            spoiled[file] = spoil.document(rng, FILES[file])
            if any(flag in each.opts for each in options):
                line += [flag, file]
        return [*name.split(), *line], spoiled

    def run(self, given: tuple[list[str], dict[str, str]]) -> None:
        """Run a line. It is judged by its exit status and by what it says."""
        line, spoiled = given
        if self._leads_out(line):
            return
        for name, text in (FILES | spoiled).items():
            (self._folder / name).write_bytes(text.encode("utf-8", "surrogateescape"))
        if line[:1] in (["sensor"], ["import"]):
            for log in self._folder.glob("store.sqlite3-*"):
                log.unlink()
            (self._folder / "store.sqlite3").write_bytes(self._kept)
        before = Path.cwd()
        os.chdir(self._folder)
        try:
            # A page takes seconds of the engine when all is right: tests/cli/test_share.py has it.
            with (
                mock.patch("pointage.web.serve.serve", _listen),
                mock.patch("pointage.desk.formulas.share.share_formula", _no_page),
                mock.patch("pointage.desk.cultures.share_raising.share_raising", _no_page),
            ):
                said = command(self._url, *line)
        finally:
            os.chdir(before)
        if not fits_command(line[0] if line else "", said):
            raise Wrong(f"exit {said.status}: {said.err[:60]!r}")
        if loud := [c for c in said.out + said.err if not (c.isprintable() or c == "\n")]:
            raise Wrong(f"a control character, {loud[0]!r}")

    def _value(self, rng: Random, option: Any) -> str:
        name = option.opts[-1].lstrip("-")
        if name == "store":
            return rng.choice(STORES)
        if name in ("kitchen", "temperatures", "formulas"):
            return rng.choice((*PATHS, KITCHEN, LOG))
        shown = option.help or ""
        examples = [each for found in _EXAMPLE.findall(shown) for each in found if each]
        examples += _WORDS.findall(shown)[:12] if not examples else []
        example = rng.choice(examples or files.EXAMPLES)
        return example if rng.random() < 0.3 else spoil.text(rng, example)

    def _leads_out(self, line: Sequence[str]) -> bool:
        """Whether a line could write or ask elsewhere: those are not run when made smaller."""
        if line[:1] == ["export"]:
            return any("/" in each and each not in PATHS and "://" not in each for each in line[1:])
        return any(
            "postgresql" in each and each.partition("=")[2] not in STORES and each not in STORES
            for each in line
        )


def _no_page(*_: object) -> str:
    return ""


def _listen(port: int, *_: object, listen: str, called: Sequence[str] = (), **__: object) -> None:
    """As much of serving as looks at what was given."""
    names_of(called)
    if all(c in "0123456789.:" for c in listen):
        listen_on(listen, port).close()


def readers() -> Iterator[Reader]:
    lines = Lines()
    yield Reader("command", 0.6, lines.make, lines.run, lines.close)
