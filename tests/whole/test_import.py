"""An archive with everything in it that cannot be used: what an import says, and what it leaves."""

from __future__ import annotations

import json
import os
import select
import signal
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any
from uuid import UUID
from zipfile import ZipFile

import pytest
from tests.daybook.archives import records, rewritten
from tests.web.odd_entries import BAKE, EARLIER, ODD, WATER, fed
from tests.web.stored_desk import NOW, hall
from tests.whole.hall import Hall, command
from tests.whole.pages import addresses, fits

from pointage.daybook.archive.manifest import instant_text
from pointage.daybook.store import opening
from pointage.daybook.store.store import Store, open_store
from pointage.desk.records.exchange import Aside, ExchangeDesk

FED = fed({"ingredient": "rye-whole", "grams": 50}, WATER)
AMENDED, WORSE, FIRST, SECOND, SELF = (str(UUID(int=9000 + n)) for n in range(5))
NO_FLOUR = fed({"ingredient": "rye-whole", "grams": 0}, WATER)


def entry(name: str, kind: str, body: dict[str, Any], at: str) -> dict[str, Any]:
    said = {"happened": at, "arrived": instant_text(EARLIER), "author": "baker", "number": 90}
    return {"id": name, "kind": kind, "body": body} | said


def odd_entries() -> Iterator[tuple[dict[str, Any], str]]:
    """Entries of an archive, and the field that is at fault; empty for what can be used."""
    at = instant_text(EARLIER)
    for number, odd in enumerate(ODD, 8000):
        when = f"{odd.happened:%Y-%m-%dT%H:%M:%S}Z".rjust(20, "0")
        yield entry(str(UUID(int=number)), odd.kind.value, odd.body, when), odd.field
    yield entry(AMENDED, "fed", FED, at), "flour"
    yield entry(WORSE, "corrected", {"entry": AMENDED, "body": NO_FLOUR}, at), ""
    yield entry(FIRST, "corrected", {"entry": SECOND, "body": FED}, at), "entry"
    yield entry(SECOND, "corrected", {"entry": FIRST, "body": FED}, at), "entry"
    yield entry(SELF, "withdrawn", {"entry": SELF}, at), "entry"
    rest: list[tuple[str, dict[str, Any], str]] = [
        ("photo", {"sha256": "0" * 64}, "sha256"),
        ("corrected", {"entry": AMENDED, "body": 5}, "body"),
        ("measured", {"culture": "Gannet", "rise": 9, "mood": "calm"}, ""),
        ("note", {"text": "of no bake", "bake": AMENDED}, "bake"),
    ]
    for number, (kind, body, field) in enumerate(rest, 9100):
        yield entry(str(UUID(int=number)), kind, body, at), field


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The archive of Skerry Hall with a bake in hand."""
    folder = tmp_path_factory.mktemp("hall")
    desk = hall(folder)
    desk.wish(BAKE, "harbour-loaf", 12, NOW + timedelta(days=2), NOW)
    desk.exchange.export_to(folder / "sound.zip")
    return folder / "sound.zip"


@pytest.fixture
def odd(sound: Path, tmp_path: Path) -> Path:
    """The same with all that cannot be used."""
    with ZipFile(sound) as archive:
        kitchen = json.loads(archive.read("kitchens.jsonl").splitlines()[0])
        formula = json.loads(archive.read("formulas.jsonl").splitlines()[0])
    extra = [each | {"kitchen": kitchen["kitchen"]} for each, _ in odd_entries()]
    text = kitchen["file"].replace("kitchen.toml", "later.toml")
    loaf = formula["file"].replace("1.toml", "2.toml")

    def more(content: bytes) -> bytes:
        manifest = json.loads(content)
        manifest["counts"]["entries"] += len(extra)
        manifest["counts"]["kitchen_texts"] += 1
        manifest["counts"]["formula_texts"] += 1
        return json.dumps(manifest).encode()

    def after_the_first(content: bytes, line: dict[str, Any]) -> bytes:
        first, _, rest = content.partition(b"\n")
        return b"\n".join((first, json.dumps(line).encode(), rest))

    (tmp_path / "odd.zip").write_bytes(sound.read_bytes())
    return rewritten(
        tmp_path / "odd.zip",
        {
            "manifest.json": more,
            "kitchens.jsonl": lambda c: after_the_first(c, kitchen | {"revision": 2, "file": text}),
            "formulas.jsonl": lambda c: after_the_first(c, formula | {"revision": 2, "file": loaf}),
            "entries.jsonl": lambda c: c + b"".join(
                json.dumps(each).encode() + b"\n" for each in extra
            ),
        },
        {text: b"name = [", loaf: b'name = "Wood"\n[total]\nsawdust = 100\n'},
    )  # fmt: skip


def said(url: str, *words: str, status: int = 0) -> dict[str, Any]:
    answer = command(url, *words, "--store", url, "--json")
    assert (answer.status, answer.err) == (status, "")
    found: dict[str, Any] = json.loads(answer.out)
    return found


@pytest.mark.long
def test_an_import_names_each_line_that_a_check_names_and_every_page_opens(
    url: str, odd: Path
) -> None:
    fields = {each["id"]: field for each, field in odd_entries() if field}
    assert len(fields) >= 30
    told = said(url, "import", str(odd))
    asides = told["set_aside"]
    with ZipFile(odd) as archive:
        lines = {
            name: [json.loads(line) for line in archive.read(name).splitlines()]
            for name in ("entries.jsonl", "kitchens.jsonl", "formulas.jsonl")
        }
    found = {}
    for each in asides:
        line = lines[each["file"]][each["line"] - 1]
        if each["what"] == "entry":
            assert (line["id"], line["kind"]) == (each["name"], each["kind"])
            found[each["name"]] = each["field"]
        else:
            assert line["revision"] == 2
    assert {
        name: field for name, field in found.items() if not field.startswith(fields[name])
    } == {}
    assert found.keys() == fields.keys()
    assert {each["what"] for each in asides} == {"entry", "kitchen", "formula"}
    assert len(asides) == len(fields) + 2

    checked = said(url, "check", status=1)  # for a photograph is lost
    assert sorted(checked["set_aside"]) == sorted(each["said"] for each in asides)
    assert checked["counts"] == told["counts"] == told["new"]
    with open_store(url) as store:
        before = records(store)
        again = said(url, "import", str(odd))
        assert set(again["new"].values()) == {0}
        assert again["set_aside"] == asides
        assert records(store) == before
    with Hall(url, NOW) as pages:
        asked = {path: (route, pages.get(path)) for path, route in addresses(pages).items()}
        asked |= {
            f"/daybook/entry/{name}": (
                "/daybook/entry/{entry}",
                pages.get(f"/daybook/entry/{name}"),
            )
            for name in fields
        }
        wrong = {
            path: answer.status_code
            for path, (route, answer) in asked.items()
            if not fits(route, path, answer.status_code) and answer.status_code != 303
        }
        assert wrong == {}
        for name, field in fields.items():
            if field != "sha256":  # which its page shows as no picture
                assert "; expected" in asked[f"/daybook/entry/{name}"][1].text
        aside = pages.get("/daybook?aside=1").text
        assert f"/daybook/entry/{FIRST}" in aside


def test_the_command_prints_the_counts_and_each_line(url: str, odd: Path, sound: Path) -> None:
    told = command(url, "import", str(odd), "--store", url)
    assert (told.status, told.err) == (0, "")
    first, second, *asides, last = told.out.splitlines()
    assert first.startswith(f"{odd} holds 1 kitchen, ")
    assert second.startswith("New of that: 1 kitchen, ")
    assert last == "What is set aside stays until it is corrected."
    with ZipFile(odd) as archive:
        entries = [json.loads(line) for line in archive.read("entries.jsonl").splitlines()]
    at = next(n for n, each in enumerate(entries, 1) if each["id"] == AMENDED)
    assert (
        f"Set aside: entries.jsonl, line {at} (fed): entry {AMENDED}: flour: no fresh flour; "
        "expected the grams of fresh flour in the feed"
    ) in asides
    assert all(each.startswith("Set aside: ") for each in asides)
    # What another archive brought before is named too, for a check names it.
    again = command(url, "import", str(sound), "--store", url).out.splitlines()
    assert again[1] == "Nothing was new."
    assert f"Set aside: in the store before (fed): entry {AMENDED}: flour: no fresh" in "\n".join(
        again
    )


def test_an_import_that_is_killed_leaves_nothing_or_everything(url: str, odd: Path) -> None:
    chance = Random(4)
    with open_store(url) as store:
        nothing = records(store)
    outcomes = []
    for after_s in (None, *(chance.uniform(0, 0.4) for _ in range(6))):
        killed(url, odd, after_s)
        with open_store(url) as store:
            found = records(store)
        outcomes.append(found == nothing)
        if found != nothing:
            assert len(found["entry"]) == len(list(odd_entries())) + 1
            break
    assert outcomes[0]  # killed when everything was written and gone through
    told = said(url, "import", str(odd))
    assert told["new"] == told["counts"] or (not outcomes[-1] and not any(told["new"].values()))
    assert len(said(url, "check", status=1)["set_aside"]) > 30


def killed(url: str, archive: Path, after_s: float | None) -> None:
    """An import in a process of its own, killed so many seconds after it began to write.

    None: at its very end, when everything is written and has been gone through.
    """
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            whole = ExchangeDesk._set_aside

            def slowly(self: ExchangeDesk, store: Store) -> Iterator[Aside]:
                yield from whole(self, store)
                if after_s is None:
                    os.write(writes, b"x")
                    time.sleep(60)

            ExchangeDesk._set_aside = slowly  # type: ignore[method-assign]
            if after_s is not None:
                os.write(writes, b"x")
            command(url, "import", str(archive), "--store", url)
        finally:
            os._exit(1)
    os.close(writes)
    select.select([reads], [], [], 60)
    os.close(reads)
    time.sleep(after_s or 0.0)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


@pytest.mark.long
def test_two_servers_stay_open_while_an_archive_is_taken_in(
    url: str, sound: Path, odd: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said(url, "import", str(sound))
    monkeypatch.setattr(opening, "WAIT_S", 0.3)
    begun, goes_on = threading.Event(), threading.Event()
    whole = ExchangeDesk._set_aside

    def waiting(desk: ExchangeDesk, store: Any) -> Iterator[Aside]:
        yield from whole(desk, store)
        begun.set()
        assert goes_on.wait(60)

    monkeypatch.setattr(ExchangeDesk, "_set_aside", waiting)
    fields = {"text": "while it is taken in"}
    path = f"/daybook/entry/{FIRST}"
    with Hall(url, NOW) as one, Hall(url, NOW) as other, open_store(url) as store:
        desk = ExchangeDesk(store, lambda: NOW)
        importing = threading.Thread(target=desk.import_from, args=(odd,))
        importing.start()
        try:
            assert begun.wait(60)
            for number, server in enumerate((one, other)):
                for page in ("/", "/daybook", "/week", "/larder", "/formulas"):
                    assert server.get(page).status_code == 200
                assert server.get(path).status_code == 404
                form = fields | {"entry": str(UUID(int=700 + number))}
                refused = server.post("/daybook/told/note", form)
                assert refused.status_code == 503
                assert int(refused.headers["Retry-After"]) > 0
        finally:
            goes_on.set()
            importing.join(60)
        for number, server in enumerate((one, other)):
            assert server.get(path).status_code == 200
            assert "are set aside" in server.get("/week").text
            form = fields | {"entry": str(UUID(int=700 + number))}
            assert server.post("/daybook/told/note", form).status_code == 303
