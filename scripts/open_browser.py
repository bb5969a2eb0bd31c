"""Wait until the address answers, then open it in the desktop's browser, if there is a desktop."""

from __future__ import annotations

import os
import sys
import time
import urllib.error
import urllib.request
import webbrowser

PATIENCE_S = 120


def has_desktop() -> bool:
    """Whether a window can be opened: a text browser in this terminal would be in the way."""
    return sys.platform in ("darwin", "win32") or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )


def answers(url: str) -> bool:
    """Whether something serves `url`, whatever it says."""
    try:
        urllib.request.urlopen(url, timeout=2).close()
    except urllib.error.HTTPError:
        return True
    except OSError:
        return False
    return True


def main(url: str) -> None:
    if not has_desktop():
        return
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        if answers(url):
            webbrowser.open(url)
            return
        time.sleep(0.3)


if __name__ == "__main__":
    main(sys.argv[1])
