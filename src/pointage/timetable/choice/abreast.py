"""Chains of work gone through side by side, by this process and a copy of it.

A chain finds out as it goes what has to be worked out next. What several chains need at a time is
parted between the two: the copy is given a task as soon as it is free, and has one more in hand
while there are enough of them. What it answers is kept in the memo, where the chains look for it;
so the answer is the same where all of it is done here. It begins once there are two tasks at a
time, where `can_be_beside` has room for it.
"""

from __future__ import annotations

import gc
import os
import pickle
import signal
import warnings
from collections import deque
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, field
from select import select
from typing import Any, Generic, TypeVar, cast

from pointage.timetable.choice.beside import can_be_beside
from pointage.timetable.choice.memo import Memo

T = TypeVar("T")

IN_HAND = 2
"""Tasks given to the copy at a time, so that it need not wait for this process."""
_SIZE = 8  # bytes that say how long an answer or a task is


@dataclass(frozen=True, eq=False)
class ToMake:
    """Something to work out, and what it is asked with. It changes nothing."""

    key: Hashable
    make: Callable[[], object]


@dataclass(frozen=True, eq=False)
class Needs:
    """What a chain needs before it can go on, which it does with each that is in the memo.

    left: how long the chain is from here, in work of any measure; the longest go first.
    """

    tasks: Sequence[ToMake]
    left: float = 0.0


Chain = Iterator[Needs | T]


def abreast(chains: Sequence[Chain[T]], memo: Memo) -> Iterator[T]:
    """What all chains find, as it is found."""
    search = _Chains(chains, memo)
    try:
        for number in range(len(chains)):
            yield from search.on(number)
        while search.waits:
            search.work()
            while search.ready:
                yield from search.on(search.ready.pop())
    finally:
        if search.other is not None:
            search.other.end()


@dataclass(eq=False)
class _Chains(Generic[T]):
    """waits: of each chain that waits, what for; ready: those that can go on. todo: what nobody has
    begun, the next ones last. given: what the copy has in hand, in order; other: None as long as
    there is none.
    """

    chains: Sequence[Chain[T]]
    memo: Memo
    waits: dict[int, set[Hashable]] = field(default_factory=dict)
    ready: list[int] = field(default_factory=list)
    todo: list[tuple[float, ToMake]] = field(default_factory=list)
    given: deque[ToMake] = field(default_factory=deque)
    other: _Copy | None = None
    alone: bool = False

    def on(self, number: int) -> Iterator[T]:
        """Go on with a chain until it has to wait."""
        self.waits.pop(number, None)
        for step in self.chains[number]:
            if not isinstance(step, Needs):
                yield step
                continue
            new = {each.key: each for each in step.tasks if not self.memo.has(each.key)}
            if new:
                under_way = {each.key for each in (*self.given, *(task for _, task in self.todo))}
                self.todo += [(step.left, each) for k, each in new.items() if k not in under_way]
                self.todo.sort(key=lambda each: each[0])
                self.waits[number] = set(new)
                return

    def work(self) -> None:
        """Hear what the copy has worked out; where no chain can go on with that, work out one task
        here, if there is one."""
        if self.other is not None and self.given:
            self._hear(wait=not self.todo)
        if self.ready:
            return
        self._give()
        if self.todo:
            _, task = self.todo.pop()
            self.memo.get(task.key, task.make)
            self._done(task.key)

    def _give(self) -> None:
        if self.other is None and not self.alone and len(self.todo) > 1:
            self.alone = not can_be_beside()
            self.other = None if self.alone else _Copy.begun()
        while self.other is not None and self.todo:
            most = IN_HAND if len(self.todo) > IN_HAND else 1
            if len(self.given) >= most or (not self.given and len(self.todo) == 1):
                return
            # This process takes the next; the one after it is as good for the copy.
            task = self.todo.pop(-2 if len(self.todo) > 1 else -1)[1]
            if not self.other.give(task.make):
                self.memo.get(task.key, task.make)
                self._done(task.key)
                return
            self.given.append(task)

    def _hear(self, *, wait: bool) -> None:
        assert self.other is not None, "it was given something"
        for answer in self.other.answers(wait=wait):
            task = self.given.popleft()
            if answer is not None:
                self.memo.keep({task.key: answer[0]})
            else:
                self.memo.get(task.key, task.make)
            self._done(task.key)
        if self.other.ended:
            self.todo += [(0.0, task) for task in self.given]
            self.given.clear()
            self.other.end()
            self.other, self.alone = None, True

    def _done(self, key: Hashable) -> None:
        waited = [number for number, keys in self.waits.items() if key in keys]
        self.ready += [number for number in waited if number not in self.ready]


@dataclass(eq=False)
class _Copy:
    """A copy of this process that works out what it is given, one after the other.

    Neither waits for the other to read: what is written here goes as fast as it is taken.
    """

    child: int
    tasks: int
    made: int
    ended: bool = False
    _heard: bytearray = field(default_factory=bytearray)

    @staticmethod
    def begun() -> _Copy:
        get, tasks = os.pipe()
        made, answer = os.pipe()
        with warnings.catch_warnings():
            # Idle threads of the library for arrays, which that begins anew in a copy.
            warnings.simplefilter("ignore", DeprecationWarning)
            child = os.fork()
        if child == 0:
            os.close(tasks)
            os.close(made)
            _work(get, answer)
        os.close(get)
        os.close(answer)
        os.set_blocking(tasks, False)
        os.set_blocking(made, False)
        return _Copy(child, tasks, made)

    def give(self, make: Callable[[], object]) -> bool:
        """Whether it could be given that to work out."""
        try:
            asked = _framed(make)
        except (pickle.PicklingError, TypeError, AttributeError):
            return False
        rest = memoryview(asked)
        while rest and not self.ended:
            can_read, can_write, _ = select([self.made], [self.tasks], [])
            if can_read:
                self._read()
            if can_write:
                try:
                    rest = rest[os.write(self.tasks, rest) :]
                except BrokenPipeError:
                    self.ended = True
        return True

    def answers(self, *, wait: bool) -> Iterator[tuple[Any] | None]:
        """What it has worked out since, in the order it was given; None where it could not.

        wait: for one at the least, unless it has ended.
        """
        found = False
        while True:
            while (size := self._size()) is not None:
                found = True
                answer = bytes(self._heard[_SIZE:size])
                del self._heard[:size]
                yield cast("tuple[Any]", pickle.loads(answer)) if answer else None
            block = None if wait and not found else 0
            if self.ended or not select([self.made], [], [], block)[0]:
                return
            self._read()

    def _size(self) -> int | None:
        """How many bytes the next answer has, where it is there."""
        size = _SIZE + int.from_bytes(self._heard[:_SIZE], "big")
        return size if len(self._heard) >= max(size, _SIZE) else None

    def _read(self) -> None:
        read = os.read(self.made, 1 << 20)
        self._heard += read
        self.ended = self.ended or not read

    def end(self) -> None:
        """It is needed no more."""
        os.close(self.tasks)
        os.close(self.made)
        os.kill(self.child, signal.SIGKILL)
        os.waitpid(self.child, 0)


def _framed(it: object) -> bytes:
    found = pickle.dumps(it, protocol=pickle.HIGHEST_PROTOCOL)
    return len(found).to_bytes(_SIZE, "big") + found


def _work(tasks: int, answers: int) -> None:
    """Work out tasks until there are no more, and end this process without a word."""
    try:
        gc.disable()  # it would copy all memory that it looks at
        os.environ["POINTAGE_CORES"] = "1"
        with os.fdopen(tasks, "rb") as given, os.fdopen(answers, "wb") as answered:
            while len(size := given.read(_SIZE)) == _SIZE:
                make = pickle.loads(given.read(int.from_bytes(size, "big")))
                answered.write(_answer(make))
                answered.flush()
    finally:
        os._exit(0)


def _answer(make: Callable[[], object]) -> bytes:
    """The answer, framed; an empty one where there is none, so that it is asked for again here."""
    try:
        return _framed((make(),))
    except Exception:  # whatever it is, it is raised where it can be read
        return (0).to_bytes(_SIZE, "big")
