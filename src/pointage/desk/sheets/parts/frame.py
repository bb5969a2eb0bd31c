"""What stands on every sheet: the kitchen, the day it was printed, the way to the live page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from pointage.desk.now.unrecorded import PlainKitchen
from pointage.desk.sheets.parts.times import dated
from pointage.documents.blocks import Block, Sheet
from pointage.documents.page.plain import rights_words
from pointage.formula.formula import Rights
from pointage.language import language, say


def framed(
    title: str,
    lead: str,
    blocks: Sequence[Block],
    present: PlainKitchen,
    now: datetime,
    *,
    facts: Sequence[tuple[str, str]] = (),
    address: str = "",
    rights: Rights | None = None,
) -> Sheet:
    """A sheet of a kitchen. address: of the live page; "" where there is none. rights: of who wrote
    what is on it."""
    kitchen = present.kitchen
    foot = say("{kitchen}, {time}", kitchen=kitchen.name, time=dated(now, kitchen.zone))
    if rights is not None and (whose := rights_words(rights)):
        foot = say("{rights}. {printed}", rights=whose, printed=foot)
    return Sheet(
        title=title,
        lead=lead,
        facts=tuple(facts),
        blocks=tuple(blocks),
        foot=foot,
        address=address,
        scan=say("The live page") if address else "",
        language=language().tag,
        leans="rtl" if language().leans == "rtl" else "ltr",
    )
