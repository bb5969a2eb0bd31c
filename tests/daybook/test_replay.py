"""Corrections and withdrawals: what holds in the end, whatever order things are read in."""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from hypothesis import given
from hypothesis import strategies as st

from pointage.daybook.entry import Entry, EntryKind, KitchenRecord
from pointage.daybook.journal import Journal
from pointage.daybook.replay import (
    amended,
    in_force,
    in_turn,
    replay,
    unclear,
)
from pointage.daybook.store.store import Store

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def entry(kind: EntryKind, body: dict[str, Any], arrived: int, happened: int = 0) -> Entry:
    return Entry(
        str(uuid4()), "k1", kind, NOON + happened * MINUTE, NOON + arrived * MINUTE, "Orla", body
    )


def measured(rise: float, arrived: int = 0, happened: int = 0) -> Entry:
    return entry(EntryKind.MEASURED, {"rise": rise}, arrived, happened)


def corrected(of: Entry, rise: float, arrived: int, happened: datetime | None = None) -> Entry:
    body: dict[str, Any] = {"entry": of.id, "body": {"rise": rise}}
    if happened is not None:
        body["happened"] = happened.isoformat()
    return entry(EntryKind.CORRECTED, body, arrived)


def withdrawn(of: Entry, arrived: int) -> Entry:
    return entry(EntryKind.WITHDRAWN, {"entry": of.id}, arrived)


def rises(*entries: Entry) -> list[float]:
    return [each.body["rise"] for each in in_force(entries)]


def test_of_old_corrections_the_last_to_arrive_has_the_word() -> None:
    first = measured(1.6)
    assert rises(first) == [1.6]
    assert rises(first, corrected(first, 1.8, 2), corrected(first, 1.7, 1)) == [1.8]


def test_a_correction_keeps_who_wrote_it_and_its_id_and_may_move_it_in_time() -> None:
    first, later = measured(1.6), measured(2.0, happened=10)
    moved = corrected(first, 1.6, 1, NOON + 30 * MINUTE)
    assert rises(first, later, moved) == [2.0, 1.6]
    assert in_force([first, later, moved])[1] == replace(first, happened=NOON + 30 * MINUTE)


def test_a_correction_of_a_correction_changes_what_that_one_says() -> None:
    first = measured(1.6)
    second = corrected(first, 1.8, 1, NOON + MINUTE)
    third = corrected(second, 1.9, 2)
    assert rises(first, second, third) == [1.9]
    assert in_force([first, second, third])[0].happened == NOON + MINUTE
    # What was said of the entry itself after the second still has the word.
    assert rises(first, second, corrected(first, 1.7, 2), corrected(second, 1.9, 3)) == [1.7]


def test_a_withdrawn_correction_leaves_the_one_before() -> None:
    first = measured(1.6)
    second, third = corrected(first, 1.8, 1), corrected(first, 1.9, 2)
    assert rises(first, second, third, withdrawn(third, 3)) == [1.8]
    assert rises(first, second, third, withdrawn(third, 3), withdrawn(second, 4)) == [1.6]


def test_withdrawn_and_that_withdrawn_again() -> None:
    first = measured(1.6)
    gone = withdrawn(first, 1)
    assert rises(first, gone) == []
    assert rises(first, gone, withdrawn(gone, 2)) == [1.6]
    assert rises(first, gone, corrected(first, 1.7, 2)) == [1.7]


def test_an_amendment_waits_for_what_it_amends() -> None:
    first = measured(1.6, arrived=9)
    early = corrected(first, 1.8, 1)
    assert rises(early) == []
    assert rises(early, first) == [1.8]


def test_amendments_of_each_other_or_of_themselves_amend_nothing() -> None:
    first = measured(1.6)
    left, right = withdrawn(first, 1), withdrawn(first, 2)
    left = replace(left, body={"entry": right.id})
    right = replace(right, body={"entry": left.id})
    alone = withdrawn(first, 3)
    alone = replace(alone, body={"entry": alone.id})
    assert rises(first, left, right, alone) == [1.6]


def test_a_thousand_corrections_of_corrections() -> None:
    chain = [measured(1.0)]
    for number in range(1, 2000):
        chain.append(corrected(chain[-1], 1.0 + number / 1000, number))
    assert rises(*chain) == [1.0 + 1999 / 1000]


def test_a_line_tells_what_was_written_and_what_became_of_it() -> None:
    first = measured(1.6)
    second = corrected(first, 1.8, 1)
    third = withdrawn(second, 2)
    (line,) = replay([third, second, first])
    assert (line.written, line.now, line.amendments) == (first, first, (second, third))


def test_withdrawals_of_a_step_or_a_bake_are_told_in_their_turn_and_can_be_withdrawn() -> None:
    given_up = entry(EntryKind.WITHDRAWN, {"bake": str(uuid4())}, 1)
    assert in_force([given_up]) == [given_up]
    assert in_force([given_up, withdrawn(given_up, 2)]) == []


@st.composite
def histories(draw: st.DrawFn) -> list[Entry]:
    """Entries, and amendments of any of them, at instants that often are the same."""
    found: list[Entry] = []
    for number in range(draw(st.integers(1, 14))):
        new = measured(1 + number / 10, draw(st.integers(0, 4)), draw(st.integers(0, 3)))
        amends = draw(st.booleans())
        if found and amends:
            of = draw(st.sampled_from(found))
            arrived = draw(st.integers(0, 4))
            if draw(st.booleans()):
                new = corrected(of, 1 + number / 10, arrived)
            else:
                new = withdrawn(of, arrived)
        # An id of chance, so that a tie in arrival does not follow the order of writing.
        found.append(replace(new, id=str(UUID(int=draw(st.integers(0, 2**64)) * 100 + number))))
    return found


@given(histories(), st.randoms(use_true_random=False))
def test_the_order_of_reading_and_sending_twice_change_nothing(
    entries: list[Entry], chance: random.Random
) -> None:
    expected = in_force(entries)
    again = entries * 2
    chance.shuffle(again)
    assert in_force(again) == expected


@given(histories(), st.data())
def test_it_comes_out_as_arriving_one_by_one_says(
    entries: list[Entry], data: st.DataObject
) -> None:
    """What holds, told otherwise: an entry's last word, found by asking each amendment in turn."""

    def stands(one: Entry) -> bool:
        last = last_word(one)
        return last is None or last.kind is not EntryKind.WITHDRAWN

    def last_word(one: Entry) -> Entry | None:
        words = [each for each in entries if each.body.get("entry") == one.id and stands(each)]
        return max(words, key=lambda each: (each.arrived, each.id), default=None)

    def says(one: Entry) -> float:
        last = last_word(one)
        own: float = one.body["body"]["rise"] if "body" in one.body else one.body["rise"]
        return own if last is None else says(last)

    expected = {
        each.id: says(each) for each in entries if each.kind is EntryKind.MEASURED and stands(each)
    }
    assert {each.id: each.body["rise"] for each in in_force(entries)} == expected


def test_what_an_amendment_follows_comes_before_it_whatever_numbers_and_clocks_say() -> None:
    first = measured(1.6)
    one = replace(corrected(first, 1.7, 9), number=7)
    two = replace(corrected(first, 1.8, 5), number=3)
    assert rises(first, one, two) == [1.7]  # the store wrote it last
    two = replace(two, body={**two.body, "after": one.id.upper()})
    assert rises(first, one, two) == [1.8]
    unknown = replace(two, body={**two.body, "after": str(uuid4())})
    assert rises(first, one, unknown) == [1.7]


def test_amendments_that_follow_each_other_in_a_ring_stand_as_the_store_wrote_them() -> None:
    first = measured(1.0)
    three = [replace(corrected(first, 1.0 + n, 1), number=n) for n in (1, 2, 3)]
    ring = [
        replace(each, body={**each.body, "after": three[n - 1].id}) for n, each in enumerate(three)
    ]
    assert in_turn(reversed(ring)) == ring
    alone = replace(three[0], body={**three[0].body, "after": three[0].id})
    assert in_turn([alone]) == [alone]


@dataclass
class Phone:
    """Someone who writes amendments, by a clock of their own, and sends them when they can.

    seen: of the store, so many entries. waiting: written and not yet sent, the first first.
    """

    clock: int
    seen: int = 0
    waiting: list[Entry] = field(default_factory=list)


@given(st.data())
def test_what_was_acknowledged_is_in_effect_by_any_clocks_and_in_any_order_of_arrival(
    data: st.DataObject,
) -> None:
    """Each phone sends what it wrote in its order, whenever; the store's clock goes as it likes.

    The last amendment that the store took in has the word, there and in a store that takes it all
    in from an archive, whose own numbers begin anywhere.
    """
    clocks = st.integers(-5000, 5000)
    first = measured(1.0, data.draw(clocks), data.draw(clocks))
    root = replace(first, number=1)
    there, journal = [root], Journal().with_new([root], 1)[0]
    phones = [Phone(data.draw(clocks)) for _ in range(3)]
    for step in range(data.draw(st.integers(1, 16))):
        phone = data.draw(st.sampled_from(phones))
        phone.clock += data.draw(st.integers(-90, 90))
        match data.draw(st.sampled_from(("write", "look", "send"))):
            case "look":
                phone.seen = len(there)
            case "write":
                known = [*there[: phone.seen], *phone.waiting]
                last = [each.id for each in known if amended(each) == root.id][-1:]
                new = withdrawn(root, phone.clock)
                if data.draw(st.booleans()):
                    new = corrected(root, 2 + step / 100, phone.clock)
                after = {"after": last[0]} if last else {}
                phone.waiting.append(replace(new, body={**new.body, **after}))
            case "send" if phone.waiting:
                sent = phone.waiting.pop(0)
                arrived = NOON + data.draw(clocks) * MINUTE
                sent = replace(sent, arrived=arrived, number=len(there) + 1)
                there.append(sent)
                journal, _ = journal.with_new([sent], sent.number)
                expected = [] if sent.kind is EntryKind.WITHDRAWN else [sent.body["body"]["rise"]]
                assert rises(*there) == expected
                assert [each.body["rise"] for each in journal.in_force()] == expected
                begins = data.draw(st.integers(0, 9))
                moved = [replace(each, number=each.number + begins) for each in there]
                assert rises(*data.draw(st.permutations(moved))) == expected


def test_a_store_gives_them_back_for_replay(store: Store) -> None:
    store.put_kitchen(KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", ""))
    first = measured(1.6)
    second = corrected(first, 1.8, 1)
    for each in (second, first, second):  # late and twice
        store.append(each)
    assert rises(*store.entries("k1")) == [1.8]


def test_a_correction_without_a_form_changes_nothing_and_the_one_before_it_holds() -> None:
    first = measured(1.6)
    good = corrected(first, 1.8, 1)
    bad = entry(EntryKind.CORRECTED, {"entry": first.id, "body": 5}, 2)
    late = entry(
        EntryKind.CORRECTED, {"entry": first.id, "body": {"rise": 2.0}, "happened": "late"}, 3
    )
    assert [each.body for each in in_force([first, good, bad])] == [{"rise": 1.8}]
    assert [each.body for each in in_force([first, bad])] == [{"rise": 1.6}]
    (line,) = replay([first, good, bad, late])
    assert line.now is not None
    assert line.now.body == {"rise": 2.0}
    assert [error and error.field for error in map(unclear, (good, bad, late))] == [
        None, "body", "happened",
    ]  # fmt: skip
    mended = entry(EntryKind.CORRECTED, {"entry": bad.id, "body": {"rise": 1.9}}, 4)
    assert [each.body for each in in_force([first, good, bad, mended])] == [{"rise": 1.9}]
