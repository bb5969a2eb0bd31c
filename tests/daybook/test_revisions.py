"""A document is changed from its last revision or not at all, on both stores."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from threading import Barrier

import pytest
from tests.daybook.archives import exported, fill

from pointage.daybook.archive.merge import import_from
from pointage.daybook.entry import KitchenRecord
from pointage.daybook.errors import StaleRevisionError
from pointage.daybook.store.store import Store, open_store
from pointage.errors import InputError

ROOT = Path(__file__).parents[2]
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
ROUNDS = 20


def hall(text: str) -> KitchenRecord:
    return KitchenRecord("k1", "Skerry Hall", "Europe/Dublin", text)


def keep_kitchen(store: Store, text: str, after: int) -> int:
    return store.put_kitchen(hall(text), NOON, after=after)


def keep_formula(store: Store, text: str, after: int) -> int:
    return store.put_formula("k1", "loaf", text, NOON, after=after).revision


KEEPS = pytest.mark.parametrize("keep", [keep_kitchen, keep_formula])
Keep = Callable[[Store, str, int], int]


def texts(store: Store, keep: Keep) -> list[str]:
    kept = store.kitchen_texts("k1") if keep is keep_kitchen else store.formula_texts("k1", "loaf")
    return [each.text for each in kept]


@pytest.fixture
def begun(store: Store) -> Store:
    store.put_kitchen(hall("one"))
    store.put_formula("k1", "loaf", "one")
    return store


@pytest.fixture
def second(begun: Store, url: str) -> Iterator[Store]:
    """Another store on the same database, as another process would have it."""
    with open_store(url) as opened:
        yield opened


@KEEPS
def test_what_is_made_from_an_older_revision_is_refused(begun: Store, keep: Keep) -> None:
    assert keep(begun, "two", 1) == 2
    changes = begun.changes("k1")
    for after in (0, 1, 3):
        with pytest.raises(StaleRevisionError) as refused:
            keep(begun, "mine", after)
        assert (refused.value.field, refused.value.after, refused.value.last) == (
            "revision", after, 2,
        )  # fmt: skip
        assert "\n" not in str(refused.value)
    assert texts(begun, keep) == ["one", "two"]
    assert begun.changes("k1") == changes, "nothing was written"
    assert begun.kitchens()[0].text == ("two" if keep is keep_kitchen else "one")


@KEEPS
def test_what_says_the_same_as_the_last_is_there_already(begun: Store, keep: Keep) -> None:
    """Sent again, because the answer was lost."""
    assert keep(begun, "two", 1) == keep(begun, "two", 1) == 2
    assert texts(begun, keep) == ["one", "two"]
    with pytest.raises(StaleRevisionError):
        keep(begun, "one", 1)  # it was so once, and is no more


def test_a_kitchen_that_is_not_there_takes_no_formula(begun: Store) -> None:
    with pytest.raises(InputError, match="kitchen: 'k2'"):
        begun.put_formula("k2", "loaf", "one")


@KEEPS
def test_of_two_at_once_from_one_revision_one_is_kept(
    begun: Store, second: Store, keep: Keep
) -> None:
    kept = ["one"]
    with ThreadPoolExecutor(2) as pool:
        for number in range(1, ROUNDS + 1):
            at_once = Barrier(2)

            def write(
                store: Store, text: str, after: int = number, at_once: Barrier = at_once
            ) -> bool:
                at_once.wait()
                try:
                    return keep(store, text, after) == after + 1
                except StaleRevisionError:
                    return False

            mine = pool.submit(write, begun, f"mine {number}")
            theirs = pool.submit(write, second, f"theirs {number}")
            won = {f"mine {number}": mine.result(), f"theirs {number}": theirs.result()}
            assert sorted(won.values()) == [False, True]
            kept += [text for text, has_won in won.items() if has_won]
    assert texts(begun, keep) == kept


@KEEPS
def test_a_new_document_is_made_by_one(store: Store, url: str, keep: Keep) -> None:
    """Before either of them is there; a formula needs its kitchen."""
    if keep is keep_formula:
        store.put_kitchen(hall("one"))
    at_once = Barrier(2)

    def write(text: str) -> bool:
        with open_store(url) as own:
            at_once.wait()
            try:
                return keep(own, text, 0) == 1
            except StaleRevisionError:
                return False

    with ThreadPoolExecutor(2) as pool:
        won = list(pool.map(write, ("mine", "theirs")))
    assert sorted(won) == [False, True]
    assert texts(store, keep) == ["mine" if won[0] else "theirs"]


WRITES = """
import sys
from tests.daybook.test_revisions import StaleRevisionError, keep_formula, keep_kitchen, open_store

url, author = sys.argv[1:]
store = open_store(url)
won = []
for keep in (keep_kitchen, keep_formula):
    for after in range(1, 41):
        text = f"{author} {after}"
        while True:
            try:
                keep(store, text, after)
                won.append(text)
            except StaleRevisionError as stale:
                if stale.last < after:
                    continue  # the other has not got there yet
            break
print(*won, sep="\\n")
"""


@pytest.mark.long
def test_of_two_processes_each_revision_is_one_s(begun: Store, url: str) -> None:
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITES, url, author],
            cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for author in ("mine", "theirs")
    ]  # fmt: skip
    won: list[str] = []
    for each in writers:
        out, err = each.communicate(timeout=120)
        assert (each.returncode, err) == (0, "")
        won += filter(None, out.splitlines())  # the other may have been first every time
    there = [text for keep in (keep_kitchen, keep_formula) for text in texts(begun, keep)[1:]]
    assert sorted(won) == sorted(there)
    assert [int(text.split()[1]) for text in there] == [*range(1, 41), *range(1, 41)]


def test_what_an_archive_brought_makes_a_draft_stale(
    store: Store, new_url: Callable[[], str], tmp_path: Path
) -> None:
    """Revisions go through an archive as they are; a page opened before it came is out of date."""
    fill(store)
    path = tmp_path / "a.zip"
    with open_store(new_url()) as other:
        import_from(other, exported(store, path))
        last = store.kitchen_texts("k1")[-1].revision
        store.put_kitchen(hall("later"), NOON, after=last)
        store.put_formula("k1", "harbour-loaf", "later", after=2)
        import_from(other, exported(store, path))
        with pytest.raises(StaleRevisionError):
            other.put_kitchen(hall("mine"), NOON, after=last)
        with pytest.raises(StaleRevisionError):
            other.put_formula("k1", "harbour-loaf", "mine", after=2)
        assert other.put_kitchen(hall("mine"), NOON, after=last + 1) == last + 2
        assert other.put_formula("k1", "harbour-loaf", "mine", after=3).revision == 4
