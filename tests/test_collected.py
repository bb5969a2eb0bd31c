"""Every text that goes through `language` is found by scripts/messages.py."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.made_up import accented, made_up

SOURCE = Path(__file__).parents[1] / "src" / "pointage"
TEXTS = {"say": 1, "mark": 1, "say_many": 2}
"""What takes texts, and how many."""


def texts(path: Path) -> Iterator[str]:
    code = path.read_text()
    if not any(f"{name}(" in code for name in TEXTS):
        return  # to read it takes a while
    for call in ast.walk(ast.parse(code)):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name):
            for each in call.args[: TEXTS.get(call.func.id, 0)]:
                if isinstance(each, ast.Constant) and each.value:
                    yield str(each.value)


@pytest.mark.parametrize("room", sorted(each.parent.name for each in SOURCE.glob("*/__init__.py")))
def test_every_text_in_code_is_collected(room: str) -> None:
    translate = made_up().texts.gettext
    found = [text for path in (SOURCE / room).rglob("*.py") for text in texts(path)]
    assert [text for text in found if translate(text) == text != accented(text)] == []
