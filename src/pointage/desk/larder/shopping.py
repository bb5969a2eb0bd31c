"""The larder looked at ahead: what the bakes in hand and the cultures need, and what is lacking."""

from __future__ import annotations

from datetime import datetime, timedelta

from pointage.desk.larder.view import View
from pointage.desk.now.present import Present
from pointage.larder.shopping import ShoppingLine

WEEK = timedelta(days=7)


def view_of(present: Present, now: datetime, days: int = WEEK.days) -> View:
    """The larder and so many days to come, or more until every bake is out."""
    ledger = present.ledger(now)
    ready = [each.bake.plan.ready for each in ledger.batches if each.in_hand]
    until = max((now + timedelta(days=days), *ready))
    offered = {slug: each for slug, each in present.formulas.items() if not each.put_away}
    return View(ledger, present.kitchen, offered, until, present.needs(now))


def shopping_of(present: Present, now: datetime) -> tuple[tuple[ShoppingLine, ...], datetime]:
    """What the bakes in hand and the upkeep of the cultures need, and until when."""
    view = view_of(present, now)
    return view.shopping(), view.until
