"""`pointage check`: is the store whole, and when was its last backup?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pointage.cli.records.archive import Json, Store
from pointage.language import say

if TYPE_CHECKING:
    from pointage.desk.records.exchange import Checked

NOT_WHOLE = 1


def check(*, store: Store = None, json: Json = False) -> int:
    """Check your store for damage.

    Exit 0 if it is sound, 1 if damaged, 2 if it cannot be opened.

    Runs the database's own check; reads every entry, plan, kitchen and formula; compares
    photographs with their hashes and roll-ups with their samples. What cannot be used is listed
    with its reason and is not damage. Nothing is changed.
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
        print(say("The store {store}", store=found.store))
        if found.counts is not None:
            print(say("holds {what}.", what=in_words(found.counts)))
        if last:
            print(say("Its last good backup is of {instant}.", instant=last))
        else:
            print(say("It has no backup yet."))
        for trouble in found.troubles:
            print(f"- {harmless(trouble)}")
        for aside in found.set_aside:
            print(say("Set aside: {reason}", reason=harmless(aside)))
        print(_verdict(found))
    return NOT_WHOLE if found.troubles else 0


def _verdict(found: Checked) -> str:
    if found.troubles:
        return say("The store is damaged.")
    if not found.set_aside:
        return say("The store is sound.")
    return say("The store is sound. What is set aside stays until it is corrected.")
