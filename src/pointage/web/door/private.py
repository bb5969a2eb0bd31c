"""Files of this machine that nobody else may read, written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from uuid import uuid4


def private_folder(folder: Path) -> Path:
    """The folder, made where it is not there, for its owner alone. Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    folder.chmod(0o700)
    return folder


def write_private(path: Path, content: bytes) -> None:
    """Put a file in the place of what is there: after it is on the disk, or not. Raises OSError.

    It is made with its owner's permissions, so that it is at no moment open to others.
    """
    beside = path.with_name(f".{path.name}.{uuid4().hex}")
    descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
