"""The Week as a drawing: a row a day, hours to the right, a thread a bake, the oven below.

Positions follow the local clock, for all rows share the hours at the top. Labels lie in lanes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from markupsafe import Markup

from pointage.desk.answers import Bake
from pointage.desk.moves.step import held_step
from pointage.desk.week.oven_loads import oven_loads
from pointage.desk.wording.steps import short_title
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say
from pointage.shown import day_name, scale_hour
from pointage.timetable.plan import Plan, Step
from pointage.web.drawing.svg import drawing, element
from pointage.web.drawing.thread import (
    Bead,
    Stretch,
    beads,
    stretches,
)
from pointage.web.screens.week.lanes import Wanted, lay_out
from pointage.web.screens.week.upkeep import UpkeepBead, upkeep_lanes
from pointage.web.words.clock import Clock, quiet_spans
from pointage.web.words.words import lower_first

WIDTH, LEFT, RIGHT = 1180.0, 96.0, 1172.0
TEXT_LANE = 21.0
LETTER = 7.0  # the mean width of a letter at 15 px, with some to spare
HEADER, EMPTY_ROW, PAD = 30.0, 34.0, 12.0
OVEN_LANE = 26.0
NOTHING: Mapping[str, Plan] = {}
Movable = Mapping[str, Mapping[str, str]]
"""The steps that can be moved by hand: of each bake by its key, their names by theirs."""
NONE_MOVE: Movable = {}
STRIP_WIDTH, STRIP_HEIGHT = 350.0, 56.0


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the kitchen as a line of hours."""

    day: date
    start: datetime
    end: datetime
    clock: Clock
    left: float = LEFT
    right: float = RIGHT

    @staticmethod
    def of(day: date, clock: Clock) -> Day:
        after = clock.midnight(day + timedelta(days=1))
        return Day(day, clock.midnight(day), after, clock)

    def x(self, instant: datetime) -> float:
        """By the clock on the wall; what lies outside the day falls on its edge."""
        if instant <= self.start:
            return self.left
        if instant >= self.end:
            return self.right
        local = self.clock.local(instant)
        hours = local.hour + local.minute / 60
        return round(self.left + hours / 24 * (self.right - self.left), 1)

    def meets(self, start: datetime, end: datetime) -> bool:
        return start < self.end and end > self.start

    def holds(self, instant: datetime) -> bool:
        return self.start <= instant < self.end


@dataclass
class DrawingSheet:
    """A drawing in the making; the pen has come down to y."""

    parts: list[Markup] = field(default_factory=list)
    y: float = 0.0

    def line(self, class_: str, x1: float, y1: float, x2: float, y2: float) -> None:
        self.parts.append(element("line", class_=class_, x1=x1, y1=y1, x2=x2, y2=y2))

    def box(self, class_: str, x: float, y: float, width: float, height: float) -> None:
        self.parts.append(
            element("rect", class_=class_, x=x, y=y, width=max(0.0, width), height=height)
        )

    def text(self, class_: str, x: float, y: float, text: str, anchor: str = "start") -> None:
        self.parts.append(element("text", text, class_=class_, x=x, y=y, text_anchor=anchor))

    def bead(self, done: bool, x: float, y: float, **data: str) -> None:
        class_ = "bead done" if done else "bead movable" if data else "bead"
        self.parts.append(element("circle", class_=class_, cx=x, cy=y, r=6.5, **data))


def week_drawing(
    bakes: Sequence[Bake],
    days: Sequence[date],
    kitchen: Kitchen,
    clock: Clock,
    before: Mapping[str, Plan] = NOTHING,
    *,
    movable: Movable = NONE_MOVE,
    by_hand: bool = False,
    upkeep: Sequence[UpkeepBead] = (),
) -> Markup:
    """The whole drawing, for a screen that is wide enough for it. before: plans of the bakes, by
    key, that are drawn faintly under those they have now. upkeep: of the cultures. by_hand: with
    the field of each day, for a script by which a time is moved over it; movable: the beads that
    are."""
    sheet = DrawingSheet()
    for hour in range(0, 25, 3):
        x = LEFT + hour / 24 * (RIGHT - LEFT)
        anchor = "start" if hour == 0 else "end" if hour == 24 else "middle"
        sheet.text("hour", x, 18, scale_hour(hour), anchor)
    sheet.y = HEADER
    for each in days:
        top = sheet.y
        _row(sheet, Day.of(each, clock), bakes, kitchen, before, movable=movable, upkeep=upkeep)
        if by_hand or movable:
            width, height = RIGHT - LEFT, sheet.y - top
            hours = element("rect", class_="hours", data_day=each.isoformat(), x=LEFT, y=top,
                            width=width, height=height)  # fmt: skip
            sheet.parts.append(hours)
    return drawing(WIDTH, sheet.y + 2, sheet.parts, "week")


def _row(
    sheet: DrawingSheet,
    day: Day,
    bakes: Sequence[Bake],
    kitchen: Kitchen,
    before: Mapping[str, Plan],
    *,
    movable: Movable,
    upkeep: Sequence[UpkeepBead],
) -> None:
    top = sheet.y
    here = [
        bake
        for bake in bakes
        if any(day.meets(s.start, s.end) for s in (*bake.plan.steps, *_steps_of(before, bake)))
    ]
    filled = bool(here) or any(day.holds(bead.at) for bead in upkeep)
    rows = DrawingSheet(y=top + PAD if filled else top + EMPTY_ROW)
    for bake in here:
        names = movable.get(bake.key, {})
        _thread(rows, day, bake, _steps_of(before, bake), names, named=len(bakes) > 1)
    upkeep_lanes(rows, day, upkeep)
    _oven(rows, day, [step for bake in here for step in bake.plan.steps])
    bottom = rows.y + (PAD if filled else 0)
    for low, high in quiet_spans(kitchen.hours.sleep, day.clock, day.start, day.end):
        sheet.box("night", day.x(low), top, day.x(high) - day.x(low), bottom - top)
    today = day.day == day.clock.today
    name = say("{weekday} {day}", weekday=day_name(day.day), day=day.day.day)
    sheet.text("day today" if today else "day", 0, top + 24, name)
    sheet.line("rule", 0, bottom, RIGHT, bottom)
    if today:
        x = day.x(day.clock.now)
        sheet.line("now", x, top, x, bottom)
    sheet.parts += rows.parts
    sheet.y = bottom


def _steps_of(before: Mapping[str, Plan], bake: Bake) -> tuple[Step, ...]:
    return before[bake.key].steps if bake.key in before else ()


def _thread(
    sheet: DrawingSheet,
    day: Day,
    bake: Bake,
    before: tuple[Step, ...],
    movable: Mapping[str, str],
    *,
    named: bool,
) -> None:
    """One bake on one day: labels above, line and beads, names and ripe windows below."""
    above = [bead for bead in beads(bake.plan.steps) if day.holds(bead.at)]
    spoken = [bead for bead in above if bead.first_of]
    held = held_step(bake)
    texts = [_bead_text(bead, day.clock, held) for bead in spoken]
    wanted = [Wanted(day.x(b.at) - 6, len(t) * LETTER) for b, t in zip(spoken, texts, strict=True)]
    places = lay_out(wanted, day.right, 10)
    lanes = 1 + max((place.lane for place in places), default=-1)
    y = sheet.y + lanes * TEXT_LANE + 10
    for bead, place in zip(spoken, places, strict=True):
        if place.lane:
            sheet.line("leader", day.x(bead.at), y - 10 - place.lane * TEXT_LANE, day.x(bead.at), y)
    for text, place in zip(texts, places, strict=True):
        sheet.text("label", place.x, y - 15 - place.lane * TEXT_LANE, text)
    for was in beads(before):
        if day.holds(was.at):
            sheet.parts.append(element("circle", class_="bead was", cx=day.x(was.at), cy=y, r=6.5))
    _ripe_bands(sheet, day, bake, y)
    parts = [s for s in stretches(bake.plan.steps) if day.meets(s.start, s.end)]
    for stretch in parts:
        sheet.line(f"thread {stretch.state}", day.x(stretch.start), y, day.x(stretch.end), y)
    for bead in above:
        data = {}
        if bead.key in movable:
            at = f"{day.clock.local(bead.at):%Y-%m-%dT%H:%M}"
            data = {"data_bake": bake.key, "data_step": bead.key, "data_at": at,
                    "data_name": movable[bead.key]}  # fmt: skip
        sheet.bead(bake.step_news(bead.key).done is not None, day.x(bead.at), y, **data)
    names = [(day.x(s.start), "name", _stretch_name(s, bake)) for s in parts if s.state != "baking"]
    if named and names and not names[0][2].startswith(bake.plan.formula):
        x, class_, text = names[0]  # of several threads each says on every day whose it is
        names[0] = (x, class_, f"{bake.plan.formula}: {text}")
    sheet.y = y + 10 + _names_below(sheet, day, names + _ripe_names(day, bake), y)


def _bead_text(bead: Bead, clock: Clock, held: Step | None) -> str:
    times = f" ×{bead.first_of}" if bead.first_of > 1 else ""
    text = f"{short_title(bead.kind, bead.manner)}{times} {clock.time(bead.at)}"
    if held is not None and bead.key == held.key:
        return say("{step}, held", step=text)
    return text


def _ripe(bake: Bake, day: Day) -> list[tuple[datetime, datetime]]:
    """The ripe windows that fall on this day, by their medians."""
    found = []
    for step in bake.plan.steps:
        if step.standing and step.standing.ripe_from and step.standing.ripe_until:
            window = (step.standing.ripe_from.p50, step.standing.ripe_until.p50)
            if day.meets(*window):
                found.append(window)
    return found


def _ripe_bands(sheet: DrawingSheet, day: Day, bake: Bake, y: float) -> None:
    for start, end in _ripe(bake, day):
        sheet.box("ripe", day.x(start), y - 9, day.x(end) - day.x(start), 18)


Name = tuple[float, str, str]  # where it would like to begin, its class, its text


def _ripe_names(day: Day, bake: Bake) -> list[Name]:
    return [
        (
            day.x(start),
            "ripe-name",
            say("ripe {start} to {end}", start=day.clock.time(start), end=day.clock.time(end)),
        )
        for start, end in _ripe(bake, day)
    ]


def _names_below(sheet: DrawingSheet, day: Day, names: Sequence[Name], y: float) -> float:
    """Print the names; answer how far down they reach."""
    ordered = sorted(name for name in names if name[2])
    places = lay_out([Wanted(x, len(text) * LETTER) for x, _, text in ordered], day.right, 12)
    for (_, class_, text), place in zip(ordered, places, strict=True):
        sheet.text(class_, place.x + 2, y + 24 + place.lane * TEXT_LANE, text)
    return TEXT_LANE * (1 + max((place.lane for place in places), default=-1))


def _stretch_name(part: Stretch, bake: Bake) -> str:
    if part.state == "bread":
        return bake.plan.formula
    return ", ".join(filter(None, (part.name, lower_first(part.place))))


def _oven(sheet: DrawingSheet, day: Day, steps: Sequence[Step]) -> None:
    used = [each for each in oven_loads(steps) if day.meets(each.start, each.end)]
    if not used:
        return
    y = sheet.y + 8
    for load in used:
        width = max(3.0, day.x(load.end) - day.x(load.start))
        sheet.box(f"oven {load.kind}", day.x(load.start), y, width, 12)
    last = max(load.end for load in used)
    sheet.text("name", min(day.x(last) + 8, day.right - 40), y + 11, say("oven"))
    sheet.y += OVEN_LANE


def day_strip(bakes: Sequence[Bake], day: date, kitchen: Kitchen, clock: Clock) -> Markup:
    """One day for a small screen: the same threads and beads, without words."""
    plain = Day.of(day, clock)
    line = Day(day, plain.start, plain.end, clock, 4, STRIP_WIDTH - 4)
    sheet = DrawingSheet()
    base = STRIP_HEIGHT - 20
    for low, high in quiet_spans(kitchen.hours.sleep, clock, line.start, line.end):
        sheet.box("night", line.x(low), 0, line.x(high) - line.x(low), base)
    sheet.line("axis", line.left, base, line.right, base)
    for hour in range(0, 25, 6):
        x = line.left + hour / 24 * (line.right - line.left)
        anchor = "start" if hour == 0 else "end" if hour == 24 else "middle"
        sheet.text("hour", x, STRIP_HEIGHT - 3, scale_hour(hour), anchor)
    here = [bake for bake in bakes if any(line.meets(s.start, s.end) for s in bake.plan.steps)]
    for n, bake in enumerate(here, start=1):
        y = base * n / (len(here) + 1)
        _ripe_bands(sheet, line, bake, y)
        for part in stretches(bake.plan.steps):
            if line.meets(part.start, part.end):
                sheet.line(f"thread {part.state}", line.x(part.start), y, line.x(part.end), y)
        for bead in beads(bake.plan.steps):
            if line.holds(bead.at):
                sheet.bead(bake.step_news(bead.key).done is not None, line.x(bead.at), y)
    if line.holds(clock.now):
        x = line.x(clock.now)
        sheet.line("now", x, 0, x, base)
    return drawing(STRIP_WIDTH, STRIP_HEIGHT, sheet.parts, "strip")
