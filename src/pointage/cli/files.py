"""Read the files that a command is given."""

from __future__ import annotations

from pathlib import Path

from pointage.errors import InputError
from pointage.language import say

MOST_OF_A_TEXT = 1_000_000
MOST_OF_A_LOG = 100_000_000


def read_text(path: str, field: str) -> str:
    """The text of the file at `path`. Raises InputError naming `field` when it cannot be read."""
    try:
        return read_bytes(path, field, MOST_OF_A_TEXT).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(field, path, say("a text file in UTF-8")) from None


def read_kitchen_text(path: str, field: str) -> str:
    """The text of a kitchen's file, with the histories of the logs beside it. Raises InputError."""
    text = read_text(path, field)
    if "log" not in text:
        return text
    from pointage.desk.kitchen.places import settle_logs

    def beside(name: str, named_in: str) -> bytes:
        if Path(name).name != name:
            raise InputError(named_in, repr(name), say("the name of a file beside the kitchen's"))
        return read_bytes(str(Path(path).parent / name), named_in)

    return settle_logs(text, Path(path).name, beside)


def read_log_text(path: str, field: str) -> str:
    """The text of a thermometer's log, in whatever code it is. Raises InputError."""
    from pointage.kitchen.log.read import decode_log

    return decode_log(read_bytes(path, field))


def read_bytes(path: str, field: str, most: int = MOST_OF_A_LOG) -> bytes:
    """What the file at `path` holds. Raises InputError naming `field` when it cannot be read, or
    has more than `most` bytes, as a device has that never ends."""
    try:
        with Path(path).open("rb") as file:
            found = file.read(most + 1)
        if len(found) > most:
            raise InputError(field, path, say("a file of at most {most:g} MB", most=most / 1e6))
        return found
    except FileNotFoundError:
        raise InputError(field, path, say("a file that exists")) from None
    except IsADirectoryError:
        raise InputError(field, path, say("a file, not a folder")) from None
    except PermissionError:
        raise InputError(field, path, say("a file that you have permission to read")) from None
    except (OSError, ValueError):  # a name too long, or with a null in it
        raise InputError(field, repr(path), say("a file that can be read")) from None


def is_file(path: str) -> bool:
    """Whether there is such a file; there is none of a name that no file can have."""
    try:
        return Path(path).is_file()
    except (OSError, ValueError):
        return False


def read_folder(path: str, field: str) -> dict[str, str]:
    """The texts of a folder's .toml files by their names without the ending. Raises InputError."""
    folder = Path(path)
    try:
        there = folder.is_dir()
    except (OSError, ValueError):  # a name too long, or with a null in it
        there = False
    if not there:
        raise InputError(field, repr(path), say("a folder that exists"))
    found = {each.stem: read_text(str(each), field) for each in sorted(folder.glob("*.toml"))}
    if not found:
        raise InputError(field, path, say("a folder with formula files, ending in .toml"))
    return found
