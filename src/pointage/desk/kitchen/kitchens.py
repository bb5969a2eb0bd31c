"""The texts of the demonstration kitchen, and of one that stands in where none can be read."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from pointage.data import load

BARE = """
name = "A kitchen"
zone = "UTC"
tap = "12C"
[hours]
sleep = "22:30-06:00"
[[place]]
name = "Room"
kind = "room"
temperature = "20C"
[[place]]
name = "Fridge"
kind = "fridge"
temperature = "5C"
[[scale]]
name = "Scale"
step = "1g"
capacity = "5kg"
[[vessel]]
name = "Bowl"
tare = "500g"
volume = "5l"
material = "steel"
use = "bowl"
[oven]
name = "Oven"
loaves = 2
rolls = 12
preheat = "60min"
"""
"""What stands in when no text of a kitchen can be read, so that its pages open to mend it."""

DEMONSTRATION = files("pointage.data").joinpath("demonstration")


def demonstration_text() -> str:
    """The file of Skerry Hall, the invented kitchen of every example."""
    return DEMONSTRATION.joinpath("kitchen.toml").read_text(encoding="utf-8")


def demonstration_larder() -> str:
    """The file of what lies in the stores of Skerry Hall."""
    return DEMONSTRATION.joinpath("larder.toml").read_text(encoding="utf-8")


def demonstration_past() -> Mapping[str, Any]:
    """What is hidden in the demonstration's past: see desk/kitchen/demonstration.py."""
    return load("demonstration/past.toml")


def demonstration_formulas() -> dict[str, str]:
    """The texts of the demonstration formulas by slug."""
    folder = DEMONSTRATION.joinpath("formulas")
    return {
        file.name.removesuffix(".toml"): file.read_text(encoding="utf-8")
        for file in sorted(folder.iterdir(), key=lambda each: each.name)
        if file.name.endswith(".toml")
    }
