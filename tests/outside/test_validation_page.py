"""docs/validation says what the engine does now."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = ROOT / "scripts" / "validation.py"
PAGE = ROOT / "docs" / "validation" / "README.md"


def test_the_page_is_up_to_date() -> None:
    """If this fails: .venv/bin/python scripts/validation.py."""
    checked = subprocess.run(
        [sys.executable, SCRIPT, "--check"], capture_output=True, text=True, check=False
    )
    assert checked.returncode == 0, checked.stderr


def test_its_drawings_are_there() -> None:
    drawings = re.findall(r"\]\((\w+\.svg)\)", PAGE.read_text(encoding="utf-8"))
    assert len(drawings) == 5
    for drawing in drawings:
        assert "<svg" in PAGE.with_name(drawing).read_text(encoding="utf-8")[:200]


@pytest.mark.long
def test_a_page_that_is_not_is_told() -> None:
    probe = (
        "import runpy; told = runpy.run_path(r'{}')['first_difference']; "
        "assert told('| 7 | 1.52 |', '| 7 | 1.54 |') is None; "
        "assert told('| 7 | 1.52 |', '| 7 | 1.55 |'); "
        "assert told('| 7 | 1.52 |', '| 8 | 1.52 |'); "
        "assert told('| pH |', '| acid |')"
    )
    subprocess.run([sys.executable, "-c", probe.format(SCRIPT)], check=True)
