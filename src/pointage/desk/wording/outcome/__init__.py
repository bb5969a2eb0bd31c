"""What went too far, how bread came out, and what to change, in words."""
