"""The compiled kernel is kept under a name made of everything it was compiled from."""

from __future__ import annotations

import ast
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from pointage.errors import InputError
from pointage.mixture import compiled
from pointage.mixture.compiled import (
    SOURCES,
    Floats,
    add,
    cores,
    is_compiled,
    kernel_file,
    mixed,
    risen,
    settle,
)
from pointage.mixture.machine_code import processor
from pointage.mixture.state import STATE_SIZE, SUMS, S
from pointage.science.carbon_dioxide import molar_volume

KERNEL, LIKELIHOOD = "mixture/kernel.py", "mixture/learning/likelihood.py"
NOT_COMPILED = {"data/__init__.py"}
"""It brings the kernel its constants' file, no code or number of its own."""


def test_what_the_kernel_takes_in_is_part_of_its_name() -> None:
    root = files("pointage")
    taken = set()
    texts = [root.joinpath(each).read_text() for each in (KERNEL, LIKELIHOOD)]
    for node in (node for text in texts for node in ast.walk(ast.parse(text))):
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


@pytest.mark.parametrize("damage", [b"", b"torn", None])
def test_what_is_damaged_is_compiled_anew(
    damage: bytes | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Machine code that is cut short would end the process: none is loaded, and it is replaced."""
    whole = kernel_file().read_bytes()
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    kernel_file().parent.mkdir(parents=True)
    kernel_file().write_bytes(whole[:-1] if damage is None else damage)
    made: list[bytes] = []

    def compiles() -> bytes:
        made.append(whole[compiled.DIGEST :])
        return made[0]

    monkeypatch.setattr(compiled, "machine_code", compiles)
    assert not is_compiled()
    assert compiled._engine.__wrapped__().get_function_address("hold_span")
    assert len(made) == 1
    assert is_compiled()
    assert kernel_file().read_bytes() == whole
    assert [each.name for each in kernel_file().parent.iterdir()] == [kernel_file().name]


def test_a_folder_that_takes_nothing_costs_only_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = kernel_file().read_bytes()
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    kernel_file().parent.parent.mkdir(parents=True)
    kernel_file().parent.write_text("a file where the folder should be")
    monkeypatch.setattr(compiled, "machine_code", lambda: whole[compiled.DIGEST :])
    assert compiled._engine.__wrapped__().get_function_address("hold_span")
    assert not is_compiled()


def test_another_processor_has_machine_code_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    here = kernel_file()
    monkeypatch.setattr(compiled, "processor", lambda: processor() + ",+more")
    assert kernel_file() != here


def test_states_that_lie_apart_are_refused() -> None:
    with pytest.raises(ValueError, match="one after the other"):
        settle(np.zeros((4, 38))[:, ::2], 0.5, 1.0, 0.1)


@pytest.mark.parametrize("said", ["two", "0", "-1", "1.5", "²", "9" * 5000])
def test_cores_that_are_no_number_are_refused(said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("POINTAGE_CORES", said)
    with pytest.raises(InputError, match="from 1 to 1024"):
        cores()
    monkeypatch.setenv("POINTAGE_CORES", "3")
    assert cores() == 3


def test_a_mix_adds_up_as_it_does_in_plain_arrays() -> None:
    rng = np.random.default_rng(2)
    parts = [rng.uniform(0.5, 2.0, (rows, STATE_SIZE)) for rows in (5, 1)]
    grams, heat, flour = (40.0, 60.0), (120.0, 90.0), (20.0, 55.0)
    states, sums = np.zeros((5, STATE_SIZE)), np.zeros((5, SUMS))
    for part, *of_it in zip(parts, grams, heat, flour, strict=True):
        add(part, states, sums, of_it[0], sum(grams), heat=of_it[1], flour=of_it[2])
    mixed(states, sums, heat=sum(heat), flour=sum(flour), gained_k=1.5)

    def over(columns: tuple[int, ...], by: tuple[float, ...]) -> Floats:
        whole = (np.prod(part[:, columns], axis=1) * x for part, x in zip(parts, by, strict=True))
        return np.asarray(sum(whole))

    shares = (grams[0] / sum(grams), grams[1] / sum(grams))
    wanted = np.stack([over((each,), shares) for each in range(STATE_SIZE)], axis=1)
    wanted[:, S.TEMPERATURE] = over((S.TEMPERATURE,), heat) / sum(heat) + 1.5
    wanted[:, S.STRENGTH] = over((S.STRENGTH,), flour) / sum(flour)
    for column, cells in ((S.YEAST_READY, S.YEAST), (S.BACTERIA_READY, S.BACTERIA)):
        wanted[:, column] = over((column, cells), shares) / wanted[:, cells]
    wanted[:, S.GASSING] = over((S.GASSING, S.BACTERIA), shares) / wanted[:, S.BACTERIA]
    wanted[:, S.ESCAPED] += wanted[:, S.BUBBLES]
    wanted[:, S.GAS] -= wanted[:, S.BUBBLES]
    np.testing.assert_allclose(states, wanted, rtol=1e-14)
    with pytest.raises(ValueError, match="2 states, the mix 5"):
        add(np.ones((2, STATE_SIZE)), states, sums, 1.0, 2.0, heat=1.0, flour=1.0)


def test_a_course_has_risen_as_in_plain_arrays() -> None:
    rng = np.random.default_rng(3)
    courses, volume = rng.uniform(0.1, 2.0, (6, 9, STATE_SIZE))[1:, ::2], rng.uniform(0.6, 0.9, 5)
    litres = (courses[:, :, S.TEMPERATURE] + 273.15) * (molar_volume(0.0) / 273.15)
    now, at_mix = (litres * courses[:, :, each] for each in (S.BUBBLES, S.AT_MIX))
    wanted = (now + volume[:, None]) / (at_mix + volume[:, None])
    np.testing.assert_allclose(risen(courses, volume), wanted, rtol=1e-14)
