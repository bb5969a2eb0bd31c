"""The readers that need no kitchen: quantities, files, logs, entries, plans and archives."""

from __future__ import annotations

import inspect
import io
import json
import warnings
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from functools import cache, partial
from hashlib import sha256
from pathlib import Path
from random import Random
from shutil import rmtree
from tempfile import mkdtemp
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo
from zoneinfo import ZoneInfo

from tests.fuzz import spoil
from tests.fuzz.meter import Reader

from pointage import bounds, money, quantities
from pointage.daybook.archive.export import export_to
from pointage.daybook.archive.merge import import_from
from pointage.daybook.bodies import BODIES, checked, usable
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store.store import open_store
from pointage.desk.formulas.read import read_text_of_recipe
from pointage.desk.kitchen.places import settle_logs
from pointage.desk.larder.file import read_larder
from pointage.desk.plans.document import read_plan
from pointage.formula.file.measures import read_amount
from pointage.formula.file.read import read_formula
from pointage.formula.flour.figures import read_figures
from pointage.formula.names import COUNTRIES
from pointage.kitchen.file.read import read_kitchen
from pointage.kitchen.log.clock import DateOrder
from pointage.kitchen.log.read import LogOptions, decode_log, read_log

ROOT = Path(__file__).parents[2]
FIXTURES = ROOT / "tests/fixtures"
DATA = ROOT / "src/pointage/data/demonstration"
DUBLIN = ZoneInfo("Europe/Dublin")
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
EXAMPLES = ("25C", "77F", "-10 °C", "600g", "1.2kg", "1,5 kg", "8oz", "90min", "1.5h", "2d", "12%",
            "2l", "750ml", "120mm", "5in", "1500m", "1.6", "8", "15:00", "23.80 EUR", "€ 9.50",
            "Europe/Dublin", "2026-12-05T09:00", "2026-12-05T09:00+01:00", "250W", "1 1/2 cups",
            "0.65", "0.55 as bought", "0.56 at 14", "EUR")  # fmt: skip


def readers() -> Iterator[Reader]:
    yield Reader("quantities", 62, _quantity, _read_quantity)
    yield Reader("kitchen file", 6, _a_document(kitchens()), _read_kitchen)
    yield Reader("formula file", 8, _a_document(formulas()), read_formula)
    yield Reader("recipe", 8, _recipe, _read_recipe)
    yield Reader("larder file", 2, _a_document([_text(DATA / "larder.toml")]), _read_larder)
    yield Reader("log", 6, _log, _read_log)
    yield Reader("entry body", 8, _body, _read_body)
    yield Reader("plan document", 3, _plan, read_plan)
    yield _archives()


@cache
def _text(path: Path) -> str:
    return path.read_text("utf-8")


@cache
def quantity_readers() -> dict[str, Callable[[str], object]]:
    """Everything that reads a quantity from a text: each `parse_*`, and each bound both ways."""
    rest = {"zone": DUBLIN, "currency": "EUR", "expected": "a number", "field": "field"}
    found: dict[str, Callable[[str], object]] = {"read_amount": read_amount}
    for module in (quantities, money):
        for name, parse in inspect.getmembers(module, inspect.isfunction):
            if parse.__module__ == module.__name__ and name.startswith(("parse_", "split_")):
                _, *further = inspect.signature(parse).parameters
                given = {each: rest[each] for each in further if each in rest}
                found[name] = partial(parse, **given)
    for bound in bounds.TABLE:
        found[bound.expected] = partial(bound.read, field="x")
        if bound.unit == "g":
            found[f"{bound.expected}, exactly"] = partial(bound.grams, field="x")
    for figure in ("ash", "moisture", "falling_number"):
        found[figure] = partial(_figure, figure)
    return found


def _figure(figure: str, text: str) -> object:
    return read_figures({figure: text}, "wheat-white", lambda _: figure)


def _quantity(rng: Random) -> tuple[str, str]:
    return rng.choice(list(quantity_readers())), spoil.text(rng, rng.choice(EXAMPLES))


def _read_quantity(given: tuple[str, str]) -> None:
    name, text = given
    if name in quantity_readers():
        quantity_readers()[name](text)


def _a_document(examples: Sequence[str]) -> Callable[[Random], str]:
    return lambda rng: spoil.document(rng, rng.choice(examples))


def kitchens() -> list[str]:
    files = [*FIXTURES.glob("kitchens/*/*.toml"), FIXTURES / "0.1.0/kitchen.toml"]
    return [_text(DATA / "kitchen.toml"), *map(_text, sorted(files))]


def formulas() -> list[str]:
    return [_text(path) for path in sorted((DATA / "formulas").glob("*.toml"))]


RECIPES = (
    "Loaf\nMakes 2 loaves\nLevain\n50 g rye flour\n50 g water\n10 g starter\n\nDough"
    "\n1,000 g bread flour\n1 1/2 cups water at 80F\n100 g levain\n20g (2%) salt\n2 eggs"
    "\nMethod\nMix, and bake at 450F.",
    "Bread flour 90%\nT65 10%\nWater 72%\nSalt 2%\nLevain 20% (100% hydration)",
    "500 g Weizenmehl 550 / 350 ml Wasser / 100 g Sauerteig (TA 200) / 1 TL Salz",
    '<html><script type="application/ld+json">{"@graph": [{"@type": "Recipe", "name": "Loaf",'
    ' "recipeIngredient": ["500 g flour", "350 g water"], "recipeInstructions": ['
    '{"text": "Mix."}]}]}</script></html>',
)


def _recipe(rng: Random) -> tuple[str, str]:
    example = rng.choice((*RECIPES, *formulas()))
    return spoil.document(rng, example), rng.choice(("", *COUNTRIES))


def _read_recipe(given: tuple[str, str]) -> None:
    read_text_of_recipe(*given)


def _read_kitchen(text: str) -> None:
    read_kitchen(text, NOW)
    settle_logs(text, "kitchen.toml", lambda name, field: LOGS[0].encode())


def _read_larder(text: str) -> None:
    read_larder(text, NOW.date())


LOGS = (
    "time,temperature °C\n" + "".join(f"2026-11-{d}T09:00,{18 + d / 10}\n" for d in range(10, 25)),
    "Logger 7\nDate;Time;Temp (F)\n"
    + "".join(f"{d}/11/26;{h}:00 PM;6{h},5\n" for d in range(1, 15) for h in (1, 9)),
    "hours\tHall °C\tFridge °C\n"
    + "".join(f"{h / 2}\t{18 + h % 5}\t4.{h % 9}\n" for h in range(60)),
    "epoch,value\n" + "".join(f"{1795600000 + 600 * n},{20 + n % 7}\n" for n in range(40)),
)


def _log(rng: Random) -> tuple[bytes, str, str, str]:
    text = spoil.document(rng, rng.choice(LOGS))
    code = rng.choice(("utf-8", "utf-8", "utf-16", "cp1252"))
    column, unit = rng.choice(("", "", "Hall °C", "nope", "\0")), rng.choice(("", "C", "F"))
    return text.encode(code, "replace"), column, unit, rng.choice(("", *DateOrder))


def _read_log(given: tuple[bytes, str, str, str]) -> None:
    data, column, unit, order = given
    wanted = DateOrder(order) if order in list(DateOrder) else None
    options = LogOptions(column or None, unit or None, wanted, skip_bad_rows=True)
    log = read_log(decode_log(data), DUBLIN, "log", options, start=NOW)
    taken = log.taken("log", skip_bad_rows=True)
    taken.surroundings(NOW, 24.0)


@cache
def _entries() -> tuple[Entry, ...]:
    """What is in the fixtures' store, one of each kind and shape of body."""
    folder = Path(mkdtemp(prefix="pointage-"))
    try:
        copy = folder / "store.sqlite3"
        copy.write_bytes((FIXTURES / "0.1.0/store.sqlite3").read_bytes())
        with open_store(f"sqlite:///{copy}") as store:
            (kitchen,) = store.kitchens()
            found = {(each.kind, *sorted(each.body)): each for each in store.entries(kitchen.id)}
    finally:
        rmtree(folder)
    return tuple(found.values())


def _body(rng: Random) -> tuple[str, dict[str, Any]]:
    entry = rng.choice([each for each in _entries() if each.kind is not EntryKind.PLAN])
    kind = entry.kind if rng.random() < 0.9 else rng.choice(list(BODIES))
    body = spoil.value(rng, dict(entry.body))
    return str(kind), body if isinstance(body, dict) else {"text": body}


def _read_body(given: tuple[str, dict[str, Any]]) -> None:
    kind, body = given
    if kind not in list(EntryKind):
        return
    try:
        usable(Entry(str(_entries()[0].id), "k", EntryKind(kind), NOW, NOW, "elsewhere", body))
    finally:
        checked(EntryKind(kind), body)


@cache
def _plans() -> tuple[dict[str, Any], ...]:
    old = [json.loads(path.read_text("utf-8")) for path in FIXTURES.glob("plans/v1/*.json")]
    new = [dict(each.body) for each in _entries() if each.kind is EntryKind.PLAN]
    return (*new, *old[:2])


def _plan(rng: Random) -> dict[str, Any]:
    found = spoil.value(rng, rng.choice(_plans()))
    return found if isinstance(found, dict) else {"plan": found}


def _archives() -> Reader:
    """Archives whose structure or content is wrong, taken into a store that stays empty or not."""
    folder = Path(mkdtemp(prefix="pointage-"))
    return Reader(
        "archive", 1, _archive,
        lambda given: _take(folder, given), lambda: rmtree(folder, ignore_errors=True),
    )  # fmt: skip


@cache
def _small() -> dict[str, bytes]:
    """The members of a small archive that can be taken in: few entries, no samples, no photos."""

    folder = Path(mkdtemp(prefix="pointage-"))
    try:
        with open_store(f"sqlite:///{folder}/small.sqlite3") as store:
            from pointage.daybook.entry import KitchenRecord

            store.put_kitchen(
                KitchenRecord("k1", "Hall", "Europe/Dublin", _text(DATA / "kitchen.toml")), NOW
            )
            store.put_formula("k1", "rye", formulas()[0], NOW)
            for entry in _entries():
                if entry.kind not in (EntryKind.PHOTO, EntryKind.PLAN):
                    store.append(Entry(entry.id, "k1", entry.kind, NOW, NOW, "Orla", entry.body))
            export_to(store, folder / "small.zip", NOW)
        with ZipFile(folder / "small.zip") as packed:
            return {name: packed.read(name) for name in packed.namelist()}
    finally:
        rmtree(folder)


def _archive(rng: Random) -> bytes:
    members = dict(_small())
    way = rng.random()
    if way < 0.55:  # a line or a value changed, and the manifest says so
        name = rng.choice([each for each in members if not each.startswith("schema/")])
        _spoil_member(rng, members, name)
        if name != "manifest.json" and rng.random() < 0.85:
            _sign(members, name)
    elif way < 0.75:
        name = rng.choice(list(members))
        match rng.choice(("drop", "rename", "double")):
            case "drop":
                del members[name]
            case "rename":
                members[spoil.text(rng, name).replace("\0", "0") or "x"] = members.pop(name)
            case _:
                members[f"{name}x"] = members[name]
    packed = _packed(members)
    if way >= 0.75:  # the file itself damaged
        data = bytearray(packed)
        for _ in range(rng.choice((1, 3, 20))):
            at = rng.randrange(len(data))
            data[at : at + rng.choice((0, 1, 4))] = rng.randbytes(rng.choice((0, 1, 4)))
        return bytes(data[: rng.choice((len(data), len(data), rng.randrange(len(data))))])
    return packed


def _spoil_member(rng: Random, members: dict[str, bytes], name: str) -> None:
    lines = members[name].split(b"\n")
    at = rng.randrange(len(lines))
    try:
        changed = spoil.value(rng, json.loads(lines[at]))
        lines[at] = json.dumps(changed, ensure_ascii=rng.random() < 0.5).encode("utf-8", "replace")
    except ValueError:
        line = spoil.document(rng, lines[at].decode("utf-8", "replace"))
        lines[at] = line.encode("utf-8", "replace")
    members[name] = b"\n".join(lines)


def _sign(members: dict[str, bytes], name: str) -> None:
    """Write the member's size and hash into the manifest."""

    manifest = json.loads(members["manifest.json"])
    for member in manifest["members"]:
        if member["path"] == name:
            member["size"] = len(members[name])
            member["sha256"] = sha256(members[name]).hexdigest()
    members["manifest.json"] = json.dumps(manifest).encode()


def _packed(members: dict[str, bytes]) -> bytes:
    file = io.BytesIO()
    with warnings.catch_warnings(), ZipFile(file, "w", ZIP_DEFLATED) as packed:
        warnings.simplefilter("ignore")  # two of a name are meant
        for name, content in members.items():
            packed.writestr(ZipInfo(name), content, ZIP_DEFLATED)
    return file.getvalue()


def _take(folder: Path, given: bytes) -> None:
    archive, kept = folder / "all.zip", folder / "taken.sqlite3"
    archive.write_bytes(given)
    empty = _empty_store(folder)
    kept.write_bytes(empty.read_bytes())
    with open_store(f"sqlite:///{kept}") as store:
        import_from(store, archive, one_kitchen=True)
        for kitchen in store.kitchens():
            for entry in store.entries(kitchen.id):
                try:
                    usable(entry)
                except ValueError:
                    raise
                except Exception as error:
                    from pointage.errors import PointageError

                    if not isinstance(error, PointageError):
                        raise


def _empty_store(folder: Path) -> Path:
    path = folder / "empty.sqlite3"
    if not path.exists():
        open_store(f"sqlite:///{path}").close()
    return path
