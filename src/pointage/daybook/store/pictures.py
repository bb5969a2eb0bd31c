"""A photograph without its metadata: what shows the picture, its orientation, and nothing else.

Parts are kept or left out as they are, and the picture is not encoded anew, so its pixels are the
same. Kept besides the coded picture is what says how it is to be shown: its colours and which way
is up. EXIF data, XMP, IPTC, comments, thumbnails, the times and places in them, and whatever
follows the end of the picture are left out. Sources: ITU-T T.81 and JFIF 1.02 for JPEG; PNG third
edition; RFC 9649 for WebP; Exif 2.32 (CIPA DC-008-2019) for the orientation.
"""

from __future__ import annotations

import re
import struct
import threading
import zlib
from collections.abc import Callable, Iterable, Iterator
from io import BytesIO
from typing import TYPE_CHECKING

from pointage.errors import InputError
from pointage.language import say

if TYPE_CHECKING:
    from PIL.ImageFile import ImageFile

MOST_PIXELS = 60_000_000
ORIENTATION = 0x0112
UPRIGHT = 1
EXIF = b"Exif\0\0"

JPEG_KEPT = {0xE0: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
"""Segments for applications that say what the colours are, and how they begin."""
JPEG_APPLICATION = frozenset({*range(0xE0, 0xF0), 0xFE})  # 0xFE: a comment
NEXT_MARKER = re.compile(rb"\xff+[^\x00\xff\xd0-\xd7]")  # within a scan: no zero, no restart
JFIF_HEAD = 14  # after it a thumbnail
PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"
PNG_KEPT = frozenset(
    {b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB"}
    | {b"cICP", b"mDCV", b"cLLI"}
)
WEBP_KEPT = frozenset({b"VP8X", b"ICCP", b"ALPH", b"VP8 ", b"VP8L"})
WEBP_EXIF, WEBP_XMP, WEBP_ANIMATION = 0x08, 0x04, 0x02  # of the flags in VP8X

_one_at_a_time = threading.Lock()


def without_metadata(content: bytes, media_type: str) -> bytes:
    """The picture alone. Raises InputError, field "photo", for what is no picture or too large.

    It is decoded once, one at a time, for a picture may take four bytes a pixel to do so.
    """
    with _one_at_a_time:
        up = _orientation(content, media_type)
        parts = {"image/jpeg": _jpeg, "image/png": _png, "image/webp": _webp}[media_type]
        try:
            found = parts(content, b"" if up == UPRIGHT else _exif(up))
        except (struct.error, IndexError):
            raise _damaged() from None
        with _opened(found, media_type) as picture:
            try:
                if media_type == "image/jpeg":
                    picture.draft(None, (1, 1))  # an eighth of its width: less work and memory
                picture.load()
            except (OSError, ValueError, SyntaxError, struct.error):
                raise _damaged() from None
    return found


def _orientation(content: bytes, media_type: str) -> int:
    with _opened(content, media_type) as picture:
        width, height = picture.size
        if width * height > MOST_PIXELS:
            raise _too_large(say("{width} × {height} pixels", width=width, height=height))
        if getattr(picture, "is_animated", False) and media_type == "image/webp":
            raise InputError("photo", say("an animation"), say("a still picture"))
        try:
            found = picture.getexif().get(ORIENTATION, UPRIGHT)
        except (OSError, ValueError, SyntaxError, struct.error):  # EXIF data that breaks its rules
            return UPRIGHT
    return found if found in range(1, 9) else UPRIGHT


def _opened(content: bytes, media_type: str) -> ImageFile:
    """The picture, of which only the headers are read."""
    from PIL.Image import DecompressionBombError
    from PIL.JpegImagePlugin import JpegImageFile
    from PIL.PngImagePlugin import PngImageFile
    from PIL.WebPImagePlugin import WebPImageFile

    kinds: dict[str, Callable[[BytesIO], ImageFile]] = {
        "image/jpeg": JpegImageFile,
        "image/png": PngImageFile,
        "image/webp": WebPImageFile,
    }
    try:
        return kinds[media_type](BytesIO(content))
    except DecompressionBombError:  # for WebP it looks at the size itself, at three times as much
        raise _too_large(say("far more pixels")) from None
    except (OSError, ValueError, SyntaxError, MemoryError, struct.error, IndexError, KeyError):
        raise _damaged() from None


def _too_large(what: str) -> InputError:
    return InputError(
        "photo",
        say("one of {what}", what=what),
        say("one of at most {most:g} megapixels", most=MOST_PIXELS / 1e6),
    )


def _damaged() -> InputError:
    return InputError(
        "photo", say("this file"), say("a JPEG, PNG or WebP photograph that is not damaged")
    )


def _exif(orientation: int) -> bytes:
    """EXIF data with the orientation alone: a TIFF file of one directory with one entry."""
    entry = struct.pack(">HHIHH", ORIENTATION, 3, 1, orientation, 0)
    return b"MM" + struct.pack(">HIH", 42, 8, 1) + entry + bytes(4)


def _jpeg(content: bytes, exif: bytes) -> bytes:
    found = [content[:2]]
    if exif:
        found.append(b"\xff\xe1" + struct.pack(">H", len(EXIF + exif) + 2) + EXIF + exif)
    at = 2
    while True:
        while content[at + 1] == 0xFF:  # fill bytes
            at += 1
        marker = content[at + 1]
        if content[at] != 0xFF:
            raise _damaged()
        if marker == 0xD9:
            return b"".join([*found, b"\xff\xd9"])
        (length,) = struct.unpack_from(">H", content, at + 2)
        segment, at = content[at : at + 2 + length], at + 2 + length
        if marker not in JPEG_APPLICATION:
            found.append(segment)
        elif marker in JPEG_KEPT and segment[4:].startswith(JPEG_KEPT[marker]):
            found.append(_no_thumbnail(segment) if marker == 0xE0 else segment)
        if marker == 0xDA:  # a scan, until the next marker
            ends = NEXT_MARKER.search(content, at)
            if ends is None:
                raise _damaged()
            found.append(content[at : ends.start()])
            at = ends.start()


def _no_thumbnail(jfif: bytes) -> bytes:
    return b"\xff\xe0" + struct.pack(">H", JFIF_HEAD + 2) + jfif[4 : 2 + JFIF_HEAD] + bytes(2)


def _png(content: bytes, exif: bytes) -> bytes:
    found = [PNG_SIGNATURE]
    for name, data in _chunks(content, 8, ">I4s", 4):
        if name == b"IDAT" and exif:
            found.append(_png_chunk(b"eXIf", exif))
            exif = b""
        if name in PNG_KEPT:
            found.append(_png_chunk(name, data))
        if name == b"IEND":
            break
    return b"".join(found)


def _png_chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _webp(content: bytes, exif: bytes) -> bytes:
    (length,) = struct.unpack_from("<I", content, 4)
    every = _chunks(content[: 8 + length], 12, "<4sI", 0)
    chunks = [each for each in every if each[0] in WEBP_KEPT]
    if chunks and chunks[0][0] == b"VP8X":  # without it there is no place for an orientation
        flags = chunks[0][1][0] & ~(WEBP_EXIF | WEBP_XMP | WEBP_ANIMATION)
        flags |= WEBP_EXIF if exif else 0
        chunks[0] = b"VP8X", bytes([flags]) + chunks[0][1][1:]
        chunks += [(b"EXIF", exif)] if exif else []
    body = b"WEBP" + b"".join(_webp_chunks(chunks))
    return b"RIFF" + struct.pack("<I", len(body)) + body


def _webp_chunks(chunks: Iterable[tuple[bytes, bytes]]) -> Iterator[bytes]:
    for name, data in chunks:
        yield name + struct.pack("<I", len(data)) + data + bytes(len(data) % 2)


def _chunks(content: bytes, at: int, head: str, after: int) -> Iterator[tuple[bytes, bytes]]:
    """Name and data of each chunk from `at` on. after: bytes behind the data, 0 for padding."""
    while at + 8 <= len(content):
        first, second = struct.unpack_from(head, content, at)
        name, length = (second, first) if after else (first, second)
        if at + 8 + length > len(content):
            raise _damaged()
        yield name, content[at + 8 : at + 8 + length]
        at += 8 + length + (after or length % 2)
