"""`pointage serve`: the web application, on this machine only."""

from __future__ import annotations

from typing import Annotated

from typer import Option


def serve(
    port: Annotated[
        int, Option(min=0, max=65535, help="The port; 0 takes any that is free.")
    ] = 8317,
    demo: Annotated[bool, Option("--demo", help="Open the demonstration kitchen.")] = False,
    open_browser: Annotated[bool, Option("--open", help="Open a browser on it.")] = False,
) -> None:
    """Serve the web application on the loopback address until Ctrl-C."""
    from pointage.web.serve import serve as run

    run(port, demo, open_browser)
