"""What was worked out for one week and serves the next: levains, ways and plans.

Nothing of a week hangs on anything but what it was asked with. So what was asked with the same may
be had again: when a wish is added, or a plan looked at anew within the quarter of an hour.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from enum import Enum
from fractions import Fraction
from functools import partial
from hashlib import blake2b
from itertools import count
from threading import Lock
from typing import Any, TypeVar, cast

import numpy as np

T = TypeVar("T")

MOST = 128
"""So many answers are kept; a wish has three or four, the longest unused go first."""
_PLAIN = (str, int, float, bool, bytes, type(None), Fraction, date, datetime, time, timedelta, Enum)
_unlike = count()


@dataclass(eq=False)
class Memo:
    """Answers by what they were asked with. Several threads may ask; none waits for another."""

    most: int = MOST
    _answers: OrderedDict[Hashable, Any] = field(default_factory=OrderedDict)
    _lock: Lock = field(default_factory=Lock)

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The answer to `key`, made where it is not there. What raises is not kept."""
        with self._lock:
            if key in self._answers:
                self._answers.move_to_end(key)
                return cast(T, self._answers[key])
        made = make()
        with self._lock:
            self._answers[key] = made
            while len(self._answers) > self.most:
                self._answers.popitem(last=False)
        return made

    def has(self, key: Hashable) -> bool:
        """Whether it knows the answer."""
        return key in self._answers

    def keep(self, answers: Mapping[Hashable, Any]) -> None:
        """Keep what was made elsewhere."""
        for key, made in answers.items():
            self.get(key, partial(_same, made))

    def __reduce__(self) -> tuple[type[Memo], tuple[int]]:
        """A copy begins with nothing."""
        return Memo, (self.most,)


def _same(made: T) -> T:
    return made


@dataclass(eq=False)
class Digests:
    """Digests of frozen data: the same of what is field for field the same.

    What is shared by several is read once, for as long as this lives. Things of a kind that is not
    known are like nothing else, not even themselves. strict: they raise TypeError, for whoever
    keeps digests longer than this process.
    """

    strict: bool = False
    _known: dict[int, tuple[object, bytes]] = field(default_factory=dict)

    def of(self, *parts: object) -> bytes:
        return self._one(parts)

    def _one(self, it: object) -> bytes:
        if isinstance(it, _PLAIN):
            return f"{type(it).__name__} {it!r}".encode()
        known = self._known.get(id(it))
        if known is None:
            known = self._known[id(it)] = it, self._read(it)
        return known[1]

    def _read(self, it: object) -> bytes:
        parts: Sequence[object]
        if isinstance(it, np.ndarray):
            parts = [it.dtype.str, it.shape, it.tobytes()]
        elif isinstance(it, np.generic):
            parts = [it.dtype.str, it.tobytes()]
        elif is_dataclass(it):
            parts = [getattr(it, each.name) for each in fields(it)]
        elif isinstance(it, Mapping):
            parts = [each for pair in it.items() for each in pair]
        elif isinstance(it, AbstractSet):
            parts = sorted(map(self._one, it))
        elif isinstance(it, (tuple, list)):
            parts = list(it)
        elif isinstance(it, tzinfo):
            parts = [str(it)]
        elif self.strict:
            raise TypeError(f"what tells one {type(it).__name__} from another is not known")
        else:
            parts = [next(_unlike)]
        read = blake2b(type(it).__name__.encode(), digest_size=20)
        for part in parts:
            one = self._one(part)
            read.update(len(one).to_bytes(4, "big") + one)
        return read.digest()
