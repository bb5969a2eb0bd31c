"""Every topic of outside cases, in the order of docs/validation."""

from __future__ import annotations

from tests.outside import (
    baking_cases,
    death_cases,
    fermentation_cases,
    growth_cases,
    heat_cases,
    practice_cases,
    raising_cases,
)

TOPICS = (
    *growth_cases.TOPICS,
    *death_cases.TOPICS,
    *fermentation_cases.TOPICS,
    *practice_cases.TOPICS,
    *raising_cases.TOPICS,
    *heat_cases.TOPICS,
    *baking_cases.TOPICS,
)
