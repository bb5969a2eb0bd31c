"""What was worked out by this very source, for every worker of a run and for later runs.

It lies in pytest's cache under a hash of all of the program, so that whatever is changed in `src`,
or another Python or NumPy, works it out anew; the answers of other sources are thrown away.
"""

from __future__ import annotations

import os
import pickle
import shutil
import sys
from dataclasses import fields, is_dataclass
from functools import cache, cached_property
from hashlib import blake2b
from io import BytesIO
from pathlib import Path
from typing import Any

import llvmlite
import numpy as np

import pointage

FOLDER = Path(__file__).parents[1] / ".pytest_cache" / "worked-out"
_LARGEST = 4_000_000
"""Bytes. What is larger is worked out again sooner than it would be read."""


@cache
def _place() -> Path:
    root = Path(pointage.__file__).parent
    hashed = blake2b(
        f"{sys.version} {np.__version__} {llvmlite.__version__}".encode(), digest_size=12
    )
    for path in sorted(root.rglob("*")):
        if path.suffix in (".py", ".toml", ".html"):
            hashed.update(f"{path.relative_to(root)}\0".encode() + path.read_bytes())
    place = FOLDER / hashed.hexdigest()
    for other in FOLDER.glob("*"):
        if other != place:
            shutil.rmtree(other, ignore_errors=True)
    place.mkdir(parents=True, exist_ok=True)
    return place


class _Pickler(pickle.Pickler):
    def reducer_override(self, each: Any) -> Any:
        """A record without what it has worked out of itself, which may lead back to it."""
        kind: Any = type(each)
        names = _fields_of(kind)
        if names and len(each.__dict__) > len(names):
            return _made, (kind, [getattr(each, name) for name in names])
        return NotImplemented


@cache
def _fields_of(kind: type) -> tuple[str, ...]:
    """Of a dataclass that can work something out of itself; none for anything else."""
    said = [each for owner in kind.__mro__ for each in vars(owner).values()]
    if not is_dataclass(kind) or not any(isinstance(each, cached_property) for each in said):
        return ()
    return tuple(each.name for each in fields(kind))


def _made(kind: Any, values: list[Any]) -> Any:
    return kind(**dict(zip(_fields_of(kind), values, strict=True)))


def pickled(what: Any, *, for_ever: bool = True) -> bytes:
    """It in bytes. for_ever: to be read again, else only to be compared: then the same object twice
    is as two equal ones."""
    buffer = BytesIO()
    pickler = _Pickler(buffer, protocol=5)
    pickler.fast = not for_ever
    pickler.dump(what)
    return buffer.getvalue()


def found(key: bytes) -> tuple[Any] | None:
    """The answer that was kept under this key, alone in a tuple."""
    try:
        return (pickle.loads(_place().joinpath(key.hex()).read_bytes()),)
    except (OSError, EOFError, pickle.UnpicklingError):
        return None


def keep(key: bytes, answer: Any) -> None:
    """For whoever asks next. What cannot be pickled, or has no room on the disk, is not kept."""
    try:
        written = pickled(answer)
    except (pickle.PicklingError, AttributeError, TypeError):
        return
    if len(written) < _LARGEST:
        new = _place() / f"{key.hex()}.{os.getpid()}"
        try:
            _place().mkdir(exist_ok=True)  # a run on other source may have thrown it away meanwhile
            new.write_bytes(written)
            new.replace(_place() / key.hex())
        except OSError:
            new.unlink(missing_ok=True)
