"""Valid input made invalid, a little or a lot: digits blown up, units swapped, deep nesting."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from random import Random
from typing import Any

NUMBERS = (
    "0", "-0", "-1", "1e23", "1e400", "-1e-400", "nan", "inf", "-inf", "0x10", "1_000", "٣", "½",
    "²", "９", "9" * 30, "9" * 400, "9" * 5000, "-" + "9" * 5000, "0." + "0" * 30 + "1", "1/3",
    "1.200", "1,200", "1 200", "", "+", "-", ".", ".5", "5.", "0" * 40 + "1", "1.2.3", "true",
    "0.0000001", "99999", "1e9", "2147483648", "18446744073709551616", "−5",
)  # fmt: skip
UNITS = ("g", "kg", "mg", "oz", "lb", "l", "ml", "C", "F", "K", "°C", "%", "h", "min", "s", "d",
         "mm", "cm", "m", "ft", "W", "kW", "ells", "EUR", "")  # fmt: skip
DATES = (
    "0001-01-01", "9999-12-31", "0000-00-00", "2026-02-30", "9999-12-31T23:59", "0001-01-01T00:00",
    "0001-01-01T00:00+14:00", "9999-12-31T23:59-14:00", "1969-12-31T23:59:59Z", "10000-01-01",
    "2026-W48-1", "nonsense", "2026-11-25T09:00:00.123456789", "24:00", "00:60", "2026-11-25T24:00",
    "2026-10-25T01:30", "2026-03-29T01:30", "2026-11-25T09:00+99:99",
)  # fmt: skip
SIGNS = ("\0", "\x1b[2J", "\u202e", "\n", "\r\n", "\t", "\u2028", "\u200b", "é", "🍞", "ß", "İ",
         "'", '"', "\\", "%", "{}", "<b>", "&", "/", "..", ";", "--", "@", ":", "=", "#", "[", "]",
         "{", "\x7f", "\x85", " ", "\ufeff")  # fmt: skip
VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 1e300, -1e300, 1e-300, 10**30, 10**400, float("nan"), float("inf"),
    "", "x", "nan", "\0", "\ud800", "9" * 5000, "x" * 5000, [], {}, [[]], [None], {"a": 1},
    {"": {}}, 0.1, "2024-11-22", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59-14:00", "1/3",
)  # fmt: skip
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_WORD = re.compile(r"[^\W\d_]+")
_DATE = re.compile(r"\d{4}-\d\d-\d\d(?:T\d\d:\d\d\S*)?")
DEEP = (50, 500, 20_000)


def text(rng: Random, example: str) -> str:
    """`example` with one to three things changed."""
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        example = rng.choice(_WAYS)(rng, example)
    return example


def number(rng: Random, example: str) -> str:
    return _replaced(rng, _NUMBER, example, NUMBERS)


def unit(rng: Random, example: str) -> str:
    return _replaced(rng, _WORD, example, UNITS)


def day(rng: Random, example: str) -> str:
    return _replaced(rng, _DATE, example, DATES)


def _replaced(rng: Random, pattern: re.Pattern[str], example: str, choices: Sequence[str]) -> str:
    """One of what `pattern` finds in `example` replaced; where there is none, all of it."""
    found = list(pattern.finditer(example[:20_000]))
    if not found:
        return rng.choice(choices)
    match = rng.choice(found)
    return example[: match.start()] + rng.choice(choices) + example[match.end() :]


def _inserted(rng: Random, example: str) -> str:
    at = rng.randint(0, len(example))
    return example[:at] + rng.choice(SIGNS) + example[at:]


def _cut(rng: Random, example: str) -> str:
    start, end = sorted(rng.randint(0, len(example)) for _ in range(2))
    return example[:start] + example[end:]


def _repeated(rng: Random, example: str) -> str:
    start, end = sorted(rng.randint(0, len(example)) for _ in range(2))
    times = rng.choice((2, 3, 50, 1000))
    return example[:start] + example[start:end][:200] * times + example[end:]


def _sign(rng: Random, example: str) -> str:
    return rng.choice("-+−") + example


def _other_digits(rng: Random, example: str) -> str:
    zero = rng.choice("٠०０𝟎")
    return "".join(chr(ord(zero) + int(c)) if c in "0123456789" else c for c in example)


def _whole(rng: Random, example: str) -> str:
    return rng.choice((*NUMBERS, *DATES, *SIGNS, "", " ", "x" * 3000))


def _nested(rng: Random, example: str) -> str:
    """A value replaced by brackets, as deep as a file can be made in a moment."""
    deep = rng.choice(DEEP)
    opening, closing = rng.choice((("[", "]"), ("{a=", "}"), ('{"a":', "}"), ("a.", "")))
    nest = opening * deep + "1" + closing * deep
    found = list(re.finditer(r"(?<=[=:]) *\S+", example[:20_000]))
    if not found:
        return nest
    match = rng.choice(found)
    return example[: match.start()] + nest + example[match.end() :]


_WAYS: Sequence[Callable[[Random, str], str]] = (
    number, number, number, unit, unit, day, day, _inserted, _inserted, _cut, _repeated, _sign,
    _other_digits, _whole,
)  # fmt: skip


def document(rng: Random, example: str) -> str:
    """A file's text with something changed; now and then nested too deep, or lines exchanged."""
    way = rng.random()
    if way < 0.03:
        return _nested(rng, example)
    if way < 0.2:
        lines = example.splitlines(keepends=True)
        if lines:
            at, other = rng.randrange(len(lines)), rng.randrange(len(lines))
            lines[at] = rng.choice(("", lines[other], lines[at] * 2, lines[other] + lines[at]))
        return "".join(lines)
    return text(rng, example)


def value(rng: Random, example: Any) -> Any:
    """JSON values with one place in them changed; `example` itself stays as it is."""
    if isinstance(example, dict) and example and rng.random() < 0.9:
        key = rng.choice(sorted(example))
        changed = dict(example)
        way = rng.random()
        if way < 0.1:
            del changed[key]
        elif way < 0.15:
            changed[rng.choice(("", "mood", key.upper(), "\0"))] = changed[key]
        else:
            changed[key] = value(rng, example[key])
        return changed
    if isinstance(example, list) and example and rng.random() < 0.9:
        at = rng.randrange(len(example))
        changed_list = list(example)
        if rng.random() < 0.2:
            changed_list[at : at + 1] = rng.choice(([], [example[at]] * 2, [example[at]] * 300))
        else:
            changed_list[at] = value(rng, example[at])
        return changed_list
    if isinstance(example, str) and rng.random() < 0.5:
        return text(rng, example)
    if isinstance(example, int | float) and not isinstance(example, bool) and rng.random() < 0.4:
        return rng.choice((-example, example * 1e6, example * 1e-6, str(example), 0, 10**30))
    if rng.random() < 0.02:
        deep: Any = 1
        for _ in range(rng.choice((50, 900))):
            deep = rng.choice(([deep], {"a": deep}))
        return deep
    return rng.choice(VALUES)
