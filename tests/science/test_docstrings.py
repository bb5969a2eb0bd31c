"""Every published model says its units, its range and its source."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from importlib import import_module
from pkgutil import iter_modules

import pytest

import pointage.science

PARAGRAPHS = ("Units:", "Range:", "Source:")
MODULES = [each.name for each in iter_modules(pointage.science.__path__)]


def missing_paragraphs(function: Callable[..., object]) -> list[str]:
    text = inspect.getdoc(function) or ""
    return [name for name in PARAGRAPHS if not re.search(rf"^{name} \S", text, re.MULTILINE)]


def public_functions(module_name: str) -> list[Callable[..., object]]:
    module = import_module(f"pointage.science.{module_name}")
    # A function that the compiler has wrapped is no plain function, but has one inside.
    members = [getattr(each, "py_func", each) for each in vars(module).values()]
    return [
        each
        for each in members
        if inspect.isfunction(each)
        and each.__module__ == module.__name__
        and not each.__name__.startswith("_")
    ]


@pytest.mark.parametrize("module_name", MODULES)
def test_every_public_function_has_its_paragraphs(module_name: str) -> None:
    functions = public_functions(module_name)
    assert functions, f"{module_name} holds no public function"
    faults = {f.__name__: missing for f in functions if (missing := missing_paragraphs(f))}
    assert not faults


def test_a_function_without_them_is_refused() -> None:
    def bare() -> None:
        """Computes something.

        Units: none.
        Range:
        """

    assert missing_paragraphs(bare) == ["Range:", "Source:"]
