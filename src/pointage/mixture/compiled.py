"""The compiled kernel, made once for this processor, kept between runs and loaded alone.

The compiler is larger than all the rest that a short command loads. So the machine code it makes
(`machine_code.py`) is kept as an object file under a digest of everything the kernel is made from,
and read by the part of the compiler's library that only knows machine code.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from ctypes import CFUNCTYPE, c_double, c_int64, c_void_p
from functools import cache
from importlib.resources import files
from pathlib import Path
from tempfile import NamedTemporaryFile
from threading import Lock, Thread
from typing import Any

import llvmlite
import numpy as np
from llvmlite import binding as llvm
from numpy.typing import NDArray

from pointage.folders import cache_folder
from pointage.mixture.learning.surface import SIDE, SPARE
from pointage.mixture.machine_code import machine_code, processor, target_machine
from pointage.mixture.state import LANES, SCRATCH_ROWS, STATE_SIZE
from pointage.quantities import parse_count

Floats = NDArray[np.float64]

SOURCES = (
    "mixture/kernel.py",
    "mixture/machine_code.py",
    "mixture/state.py",
    "mixture/response.py",
    "mixture/learning/likelihood.py",
    "mixture/learning/surface.py",
    "science/acid_base.py",
    "science/carbon_dioxide.py",
    "science/ph_response.py",
    "science/thermal_death.py",
    "data/parameters/kinetics.toml",
)
"""Every file with code or constants that are compiled into it."""
DIGEST = 32
"""Bytes before the machine code by which a torn file is known."""
MOST_CORES = 1024
ALIGNED = 64  # bytes, as a processor fetches them

_one_at_a_time = Lock()


def kernel_file() -> Path:
    """The file for this very kernel on this processor, below the user's cache folder."""
    digest = hashlib.sha256(f"{llvmlite.__version__} {processor()}".encode())
    for source in SOURCES:
        digest.update(files("pointage").joinpath(source).read_bytes())
    return cache_folder() / "kernel" / f"{digest.hexdigest()[:16]}.o"


def is_compiled() -> bool:
    """Whether a compiled kernel lies ready, so that a first forecast need not wait."""
    return _kept(kernel_file()) is not None


def cores() -> int:
    """How many cores may work at once: as many as there are, or POINTAGE_CORES.

    Raises UnitError where that is no whole number from 1 to MOST_CORES.
    """
    said = os.environ.get("POINTAGE_CORES")
    return parse_count(said, "POINTAGE_CORES", MOST_CORES) if said else os.cpu_count() or 1


def hold_members(
    states: Floats,
    settings: Floats,
    around: Floats,
    table: Floats,
    *,
    dt: float,
    every: int,
    cores: int = 1,
) -> Floats:
    """Carry every member through its surroundings; `states` is changed in place.

    states (n, STATE_SIZE), settings (n, SETTING_SIZE), around (k, steps + 1) in °C, taken by
    the members in turn, dt in h. cores: how many work at once, each on members of its own.
    Returns courses (n, steps // every + 1, STATE_SIZE).
    """
    members, steps = len(states), around.shape[1] - 1
    courses = np.empty((members, steps // every + 1, STATE_SIZE))
    carried = np.ascontiguousarray(states)
    given = [np.ascontiguousarray(each, np.float64) for each in (settings, around, table)]
    arrays = [each.ctypes.data for each in (carried, *given, courses)]
    counts = members, len(around), steps, table.shape[1], dt, every
    hold_span = _function("hold_span")

    def carry(first: int, end: int) -> None:
        room = _aligned(SCRATCH_ROWS * LANES)
        hold_span(*arrays, room.ctypes.data, *counts, first, end)

    blocks = -(-members // LANES)
    share = max(1, -(-blocks // cores))
    spans = [(first, min(first + share, blocks)) for first in range(0, blocks, share)]
    others = [Thread(target=carry, args=span) for span in spans[1:]]
    for each in others:
        each.start()
    for span in spans[:1]:
        carry(*span)
    for each in others:
        each.join()
    if carried is not states:
        states[:] = carried
    return courses


def settle(states: Floats, water: float, volume: float, air: float) -> None:
    """Share the gas of every one of `states`, just mixed, between its water and its bubbles.

    water: kg per kg; volume: L per kg; air: the share of it that is worked in.
    """
    _function("settle")(_in_one_piece(states), len(states), water, volume, air)


def sour(states: Floats, buffer: float) -> None:
    """Write the pH that follows from its acids into every one of `states`, of one mixture."""
    _function("sour")(_in_one_piece(states), len(states), buffer)


def add(
    part: Floats,
    states: Floats,
    sums: Floats,
    grams: float,
    total: float,
    *,
    heat: float,
    flour: float,
) -> None:
    """Add a part to `states` and `sums`, as of `kernel.add`. heat: its capacity in J/K.

    ValueError where it has neither one row nor as many as they have.
    """
    members, rows = len(states), len(part)
    if rows not in (1, members):
        raise ValueError(f"a part has {rows} states, the mix {members}")
    given = np.ascontiguousarray(part, np.float64)
    to = _in_one_piece(states), sums.ctypes.data
    _function("add")(given.ctypes.data, rows, *to, members, grams, total, heat, flour)


def mixed(states: Floats, sums: Floats, *, heat: float, flour: float, gained_k: float) -> None:
    """Write into `states` what does not add up, as of `kernel.mixed`. heat: capacity in J/K."""
    to = _in_one_piece(states), sums.ctypes.data
    _function("mixed")(*to, len(states), heat, flour, gained_k)


def risen(courses: Floats, volume: Floats) -> Floats:
    """How far each course has risen, (members, rows); volume: L per kg, one a member."""
    members, rows = courses.shape[:2]
    rise = np.empty((members, rows))
    of = [np.ascontiguousarray(each, np.float64) for each in (courses, volume)]
    _function("risen")(*(each.ctypes.data for each in of), members, rows, rise.ctypes.data)
    return rise


def history_likelihoods(
    gaps: Floats,
    moved: Floats,
    facts: Floats,
    sorts: NDArray[np.int64],
    ends: tuple[NDArray[np.int64], NDArray[np.int64]],
    *,
    slip: float,
) -> Floats:
    """The logarithm of the likelihood of each history, (members, histories, nodes).

    As of `mixture/learning/likelihood.py`, which says what is given; ends: first columns and first
    observations. Dimensionless; slip from 0 to 1.
    """
    firsts, histories = ends
    counts = len(gaps), len(moved), gaps.shape[1], len(firsts) - 1, len(histories) - 1
    room = _aligned((SPARE + gaps.shape[1]) * SIDE)
    found = np.empty((counts[0], counts[4], counts[1]))
    floats = [np.ascontiguousarray(each) for each in (gaps, moved, facts)]
    whole = [np.ascontiguousarray(each, np.int64) for each in (sorts, firsts, histories)]
    given = [each.ctypes.data for each in (*floats, *whole)]
    _function("likely")(*given, slip, room.ctypes.data, found.ctypes.data, *counts)
    return found


def averaged(found: Floats, log_odds: Floats) -> Floats:
    """The logarithm of the likelihood of all histories, one a member; `found` is used up.

    found: as `history_likelihoods` gives it; log_odds: of each node. Dimensionless.
    """
    members, histories, nodes = found.shape
    odds, likelihood = np.ascontiguousarray(log_odds), np.empty(members)
    given = [each.ctypes.data for each in (found, odds, likelihood)]
    _function("averaged")(*given, members, nodes, histories)
    return likelihood


def _aligned(numbers: int) -> Floats:
    """Room for so many numbers, as a processor fetches them."""
    room = np.empty(numbers + ALIGNED // 8)
    return room[-room.ctypes.data % ALIGNED // 8 :]


def _in_one_piece(states: Floats) -> int:
    """Where they lie. ValueError where they do not lie one after the other."""
    if not states.flags.c_contiguous or states.dtype != np.float64:
        raise ValueError("states must be floats that lie one after the other")
    return states.ctypes.data


SIGNATURES: dict[str, list[Any]] = {
    "hold_span": [c_void_p] * 6 + [c_int64] * 4 + [c_double] + [c_int64] * 3,
    "settle": [c_void_p, c_int64, c_double, c_double, c_double],
    "sour": [c_void_p, c_int64, c_double],
    "add": [c_void_p, c_int64, c_void_p, c_void_p, c_int64] + [c_double] * 4,
    "mixed": [c_void_p, c_void_p, c_int64] + [c_double] * 3,
    "risen": [c_void_p, c_void_p, c_int64, c_int64, c_void_p],
    "likely": [c_void_p] * 6 + [c_double] + [c_void_p] * 2 + [c_int64] * 5,
    "averaged": [c_void_p] * 3 + [c_int64] * 3,
}


@cache
def _function(name: str) -> Callable[..., None]:
    """One of the kernel's functions; while it runs, other threads do too."""
    with _one_at_a_time:
        kind = CFUNCTYPE(None, *SIGNATURES[name])
        return kind(_engine().get_function_address(name))


@cache
def _engine() -> Any:
    """What holds the machine code, which is made where none is kept."""
    path = kernel_file()
    code = _kept(path)
    if code is None:
        code = machine_code()
        _keep(path, code)
    engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), target_machine())
    engine.add_object_file(llvm.ObjectFileRef.from_data(code))
    engine.finalize_object()
    return engine


def _kept(path: Path) -> bytes | None:
    """The machine code in a file, if it is there and whole."""
    try:
        whole = path.read_bytes()
    except OSError:
        return None
    code = whole[DIGEST:]
    return code if hashlib.sha256(code).digest() == whole[:DIGEST] else None


def _keep(path: Path, code: bytes) -> None:
    """Write it for the next process; where that is not possible, that one compiles again."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with NamedTemporaryFile(dir=path.parent, delete=False) as file:
            file.write(hashlib.sha256(code).digest() + code)
        Path(file.name).replace(path)
    except OSError:
        pass
