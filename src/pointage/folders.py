"""Where the files of whoever runs this lie that are not the kitchen's own."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def cache_folder() -> Path:
    """Where what can be made again is kept between runs."""
    if sys.platform == "darwin":
        home = Path.home() / "Library" / "Caches"
    else:
        home = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return home / "pointage"
