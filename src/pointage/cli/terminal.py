"""What leaves for the terminal: no name or file can steer it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, redirect_stderr, redirect_stdout
from typing import IO, Any, cast


def harmless(text: str, line_ends: str = "") -> str:
    r"""`text` with its control characters written out, as \u001b, which JSON reads as well.

    Escape sequences, signs that turn the direction of writing, lone surrogates and the like: all
    that cannot be printed but `line_ends` and the spaces of sums of money.
    """
    if text.isprintable():
        return text
    kept = line_ends + "\u00a0\u202f"
    return "".join(c if c.isprintable() or c in kept else _written(c) for c in text)


def _written(sign: str) -> str:
    number = ord(sign)
    if number > 0xFFFF:  # as JSON has it: two halves
        number -= 0x10000
        return f"\\u{0xD800 + (number >> 10):04x}\\u{0xDC00 + (number & 0x3FF):04x}"
    return f"\\u{number:04x}"


class Harmless:
    """A stream on which nothing is written but what can be printed, and the ends of lines."""

    def __init__(self, stream: IO[str]) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        self._stream.write(harmless(text, "\n"))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextmanager
def harmless_streams(out: IO[str], err: IO[str]) -> Iterator[None]:
    """Everything that is printed meanwhile goes through `Harmless`."""
    with ExitStack() as both:
        both.enter_context(redirect_stdout(cast("IO[str]", Harmless(out))))
        both.enter_context(redirect_stderr(cast("IO[str]", Harmless(err))))
        yield
