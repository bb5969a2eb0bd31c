"""Write what a command made, whole or not at all."""

from __future__ import annotations

from pathlib import Path
from uuid import uuid4

from pointage.errors import InputError
from pointage.language import say


def check_out(path: str, field: str) -> Path:
    """The file to be written. Raises InputError where none can be."""
    out = Path(path)
    try:
        if out.is_dir():
            raise InputError(field, path, say("a file, not a folder"))
        if not out.parent.is_dir():
            raise InputError(field, path, say("a file in a folder that exists"))
    except (OSError, ValueError):  # a name too long, or with a null in it
        raise InputError(field, repr(path), say("a file that can be written")) from None
    return out


def write_out(path: Path, content: bytes, field: str = "-o") -> None:
    """Write it beside, then in its place, so that nobody finds half of it. Raises InputError."""
    try:
        beside = path.with_name(f".{uuid4().hex}.part")
        try:
            beside.write_bytes(content)
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
    except (OSError, ValueError) as error:  # a name with a null in it
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            field, str(path), say("a file that can be written ({reason})", reason=reason)
        ) from None
