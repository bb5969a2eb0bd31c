"""Write down, put right, take back, look back: on both stores."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from tests.desk.test_bakes import Hall, hall  # noqa: F401
from tests.timetable.hall import NOW

from pointage.daybook.entry import EntryKind
from pointage.daybook.errors import EntryClashError
from pointage.daybook.readings import Reading, ReadingKind
from pointage.desk.answers import NotThere
from pointage.errors import InputError

HOUR = timedelta(hours=1)


def test_a_reading_of_a_bake_is_withdrawn_by_its_id_and_that_again(hall: Hall) -> None:  # noqa: F811
    first, second = str(uuid4()), str(uuid4())
    hall.desk.record_reading(hall.report("mix", NOW, first), ReadingKind.RISE, 1.2)
    hall.desk.record_reading(hall.report("mix", NOW + HOUR, second), ReadingKind.RISE, 1.6)
    gone = str(uuid4())
    hall.desk.records.withdraw(gone, first)
    assert hall.step_news("mix").readings == (Reading(ReadingKind.RISE, 1.6, NOW + HOUR),)
    hall.desk.records.withdraw(str(uuid4()), gone)
    assert [each.value for each in hall.step_news("mix").readings] == [1.2, 1.6]


def test_a_step_and_a_bake_are_taken_back_by_their_entries_too(hall: Hall) -> None:  # noqa: F811
    done, up = str(uuid4()), str(uuid4())
    hall.desk.mark_done(hall.report("mix", NOW, done))
    hall.desk.records.withdraw(str(uuid4()), done)
    assert hall.step_news("mix").done is None
    hall.desk.give_up(up, hall.key, NOW)
    assert hall.desk.bakes() == []
    hall.desk.records.withdraw(str(uuid4()), up)
    assert hall.bake.key == hall.key


def test_what_the_daybook_says_of_a_step_is_news_of_it_as_from_the_bench(
    hall: Hall,  # noqa: F811
) -> None:
    body = {"rise": 1.5, "bake": hall.key, "step": "mix"}
    hall.desk.records.record(str(uuid4()), EntryKind.MEASURED, NOW, body)
    assert hall.step_news("mix").readings == (Reading(ReadingKind.RISE, 1.5, NOW),)
    hall.desk.record_reading(hall.report("mix", NOW), ReadingKind.RISE, 1.6)
    fallen = {"signs": ["fallen"], "bake": hall.key, "step": "mix"}
    hall.desk.records.record(str(uuid4()), EntryKind.SEEN, NOW, fallen)
    kinds = [each.kind for each in hall.step_news("mix").readings]
    assert sorted(kinds) == [ReadingKind.FALLEN, ReadingKind.RISE, ReadingKind.RISE]


def test_a_reading_is_kept_as_it_was_typed_too(hall: Hall) -> None:  # noqa: F811
    typed = {"value": "77", "unit": "F"}
    told = hall.report("mix", NOW)
    hall.desk.record_reading(told, ReadingKind.TEMPERATURE, 25.0, typed)
    (kept,) = [each for each in hall.store.entries(hall.kitchen) if each.id == told.entry]
    assert kept.body["typed"] == typed
    again = hall.report("mix", NOW)
    with pytest.raises(InputError, match="value: '77F' cannot be used; expected one that agrees"):
        hall.desk.record_reading(again, ReadingKind.TEMPERATURE, 24.0, typed)


def test_record_correct_and_look_back(hall: Hall) -> None:  # noqa: F811
    records = hall.desk.records
    written = records.record(
        str(uuid4()), EntryKind.MEASURED, NOW - HOUR, {"culture": "Gannet", "rise": 7.0}, "Finn"
    )
    assert written.new
    assert written.doubts == ("a rise of 7 is rare",)
    again = records.record(
        written.entry.id, EntryKind.MEASURED, NOW - HOUR, {"culture": "Gannet", "rise": 7.0}, "Finn"
    )
    assert not again.new

    fix = str(uuid4())
    right = {"culture": "Gannet", "rise": 1.7}
    for _ in range(2):  # an outbox may send it twice, at another time
        hall.now += timedelta(minutes=3)
        records.correct(fix, written.entry.id, right, happened=NOW - 2 * HOUR, why="a slip")
    (line,) = records.lines(kinds={EntryKind.MEASURED})
    assert line.now is not None
    assert (line.now.body, line.now.happened, line.now.author) == (right, NOW - 2 * HOUR, "Finn")
    assert line.written == written.entry
    assert [each.id for each in line.amendments] == [fix]
    assert records.lines(since=NOW - HOUR, kinds={EntryKind.MEASURED}) == []
    assert records.lines(until=NOW - HOUR, kinds={EntryKind.MEASURED}) == [line]


def test_what_puts_right_has_the_word_whatever_the_clock_says(hall: Hall) -> None:  # noqa: F811
    records = hall.desk.records
    hall.now = NOW
    first = records.record(str(uuid4()), EntryKind.MEASURED, NOW - HOUR, {"rise": 1.2}).entry.id

    def rise() -> float | None:
        line = records.line(first)
        return None if line.now is None else line.now.body["rise"]

    records.correct(str(uuid4()), first, {"rise": 1.3})
    for step in (-HOUR, -2 * HOUR, HOUR, -3 * HOUR):  # the clock is put back, and on, and back
        hall.now = NOW + step
        fix, value = str(uuid4()), round(2 + hall.entries() / 100, 2)
        for _ in range(2):
            records.correct(fix, first, {"rise": value})
            assert rise() == value
        gone = str(uuid4())
        records.withdraw(gone, first)
        assert rise() is None
        hall.now -= HOUR
        records.withdraw(str(uuid4()), gone)
        assert rise() == value
    texts = [each.body.get("after") for each in records.line(first).amendments]
    assert texts[0] is None
    assert all(texts[1:3])


def test_an_entry_sent_again_is_there_however_much_later(hall: Hall) -> None:  # noqa: F811
    records, new = hall.desk.records, str(uuid4())
    assert records.record(new, EntryKind.NOTE, NOW, {"text": "x"}).new
    hall.now = NOW + 5 * HOUR
    assert not records.record(new, EntryKind.NOTE, hall.now, {"text": "x"}).new
    hall.now = NOW - 5 * HOUR
    assert not records.record(new, EntryKind.NOTE, NOW, {"text": "x"}).new
    with pytest.raises(EntryClashError):
        records.record(new, EntryKind.NOTE, hall.now, {"text": "y"})


def test_what_cannot_be_used_is_refused_and_not_kept(hall: Hall) -> None:  # noqa: F811
    records, before = hall.desk.records, hall.entries()
    new = str(uuid4())
    with pytest.raises(InputError, match="rise: 40 cannot be used"):
        records.record(new, EntryKind.MEASURED, NOW, {"rise": 40})
    with pytest.raises(InputError, match=r"happened: .* not still to come"):
        records.record(new, EntryKind.NOTE, NOW + timedelta(minutes=6), {"text": "x"})
    with pytest.raises(InputError, match="kind: corrected"):
        records.record(new, EntryKind.CORRECTED, NOW, {"entry": new, "body": {}})
    with pytest.raises(InputError, match="entry: plan cannot be used"):
        records.correct(new, hall.key, {})
    with pytest.raises(NotThere, match="no entry"):
        records.withdraw(new, str(uuid4()))
    with pytest.raises(NotThere, match="no photograph"):
        records.record(new, EntryKind.PHOTO, NOW, {"sha256": "0" * 64})
    assert hall.entries() == before
    # Another clock may be a few minutes ahead.
    assert records.record(new, EntryKind.NOTE, NOW + timedelta(minutes=4), {"text": "x"}).new
    measured = records.record(str(uuid4()), EntryKind.MEASURED, NOW, {"rise": 1.5})
    with pytest.raises(InputError, match="rise: 12 cannot be used"):
        records.correct(str(uuid4()), measured.entry.id, {"rise": 12})


def test_a_photograph_is_told_of_once_it_is_there(hall: Hall) -> None:  # noqa: F811
    photo = hall.store.put_photo(hall.kitchen, b"\xff\xd8\xff\xe0\0\2\xff\xd9")
    told = hall.desk.records.record(
        str(uuid4()), EntryKind.PHOTO, NOW, {"sha256": photo.sha256, "caption": "crumb"}
    )
    assert told.new
