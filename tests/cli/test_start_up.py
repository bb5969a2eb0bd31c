"""The command answers at once: heavy libraries wait until they are used; and it ends tidily."""

from __future__ import annotations

import signal
import subprocess
import sys

import pytest

from pointage import __version__
from pointage.cli.app import run

HEAVY = {"numba", "numpy", "scipy", "sqlalchemy", "alembic", "starlette", "uvicorn", "jinja2",
         "ortools", "pydantic"}  # fmt: skip
WATER = ["water", "--target", "25C", "--water", "600g", "--part", "flour:600g@18C"]

FORECAST = ["forecast", "--seed", "50g", "--flour", "100g", "--water", "100g", "--at", "25C",
            "--hours", "1"]  # fmt: skip
DATABASE = {"sqlalchemy", "alembic"}

REPORT = """
import sys
from pointage.cli.app import run
status = run(sys.argv[1:])
print("LOADED", *sorted({name.split(".")[0] for name in sys.modules}))
sys.exit(status)
"""


@pytest.mark.parametrize(
    ("arguments", "absent"),
    [
        ([], HEAVY),
        (["--help"], HEAVY),
        (["--version"], HEAVY),
        (["plan", "--help"], HEAVY),
        (["bake", "--help"], HEAVY),
        (["now", "--help"], HEAVY),
        (["forecast", "--help"], HEAVY),
        (["export", "--help"], HEAVY),
        (["import", "--help"], HEAVY),
        (["check", "--help"], HEAVY),
        (["scale", "no such file", "--pieces", "1", "--piece", "1kg"], HEAVY),
        (WATER, HEAVY),
        (FORECAST, DATABASE),
    ],
)
@pytest.mark.soon(4)
def test_no_heavy_library_is_loaded(arguments: list[str], absent: set[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-c", REPORT, *arguments], capture_output=True, text=True, check=False
    )
    loaded = set(done.stdout.rpartition("LOADED")[2].split())
    assert "click" in loaded, done.stderr  # so that the report is one
    assert not loaded & absent


def test_a_compiled_kernel_is_loaded_without_the_compiler() -> None:
    assert run(FORECAST) == 0  # compiled, where it was not
    done = subprocess.run(
        [sys.executable, "-c", REPORT, *FORECAST], capture_output=True, text=True, check=False
    )
    loaded = set(done.stdout.rpartition("LOADED")[2].split())
    assert "llvmlite" in loaded, done.stderr
    assert not loaded & {"numba", "scipy"}


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"pointage {__version__}\n"


def test_a_reader_that_goes_away_is_no_error() -> None:
    command = [sys.executable, "-c", "from pointage.cli.app import main; main()", *WATER]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""


def test_an_interrupt_ends_it_without_a_word() -> None:
    patient = (
        "import signal, time; from pointage.cli import app\n"
        # Whoever began these tests with nohup or & has interrupts ignored by all below.
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "@app.app.command()\n"
        "def wait() -> None:\n"
        "    print('waiting', flush=True); time.sleep(60)\n"
        "app.sys.argv[1:] = ['wait']; app.main()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", patient], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == b"waiting\n"
        process.send_signal(signal.SIGINT)
        assert process.stderr.read() == b""
        assert process.wait(timeout=20) == 130


def test_a_terminal_without_a_degree_sign_still_gets_its_answer() -> None:
    command = [sys.executable, "-c", "from pointage.cli.app import main; main()", *WATER]
    done = subprocess.run(
        command, capture_output=True, check=False, env={"PYTHONIOENCODING": "ascii"}
    )
    assert done.returncode == 0, done.stderr
    assert b"28 ?C" in done.stdout
