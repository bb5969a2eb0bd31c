"""The first minutes: whose kitchen it is, and what its baker wants to do first."""
