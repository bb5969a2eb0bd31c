"""What was learned, in files of the cache folder: the next process need not learn it again.

A file is named after all that its answer was worked out from, the program itself included, so what
was corrected or changed has another name. A file that is torn, foreign or unreadable counts as
none; a folder that cannot be written to costs only time. Any of it may be deleted at any time.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import cache
from hashlib import blake2b
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TypeVar, cast

import numpy as np

from pointage import __version__
from pointage.desk.now.learned.written import as_bytes, from_bytes
from pointage.folders import cache_folder
from pointage.mixture.compiled import kernel_file

Found = TypeVar("Found")

MOST = 128
"""So many files are kept, those used last. The beliefs of a culture take some 200 kB."""
FACES = ("cli", "documents", "languages", "web")
"""Rooms by which no figure is worked out."""


class KeptAnswers:
    """Answers in a folder. Several threads and processes may ask; none waits for another."""

    def __init__(self, folder: Path, most: int = MOST) -> None:
        self._folder = folder
        self._most = most

    def get(self, asked: bytes, work: Callable[[], Found]) -> Found:
        """The answer to what has that digest, worked out where it is not kept.

        Raises what the work raises.
        """
        name = blake2b(program() + asked, digest_size=20).hexdigest()
        found = self._read(name)
        if found is None:
            found = work()
            if found is not None:
                self._write(name, found)
        return cast(Found, found)

    def _read(self, name: str) -> object:
        path = self._folder / name
        try:
            seal, _, written = path.read_bytes().partition(b"\n")
        except OSError:
            return None
        if seal != _seal(name, written):
            return None
        with suppress(OSError):
            os.utime(path)  # those used last are kept
        return from_bytes(written)

    def _write(self, name: str, answer: object) -> None:
        written = as_bytes(answer)
        if written is None:
            return
        new = self._folder / f"{name}.{os.getpid()}-{threading.get_ident()}"
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            new.write_bytes(_seal(name, written) + b"\n" + written)
            new.replace(self._folder / name)
            self._throw_away()
        except OSError:
            with suppress(OSError):
                new.unlink(missing_ok=True)

    def _throw_away(self) -> None:
        """All but those used last; what a process left half written is among the rest in time."""
        used = []
        for path in self._folder.iterdir():
            with suppress(OSError):  # another process may throw it away as well
                used.append((path.stat().st_mtime_ns, path))
        for _, path in sorted(used)[: -self._most]:
            with suppress(OSError):
                path.unlink()


def kept_here() -> KeptAnswers | None:
    """Those of whoever runs this; None for somebody without a home."""
    try:
        return KeptAnswers(cache_folder() / "learned")
    except RuntimeError:
        return None


@cache
def program() -> bytes:
    """A digest of what figures are worked out by: this program, its language, its libraries and,
    in the name of its machine code, the processor."""
    by = __version__, sys.version, np.__version__, kernel_file().name
    digest = blake2b(repr(by).encode(), digest_size=20)
    for name, content in _sources(files("pointage")):
        digest.update(f"{name} {len(content)}\n".encode() + content)
    return digest.digest()


def _sources(folder: Traversable, above: str = "") -> Iterator[tuple[str, bytes]]:
    for each in sorted(folder.iterdir(), key=lambda each: each.name):
        name = above + each.name
        if name.endswith((".py", ".toml")):
            yield name, each.read_bytes()
        elif name not in FACES and each.is_dir():
            yield from _sources(each, f"{name}/")


def _seal(name: str, written: bytes) -> bytes:
    return blake2b(name.encode() + written, digest_size=20).hexdigest().encode()
