"""Paper and what travels: sheets as PDF, calendars, recipes as linked data.

Words come in made; nothing here asks the kitchen or the store for anything.
"""
