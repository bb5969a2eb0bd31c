"""A fold comes to the same whatever order its events come in, and goes again through the fewest."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from pointage.desk.now.fold import SAVED, Fold, Key

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
Events = list[tuple[Key, str]]
NOTHING: Fold[tuple[str, ...], str] = Fold(())


def key(minute: int, rank: int, name: str) -> Key:
    return NOON + timedelta(minutes=minute), rank, name


def step(state: tuple[str, ...], event: str) -> tuple[str, ...]:
    """The state is all events in order, so any difference in order shows."""
    return (*state, event)


@st.composite
def events(draw: st.DrawFn) -> Events:
    places = draw(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 2)), max_size=70))
    return [(key(at, rank, f"{n}"), f"event {n}") for n, (at, rank) in enumerate(places)]


def in_order(every: Events) -> tuple[str, ...]:
    return tuple(event for _, event in sorted(every))


@given(events(), st.data())
def test_in_any_order_and_batches_it_comes_to_the_same(every: Events, data: st.DataObject) -> None:
    fold = NOTHING
    there: Events = []
    chance = Random(data.draw(st.integers(0, 2**32)))  # a draw for each takes longer
    order = chance.sample(every, len(every))
    while bool(order) or chance.randrange(2):
        size = chance.randint(0, len(order))
        new, order = order[:size], order[size:]
        gone = [each for each in there if chance.randrange(5) == 0]
        before = fold.state
        fold, again = fold.with_events([each[0] for each in gone], new, step)
        left = [each for each in there if each not in gone]
        there = left + new
        ordered = in_order(there)
        assert fold.state == ordered
        assert [event for _, event in fold.events] == list(ordered)
        assert 0 <= again <= len(left)
        if not gone and not new:
            assert (fold.state, again) == (before, 0)
        assert len(fold.saved) <= SAVED
        for number, state in fold.saved:  # each saved state is that after so many events
            assert state == ordered[:number]


@given(events(), st.data())
def test_a_key_that_is_not_there_takes_nothing_out(every: Events, data: st.DataObject) -> None:
    fold, _ = NOTHING.with_events((), every, step)
    minute = data.draw(st.integers(-1, 7))
    again, count = fold.with_events([key(minute, 1, "nobody")], (), step)
    assert (again.state, count) == (fold.state, 0)


def test_an_event_replaced_in_one_turn_is_there_once() -> None:
    fold, _ = NOTHING.with_events((), [(key(1, 0, "a"), "old")], step)
    fold, again = fold.with_events([key(1, 0, "a")], [(key(1, 0, "a"), "new")], step)
    assert (fold.state, again) == (("new",), 0)


def grown(count: int) -> Fold[tuple[str, ...], str]:
    fold = NOTHING
    for n in range(count):
        fold, again = fold.with_events((), [(key(n, 0, "of its own"), str(n))], step)
        assert again == 0  # the newest costs itself alone
    return fold


def test_only_what_lies_behind_a_late_event_is_gone_through_again() -> None:
    fold = grown(200)
    late, again = fold.with_events((), [(key(196, 1, "late"), "late")], step)
    assert again == 3  # 197, 198 and 199
    assert late.state[-4:] == ("late", "197", "198", "199")
    left, again = fold.with_events([key(196, 0, "of its own")], (), step)
    assert again == 3
    assert left.state[-4:] == ("195", "197", "198", "199")


def test_one_too_late_for_any_saved_state_goes_through_all_of_them_again() -> None:
    fold = grown(200)
    assert len(fold.saved) == SAVED
    oldest = 200 - SAVED + 1  # the first saved state is that after so many events
    _, again = fold.with_events((), [(key(oldest - 1, 1, "late"), "late")], step)
    assert again == SAVED - 1
    _, again = fold.with_events((), [(key(oldest - 2, 1, "later still"), "later still")], step)
    assert again == 200


def test_what_is_left_of_it_when_the_saved_states_are_gone_is_still_right() -> None:
    fold = grown(200)
    for n in range(199, 150, -1):
        fold, _ = fold.with_events([key(n, 0, "of its own")], (), step)
    assert fold.state == tuple(str(n) for n in range(151))
