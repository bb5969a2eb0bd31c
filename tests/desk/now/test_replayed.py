"""A daybook gone through entry by entry, in any order, comes to what all of it at once comes to.

The entries are those of a kitchen at work: plans of a loaf, of rolls and of a rye, what was done
and seen of them, feeds and other events of cultures, what came into the stores and went out of
them, and among these what cannot be used. Times are few, so that much happens at one instant.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.desk.now.histories import NOT_HERE, amended, batches, numbers
from tests.examples import some

from pointage.daybook.entry import (
    Entry,
    EntryKind,
    FormulaRecord,
    KitchenRecord,
)
from pointage.daybook.replay import Line
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.now.present import Present, present_of
from pointage.desk.now.replayed import Replayed, opened
from pointage.desk.now.texts import kitchen_of
from pointage.kitchen.kitchen import Kitchen

PLANS = Path(__file__).parents[2] / "fixtures/plans/v1"
START = datetime(2026, 11, 27, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
BAKES = {
    str(UUID(int=11)): "harbour-loaf",
    str(UUID(int=12)): "seeded-rolls",
    str(UUID(int=13)): "tinned-rye",
}
STEPS = ("feed-1", "build-1", "build-2", "mix", "bulk", "bake-1", "knead")
CULTURES = ("Plover", "gannet", "Tern", "Skua")
TO = ("waste", "kitchen", "given")
FLOURS = ("wheat-white", "rye-whole", "spelt-whole")
UNKNOWN = EntryKind("kneaded-again")

HOURS = st.sampled_from((0, 10, 18, 18.5, 19, 28, 32, 40))
BAKE = st.sampled_from((*BAKES, NOT_HERE))
STEP = st.sampled_from(STEPS)
CULTURE = st.sampled_from(CULTURES)
GRAMS = st.sampled_from((10.0, 60.0, 400.0))


@cache
def plan(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((PLANS / f"{name}.json").read_text(encoding="utf-8"))
    return dict(found["body"])


@cache
def hall() -> Kitchen:
    return kitchen_of(demonstration_text(), START)


@cache
def other_hall() -> Kitchen:
    """The same kitchen after Gannet went and Plover was fed otherwise."""
    file = hall()
    plover = next(each for each in file.cultures if each.name == "Plover")
    return replace(file, cultures=(replace(plover, mass_g=90.0, fed=START + 9 * HOUR),))


RECORD = KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", "")
FORMULAS = tuple(
    FormulaRecord("k1", slug, 1, text) for slug, text in demonstration_formulas().items()
)


def part(ingredient: str, grams: float) -> dict[str, object]:
    return {"ingredient": ingredient, "grams": grams}


def taken(culture: str, grams: float) -> list[dict[str, object]]:
    return [{"culture": culture, "grams": grams}]


def about_step(kind: EntryKind, **said: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.tuples(st.just(kind), st.fixed_dictionaries({"bake": BAKE, "step": STEP, **said}))


def body(kind: EntryKind, **said: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.tuples(st.just(kind), st.fixed_dictionaries(said))


PARTS = st.lists(
    st.builds(part, st.sampled_from((*FLOURS, "water", "salt")), GRAMS), min_size=1, max_size=3
)
NEWS = st.one_of(
    about_step(EntryKind.DONE),
    about_step(EntryKind.WITHDRAWN),
    body(EntryKind.WITHDRAWN, bake=BAKE),
    about_step(EntryKind.READING, reading=st.just("rise"), value=st.sampled_from((1.2, 1.6, -4.0))),
    about_step(
        EntryKind.READING,
        pour=st.sampled_from((0, 1, 2, 99)),
        display_g=st.sampled_from((263.3, 320.0, 1500.0)),
        keep=st.sampled_from(("ratios", "total")),
    ),
    about_step(EntryKind.MEASURED, temperature_c=st.just(24.0)),
    about_step(EntryKind.MIXED, parts=PARTS),
    about_step(EntryKind.FED, culture=CULTURE, seed_g=GRAMS, parts=PARTS),
)
OF_CULTURES = st.one_of(
    body(
        EntryKind.FED,
        culture=CULTURE,
        seed_g=GRAMS,
        parts=PARTS,
        place=st.sampled_from(("Hall", "Fridge")),
    ),
    body(EntryKind.HELD, culture=CULTURE, place=st.sampled_from(("Fridge", "Boiler cupboard"))),
    body(
        EntryKind.POURED_OFF, culture=CULTURE, grams=GRAMS, to=st.sampled_from(("waste", "given"))
    ),
    body(EntryKind.POURED_OFF, culture=CULTURE, grams=GRAMS, bake=BAKE),
    body(
        EntryKind.MIXED, parts=st.builds(lambda c, g: [{"culture": c, "grams": g}], CULTURE, GRAMS)
    ),
    body(EntryKind.CULTURE, event=st.just("began"), culture=CULTURE),
    body(
        EntryKind.CULTURE,
        event=st.just("split"),
        culture=CULTURE,
        origin=st.sampled_from(("Plover", "Gannet", "Tern")),
        grams=st.sampled_from((20.0, 900.0)),
    ),
    body(EntryKind.CULTURE, event=st.just("renamed"), culture=CULTURE, origin=CULTURE),
    body(EntryKind.CULTURE, event=st.sampled_from(("dried", "retired")), culture=CULTURE),
    body(EntryKind.MEASURED, culture=CULTURE, rise=st.just(1.8)),
)
OF_STORES = st.one_of(
    body(
        EntryKind.BOUGHT,
        item=st.sampled_from((*FLOURS, "salt")),
        grams=st.sampled_from((500.0, 5000.0)),
        moisture=st.sampled_from((12.5, 14.0)),
    ),
    body(EntryKind.COUNTED, item=st.sampled_from(FLOURS), grams=GRAMS),
    body(EntryKind.USED, item=st.sampled_from(FLOURS), grams=GRAMS),
)
UNUSABLE = st.one_of(
    body(UNKNOWN, bake=BAKE),
    body(EntryKind.BOUGHT, item=st.just("moon-dust"), grams=GRAMS),
    body(EntryKind.DONE, step=STEP),
    body(EntryKind.FED, culture=CULTURE, seed_g=st.just("a handful"), parts=PARTS),
    body(EntryKind.PLAN, plan=st.just("lost")),
)


@st.composite
def daybooks(draw: st.DrawFn) -> list[Entry]:
    """Entries, some plans among them, amended."""
    said = draw(st.lists(st.one_of(NEWS, NEWS, OF_CULTURES, OF_STORES, UNUSABLE), max_size=14))
    names = draw(numbers(len(said)))
    roots = [
        Entry(
            str(UUID(int=name)),
            "k1",
            kind,
            START + draw(HOURS) * HOUR,
            START + draw(HOURS) * HOUR,
            "Orla",
            {key: value for key, value in told.items() if value is not None},
        )
        for name, (kind, told) in zip(names, said, strict=True)
    ]
    planned = draw(st.lists(st.sampled_from(sorted(BAKES)), unique=True, max_size=3))
    plans = [plan_entry(key, BAKES[key]) for key in planned]
    # What is corrected may say what another entry says, or a plan what another plan does.
    return draw(amended([*plans, *roots], 4))


@cache
def plan_entry(key: str, name: str) -> Entry:
    return Entry(key, "k1", EntryKind.PLAN, START, START, "Orla", plan(name))


def picture(found: Replayed) -> dict[str, Any]:
    """All that a picture says, in no order where it has none."""
    return {
        "lines": dict(found.journal.lines),
        "aside": dict(found.aside),
        "set aside": sorted(found.set_asides, key=repr),
        "bakes": {key: (each.fold.state, each.takings) for key, each in found.bakes.items()},
        "lived": {key: dict(each.lived) for key, each in found.bakes.items()},
        "took": {key: dict(each.took) for key, each in found.bakes.items()},
        "waiting": dict(found.waiting),
        "about bakes": {key: said for key, said in found.about_bake.items() if said},
        "about cultures": {key: said for key, said in found.about_culture.items() if said},
        "stock": dict(found.stock),
        "lives": found.lives.state,
        "shelves": {name: fold.state for name, fold in found.shelves.items()},
        "upkept": {name: dict(said) for name, said in found.upkept.items() if said},
        "kitchen": found.kitchen,
    }


def of(entries: Sequence[Entry], file: Kitchen | None = None) -> Present:
    return present_of(RECORD, file or hall(), FORMULAS, entries)


def differences(one: dict[str, Any], other: dict[str, Any]) -> dict[str, tuple[Any, Any]]:
    return {name: (one[name], other[name]) for name in one if one[name] != other[name]}


@settings(max_examples=some(60))
@given(daybooks(), st.data())
@pytest.mark.long
def test_in_any_order_and_batches_it_comes_to_the_same(
    entries: list[Entry], data: st.DataObject
) -> None:
    found = opened(hall())
    for number, batch in enumerate(data.draw(batches(entries)), 1):
        found = found.with_new(batch, number)
    whole = of(entries)
    assert differences(picture(found), picture(whole.replayed)) == {}


@settings(max_examples=some(30))
@given(daybooks())
def test_at_every_entry_it_is_what_the_entries_so_far_come_to(entries: list[Entry]) -> None:
    found = opened(hall())
    for number, each in enumerate(entries, 1):
        found = found.with_new([each], number)
        assert differences(picture(found), picture(of(entries[:number]).replayed)) == {}


@settings(max_examples=some(60))
@given(daybooks(), st.data())
@pytest.mark.long
def test_an_entry_withdrawn_leaves_the_picture_without_it(
    entries: list[Entry], data: st.DataObject
) -> None:
    before = opened(hall()).with_new(entries, 1)
    lines = [line for line in before.journal.in_order() if line.now is not None]
    if not lines:
        return
    line = data.draw(st.sampled_from(lines))
    gone = line.written
    last = Entry(
        str(UUID(int=2**100)),
        "k1",
        EntryKind.WITHDRAWN,
        gone.happened,
        START + 100 * HOUR,
        "Orla",
        {"entry": gone.id},
    )
    after, without = picture(before.with_new([last], 2)), picture(of(_less(entries, line)).replayed)
    assert after["lines"].pop(gone.id).now is None
    assert differences(after, without) == {}


def _less(entries: Sequence[Entry], line: Line) -> list[Entry]:
    """Without that line: what amends it would wait for it."""
    gone = {line.written.id, *(each.id for each in line.amendments)}
    return [each for each in entries if each.id not in gone]


@settings(max_examples=some(40))
@given(daybooks(), st.data())
@pytest.mark.long
def test_under_another_file_it_is_as_if_that_had_been_there(
    entries: list[Entry], data: st.DataObject
) -> None:
    early = data.draw(st.lists(st.sampled_from(entries))) if entries else []
    found = opened(hall()).with_new(early, 1).with_file(other_hall()).with_new(entries, 2)
    assert differences(picture(found), picture(of(entries, other_hall()).replayed)) == {}
    back = found.with_file(hall())
    assert differences(picture(back), picture(of(entries).replayed)) == {}


@settings(max_examples=some(40))
@given(daybooks())
def test_nothing_that_is_stored_shuts_a_screen(entries: list[Entry]) -> None:
    """Each entry that stands is used, or is set aside with a reason in one line."""
    present = of(entries)
    for each in present.set_asides:
        assert each.reason
        assert "\n" not in each.reason
    ids = {entry.id for entry in present.replayed.journal.in_force()}
    ids |= {line.now.id for line in present.replayed.journal.waiting() if line.now is not None}
    assert set(present.reasons) <= ids
    used = set(present.replayed.bakes) | {
        entry.id for said in (*present.replayed.about_bake.values(),
                              *present.replayed.about_culture.values(),
                              present.replayed.stock)
        for entry in said.values()
    } | {entry.id for entry in present.replayed.journal.in_force()
         if entry.kind is EntryKind.MIXED}  # fmt: skip
    assert used | set(present.reasons) == ids
    now = START + 50 * HOUR
    assert present.ledger(now).now == now
    assert all(culture.life is not None for culture in present.kitchen.cultures)


def done(number: int, step: str, hours: float, bake: str) -> Entry:
    at = START + hours * HOUR
    told = {"bake": bake, "step": step}
    return Entry(str(UUID(int=number)), "k1", EntryKind.DONE, at, at, "Orla", told)


def test_two_levains_built_at_one_instant_are_both_fed_back_out_of_the_stores() -> None:
    loaf, rolls = sorted(BAKES)[:2]
    entries = [plan_entry(loaf, "harbour-loaf"), plan_entry(rolls, "seeded-rolls")]
    entries += [done(21, "build-2", 18.25, loaf), done(22, "build-2", 18.25, rolls)]
    found = of(entries).replayed
    life = found.lives.state.lives["plover"]
    fresh = [stand.fed.flours_g["wheat-white"] for stand in life.stands if stand.assumed]
    kept = [
        float(sum(draw.grams for draw in draws))
        for key, draws in found.shelves["wheat-white"].state.draws.items()
        if "/kept/" in key
    ]
    assert len(fresh) == 2
    assert sum(kept) == sum(round(grams, 3) for grams in fresh)


def kept(found: Replayed) -> list[str]:
    """The uses of the stores by feeds that nobody recorded."""
    return [use for fold in found.shelves.values() for use in fold.state.draws if "/kept/" in use]


def test_a_culture_that_never_was_takes_nothing_out_of_the_stores() -> None:
    """What a levain leaves of it is fed back; with its first feed withdrawn it never was."""
    fed = Entry(
        str(UUID(int=31)), "k1", EntryKind.FED, START, START, "Orla",
        {"culture": "Tern", "seed_g": 30.0, "place": "Hall",
         "parts": [part("spelt-whole", 60.0), part("water", 60.0)]},
    )  # fmt: skip
    key = str(UUID(int=14))
    told = plan("sunday-spelt")  # its levain is built without a waking feed
    of_tern = {**told, "plan": json.loads(json.dumps(told["plan"]).replace("Plover", "Tern"))}
    planned = Entry(key, "k1", EntryKind.PLAN, START, START, "Orla", of_tern)
    entries = [fed, planned, done(32, "build-1", 10.25, key)]
    before = opened(hall()).with_new(entries, 1)
    assert kept(before) == [f"{key}/kept/spelt-whole"]
    never = {"entry": fed.id}
    gone = Entry(str(UUID(int=33)), "k1", EntryKind.WITHDRAWN, START, START, "Orla", never)
    after = before.with_new([gone], 2)
    assert kept(after) == []
    assert differences(picture(after), picture(of([*entries, gone]).replayed)) == {}
