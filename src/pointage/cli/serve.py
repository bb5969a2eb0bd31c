"""`pointage serve`: the web application, for this machine, and for devices that are let in."""

from __future__ import annotations

from typing import Annotated

from pointage.cli.declared import Option
from pointage.language import say

LOOPBACK = "127.0.0.1"


def serve(
    *,
    port: Annotated[int, Option(help="The port; 0 takes any that is free.")] = 8317,
    demo: Annotated[bool, Option("--demo", help="Open the demonstration kitchen.")] = False,
    listen: Annotated[
        str,
        Option(
            metavar="ADDRESS",
            help="This machine's address to listen on for other devices; 0.0.0.0 for all, :: for "
            "IPv6 as well. They are answered over TLS, and only once they have been let in on the "
            "Kitchen screen.",
        ),
    ] = LOOPBACK,
    join: Annotated[
        bool, Option("--join", help="Print a key at once, for a machine without a screen.")
    ] = False,
    called: Annotated[
        list[str] | None,
        Option(metavar="NAME", help="Another name of this machine; may be repeated."),
    ] = None,
    open_browser: Annotated[bool, Option("--open", help="Open a browser on it.")] = False,
    kitchen: Annotated[
        str | None, Option(metavar="FILE", help="Import this kitchen's file first.")
    ] = None,
    formulas: Annotated[
        str | None, Option(metavar="FOLDER", help="Import the formula files of this folder first.")
    ] = None,
) -> None:
    """Serve the web application until Ctrl-C.

    It serves this machine alone unless --listen says otherwise.

    Without --demo it opens your own store. Its first page asks for the few things a kitchen begins
    with; --kitchen and --formulas import files instead.
    """
    from pointage.cli.files import read_folder, read_kitchen_text
    from pointage.errors import Faults, InputError
    from pointage.web.serve import serve as run

    faults = Faults()
    if demo and (kitchen or formulas):
        both = say("this together with files of your own")
        faults.found.append(InputError("--demo", both, say("one or the other")))
    if join and listen == LOOPBACK:
        alone, expected = say("this without --listen"), say("an address that other devices reach")
        faults.found.append(InputError("--join", alone, expected))
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")
    texts = faults.maybe(read_folder, formulas, "--formulas")
    faults.check()
    run(
        port,
        demo,
        open_browser,
        listen=listen,
        called=called or (),
        join=join,
        kitchen_text=kitchen_text,
        formulas=texts,
    )
