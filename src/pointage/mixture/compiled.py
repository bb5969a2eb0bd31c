"""Where the compiled kernel is kept between runs.

The compiler's own cache notices a change of the file that holds a function, not of the functions or
constants it takes from elsewhere. So the folder is named after everything the kernel is made from.
"""

from __future__ import annotations

import hashlib
import os
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any

import numba
from numba.core.caching import Cache
from numba.core.runtime.nrt import rtsys

from pointage.folders import cache_folder

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
LOADS_ALONE = "0.68."
"""Versions of the compiler of which it is tested that cached code is loaded without the rest of it:
what is left out here would end the process in another."""


def kernel_folder() -> Path:
    """The folder for this very kernel, below the user's cache folder."""
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for source in SOURCES:
        digest.update(files("pointage").joinpath(source).read_bytes())
    return cache_folder() / "kernel" / digest.hexdigest()[:16]


def is_compiled() -> bool:
    """Whether a compiled kernel lies ready, so that a first forecast need not wait."""
    folder = kernel_folder()
    return folder.is_dir() and any(folder.rglob("*.nbc"))


def prepare_cache() -> None:
    """Point the compiler at the folder; called before the first function is compiled."""
    if "NUMBA_CACHE_DIR" not in os.environ:
        setattr(numba.config, "CACHE_DIR", str(kernel_folder()))  # noqa: B010, it is made at run time
    if numba.__version__.startswith(LOADS_ALONE):
        setattr(Cache, "load_overload", _loaded)  # noqa: B010, a method


def _loaded(self: Any, signature: Any, target: Any) -> Any:
    """What lies in the cache, without all that only compiling needs.

    The compiler's own way first loads every function it knows (with SciPy, where that is installed)
    to find machine code that calls none of them: a third of a short command's time. What is not in
    the cache is compiled as ever, by a compiler that then loads all it needs.
    """
    rtsys.initialize(target)
    with self._guard_against_spurious_io_errors():
        return self._load_overload(signature, target)
