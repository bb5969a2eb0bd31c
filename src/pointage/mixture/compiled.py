"""Where the compiled kernel is kept between runs.

The compiler's own cache notices a change of the file that holds a function, not of the functions or
constants it takes from elsewhere. So the folder is named after everything the kernel is made from.
"""

from __future__ import annotations

import hashlib
import importlib
import os
import sys
from importlib.resources import files
from pathlib import Path

import numba

SOURCES = (
    "mixture/kernel.py",
    "mixture/state.py",
    "mixture/response.py",
    "science/acid_base.py",
    "science/carbon_dioxide.py",
    "science/ph_response.py",
    "science/thermal_death.py",
    "data/parameters/kinetics.toml",
)
"""Every file with code or constants that are compiled into it."""


def cache_folder() -> Path:
    """The folder for this very kernel, below the user's cache folder."""
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for source in SOURCES:
        digest.update(files("pointage").joinpath(source).read_bytes())
    if sys.platform == "darwin":
        home = Path.home() / "Library" / "Caches"
    else:
        home = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return home / "pointage" / "kernel" / digest.hexdigest()[:16]


def is_compiled() -> bool:
    """Whether a compiled kernel lies ready, so that a first forecast need not wait."""
    folder = cache_folder()
    return folder.is_dir() and any(folder.rglob("*.nbc"))


def prepare_cache() -> None:
    """Point the compiler at the folder; called before the first function is compiled."""
    _without_linear_algebra()
    if "NUMBA_CACHE_DIR" not in os.environ:
        setattr(numba.config, "CACHE_DIR", str(cache_folder()))  # noqa: B010, it is made at run time


def _without_linear_algebra() -> None:
    """Load the compiler's array functions as where SciPy is not installed.

    They would import it for products of matrices, of which the kernel has none, and that takes a
    tenth of a whole plan.
    """
    name = "scipy.linalg"
    if name in sys.modules:
        return
    sys.modules[name] = None  # type: ignore[assignment]
    try:
        importlib.import_module("numba.np.arraymath")
    finally:
        del sys.modules[name]
