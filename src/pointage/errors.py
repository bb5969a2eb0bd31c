"""The tree of errors.

    PointageError
    ├── InputError          what a person gave cannot be used: field, value, what would be right
    │   ├── InputErrors     several such faults of one file, form or command line
    │   └── UnitError       a quantity whose unit cannot be read
    └── RangeError          a number outside the range in which a model may be used

Each holds its fields, and `str(error)` is the line a person is shown, or a line for each fault.
They are caught once, at the edge: the command line prints the lines and exits 2, the web shows the
form again with each fault under its own field.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from types import TracebackType
from typing import Any, ParamSpec, TypeVar

from pointage.language import say, say_many

P = ParamSpec("P")
T = TypeVar("T")
MOST_FAULTS = 100
"""So many faults are said at once: whoever has more mends those first."""
LONGEST_SHOWN = 200
"""Characters of a value that a line shows: what was pasted by mistake need not be read again."""


class PointageError(Exception):
    """The root of every error that this package raises on purpose."""

    def __reduce__(self) -> tuple[Callable[..., Any], tuple[Any, ...]]:
        """A copy, in whatever process, is as it was made there: in the same words."""
        return _made_again, (type(self), self.args, self.__dict__)


def _made_again(
    kind: type[PointageError], args: tuple[Any, ...], fields: dict[str, Any]
) -> PointageError:
    made = kind.__new__(kind, *args)
    made.__dict__.update(fields)
    return made


class Complaint(str):
    """A value that says what is wrong by itself: "no flour", "two places have this name"."""

    def __str__(self) -> str:
        return self  # so that it stays one where only the text of a value is kept


MISSING = Complaint("nothing")
"""The value of a field that was left out."""


class At(str):
    """A field's name as a person is shown it, in their language, which also knows its path.

    path: keys, and the numbers of rows from 0, from the outermost: ("place", 2, "temperature").
    """

    path: tuple[str | int, ...]

    def __new__(cls, text: str, path: tuple[str | int, ...]) -> At:
        made = super().__new__(cls, text)
        made.path = path
        return made

    def __reduce__(self) -> tuple[type[At], tuple[str, tuple[str | int, ...]]]:
        """A copy knows its path, too."""
        return At, (str(self), self.path)


class InputError(PointageError):
    """Something a person gave cannot be used.

    field: its name, an option ("--target") or a word of English ("dough yield") that is translated
    where it is shown; an `At` is shown as it is.
    path: where that is, for code: of an `At` its own, else the field's name alone.
    value: what they gave, as they gave it; MISSING or a Complaint where something is missing.
    expected: what would be right, as the end of a sentence ("a mass such as 600g").
    """

    def __init__(self, field: str, value: object, expected: str) -> None:
        self.field = field
        self.path = field.path if isinstance(field, At) else (field,)
        self.value = value
        self.expected = expected
        named = field if isinstance(field, At) else say(field)
        super().__init__(
            say("{field}: {fault}", field=named, fault=cannot_be_used(value, expected))
        )

    @property
    def faults(self) -> tuple[InputError, ...]:
        """Each fault alone."""
        return (self,)

    def at(self, name: Callable[[InputError], str]) -> InputError:
        """The same faults, each under the field that `name` gives."""
        return type(self)(name(self), self.value, self.expected)


def cannot_be_used(value: object, expected: str) -> str:
    """The line under a field, whose name is beside it: the value and what would be right."""
    if not isinstance(value, Complaint):
        value = _shortly(value)
        return say("{value} cannot be used; expected {expected}", value=value, expected=expected)
    if value == MISSING:
        return say("missing; expected {expected}", expected=expected)
    return say("{complaint}; expected {expected}", complaint=_shortly(value), expected=expected)


def _shortly(value: object) -> str:
    """`value` in one line that can be read, whatever it is."""
    try:
        text = " ".join(str(value).splitlines())
    except ValueError:  # thousands of digits
        return say("that number")
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"


class InputErrors(InputError):  # noqa: N818
    """Several faults at once, in the order of what was given. As one error it is the first.

    besides: how many more there are, which are counted only.
    """

    def __init__(self, faults: Sequence[InputError], besides: int = 0) -> None:
        super().__init__(faults[0].field, faults[0].value, faults[0].expected)
        self.path = faults[0].path
        self.found = tuple(faults)
        self.besides = besides

    def __str__(self) -> str:
        return "\n".join(map(str, self.faults))

    @property
    def faults(self) -> tuple[InputError, ...]:
        if not self.besides:
            return self.found
        more = Complaint(say_many("{n} more fault", "{n} more faults", self.besides))
        return (*self.found, InputError("the rest", more, say("those above mended first")))

    def at(self, name: Callable[[InputError], str]) -> InputError:
        return InputErrors([each.at(name) for each in self.found], self.besides)


class Faults:
    """What is wrong in one thing that was given, collected so that it is said all at once.

    Inside `with faults:` an InputError is kept and the block left; so it is with `take`. `check`
    raises what was kept. Nothing that was read may be used before that.
    """

    _NOTHING: Any = object()

    def __init__(self) -> None:
        self.found: list[InputError] = []
        self.besides = 0  # that nobody looked at more closely

    def take(self, read: Callable[P, T], *args: P.args, **given: P.kwargs) -> T:
        """What `read` gives; at a fault, or of what was itself at fault, a mark for nothing."""
        if not any(each is self._NOTHING for each in (*args, *given.values())):
            with self:
                return read(*args, **given)
        nothing: T = self._NOTHING
        return nothing

    def maybe(self, read: Callable[..., T], text: str | None, *args: object) -> T | None:
        """What `read` gives of `text`, as `take`; None where that was not given."""
        return None if text is None else self.take(read, text, *args)

    def check(self) -> None:
        """Raises the one InputError there was, or all as InputErrors, of very many the first."""
        if len(self.found) == 1:
            raise self.found[0]
        if self.found:
            more = max(0, len(self.found) - MOST_FAULTS)
            raise InputErrors(self.found[:MOST_FAULTS], more + self.besides)

    def __enter__(self) -> None:
        pass

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None
    ) -> bool:
        if isinstance(error, InputErrors):
            self.found += error.found
            self.besides += error.besides
        elif isinstance(error, InputError):
            self.found.append(error)
        return isinstance(error, InputError)


class UnitError(InputError):
    """A quantity whose number or unit cannot be read."""


class RangeError(PointageError):
    """A number outside the range in which a model may be used.

    quantity: what it is ("temperature"); value and limits in the unit named. Both are words of
    English, translated where they are shown.
    """

    def __init__(self, quantity: str, value: float, low: float, high: float, unit: str) -> None:
        self.quantity = quantity
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        super().__init__(
            say(
                "{quantity}: {value:g} {unit} is outside {low:g} to {high:g} {unit}, the range in "
                "which the model may be used",
                quantity=say(quantity),
                value=value,
                low=low,
                high=high,
                unit=say(unit) if unit else "",
            )
        )
