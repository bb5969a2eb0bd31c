"""What is wrong with the body of an entry, in words."""

from __future__ import annotations

import re
from collections.abc import Mapping

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from pointage.errors import MISSING, At, InputError, InputErrors
from pointage.language import say
from pointage.quantities import print_number
from pointage.toml import deepest


def refusal(error: ValidationError) -> InputError:
    """Every fault of a body, by its field."""
    found = error.errors()
    # A list is also too short for want of what is wrong in it: that says enough.
    faults = [_fault(each) for each in deepest(found)]
    return InputErrors(faults) if len(faults) > 1 else faults[0]


def _fault(found: ErrorDetails) -> InputError:
    places = [str(at + 1) if isinstance(at, int) else at for at in found["loc"]]
    field = At(", ".join(places) or "body", found["loc"] or ("body",))
    match found["type"]:
        case "expected":
            expected, value = found["msg"], found["input"]
        case "missing":
            return InputError(field, MISSING, say("something in this field"))
        case "extra_forbidden":
            expected, value = say("only the fields of this kind of entry"), say("this field")
        case "literal_error":
            choices = ", ".join(re.findall(r"'([^']+)'", found["ctx"]["expected"]))
            expected, value = say("one of {choices}", choices=choices), found["input"]
        case "string_pattern_mismatch" if found["loc"][-1] == "currency":
            expected = say("a currency of three capital letters, such as EUR")
            value = found["input"]
        case _:
            expected = say("another one ({reason})", reason=found["msg"].lower())
            value = found["input"]
    if isinstance(value, BaseModel | Mapping):
        value = say("this")
    shown = print_number(value, 6) if isinstance(value, float) else str(value)
    return InputError(field, shown if len(shown) <= 60 else shown[:60] + "…", expected)
