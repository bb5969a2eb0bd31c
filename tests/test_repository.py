"""The repository's own promises: versions, sizes, directions, and a manual that tells the truth."""

from __future__ import annotations

import ast
import json
import re
import shlex
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import suppress
from datetime import datetime, timedelta
from importlib.metadata import PackageNotFoundError, packages_distributions, requires
from pathlib import Path

import pytest

from pointage import __version__
from pointage.cli.app import run

ROOT = Path(__file__).parents[1]
PROGRAMS = Path(sys.executable).parent
CROWDED_LINES = 500
CROWDED_FILES = 15  # beside __init__.py
PIN = re.compile(r"([A-Za-z0-9._-]+)==[A-Za-z0-9.+!]+")


def plain(name: str) -> str:
    """A package's name as pip compares it: case and the sort of dash do not matter."""
    return re.sub(r"[-_.]+", "-", name).lower()


def pinned() -> set[str]:
    lines = (ROOT / "constraints.txt").read_text().split("\n")
    matches = [PIN.fullmatch(line) for line in lines if line]
    wrong = [line for line, match in zip(lines, matches, strict=False) if match is None]
    assert not wrong, f"not a plain name==version: {wrong}"
    return {plain(match[1]) for match in matches if match is not None}


def with_their_own(packages: Iterable[str], seen: set[str] | None = None) -> set[str]:
    """Packages by these requirements and all that is installed with them, extras left out."""
    seen = set() if seen is None else seen
    for each in packages:
        name = plain(re.split(r"[^A-Za-z0-9._-]", each)[0])
        if "extra ==" not in each and name not in seen:
            seen.add(name)
            with suppress(PackageNotFoundError):  # for another system or Python than this one
                with_their_own(requires(name) or (), seen)
    return seen


def imported(file: Path) -> Iterator[str]:
    """The outermost name of every module that a file imports, wherever in it."""
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module.partition(".")[0]


@pytest.mark.long
def test_the_product_imports_nothing_that_is_not_installed_with_it() -> None:
    """What the tests need besides would hide it: who only uses Pointage does not have that."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    there = with_their_own(project["dependencies"])
    sources = packages_distributions()
    for file in (ROOT / "src").rglob("*.py"):
        for module in {*imported(file)} - sys.stdlib_module_names - {"pointage"}:
            assert there & {plain(each) for each in sources[module]}, f"{file}: {module}"


def test_constraints_are_names_and_versions_and_nothing_else() -> None:
    assert len(pinned()) > 20


def test_every_dependency_is_pinned_and_so_is_the_build_backend() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    wanted = project["build-system"]["requires"] + project["project"]["dependencies"]
    for extra in project["project"]["optional-dependencies"].values():
        wanted += extra
    names = {plain(re.split(r"[\[<>=!~; ]", each)[0]) for each in wanted}
    assert names <= pinned()


def test_no_room_is_crowded() -> None:
    folders = [ROOT / name for name in ("src", "tests", "scripts", "benchmarks")]
    files = [
        path
        for folder in folders
        for path in folder.rglob("*")
        if path.suffix in {".py", ".js", ".css", ".html"}
    ]
    assert len(files) > 20
    crowded = {
        str(path.relative_to(ROOT)): count
        for path in files
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > CROWDED_LINES
    }
    assert not crowded


def test_no_folder_is_crowded() -> None:
    counts = Counter(
        path.parent for path in (ROOT / "src").rglob("*.py") if path.name != "__init__.py"
    )
    assert len(counts) > 40
    assert not {
        str(folder.relative_to(ROOT)): count
        for folder, count in counts.items()
        if count > CROWDED_FILES
    }


def test_a_class_name_has_one_owner() -> None:
    owners: dict[str, list[str]] = {}
    for path in sorted((ROOT / "src").rglob("*.py")):
        for name in re.findall(r"(?m)^ *class (\w+)[(:\[]", path.read_text(encoding="utf-8")):
            owners.setdefault(name, []).append(str(path.relative_to(ROOT)))
    assert len(owners) > 500
    assert not {name: files for name, files in owners.items() if len(files) > 1}


def documented_commands() -> list[str]:
    """Every `pointage …` line in a block of code in README.md or docs/, joined at backslashes."""
    found = []
    for page in [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]:
        for block in re.findall(r"```\w*\n(.*?)```", page.read_text(encoding="utf-8"), re.S):
            for line in block.replace("\\\n", " ").splitlines():
                command = line.strip().removeprefix("$ ")
                if command.startswith(("pointage ", ".venv/bin/pointage ")):
                    found.append(command)
    return found


def runnable(command: str) -> list[str]:
    """The documented command as a test can run it.

    A date in it stands for a Saturday to come. `serve` would not end, so only its help is asked
    for; every other command is asked for its JSON.
    """
    now = datetime.now().astimezone()
    saturday = now.date() + timedelta(days=(5 - now.weekday()) % 7 + 7)
    words = shlex.split(command, comments=True)
    words = [re.sub(r"^20\d\d-\d\d-\d\d(?=T)", saturday.isoformat(), word) for word in words]
    if "--help" in words:
        return words
    if words[1] == "serve":
        return [*words, "--help"]
    return words if "--json" in words else [*words, "--json"]


@pytest.mark.parametrize("command", documented_commands())
def test_a_documented_command_does_what_the_page_says(
    command: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    _, *words = runnable(command)
    monkeypatch.setenv("POINTAGE_STORE", f"sqlite:///{tmp_path}/daybook.sqlite3")
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)  # what it writes is not left in the checkout
    if words[0] == "import":
        assert run(["export", words[1]]) == 0
        capsys.readouterr()
    assert run(words) == 0
    if "--help" not in words:
        assert isinstance(json.loads(capsys.readouterr().out), dict)


def test_the_program_is_where_it_is_installed() -> None:
    done = subprocess.run(
        [PROGRAMS / "pointage", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"pointage {__version__}\n"
