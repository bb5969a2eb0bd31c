"""Take pictures of pages of a running server, on a phone and a laptop, on paper and in the dark.

    scripts/screenshots.py http://127.0.0.1:8317 pictures / /week
    scripts/screenshots.py http://127.0.0.1:8317 docs / --only bench-phone-light --as bench

The second form writes one picture, docs/bench.png.
"""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, ViewportSize, sync_playwright

SIZES: dict[str, ViewportSize] = {
    "phone": {"width": 390, "height": 844},
    "laptop": {"width": 1280, "height": 800},
}
CHROMIUM = ("chromium-headless-shell", "chromium", "chromium-browser")
THEMES = ("light", "dark")
SHARPNESS = {"phone": 1.5, "laptop": 1}
FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update",
         "--disable-sync")  # fmt: skip


@contextmanager
def chromium() -> Iterator[Browser]:
    path = next(filter(None, map(shutil.which, CHROMIUM)), None)
    if path is None:
        sys.exit("screenshots: there is no Chromium on this machine (apt install chromium)")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield browser
        browser.close()


def name_of(path: str) -> str:
    """ "/" is the bench; "/week/wish" is week-wish."""
    return path.partition("?")[0].strip("/").replace("/", "-") or "bench"


def take(
    browser: Browser, url: str, size: str, theme: str, file: Path, *, height: int | None = None
) -> None:
    """One picture of a page: the whole of it, or the first `height` pixels."""
    context = browser.new_context(
        viewport={**SIZES[size], "height": height or SIZES[size]["height"]},
        color_scheme="dark" if theme == "dark" else "light",
        device_scale_factor=SHARPNESS[size],
        service_workers="block",
        locale="en-GB",
    )
    page = context.new_page()
    page.goto(url, wait_until="networkidle")
    page.evaluate("document.fonts.ready")
    page.screenshot(path=file, full_page=height is None)
    context.close()


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("url", help="where the server runs")
    arguments.add_argument("folder", type=Path, help="where the pictures go")
    arguments.add_argument("paths", nargs="+", help="the pages, such as / or /week")
    arguments.add_argument("--only", help="one picture alone, by its name, such as week-phone-dark")
    arguments.add_argument("--as", dest="renamed", help="the name to give that one")
    wanted = arguments.parse_args()
    wanted.folder.mkdir(parents=True, exist_ok=True)
    with chromium() as browser:
        for path in wanted.paths:
            for size in SIZES:
                for theme in THEMES:
                    name = f"{name_of(path)}-{size}-{theme}"
                    if wanted.only not in (None, name):
                        continue
                    renamed = wanted.renamed if wanted.only and wanted.renamed else name
                    file = wanted.folder / f"{renamed}.png"
                    take(browser, wanted.url.rstrip("/") + path, size, theme, file)
                    print(file)


if __name__ == "__main__":
    main()
