"""Take the README's pictures: the bench of Skerry Hall on a Friday, its clock standing still.

    .venv/bin/python scripts/bench_picture.py

writes docs/bench.png and docs/bench-dark.png.
"""

from __future__ import annotations

import os
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import uvicorn

from pointage.desk.answers import Report
from pointage.desk.opening import open_demonstration
from pointage.timetable.plan import StepKind
from pointage.web.app import create_app
from screenshots import chromium, take

DOCS = Path(__file__).parent.parent / "docs"
WEDNESDAY = datetime(2026, 12, 2, 12, 0, tzinfo=UTC)
BEFORE_THE_MIX = timedelta(minutes=95)
SECONDS_TO_START = 10
HEIGHT = 1560  # down to the course; the rest is below the fold


def main() -> None:
    with TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        desk = open_demonstration(WEDNESDAY, clock=lambda: WEDNESDAY)
        bake = desk.bakes()[0]
        fed = [s for s in bake.plan.steps if s.kind in (StepKind.FEED, StepKind.BUILD)]
        for number, step in enumerate(fed):
            entry = f"00000000-0000-4000-8000-00000000000{number}"
            desk.mark_done(Report(entry, bake.key, step.key, step.end))
        mix = next(step for step in bake.plan.steps if step.kind is StepKind.MIX)
        moment = mix.start - BEFORE_THE_MIX
        server = uvicorn.Server(
            uvicorn.Config(create_app(desk, now=lambda: moment), port=0, log_level="warning")
        )
        threading.Thread(target=server.run, daemon=True).start()
        until = time.monotonic() + SECONDS_TO_START
        while not server.started and time.monotonic() < until:
            time.sleep(0.05)
        port = server.servers[0].sockets[0].getsockname()[1]
        with chromium() as browser:
            for theme, name in (("light", "bench"), ("dark", "bench-dark")):
                file = DOCS / f"{name}.png"
                take(browser, f"http://127.0.0.1:{port}/", "phone", theme, file, height=HEIGHT)
                print(file.name)
        server.should_exit = True


if __name__ == "__main__":
    main()
