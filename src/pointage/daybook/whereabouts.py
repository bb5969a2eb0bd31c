"""Where the store is when nobody says so: the user's data folder, or the URL in POINTAGE_STORE."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

VARIABLE = "POINTAGE_STORE"


def store_url(environ: Mapping[str, str] = os.environ, platform: str = sys.platform) -> str:
    """The URL in POINTAGE_STORE, else SQLite in the user's data folder."""
    return environ.get(VARIABLE) or _sqlite(data_folder(environ, platform) / "daybook.sqlite3")


def demonstration_url(environ: Mapping[str, str] = os.environ, platform: str = sys.platform) -> str:
    """The demonstration kitchen's own store, beside the user's."""
    return _sqlite(data_folder(environ, platform) / "demonstration.sqlite3")


def data_folder(environ: Mapping[str, str] = os.environ, platform: str = sys.platform) -> Path:
    """Pointage's folder in the place where this platform keeps a user's data.

    Linux and the like: the XDG base directory specification, which has relative paths ignored.
    """
    home = Path(environ.get("HOME") or Path.home())
    if platform == "darwin":
        return home / "Library" / "Application Support" / "Pointage"
    if platform == "win32":
        return Path(environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "Pointage"
    named = Path(environ.get("XDG_DATA_HOME", ""))
    return (named if named.is_absolute() else home / ".local" / "share") / "pointage"


def _sqlite(path: Path) -> str:
    return f"sqlite:///{path}"
