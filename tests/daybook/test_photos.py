"""Photographs: what is taken, and stored once by what it is."""

from __future__ import annotations

from hashlib import sha256

import pytest

from pointage.daybook.entry import KitchenRecord
from pointage.daybook.photograph import LARGEST_BYTES
from pointage.daybook.store.photos import PhotoRecord
from pointage.daybook.store.store import Store
from pointage.errors import InputError

JPEG = b"\xff\xd8\xff\xe0 a loaf \xff\xd9"


@pytest.fixture
def kitchen(store: Store) -> str:
    for name in ("k1", "k2"):
        store.put_kitchen(KitchenRecord(name, name, "Europe/Dublin", ""))
    return "k1"


def test_a_photograph_is_stored_once_by_what_it_is(store: Store, kitchen: str) -> None:
    kept = store.put_photo(kitchen, JPEG)
    assert kept == store.put_photo(kitchen, JPEG)
    content = store.photo(kitchen, kept.sha256)
    assert content is not None
    assert content == JPEG
    assert kept == PhotoRecord("k1", sha256(content).hexdigest(), "image/jpeg", len(JPEG))
    assert store.photos(kitchen) == [kept]
    assert store.photos_of(kitchen, {kept.sha256, "0" * 64}) == {kept.sha256}
    assert store.photos_of("k2", {kept.sha256}) == frozenset()
    assert store.photo("k2", kept.sha256) is None
    assert store.photo(kitchen, "../../etc/passwd") is None


@pytest.mark.parametrize(
    "content", [b"", b"GIF89a" + bytes(99), b"<svg/>", b"RIFF\0\0\0\0WAVE", b"%PDF-1.7"]
)
def test_what_is_no_photograph_is_refused(store: Store, kitchen: str, content: bytes) -> None:
    with pytest.raises(
        InputError, match="photo: this file cannot be used; expected a JPEG, PNG or WebP"
    ):
        store.put_photo(kitchen, content)
    assert store.photos(kitchen) == []


def test_a_photograph_that_is_too_large_is_refused(store: Store, kitchen: str) -> None:
    with pytest.raises(
        InputError, match=r"one of 8.0 MB cannot be used; expected one of at most 8 MB"
    ):
        store.put_photo(kitchen, JPEG + bytes(LARGEST_BYTES))
