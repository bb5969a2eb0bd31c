"""A plan as the daybook keeps it: a versioned document with identifiers and no sentence in it."""

from pointage.desk.plans.document import read_plan, write_plan

__all__ = ["read_plan", "write_plan"]
