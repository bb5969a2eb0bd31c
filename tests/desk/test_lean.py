"""What is leaned to, read from a file of wishes and written as one."""

from __future__ import annotations

import pytest

from pointage.desk.week.lean import LeanTable, lean_text, read_lean
from pointage.errors import InputError
from pointage.timetable.ways.lean import AS_USUAL, RATHER, STRONGLY, Lean
from pointage.toml import TomlTable, read_toml


class OnlyLean(TomlTable):
    """A file with nothing else."""

    lean: LeanTable | None = None


def test_what_was_written_is_read() -> None:
    assert lean_text({}) == ""
    text = lean_text({"early": "rather", "chores": "strongly"})
    read = read_lean(read_toml(OnlyLean, text, "week.toml").lean, "week.toml")
    assert read == Lean(early=RATHER, chores=STRONGLY)
    assert read_lean(None, "week.toml") == AS_USUAL == Lean()


def test_every_fault_names_its_field() -> None:
    table = read_toml(OnlyLean, '[lean]\nwaste = "rathr"\nnight = "a lot"\n', "week.toml").lean
    with pytest.raises(InputError) as raised:
        read_lean(table, "week.toml")
    assert [fault.path for fault in raised.value.faults] == [("lean", "night"), ("lean", "waste")]
    lines = str(raised.value).splitlines()
    assert lines[1] == (
        "week.toml, lean, waste: 'rathr' cannot be used; expected one of usual, rather, strongly; "
        "'rather' perhaps"
    )
    with pytest.raises(
        InputError, match="lean: 'sleep' cannot be used; expected one of early, night"
    ):
        read_toml(OnlyLean, '[lean]\nsleep = "rather"\n', "week.toml")
