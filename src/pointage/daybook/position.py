"""Blank the position in a photograph's EXIF data, and touch nothing else.

EXIF data is a small TIFF file inside the photograph: a JPEG has it in an APP1 segment, a PNG in an
eXIf chunk, a WebP in an EXIF chunk. Its first directory points to another one with the position,
which is left there, empty. Sources: Exif 2.32 (CIPA DC-008-2019) for the tags; TIFF 6.0 for
directories; PNG third edition; RFC 9649 for WebP. Data that cannot be read stays as it is.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

POSITION_TAG = 0x8825
SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
"""The bytes of one value of each TIFF type."""

ENTRY = 12  # bytes of a directory's entry: tag, type, count, value or where it is
EXIF = b"Exif\0\0"


def without_position(content: bytes, media_type: str) -> bytes:
    """`content` with its position blanked: as long as before, and the same if it had none."""
    changed = bytearray(content)
    places = {"image/jpeg": _jpeg, "image/png": _riff_or_png, "image/webp": _riff_or_png}
    try:
        for start, end in places[media_type](content):
            tiff = _blanked(content[start:end])
            changed[start:end] = tiff
            if media_type == "image/png" and end + 4 <= len(changed):
                changed[end : end + 4] = struct.pack(">I", zlib.crc32(b"eXIf" + tiff))
    except (struct.error, IndexError):
        pass  # cut short somewhere: what was found before that is blanked
    return bytes(changed)


def _jpeg(content: bytes) -> Iterator[tuple[int, int]]:
    at = 2
    while content[at] == 0xFF and content[at + 1] not in (0xD9, 0xDA):  # end, or the image itself
        (length,) = struct.unpack_from(">H", content, at + 2)
        if content[at + 1] == 0xE1 and content[at + 4 : at + 10] == EXIF:
            yield at + 10, at + 2 + length
        at += 2 + length


def _riff_or_png(content: bytes) -> Iterator[tuple[int, int]]:
    png = content.startswith(b"\x89PNG")
    at = 8 if png else 12
    while at + 8 <= len(content):
        if png:
            length, name = struct.unpack_from(">I4s", content, at)
        else:
            name, length = struct.unpack_from("<4sI", content, at)
        start = at + 8
        if name in (b"eXIf", b"EXIF"):
            # Some writers of WebP begin the chunk as a JPEG would.
            skip = len(EXIF) if content[start : start + len(EXIF)] == EXIF else 0
            yield start + skip, min(start + length, len(content))
        at = start + length + (4 if png else length % 2)


def _blanked(tiff: bytes) -> bytes:
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None:
        return tiff
    changed = bytearray(tiff)
    (first,) = struct.unpack_from(order + "I", tiff, 4)
    for tag, _, _, _, value in _entries(tiff, first, order):
        if tag != POSITION_TAG:
            continue
        (directory,) = struct.unpack_from(order + "I", value)
        for _, kind, count, at, held in _entries(tiff, directory, order):
            size = SIZES.get(kind, 1) * count
            (elsewhere,) = struct.unpack_from(order + "I", held)
            if size > 4:
                end = min(elsewhere + size, len(changed))
                changed[elsewhere:end] = bytes(max(0, end - elsewhere))
            changed[at : at + ENTRY] = bytes(ENTRY)
        changed[directory : directory + 2] = bytes(2)  # it has no entries now
    return bytes(changed)


def _entries(tiff: bytes, directory: int, order: str) -> Iterator[tuple[int, int, int, int, bytes]]:
    """Each entry of a directory: tag, type, count, where it is, and its four bytes of value."""
    (number,) = struct.unpack_from(order + "H", tiff, directory)
    for i in range(number):
        at = directory + 2 + ENTRY * i
        tag, kind, count, value = struct.unpack_from(order + "HHI4s", tiff, at)
        yield tag, kind, count, at, value
