"""What a photograph can be: known by its first bytes, and of a size that can be kept."""

from __future__ import annotations

from pointage.errors import InputError
from pointage.language import say

LARGEST_BYTES = 8_000_000


def media_type(content: bytes) -> str:
    """The media type that the first bytes tell. Raises InputError, field "photo"."""
    if len(content) > LARGEST_BYTES:
        size = say("one of {size:.1f} MB", size=len(content) / 1e6)
        expected = say("one of at most {size:g} MB", size=LARGEST_BYTES / 1e6)
        raise InputError("photo", size, expected)
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    raise InputError("photo", say("this file"), say("a JPEG, PNG or WebP photograph"))
