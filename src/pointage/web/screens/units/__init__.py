"""How this browser shows quantities and times."""
