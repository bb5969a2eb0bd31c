"""A journal brought up batch by batch reads as the whole daybook does when it is replayed."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from tests.desk.now.histories import MINUTE, NOON, NOT_HERE, amended, batches, entry, numbers

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.journal import Journal
from pointage.daybook.replay import (
    Line,
    in_force,
    in_order,
    replay,
)


@st.composite
def histories(draw: st.DrawFn) -> list[Entry]:
    """Readings at instants that often are the same, with their amendments."""
    roots = [
        entry(
            each,
            EntryKind.MEASURED,
            {"rise": 1 + at / 10},
            draw(st.integers(0, 3)),
            draw(st.integers(0, 4)),
        )
        for at, each in enumerate(draw(numbers(draw(st.integers(0, 6)))))
    ]
    return draw(amended(roots, 8))


@given(histories(), st.data())
def test_in_any_order_and_any_batches_it_reads_as_the_whole(
    entries: list[Entry], data: st.DataObject
) -> None:
    journal = Journal()
    said: dict[str, Line] = {}
    for number, batch in enumerate(data.draw(batches(entries)), 1):
        before = journal
        journal, turned = journal.with_new(batch, number)
        assert journal.change == number
        for each in turned:
            # What it says of the line before is what it said before, and it says it once.
            name = each.now.written.id
            assert each.before == said.get(name) == before.lines.get(name)
            assert each.now != each.before
            said[name] = each.now
        assert len({each.now.written.id for each in turned}) == len(turned)
        assert said == journal.lines
    whole = replay(entries)
    assert list(journal.in_order()) == whole
    assert journal.in_force() == in_force(entries)
    assert [name for _, _, name in journal.places] == [line.written.id for line in whole]


@given(histories(), st.data())
def test_the_journal_before_stays_as_it_was(entries: list[Entry], data: st.DataObject) -> None:
    journal = Journal()
    kept = []
    seen: list[Entry] = []
    for batch in data.draw(batches(entries)):
        kept.append((journal, list(seen)))
        journal, _ = journal.with_new(batch, 1)
        seen += batch
    for before, entries_then in kept:
        assert list(before.in_order()) == replay(entries_then)


@given(histories(), st.integers(0, 5))
def test_since_gives_the_lines_that_read_as_of_then_or_later(
    entries: list[Entry], minutes: int
) -> None:
    """One that a correction moved counts by its new time, one that was withdrawn by its own."""
    journal, _ = Journal().with_new(entries, 1)
    at = NOON + minutes * MINUTE
    later = [line for line in replay(entries) if (line.now or line.written).happened >= at]
    assert journal.since(at) == later


@given(histories())
def test_every_amendment_finds_the_line_it_is_of(entries: list[Entry]) -> None:
    journal, _ = Journal().with_new(entries, 1)
    for line in replay(entries):
        for each in (line.written, *line.amendments):
            assert journal.line(each.id) == line
    of_a_line = {each.id for line in replay(entries) for each in (line.written, *line.amendments)}
    for each in entries:
        if each.id not in of_a_line:  # in a ring, or waiting for what is not here
            assert journal.line(each.id) is None
    waiting = [{said.id for said in (line.written, *line.amendments)} for line in journal.waiting()]
    assert set[str]().union(*waiting) == {each.id for each in entries} - of_a_line
    assert sum(map(len, waiting)) == len(entries) - len(of_a_line)  # each in one of them
    assert journal.line(NOT_HERE) is None


def test_an_amendment_of_what_is_not_here_turns_its_line_when_that_comes() -> None:
    first = entry(1, EntryKind.MEASURED, {"rise": 1.6}, 0, 9)
    wrong = entry(2, EntryKind.CORRECTED, {"entry": first.id, "body": {"rise": 1.8}}, 0, 1)
    gone = entry(3, EntryKind.WITHDRAWN, {"entry": wrong.id}, 0, 2)
    journal, turned = Journal().with_new([wrong], 1)
    assert (turned, list(journal.in_order())) == ([], [])
    journal, turned = journal.with_new([first], 2)
    (came,) = turned
    assert came.before is None
    assert came.now.now is not None
    assert came.now.now.body == {"rise": 1.8}
    journal, turned = journal.with_new([gone], 3)
    (back,) = turned
    assert back.before == came.now
    assert back.now == Line(first, first, (wrong, gone))


def test_what_waits_is_a_line_of_its_own_until_it_is_withdrawn_or_its_entry_comes() -> None:
    first = entry(1, EntryKind.MEASURED, {"rise": 1.6}, 0, 9)
    wrong = entry(2, EntryKind.CORRECTED, {"entry": first.id, "body": {"rise": 1.8}}, 0, 1)
    gone = entry(3, EntryKind.WITHDRAWN, {"entry": wrong.id}, 0, 2)
    journal, _ = Journal().with_new([wrong], 1)
    assert journal.waiting() == [Line(wrong, wrong)]
    withdrawn, _ = journal.with_new([gone], 2)
    assert withdrawn.waiting() == [Line(wrong, None, (gone,))]
    assert withdrawn.with_new([first], 3)[0].waiting() == []
    one = entry(4, EntryKind.CORRECTED, {"entry": gone.id, "body": {}}, 0, 1)
    ring = [replace(gone, body={"entry": one.id}), one]
    assert {line.written.id for line in journal.with_new(ring, 2)[0].waiting()} == {
        gone.id, one.id, wrong.id,
    }  # fmt: skip


def test_an_entry_sent_again_turns_nothing() -> None:
    first = entry(1, EntryKind.MEASURED, {"rise": 1.6}, 0, 0)
    journal, _ = Journal().with_new([first], 1)
    again, turned = journal.with_new([first], 2)
    assert turned == []
    assert list(again.in_order()) == list(journal.in_order()) == [Line(first, first)]
    assert sorted(again.places) == [in_order(first)]
