"""What a culture needs, with what is weighed and what is said of it."""

from __future__ import annotations

from pointage.desk.cultures.needed import is_eaten, need_ladder, vessel_of
from pointage.desk.now.cultures.young import fed_days
from pointage.kitchen.needs import CultureNeed, NeedKind
from pointage.language import say
from pointage.web.screens.bench.cultures import Needed
from pointage.web.screens.cultures.backups import FIRST, label_words
from pointage.web.visit import Visit


def needed_of(visit: Visit, need: CultureNeed) -> Needed:
    """Raises NotThere, InputError."""
    life = visit.present.life(need.culture)
    vessel = vessel_of(visit.kitchen, life.name, visit.present.about_culture(life))
    ladder = need_ladder(need, vessel, visit.kitchen, visit.now)
    raised = need.kind is NeedKind.RAISE
    today = visit.desk.raising(life.name)[len(fed_days(life)) - 1] if raised else None
    first = say(FIRST[life.state]) if need.kind is NeedKind.REVIVE and life.state in FIRST else ""
    label = label_words(life, visit.clock) if need.kind is NeedKind.STORE else ""
    return Needed(need, ladder, vessel.name, is_eaten(today), first, label)
