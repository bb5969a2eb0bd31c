"""Pointage: from a wild culture to bread on time."""

__version__ = "0.9.0"
