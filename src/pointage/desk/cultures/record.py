"""Record what was done to a culture and seen of it: every entry about one is made here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from pointage.daybook.entry import EntryKind
from pointage.desk.records.records import RecordDesk
from pointage.kitchen.kitchen import Vessel

NOTHING: Mapping[str, Any] = {}


@dataclass(frozen=True, slots=True)
class CultureReport:
    """That something was done to a culture or seen of it. entry, happened, sure: as of `Report`."""

    entry: str
    culture: str
    happened: datetime
    sure: bool = True

    def second(self) -> CultureReport:
        """Another entry for what takes two: its id follows from the first, so that twice is once.
        What was odd about both was asked with the first."""
        return replace(self, entry=str(uuid5(NAMESPACE_URL, self.entry)), sure=True)


class CultureRecordDesk:
    """The cultures of one kitchen, as far as they are written down. All raise InputError, at the
    field of the body that cannot be used, and AskFirst."""

    def __init__(self, records: RecordDesk) -> None:
        self._records = records

    def fed(
        self,
        report: CultureReport,
        seed_g: float,
        grams: Mapping[str, float],
        place: str,
        more: Mapping[str, Any] = NOTHING,
    ) -> None:
        """grams: of flours by kind, and of water. more: its vessel, or what it came to, if said."""
        parts = [{"ingredient": name, "grams": each} for name, each in grams.items()]
        self._say(EntryKind.FED, report, seed_g=seed_g, parts=parts, place=place, **more)

    def moved(self, report: CultureReport, place: str) -> None:
        self._say(EntryKind.HELD, report, place=place)

    def discarded(self, report: CultureReport, grams: float) -> None:
        self._say(EntryKind.POURED_OFF, report, grams=grams)

    def measured(self, report: CultureReport, said: Mapping[str, Any]) -> None:
        """said: what was measured, by field, also as it was typed."""
        self._say(EntryKind.MEASURED, report, **said)

    def seen(self, report: CultureReport, sign: str) -> None:
        self._say(EntryKind.SEEN, report, signs=[sign])

    def smelled(self, report: CultureReport, sign: str) -> None:
        self._say(EntryKind.SMELLED, report, signs=[sign])

    def begun(
        self, report: CultureReport, flour: str, grams: float, place: str, vessel: Vessel
    ) -> None:
        """It is begun from a flour and as much water: two entries."""
        self._say(EntryKind.CULTURE, report, event="began")
        more = {"into": vessel.name, "tare_g": vessel.tare_g}
        self.fed(report.second(), 0.0, {flour: grams, "water": grams}, place, more)

    def split(self, report: CultureReport, origin: str, grams: float) -> None:
        """It is so much of another one."""
        self._say(EntryKind.CULTURE, report, event="split", origin=origin, grams=grams)

    def backed_up(self, report: CultureReport, origin: str, grams: float, how: str) -> None:
        """It is so much of another one, to be frozen or dried: two entries."""
        self.split(report, origin, grams)
        self.becomes(report.second(), how)

    def renamed(self, report: CultureReport, origin: str) -> None:
        """It is called so from now on. origin: the name it had."""
        self._say(EntryKind.CULTURE, report, event="renamed", origin=origin)

    def becomes(self, report: CultureReport, event: str, more: Mapping[str, Any] = NOTHING) -> None:
        """It is retired, dried, drying, frozen, or changing. more: to what it is changed over."""
        self._say(EntryKind.CULTURE, report, event=event, **more)

    def _say(self, kind: EntryKind, report: CultureReport, **said: Any) -> None:
        body = {"culture": report.culture, **said}
        self._records.record(report.entry, kind, report.happened, body, sure=report.sure)
