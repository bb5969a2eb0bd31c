"""The compiled kernel is kept under a name made of everything it was compiled from."""

from __future__ import annotations

import ast
from importlib.resources import files

from pointage.mixture.compiled import SOURCES

KERNEL = "mixture/kernel.py"
NOT_COMPILED = {"data/__init__.py", "mixture/compiled.py"}
"""They bring the kernel its constants' file and its folder, no code or number of their own."""


def test_what_the_kernel_takes_in_is_part_of_its_name() -> None:
    root = files("pointage")
    taken = set()
    for node in ast.walk(ast.parse(root.joinpath(KERNEL).read_text())):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("pointage"):
            folder = "/".join((node.module or "").split(".")[1:])
            if root.joinpath(f"{folder}.py").is_file():
                taken.add(f"{folder}.py")
            else:
                modules = [f"{folder}/{each.name}.py" for each in node.names]
                taken |= {
                    m if root.joinpath(m).is_file() else f"{folder}/__init__.py" for m in modules
                }
    assert len(taken) > 4
    assert taken - NOT_COMPILED <= set(SOURCES)


def test_the_kernels_numbers_are_part_of_its_name() -> None:
    text = files("pointage").joinpath(KERNEL).read_text()
    loaded = {f"data/{part.split(chr(34))[0]}" for part in text.split('load("')[1:]}
    assert loaded
    assert loaded <= set(SOURCES)
