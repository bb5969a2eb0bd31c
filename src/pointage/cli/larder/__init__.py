"""Commands of what is in the larder."""
