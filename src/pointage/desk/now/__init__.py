"""The kitchen as it stands: one present, from which every page and command takes its facts."""
