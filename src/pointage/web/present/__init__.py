"""Plans and kitchens turned into the words and drawings of a page. Pure: now is always given."""
