"""The daybook as pages: what can be logged, the lines by day, one line to be put right."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from pointage.daybook import readings
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.photograph import LARGEST_BYTES
from pointage.daybook.replay import Line
from pointage.desk.answers import Bake
from pointage.desk.now.set_aside import SetAside
from pointage.desk.records.fate import reason_of
from pointage.language import mark, say
from pointage.web.forms.field import Choice, Field
from pointage.web.screens.culture.view import when_field
from pointage.web.screens.daybook.page import DaybookLine, DayOfLines, LogForm
from pointage.web.words import asked
from pointage.web.words.clock import Clock
from pointage.web.words.entries import about_words, entry_words, kind_words
from pointage.web.words.words import lower_first

LATEST_BAKES = 12
SMELLS = (
    mark("flour"),
    mark("sour milk"),
    mark("yoghurt"),
    mark("apples"),
    mark("yeast"),
    mark("vinegar"),
    mark("nail varnish"),
    mark("cheese"),
)
SIGNS = (
    mark("bubbles"),
    mark("domed"),
    mark("flat"),
    mark("fallen"),
    mark("liquid on top"),
    mark("skin"),
)
"""What a nose and an eye say most often, in the trade's words (common practice, no source).

They are kept in English, and translated on their buttons.
"""
NO_REASONS: Mapping[str, SetAside] = {}
DISCARD = mark("Mould, or pink or orange streaks: throw all of it away and start from a backup.")


@dataclass(frozen=True, slots=True)
class EntryForm:
    """Something to write down: its title, in English, its kind of entry, and what it asks for.

    kinds: the kinds of reading after which it is called where it has no title of its own.
    """

    title: str
    kind: EntryKind
    names: tuple[str, ...]
    touches: tuple[str, ...] = ()
    kinds: tuple[readings.KindOfReading, ...] = ()

    def heading(self) -> str:
        """Its title, in the language of the reader."""
        if not self.kinds:
            return say(self.title)
        first, *others = (say(each.title) for each in self.kinds)
        return ", ".join([first, *map(lower_first, others)])


LOGS: Mapping[str, EntryForm] = {
    "note": EntryForm(mark("Note"), EntryKind.NOTE, ("text",)),
    **{
        key: EntryForm("", EntryKind.MEASURED, readings.fields_of(kinds), kinds=tuple(kinds))
        for key, kinds in readings.LOGS.items()
    },
    "smelled": EntryForm(mark("Smells of …"), EntryKind.SMELLED, ("signs",), SMELLS),
    "seen": EntryForm(mark("Looks …"), EntryKind.SEEN, ("signs",), SIGNS),
    "photo": EntryForm(mark("Photo"), EntryKind.PHOTO, ("caption",)),
    "tasted": EntryForm(
        mark("Tasted"), EntryKind.TASTED, ("crust", "crumb", "flavour", "sour", "keeping", "words")
    ),
    "weighed": EntryForm(mark("Weighed"), EntryKind.WEIGHED, ("grams", "pieces", "when")),
    "baked": EntryForm(
        mark("Baked"), EntryKind.BAKED, ("pieces", "minutes", "oven_c", "core_c", "steam")
    ),
    "poured-off": EntryForm(mark("Discarded"), EntryKind.POURED_OFF, ("grams", "to")),
}


def sizes() -> str:
    """What a photograph may be."""
    largest = LARGEST_BYTES / 1e6
    return say("A JPEG, PNG or WebP of at most {largest:g} MB.", largest=largest)


def log_forms(
    about: Field,
    opened: str = "",
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
) -> tuple[LogForm, ...]:
    """Every form; the one called `opened` with what was typed and why it cannot be used."""
    forms = []
    for key, log in LOGS.items():
        own = asked.fields(log.names)
        more: tuple[Field, ...] = (about, when_field())
        if key == opened:
            own = asked.with_errors(own, typed or {}, errors or {})
            more = asked.with_errors(more, typed or {}, errors or {})
        forms.append(
            LogForm(
                key,
                log.heading(),
                own,
                more,
                log.touches,
                log.kind is EntryKind.PHOTO,
                key == opened,
            )
        )
    return tuple(forms)


def about_field(
    cultures: Sequence[str], bakes: Sequence[Bake], clock: Clock, value: str = ""
) -> Field:
    """What it is about: nothing, a culture or one of the latest bakes."""
    latest = sorted(bakes, key=lambda bake: bake.plan.ready, reverse=True)[:LATEST_BAKES]
    choices = (
        Choice("", say("nothing in particular")),
        *(Choice(f"culture={name}", name) for name in cultures),
        *(
            Choice(f"bake={bake.key}", _named(bake.plan.formula, clock.text(bake.plan.ready)))
            for bake in latest
        ),
    )
    return Field("about", say("About"), value, "select", choices)


def _named(formula: str, ready: str) -> str:
    return say("{formula} for {time}", formula=formula, time=ready)


def days_of(
    lines: Sequence[Line],
    bakes: Mapping[str, Bake],
    clock: Clock,
    reasons: Mapping[str, SetAside] = NO_REASONS,
    lost: Collection[str] = (),
) -> tuple[DayOfLines, ...]:
    """The lines under their days, the latest first. reasons: by entry, why it is set aside.

    lost: the SHA-256 of photographs that the store has not.
    """
    ordered = sorted(lines, key=lambda line: _at(line).happened, reverse=True)
    return tuple(
        DayOfLines(
            clock.day(day), tuple(line_of(line, bakes, clock, reasons, lost) for line in group)
        )
        for day, group in groupby(ordered, key=lambda line: clock.local(_at(line).happened).date())
    )


def line_of(
    line: Line,
    bakes: Mapping[str, Bake],
    clock: Clock,
    reasons: Mapping[str, SetAside] = NO_REASONS,
    lost: Collection[str] = (),
) -> DaybookLine:
    """One line in words, with what became of it and why it is set aside, if it is."""
    shown = _at(line)
    words = entry_words(shown, bakes, clock)
    first = entry_words(line.written, bakes, clock)
    moved = shown.happened != line.written.happened
    was = first if first != words else ""
    if moved:
        was = f"{was or first} ({clock.text(line.written.happened)})"
    body = shown.body
    name = str(body.get("sha256")) if shown.kind is EntryKind.PHOTO else ""
    aside, doubt = reason_of(line, bakes, reasons)
    if aside:
        name = ""
    return DaybookLine(
        at=replace(clock.moment(shown.happened), text=clock.time(shown.happened)),
        kind=kind_words(shown.kind),
        about=_about(shown, bakes, clock),
        words=words,
        was=was,
        gone=line.now is None,
        fate=_fate(line, clock),
        aside=aside,
        doubt=doubt,
        photo=name and f"/photos/{name}",
        lost=name in lost,
        path=f"/daybook/entry/{line.written.id}",
    )


def _at(line: Line) -> Entry:
    return line.now or line.written


def _fate(line: Line, clock: Clock) -> str:
    """ "Corrected Sat 10:05: the scale was not tared", or nothing."""
    if not line.amendments:
        return ""
    last = line.amendments[-1]
    in_force = line.now is not None
    unchanged = in_force and line.now == line.written
    at = clock.text(last.arrived)
    if not in_force:
        fate = say("Withdrawn {time}", time=at)
    elif unchanged:
        fate = say("Brought back {time}", time=at)
    else:
        fate = say("Corrected {time}", time=at)
    why = last.body.get("why")
    return f"{fate}: {why}" if why else fate


def _about(entry: Entry, bakes: Mapping[str, Bake], clock: Clock) -> str:
    """What it is about, where its kind does not say it."""
    if entry.kind is EntryKind.PLAN:
        return ""
    body = {k: v for k, v in entry.body.items() if k != "step" or entry.kind is not EntryKind.BAKED}
    return about_words(body, bakes, clock)
