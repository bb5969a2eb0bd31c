"""A kitchen under moves, looked at from outside after each: what must hold whatever was done."""

from __future__ import annotations

import atexit
import copy
import json
import shutil
import traceback
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory, mkdtemp
from typing import Any
from urllib.parse import quote
from uuid import UUID, uuid4, uuid5

from tests.whole.agreement import disagreements
from tests.whole.commands import COMMANDS, fits_command
from tests.whole.hall import Hall, command, imported
from tests.whole.moves import Move
from tests.whole.pages import BROKEN, CORE, addresses, fits, words

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store.store import open_store

FIXTURE = sorted((Path(__file__).parents[1] / "fixtures").glob("*/shown.json"))[-1].parent
NAMES = UUID("0b7f3a56-61f2-4c0f-8a33-7b0f4b1d9c11")
SAME = ("/", "/cultures", "/larder")
"""Pages that do not list what was taken back."""


class Fault(AssertionError):  # noqa: N818, it is what was found, not what went wrong here
    """Something that must hold does not.

    where: what was asked; what: the answer; at: the line of ours that it came from, if it was
    raised. path, line: the page or the command that shows it again.
    """

    def __init__(
        self, where: str, what: str, at: str = "", *, path: str = "", line: list[str] | None = None
    ) -> None:
        super().__init__(f"{where}: {what}" + (f" [{at}]" if at else ""))
        self.where, self.what, self.at, self.path, self.line = where, what, at, path, line

    @property
    def signature(self) -> str:
        """The same for the same fault."""
        return self.at or f"{self.where}: {self.what[:60]}"


@cache
def _start() -> tuple[Path, Path, datetime]:
    """A store, an archive of it, and its instant: the newest fixtures without the long past.

    What was read off bakes that are over is left out: learning from it anew takes a moment, for
    every store that is opened.
    """
    folder = Path(mkdtemp(prefix="pointage-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    now = datetime.fromisoformat(json.loads((FIXTURE / "shown.json").read_text("utf-8"))["at"])
    shutil.copy(FIXTURE / "store.sqlite3", folder / "whole.sqlite3")
    kept, archive = folder / "start.sqlite3", folder / "start.zip"
    with (
        open_store(f"sqlite:///{folder}/whole.sqlite3") as whole,
        open_store(f"sqlite:///{kept}") as lean,
    ):
        (kitchen,) = whole.kitchens()
        last = 0
        for text in whole.kitchen_texts(kitchen.id):
            last = lean.put_kitchen(replace(kitchen, text=text.text), text.kept, after=last)
        for formula in whole.formulas(kitchen.id):
            revision = 0
            for each in whole.formula_texts(kitchen.id, formula.slug):
                revision = lean.put_formula(
                    kitchen.id, each.slug, each.text, each.kept, after=revision
                ).revision
        entries = whole.entries(kitchen.id)
        for entry in entries:
            if entry.kind is EntryKind.PHOTO:
                content = whole.photo(kitchen.id, entry.body["sha256"])
                assert content is not None
                lean.put_photo(kitchen.id, content)
        plans = [each.id for each in entries if each.kind is EntryKind.PLAN][-3:]
        lean.append_all(kitchen.id, [each for each in entries if _is_lean(each, plans)])
    said = command(f"sqlite:///{kept}", "export", str(archive), "--store", str(kept))
    assert said.status == 0, said.err
    return kept, archive, now


def _is_lean(entry: Entry, plans: list[str]) -> bool:
    about = entry.id if entry.kind is EntryKind.PLAN else entry.body.get("bake")
    if about is None:
        return True
    return about in plans and (entry.kind is not EntryKind.READING or about != plans[0])


def begin(url: str) -> datetime:
    """Fill the empty store at `url`: the instant at which it goes on."""
    kept, archive, now = _start()
    if url.startswith("sqlite:///"):
        shutil.copy(kept, url.removeprefix("sqlite:///"))
    else:
        imported(archive, url)
    return now


class Journey:
    """Moves one after another on one store.

    new_url: gives the address of another empty store, for what is exported. looks: how many pages
    beside the first ones are looked at after a move, by turns, and whether pages and commands agree
    after every second; None for all of them after each.
    """

    def __init__(self, new_url: Callable[[], str], looks: int | None = 3) -> None:
        self._new_url = new_url
        self._looks = looks
        url = new_url()
        self.hall = Hall(url, begin(url))
        self.made: list[Move] = []

    def close(self) -> None:
        self.hall.close()

    def make(self, move: Move, *, look: bool = True) -> None:
        """Make a move, then look at what must hold. Raises Fault."""
        self.made.append(move)
        try:
            with _no_raise(f"a {move[0]}"):
                getattr(self, f"_{move[0]}")(*move[1:])
            if look:
                self.look()
        except Fault as fault:
            fault.add_note(f"scripts/wander.py --replay shows it again: {json.dumps(self.made)}")
            raise

    def show(self, fault: Fault) -> None:
        """Look once more at what showed a fault. Raises Fault when it still does."""
        with _no_raise("the names of what there is"):
            addresses(self.hall)
        if fault.path:
            self.page(fault.where.removeprefix("GET "), fault.path)
        elif fault.line is not None:
            self.command(fault.line)
        else:
            for told in disagreements(self.hall):
                raise Fault("a page and a command", told)

    def look(self) -> None:
        """Every screen answers, every command ends well, and they agree. Raises Fault."""
        turn = Random(len(self.made))
        self.page("/", "/")
        with _no_raise("the names of what there is"):
            there = addresses(self.hall)
        further = [path for path in there if path != "/"]
        core = [path for path in CORE if path != "/"]
        if self._looks is not None:
            further = [*turn.sample(core, 2), *turn.sample(further, min(self._looks, len(further)))]
        for path in further:
            self.page(there[path], path)
        for line in COMMANDS if self._looks is None else [turn.choice(COMMANDS)]:
            with _no_raise("the names of what there is"):
                words_of = line(self.hall)
            self.command(words_of)
        if self._looks is not None and len(self.made) % 2:
            return  # what disagrees, does so after the next move too
        for told in disagreements(self.hall):
            raise Fault("a page and a command", told)

    def command(self, line: list[str]) -> None:
        """A command ends as it should. Raises Fault."""
        with _no_raise(f"pointage {' '.join(line[:2])}", line=line):
            said = command(self.hall.url, *line)
        if not fits_command(line[0], said):
            raise Fault(f"pointage {line[0]}", f"exit {said.status}: {said.err or said.out}"[:300])

    def exchange(self) -> None:
        """What is exported and taken in elsewhere shows the same. Raises Fault."""
        with TemporaryDirectory() as folder:
            archive = Path(folder) / "all.zip"
            said = command(self.hall.url, "export", str(archive), "--store", self.hall.url)
            if said.status != 0:
                raise Fault("pointage export", said.err)
            url = self._new_url()
            said = command(url, "import", str(archive), "--store", url)
            if said.status != 0:
                raise Fault("pointage import", said.err)
        here = self.said(SAME)
        with Hall(url, self.hall.now) as other:
            for path, text in here.items():
                self._same(path, text, words(other.get(path).text), "after export and import")

    def said(self, paths: Iterable[str]) -> dict[str, str]:
        """What pages say."""
        with _no_raise("a page"):
            return {path: words(self.hall.get(path).text) for path in paths}

    def page(self, route: str, path: str) -> None:
        """A page answers as it should. Raises Fault."""
        with _no_raise(f"GET {route}", path=path):
            answer = self.hall.get(path)
        if not fits(route, path, answer.status_code):
            said = words(answer.text).partition("Kitchen More")[2][:200]
            raise Fault(f"GET {route}", f"{answer.status_code} {said}", path=path)

    def _same(self, path: str, before: str, after: str, when: str) -> None:
        if before != after:
            at = next((i for i, (a, b) in enumerate(zip(before, after, strict=False)) if a != b), 0)
            at = max(at - 40, 0)
            shown = f"{before[at : at + 120]!r} was {after[at : at + 120]!r} {when}"
            raise Fault(f"GET {path}", shown, f"{path} {when}")

    def _entry(self) -> str:
        return str(uuid5(NAMES, str(len(self.made))))

    def _post(self, path: str, fields: dict[str, str]) -> None:
        path = quote(path)
        answer = self.hall.post(path, {"entry": self._entry(), **fields})
        if answer.status_code >= BROKEN:
            raise Fault(f"POST {path}", str(answer.status_code))

    def _append(self, kind: str, hours: float, body: dict[str, Any]) -> str:
        now = self.hall.now
        entry = Entry(
            self._entry(), self.hall.kitchen, EntryKind(kind),
            now + timedelta(hours=hours), now, "elsewhere", body,
        )  # fmt: skip
        self.hall.store.append(entry)
        return entry.id

    def _odd(self, kind: str, hours: float, body: dict[str, Any]) -> None:
        before = self.said(SAME)
        entry = self._append(kind, hours, body)
        self.look()
        now = self.hall.now
        back = Entry(str(uuid4()), self.hall.kitchen, EntryKind.WITHDRAWN, now, now, "elsewhere",
                     {"entry": entry})  # fmt: skip
        self.hall.store.append(back)
        for path, text in self.said(SAME).items():
            self._same(path, before[path], text, f"after {kind} was withdrawn")

    def _plan(self, path: list[str | int], value: object) -> None:
        first = self.hall.store.entries(self.hall.kitchen, (EntryKind.PLAN,))[0]
        body: Any = copy.deepcopy(dict(first.body))
        at = body
        for key in path[:-1]:
            at = at[key]
        at[path[-1]] = value
        self._append("plan", -1.0, body)

    def _kitchen(self, before: str, after: str) -> None:
        last = self.hall.desk.kitchen_file.last
        text = last.text.replace(before, after)
        self._post("/kitchen/file", {"text": text, "revision": str(last.revision)})

    def _formula(self, slug: str, before: str, after: str) -> None:
        there = {each.slug: each for each in self.hall.store.formulas(self.hall.kitchen)}
        if slug in there:
            text = there[slug].text.replace(before, after)
            again = f"{slug}@{there[slug].revision}"
            self._post("/formulas/import", {"text": text, "again": again})

    def _clock(self, hours: float) -> None:
        self.hall.now += timedelta(hours=hours)

    def _open(self) -> None:
        before = self.said(SAME)
        url, now = self.hall.url, self.hall.now
        self.hall.close()
        self.hall = Hall(url, now)
        for path, text in self.said(SAME).items():
            self._same(path, before[path], text, "after it was opened again")


@contextmanager
def _no_raise(where: str, path: str = "", line: list[str] | None = None) -> Iterator[None]:
    """What is raised inside becomes a Fault that names the line of ours it came from."""
    try:
        yield
    except Fault:
        raise
    except Exception as error:
        frames = [
            f for f in traceback.extract_tb(error.__traceback__) if "/pointage/" in f.filename
        ]
        at = ""
        if frames:
            last = frames[-1]
            at = f"{last.filename.rpartition('/pointage/')[2]}:{last.lineno} {last.name}"
        raise Fault(
            where, f"{type(error).__name__}: {error}"[:300], at, path=path, line=line
        ) from error
