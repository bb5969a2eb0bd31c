"""Give a reader one input after another: how many, the worst time and memory, and what failed."""

from __future__ import annotations

import resource
import signal
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

from pointage.errors import PointageError

MOST_S, MOST_MB = 2.0, 200.0
"""Of the processor's seconds: what else runs on the machine is not the reader's."""

HANGS_S = 60
SHOWN = 2000
TRIES, TRIED_S = 120, 10.0
"""How often an input that fails is made smaller, and for how long."""


class Wrong(Exception):  # noqa: N818, it is what was found, not what went wrong here
    """An answer that should not be: status 500, an exit code of none of ours."""


@dataclass(frozen=True)
class Reader:
    """What is given inputs. share: of all inputs, against the shares of the others.

    make: an input. read: may raise a PointageError; anything else is a failure. close: at the end.
    """

    name: str
    share: float
    make: Callable[[Random], Any]
    read: Callable[[Any], object]
    close: Callable[[], object] = lambda: None


@dataclass
class Report:
    """What a reader did. failures: by their signature, each with its smallest input."""

    inputs: int = 0
    refused: int = 0
    seconds: float = 0.0
    worst_s: float = 0.0
    worst_mb: float = 0.0
    failures: dict[str, dict[str, Any]] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        return {
            "inputs": self.inputs,
            "refused": self.refused,
            "seconds": round(self.seconds, 1),
            "worst_s": round(self.worst_s, 3),
            "worst_mb": round(self.worst_mb, 1),
            "failures": list(self.failures.values()),
        }


def measure(reader: Reader, inputs: int, rng: Random, most_s: float = MOST_S) -> Report:
    """Give `reader` so many inputs."""
    report = Report()
    _forget_peak()
    for _ in range(inputs):
        given = reader.make(rng)
        sign, refused = _tried(reader, given, most_s, report)
        report.inputs += 1
        report.refused += refused
        if sign is None:
            continue
        known = report.failures.get(sign)
        if known is None:
            given = smaller(reader, given, sign, most_s)
        elif len(repr(given)) >= known["size"]:
            known["times"] += 1
            continue
        times = 1 if known is None else known["times"] + 1
        shown = repr(given)
        report.failures[sign] = {
            "what": sign, "times": times, "size": len(shown), "input": shown[:SHOWN],
        }  # fmt: skip
    return report


def smaller(reader: Reader, given: Any, sign: str, most_s: float) -> Any:
    """The smallest input found that fails in the same way, by leaving out parts of it."""
    until, tries = time.monotonic() + TRIED_S, 0
    found = True
    while found and tries < TRIES and time.monotonic() < until:
        found = False
        for less in _less(given):
            tries += 1
            if tries > TRIES or time.monotonic() > until:
                break
            if _tried(reader, less, most_s, Report())[0] == sign:
                given, found = less, True
                break
    return given


def _less(given: Any) -> Iterator[Any]:
    match given:
        case str() | bytes() | list():
            whole: Any = given
            part = len(whole) // 2
            while part >= 1:
                for start in range(0, len(whole), part):
                    yield whole[:start] + whole[start + part :]
                part //= 2
        case dict():
            for key in given:
                yield {k: v for k, v in given.items() if k != key}
            for key, each in given.items():
                yield from ({**given, key: less} for less in _less(each))
        case tuple():
            for at, each in enumerate(given):
                yield from ((*given[:at], less, *given[at + 1 :]) for less in _less(each))


def _tried(reader: Reader, given: Any, most_s: float, report: Report) -> tuple[str | None, bool]:
    """How `given` failed, if it did, and whether it was refused."""
    before, begun = _peak_mb(), time.process_time()
    sign, refused = None, False
    try:
        with _alarm():
            reader.read(given)
    except PointageError as error:
        refused = True
        if any("\n" in str(each) for each in getattr(error, "faults", (error,))):
            sign = f"{type(error).__name__} of more than a line for a fault"
    except _Hangs:
        sign = f"no answer in {HANGS_S} s"
    except Wrong as error:
        sign = str(error)
    except Exception as error:  # its words may have the input in them
        sign = f"{type(error).__name__} [{_place(error)}]"
    took, grew = time.process_time() - begun, _peak_mb() - before
    report.seconds += took
    report.worst_s, report.worst_mb = max(report.worst_s, took), max(report.worst_mb, grew)
    if sign is None and took > most_s:
        again = time.process_time()  # the first time may have loaded or learnt what stays
        with suppress(Exception, _Hangs), _alarm():
            reader.read(given)
        if time.process_time() - again > most_s:
            sign = f"more than {most_s:g} s"
    if grew > MOST_MB:
        sign = sign or f"more than {MOST_MB:g} MB"
    if grew > MOST_MB / 4:
        _forget_peak()
    return sign, refused


def _place(error: BaseException) -> str:
    """The innermost line of ours that the error came through."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [each for each in frames if "/pointage/" in each.filename] or frames
    last = ours[-1]
    return f"{last.filename.rpartition('/pointage/')[2]}:{last.lineno} {last.name}"


class _Hangs(BaseException):
    pass


@contextmanager
def _alarm() -> Iterator[None]:
    def ring(*_: object) -> None:
        raise _Hangs

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, HANGS_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def _peak_mb() -> float:
    try:
        status = Path("/proc/self/status").read_text()
    except OSError:  # no Linux
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return float(status.partition("VmHWM:")[2].split()[0]) / 1024


def _forget_peak() -> None:
    """Let the peak begin anew, where the system can."""
    try:
        Path("/proc/self/clear_refs").write_text("5")
    except OSError:
        return
