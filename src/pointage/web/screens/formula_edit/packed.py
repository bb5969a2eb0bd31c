"""A draft in the address of its page: it survives a reload, and nothing half-written is stored."""

from __future__ import annotations

import zlib
from base64 import urlsafe_b64decode, urlsafe_b64encode
from binascii import Error

from pointage.errors import InputError
from pointage.language import say

LONGEST = 60_000  # bytes of a formula's text; forty stages with a dozen ingredients are half of it


def pack(text: str) -> str:
    """A text as letters that an address may have."""
    return urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def unpack(packed: str) -> str:
    """The text again. Raises InputError for what was cut short, and for what is endless."""
    wrong = InputError("draft", repr(packed[:12] + "…"), say("the whole address of the draft"))
    try:
        content = urlsafe_b64decode(packed + "=" * (-len(packed) % 4))
        reader = zlib.decompressobj()
        found = reader.decompress(content, LONGEST)
        if not reader.eof:
            raise wrong
        return found.decode()
    except (Error, zlib.error, ValueError):
        raise wrong from None
