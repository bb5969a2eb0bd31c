"""The ZIP file of an archive: write its members in a fixed form, and read them without trust.

Nothing of an archive is ever unpacked onto the disk. A name that could lead out of a folder is
refused all the same, for others will unpack it.
"""

from __future__ import annotations

import io
import stat
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from types import TracebackType
from typing import IO, Self
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from pointage.daybook.archive.manifest import (
    BODY_SCHEMAS,
    FORMAT,
    LISTS,
    SCHEMAS,
    VERSION,
    Malformed,
    Manifest,
    Member,
    read_json,
    read_line,
)
from pointage.daybook.errors import ArchiveError, NewerArchiveError
from pointage.daybook.photograph import LARGEST_BYTES
from pointage.language import say

MANIFEST = "manifest.json"
BLOCK = 1 << 20
MOST_MEMBERS = 500_000
LARGEST_LINE = 64_000_000
LARGEST = {"photos/": LARGEST_BYTES, "samples/": 1 << 34, "entries.jsonl": 1 << 34}
LARGEST_OTHER = 64_000_000
"""What a member may hold, in bytes, before any of it is read."""

TIGHTEST = 500
"""How many times smaller than its content a large member can honestly be."""

PACKED = {ZIP_STORED, ZIP_DEFLATED}

BROKEN = (BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, OSError)
"""What `zipfile` raises for a file that is not as it should be."""


class ArchiveWriter:
    """Writes members one after the other. The same members give the same bytes: no dates, no modes
    of this machine's."""

    def __init__(self, file: IO[bytes]) -> None:
        self._zip = ZipFile(file, "w")
        self.members: list[Member] = []

    def add(self, path: str, content: bytes) -> None:
        """One whole member. Photographs are packed already."""
        packing = ZIP_STORED if path.startswith("photos/") else ZIP_DEFLATED
        self._zip.writestr(_info(path, packing), content)
        self.members.append(
            Member(path=path, size=len(content), sha256=sha256(content).hexdigest())
        )

    @contextmanager
    def growing(self, path: str) -> Iterator[Callable[[bytes], object]]:
        """A member that is written piece by piece, however long it becomes."""
        hashed, size = sha256(), 0
        with self._zip.open(_info(path, ZIP_DEFLATED), "w", force_zip64=True) as member:

            def write(piece: bytes) -> None:
                nonlocal size
                size += len(piece)
                hashed.update(piece)
                member.write(piece)

            yield write
        self.members.append(Member(path=path, size=size, sha256=hashed.hexdigest()))

    def abandon(self) -> None:
        """Let go of a file that will not be an archive."""
        self._zip.fp = None  # else it would still try to write its end, and complain

    def finish(self, manifest: bytes) -> None:
        """The manifest, last of all, for it has the hashes of the others."""
        self._zip.writestr(_info(MANIFEST, ZIP_DEFLATED), manifest)
        self._zip.close()


def _info(path: str, packing: int) -> ZipInfo:
    info = ZipInfo(path)  # on the first day that a ZIP file knows
    info.compress_type = packing
    info.create_system = 3
    info.external_attr = (stat.S_IFREG | 0o644) << 16
    return info


class ArchiveReader:
    """An archive whose members, names and sizes are what its manifest says.

    Raises ArchiveError with the place of the first thing that is wrong, NewerArchiveError.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        try:
            if path.exists() and not path.is_file():  # a folder; a device that never ends
                raise ArchiveError(path, "", say("it is not a file"))
            self._zip = ZipFile(path)
        except FileNotFoundError:
            raise ArchiveError(path, "", say("it is not there")) from None
        except BROKEN as error:
            reason = say("it is not a ZIP archive, or its end is missing ({error})", error=error)
            raise ArchiveError(path, "", reason) from None
        try:
            self._found = self._infos()
            self.manifest = self._manifest()
            self._compare()
        except BaseException:
            self._zip.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self._zip.close()

    def holds(self, path: str) -> bool:
        """Whether there is a member of this name."""
        return path in self._found

    def error(self, member: str, reason: str, line: int | None = None) -> ArchiveError:
        """The error of something wrong at this place."""
        return ArchiveError(self._path, member, reason, line)

    def verify(self) -> None:
        """Read every member through and compare its hash."""
        for member in self.manifest.members:
            hashed = sha256()
            with self._open(member.path) as content:
                while piece := content.read(BLOCK):
                    hashed.update(piece)
            if hashed.hexdigest() != member.sha256:
                raise self.error(member.path, say("its SHA-256 is not the one in manifest.json"))

    def read(self, path: str) -> bytes:
        """The content of a member."""
        with self._open(path) as content:
            return content.read()

    def text(self, path: str) -> str:
        """The content of a member as text."""
        try:
            found = self.read(path).decode()
        except UnicodeDecodeError as error:
            raise self.error(
                path, say("it is not UTF-8 (at byte {start})", start=error.start)
            ) from None
        if "\0" in found:
            raise self.error(path, say("it is not text: it has a zero byte"))
        return found

    def lines(self, path: str) -> Iterator[tuple[int, bytes]]:
        """The lines of a member with their numbers, from 1, without what ends them."""
        with self._open(path) as content:
            buffered = io.BufferedReader(content, BLOCK)  # type: ignore[type-var]
            number = 0
            while line := buffered.readline(LARGEST_LINE):
                number += 1
                if not line.endswith(b"\n"):
                    raise self.error(path, say("the line does not end, or is too long"), number)
                yield number, line[:-1]

    @contextmanager
    def _open(self, path: str) -> Iterator[IO[bytes]]:
        try:
            with self._zip.open(self._found[path]) as content:
                yield content
        except BROKEN as error:
            raise self.error(path, say("it is damaged ({error})", error=error)) from None

    def _infos(self) -> dict[str, ZipInfo]:
        """The members by their names, which are fit to be read."""
        infos = self._zip.infolist()
        if len(infos) > MOST_MEMBERS:
            raise self.error("", say("it has more than {count} members", count=MOST_MEMBERS))
        if sum(info.compress_size for info in infos) > self._path.stat().st_size:
            raise self.error("", say("its members overlap"))
        found: dict[str, ZipInfo] = {}
        for info in infos:
            reason = _unfit(info)
            if reason is None and info.filename.casefold() in found:
                reason = say("there are two of this name")
            if reason is not None:
                raise self.error(info.orig_filename, reason)
            found[info.filename.casefold()] = info
        return {info.filename: info for info in infos}

    def _manifest(self) -> Manifest:
        if MANIFEST not in self._found:
            raise self.error(MANIFEST, say("it is missing"))
        try:
            listed = read_json(self.read(MANIFEST))
            version = listed.get("version")
            if listed.get("format") != FORMAT:
                raise Malformed(say("this is not a Pointage archive"))
            if isinstance(version, int) and version > VERSION:
                raise NewerArchiveError(self._path, version, VERSION)
            return read_line(Manifest, listed)
        except Malformed as error:
            raise self.error(MANIFEST, str(error)) from None

    def _compare(self) -> None:
        """Hold the members against the manifest."""
        listed = {MANIFEST}
        for member in self.manifest.members:
            if member.path in listed:
                raise self.error(MANIFEST, say("it names {member} twice", member=member.path))
            listed.add(member.path)
            info = self._found.get(member.path)
            if info is None:
                raise self.error(member.path, say("it is missing"))
            if info.file_size != member.size:
                size = say(
                    "it has {size} bytes, and manifest.json says {listed}",
                    size=info.file_size,
                    listed=member.size,
                )
                raise self.error(member.path, size)
        for path in self._found:
            if path not in listed:
                raise self.error(path, say("manifest.json does not name it"))
        for path in LISTS:
            if path not in listed:
                raise self.error(path, say("it is missing"))


SINGLE = {MANIFEST, *LISTS, *(f"schema/{each}.json" for each in (*SCHEMAS, *BODY_SCHEMAS))}
FOLDERS = {"kitchens", "photos", "samples"}


def _unfit(info: ZipInfo) -> str | None:
    """Why a member is not to be read, or None."""
    name, size = info.orig_filename, info.file_size
    parts = name.split("/")
    leads_out = "\\" in name or ":" in name or not all(parts) or {".", ".."} & set(parts)
    known = name in SINGLE or (parts[0] in FOLDERS and len(parts) > 1)
    limit = next((most for start, most in LARGEST.items() if name.startswith(start)), LARGEST_OTHER)
    reasons = {
        "its name could lead out of a folder": leads_out,
        "it is not a plain file": stat.S_IFMT(info.external_attr >> 16) not in {0, stat.S_IFREG},
        "an archive has no such member": not known,
        "it is encrypted": info.flag_bits & 1,
        "it is compressed in an unknown way": info.compress_type not in PACKED,
        f"it has {size} bytes; {limit} at most can be": size > limit,
        f"it swells from {info.compress_size} bytes to {size}": size
        > max(LARGEST_OTHER, TIGHTEST * info.compress_size),
    }
    return next((reason for reason, holds in reasons.items() if holds), None)
