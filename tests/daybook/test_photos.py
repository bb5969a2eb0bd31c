"""Photographs: what is taken, and what is blanked in them. EXIF data is built here by its book."""

from __future__ import annotations

import struct
import zlib
from hashlib import sha256

import pytest

from pointage.daybook.entry import KitchenRecord
from pointage.daybook.photos import LARGEST_BYTES, PhotoRecord
from pointage.daybook.position import without_position
from pointage.daybook.store import Store
from pointage.errors import InputError

# Latitude 53° 20' 59", three rationals: Exif 2.32, 4.6.6, GPSLatitude (tag 2, type 5, count 3).
PLACE = (53, 1, 20, 1, 59, 1)


def tiff(order: str) -> bytes:
    """A TIFF file with an orientation and a position, in Intel's or Motorola's order."""
    head = (b"II" if order == "<" else b"MM") + struct.pack(order + "HI", 42, 8)
    first = struct.pack(order + "H", 2)
    first += struct.pack(order + "HHIHH", 0x0112, 3, 1, 6, 0)  # orientation 6
    first += struct.pack(order + "HHII", 0x8825, 4, 1, 38)  # the position is at byte 38
    first += bytes(4)
    place = struct.pack(order + "H", 2)
    place += struct.pack(order + "HHI4s", 1, 2, 2, b"N\0\0\0")
    place += struct.pack(order + "HHII", 2, 5, 3, 68) + bytes(4)
    whole = head + first + place
    assert len(whole) == 68
    return whole + struct.pack(order + "6I", *PLACE)


def jpeg(order: str = "<") -> bytes:
    exif = b"Exif\0\0" + tiff(order)
    app1 = b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif
    app0 = b"\xff\xe0" + struct.pack(">H", 16) + b"JFIF\0" + bytes(9)
    return b"\xff\xd8" + app0 + app1 + b"\xff\xda\0\2 the image" + b"\xff\xd9"


def png(order: str = ">") -> bytes:
    def chunk(name: bytes, data: bytes) -> bytes:
        crc = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + crc

    head = chunk(b"IHDR", bytes(13)) + chunk(b"eXIf", tiff(order))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IEND", b"")


def webp(order: str = "<") -> bytes:
    chunks = b"VP8 " + struct.pack("<I", 3) + b"abc\0"  # an odd chunk has a byte of padding
    chunks += b"EXIF" + struct.pack("<I", len(tiff(order))) + tiff(order)
    return b"RIFF" + struct.pack("<I", len(chunks) + 4) + b"WEBP" + chunks


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize(
    ("make", "media"), [(jpeg, "image/jpeg"), (png, "image/png"), (webp, "image/webp")]
)
def test_the_position_is_blanked_and_nothing_else(make, media, order) -> None:  # type: ignore[no-untyped-def]
    content = make(order)
    found = without_position(content, media)
    assert struct.pack(order + "6I", *PLACE) in content
    assert struct.pack(order + "2I", *PLACE[:2]) not in found
    assert len(found) == len(content)
    at = content.index(tiff(order))
    before = found[at : at + 38]
    assert before == tiff(order)[:38]  # the orientation, and the way to a directory
    assert found[at + 38 : at + 68 + 24] == bytes(54)  # which is empty
    assert found[:at] == content[:at]
    rest = slice(at + 92 + (4 if media == "image/png" else 0), None)
    assert found[rest] == content[rest]
    assert without_position(found, media) == found
    if media == "image/png":
        crc = struct.unpack(">I", found[at + 92 : at + 96])[0]
        assert crc == zlib.crc32(b"eXIf" + found[at : at + 92])


@pytest.mark.parametrize("make", [jpeg, png, webp])
def test_a_photograph_cut_short_anywhere_is_no_trouble(make) -> None:  # type: ignore[no-untyped-def]
    media = {jpeg: "image/jpeg", png: "image/png", webp: "image/webp"}[make]
    content = make()
    for end in range(12, len(content)):
        assert len(without_position(content[:end], media)) == end


@pytest.fixture
def kitchen(store: Store) -> str:
    for name in ("k1", "k2"):
        store.put_kitchen(KitchenRecord(name, name, "Europe/Dublin", ""))
    return "k1"


def test_a_photograph_is_stored_once_by_what_it_is(store: Store, kitchen: str) -> None:
    kept = store.put_photo(kitchen, jpeg())
    assert kept == store.put_photo(kitchen, jpeg())
    content = store.photo(kitchen, kept.sha256)
    assert content is not None
    assert kept == PhotoRecord(
        "k1", sha256(content).hexdigest(), "image/jpeg", len(jpeg())
    )  # fmt: skip
    assert store.put_photo(kitchen, content) == kept  # as it comes back from an archive
    assert store.photos(kitchen) == [kept]
    assert store.photo("k2", kept.sha256) is None
    assert store.photo(kitchen, "../../etc/passwd") is None


@pytest.mark.parametrize(
    "content", [b"", b"GIF89a" + bytes(99), b"<svg/>", b"RIFF\0\0\0\0WAVE", b"%PDF-1.7"]
)
def test_what_is_no_photograph_is_refused(store: Store, kitchen: str, content: bytes) -> None:
    with pytest.raises(InputError, match="photo: this file will not do; give a JPEG, PNG or WebP"):
        store.put_photo(kitchen, content)
    assert store.photos(kitchen) == []


def test_a_photograph_that_is_too_large_is_refused(store: Store, kitchen: str) -> None:
    with pytest.raises(InputError, match=r"one of 8.0 MB will not do; give one of at most 8 MB"):
        store.put_photo(kitchen, jpeg() + bytes(LARGEST_BYTES))
