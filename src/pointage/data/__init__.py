"""Published and named figures that come with the package, as TOML files, each with its source."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def load(name: str) -> dict[str, Any]:
    """The table in `name`, a path below this folder such as "parameters/flours.toml"."""
    return tomllib.loads(files(__name__).joinpath(name).read_text(encoding="utf-8"))


def schema(name: str) -> bytes:
    """The published JSON Schema of this name, as it stands in `schemas/`."""
    return files(__name__).joinpath(f"schemas/{name}.json").read_bytes()


@cache
def listed(folder: str) -> tuple[str, ...]:
    """The paths of the TOML files in `folder`, by name, as `load` takes them."""
    names = (each.name for each in files(__name__).joinpath(folder).iterdir())
    return tuple(f"{folder}/{name}" for name in sorted(names) if name.endswith(".toml"))
