"""`pointage check`: is the store whole, and when was its last backup?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pointage.cli.records.archive import Json, Store

if TYPE_CHECKING:
    from pointage.desk.records.exchange import Checked

NOT_WHOLE = 1


def check(*, store: Store = None, json: Json = False) -> int:
    """Look whether your store is whole: exit 0 if so, 1 if not, and 2 if it cannot be opened.

    The database's own check; whether every entry, plan, kitchen and formula can be read,
    photographs match their hashes and roll-ups their samples. Then all of it is gone through, and
    what cannot be used is named with its reason; such a store is whole. Nothing is changed.
    """
    from pointage.cli.options import as_options
    from pointage.cli.records.archive import in_words
    from pointage.cli.table import print_json
    from pointage.cli.terminal import harmless
    from pointage.daybook.archive.manifest import instant_text
    from pointage.desk.desk import utc_now
    from pointage.desk.records.named_store import open_whole

    with as_options(store=store):
        found = open_whole(utc_now, store).checked()
    last = found.last_backup and instant_text(found.last_backup)
    if json:
        print_json(
            {
                "store": found.store,
                "whole": not found.troubles,
                "troubles": list(found.troubles),
                "set_aside": list(found.set_aside),
                "counts": None if found.counts is None else found.counts.model_dump(),
                "last_backup": last,
            }
        )
    else:
        print(f"The store {found.store}")
        if found.counts is not None:
            print(f"holds {in_words(found.counts)}.")
        print(f"Its last good backup is of {last}." if last else "It has no backup yet.")
        for trouble in found.troubles:
            print(f"- {harmless(trouble)}")
        for aside in found.set_aside:
            print(f"Set aside: {harmless(aside)}")
        print(_verdict(found))
    return NOT_WHOLE if found.troubles else 0


def _verdict(found: Checked) -> str:
    if found.troubles:
        return "It is not whole."
    if not found.set_aside:
        return "It is whole."
    return "It is whole. What is set aside is kept until it is put right."
