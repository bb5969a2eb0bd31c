"""When hands can be asked for: outside the hours of sleep and the spells away."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from pointage.kitchen.kitchen import Kitchen

LOOKED_ROUND = timedelta(days=2)
QUARTER = timedelta(minutes=15)
"""Nobody feeds to the minute."""


def sleep_spans(
    kitchen: Kitchen, first: datetime, last: datetime
) -> list[tuple[datetime, datetime]]:
    """The nights between two instants, as UTC spans."""
    spans = []
    day = first.astimezone(kitchen.zone).date() - timedelta(days=1)
    end = last.astimezone(kitchen.zone).date()
    while day <= end:
        for down, up in kitchen.hours.sleep:
            morning = day if up > down else day + timedelta(days=1)
            since = datetime.combine(day, down, tzinfo=kitchen.zone).astimezone(UTC)
            until = datetime.combine(morning, up, tzinfo=kitchen.zone).astimezone(UTC)
            if until > first and since < last:
                spans.append((since, until))
        day += timedelta(days=1)
    return spans


def fitted(
    kitchen: Kitchen, at: datetime, earliest: datetime, again: timedelta = timedelta()
) -> datetime:
    """The last quarter of an hour up to `at`, but not before `earliest`, at which somebody is up
    and there; where there is none, the first instant after `at` at which somebody is.

    again: so much later somebody must be up and there once more; left out of account where that
    cannot be.
    """
    at = max(at - (at - datetime.min.replace(tzinfo=UTC)) % QUARTER, earliest)
    away = [span for span in kitchen.hours.away if span[1] > earliest - LOOKED_ROUND]
    first = min([earliest, *(since for since, _ in away if since < at)]) - LOOKED_ROUND
    last = max([at, *(until for since, until in away if since < at)]) + LOOKED_ROUND
    spans = [*sleep_spans(kitchen, first, last), *away]
    before = _out_of(spans, at, back=True)
    if again:
        both = [*spans, *((since - again, until - again) for since, until in spans)]
        twice = _out_of(both, at, back=True)
        before = twice if twice >= earliest else before
    return before if before >= earliest else _out_of(spans, at, back=False)


def _out_of(spans: list[tuple[datetime, datetime]], at: datetime, *, back: bool) -> datetime:
    """The nearest instant outside of all spans, before or after."""
    while inside := [span for span in spans if span[0] < at < span[1]]:
        at = min(span[0] for span in inside) if back else max(span[1] for span in inside)
    return at
