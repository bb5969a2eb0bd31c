"""A process of its own that plans beside the pages, so that they share no interpreter with it.

It is begun once and kept, with what it worked out. What it cannot do, or dies of, is done here. It
reads the end of its pipe when this process ends, however that was.
"""

from __future__ import annotations

import logging
import os
import pickle
import socket
import subprocess
import sys
from collections.abc import Callable, Mapping
from itertools import count
from multiprocessing.connection import Connection
from threading import Lock
from time import monotonic
from typing import Any, ParamSpec, TypeVar
from weakref import WeakKeyDictionary

from pointage.desk.planner.crossing import STOP, Answered, AskedFrom, Heard, Posed, Raised, Unsaid
from pointage.timetable.choice.memo import Memo

P = ParamSpec("P")
T = TypeVar("T")

log = logging.getLogger(__name__)

TICK_S = 0.1
"""So often it is asked whether the answer is still wanted."""
STOP_WITHIN_S = 5.0
"""A process that has not stopped by then is ended."""
END_WITHIN_S = 2.0
MOST_DEATHS = 3
"""After so many in a row no other is begun."""
_BEGIN = (
    "import sys; sys.path[:] = sys.argv[3:]; from pointage.desk.planner.process import work;"
    "work(int(sys.argv[1]), ready=sys.argv[2] == 'ready')"
)


class LostError(Exception):
    """The process that plans is no more, or cannot be understood."""


class PlannerBeside:
    """Solves in a process of its own, one question at a time.

    Until `begin` it solves here, and so it does where that process is busy for somebody else, dies,
    or cannot be given the question. Safe between threads. ready: what plans is loaded there before
    the first question. stop_within_s: as STOP_WITHIN_S.
    """

    def __init__(self, *, ready: bool = True, stop_within_s: float = STOP_WITHIN_S) -> None:
        self._ready, self._stop_within_s = ready, stop_within_s
        self._turn = Lock()
        self._process: _Process | None = None
        self._wanted, self._deaths = False, 0
        self._memos: WeakKeyDictionary[Memo, int] = WeakKeyDictionary()
        self._numbers = count()

    @property
    def pid(self) -> int | None:
        """Of the process, where there is one."""
        return None if self._process is None else self._process.pid

    def begin(self) -> None:
        with self._turn:
            self._wanted = True
            self._begin()

    def end(self) -> None:
        self._wanted = False
        if self._turn.acquire(blocking=False):
            try:
                self._end(END_WITHIN_S)
            finally:
                self._turn.release()
        elif (process := self._process) is not None:
            process.kill()  # whoever waits for it need wait no more

    def ask(self, solve: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
        if self._turn.acquire(blocking=False):
            try:
                if self._begin() is not None and (asked := self._pose(solve, given, named)):
                    found: T = self._solved(*asked, named)
                    return found
            except LostError as error:
                log.warning("planned in this process: %s", error)
            finally:
                self._turn.release()
        return solve(*given, **named)

    def _begin(self) -> _Process | None:
        """The process; begun where it is wanted and not there."""
        if self._process is not None and not self._process.is_alive:
            log.warning("the process that plans ended by itself (%s)", self._process.status)
            self._deaths += 1
            self._end(0.0)
        if self._process is None and self._wanted and self._deaths < MOST_DEATHS:
            try:
                self._process = _Process(self._ready)
            except OSError as error:
                log.warning("no process that plans can be begun: %s", error)
                self._deaths += 1
        return self._process

    def _end(self, within_s: float) -> None:
        if self._process is not None:
            self._process.end(within_s)
            self._process = None

    def _pose(
        self, solve: Callable[..., Any], given: tuple[Any, ...], named: Mapping[str, Any]
    ) -> tuple[bytes, tuple[str, ...]] | None:
        """The question, and who hears of it; None for one that cannot pass."""
        hears = tuple(name for name, each in named.items() if callable(each))
        memos = {name: each for name, each in named.items() if isinstance(each, Memo)}
        plain = {n: each for n, each in named.items() if n not in hears and n not in memos}
        numbers = {name: self._number(memo) for name, memo in memos.items()}
        posed = Posed(solve, given, plain, hears, numbers, AskedFrom.here())
        try:
            return pickle.dumps(posed, protocol=pickle.HIGHEST_PROTOCOL), hears
        except Exception as error:  # whatever in it cannot pass
            log.warning("planned in this process: %s", error)
            return None

    def _number(self, memo: Memo) -> int:
        if memo not in self._memos:
            self._memos[memo] = next(self._numbers)
        return self._memos[memo]

    def _solved(self, posed: bytes, hears: tuple[str, ...], named: Mapping[str, Any]) -> Any:
        """The answer from there. Raises LostError, and what was raised there or who hears raises.

        A process that is lost is replaced.
        """
        process = self._process
        assert process is not None
        try:
            process.send(posed)
            try:
                answer = _heard(process, {name: named[name] for name in hears})
            except LostError:
                raise
            except BaseException:  # who hears of it wants no more
                process.stop(self._stop_within_s)
                raise
        except LostError:
            self._deaths += 1
            raise
        finally:
            if process.is_lost:
                self._end(0.0)
                self._begin()
        self._deaths = 0
        if isinstance(answer, Raised):
            raise answer.error
        if isinstance(answer, Unsaid):
            raise LostError(answer.why)
        assert isinstance(answer, Answered)
        return answer.answer


def _heard(process: _Process, hears: Mapping[str, Callable[..., None]]) -> Any:
    """What the work ends with. Those who hear of it do; `reached` also now and then between."""
    reached, share = hears.get("reached"), 0.0
    while True:
        came = process.receive(TICK_S)
        if came is None:
            if reached is not None:
                reached(share)
        elif isinstance(came, Heard):
            if came.name == "reached":
                (share,) = came.said
            hears[came.name](*came.said)
        else:
            return came


class _Process:
    """The process and its pipe. Raises OSError where none can be had."""

    def __init__(self, ready: bool) -> None:
        if os.name != "posix" or not sys.executable:
            raise OSError("it can be had on Linux and macOS")
        ours, theirs = socket.socketpair()
        with theirs:
            try:
                self._popen = subprocess.Popen(
                    [
                        *(sys.executable, "-c", _BEGIN, str(theirs.fileno())),
                        *("ready" if ready else "", *sys.path),
                    ],
                    stdin=subprocess.DEVNULL,
                    stdout=subprocess.DEVNULL,
                    pass_fds=[theirs.fileno()],
                    # What the terminal ends, such as Ctrl-C, is for the pages: they end this.
                    process_group=0,
                )
            except OSError:
                ours.close()
                raise
        self._pipe = Connection(ours.detach())
        self.is_lost = False

    @property
    def pid(self) -> int:
        return self._popen.pid

    @property
    def is_alive(self) -> bool:
        return not self.is_lost and self._popen.poll() is None

    @property
    def status(self) -> int | None:
        return self._popen.returncode

    def send(self, written: bytes) -> None:
        """Raises LostError."""
        try:
            self._pipe.send_bytes(written)
        except OSError as error:
            raise self._lost(error) from None

    def receive(self, seconds: float) -> Any:
        """What comes within so long, else None. Raises LostError."""
        try:
            if not self._pipe.poll(seconds):
                # A copy of it may hold the pipe open when it is no more itself.
                if self._popen.poll() is not None and not self._pipe.poll():
                    raise EOFError("it ended")
                return None
            came = self._pipe.recv_bytes()
            return pickle.loads(came)
        except Exception as error:  # it ended, or says what nobody here can read
            raise self._lost(error) from None

    def stop(self, within_s: float) -> None:
        """Let it end what it works on; it is lost where it does not."""
        until = monotonic() + within_s
        try:
            self.send(pickle.dumps(STOP))
            while (left := until - monotonic()) > 0:
                came = self.receive(left)
                if came is not None and not isinstance(came, Heard):
                    return
        except LostError:
            pass
        self.is_lost = True

    def kill(self) -> None:
        self._popen.kill()

    def end(self, within_s: float) -> None:
        """Let it end by the end of its pipe, and after so long by force."""
        self._pipe.close()
        try:
            self._popen.wait(within_s)
        except subprocess.TimeoutExpired:
            self._popen.kill()
            self._popen.wait()

    def _lost(self, error: Exception) -> LostError:
        self.is_lost = True
        status = self._popen.poll()
        why = str(error) or type(error).__name__
        return LostError(f"the process that plans is lost ({why}, {status})")
