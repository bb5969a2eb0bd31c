"""Who solves what is asked in plain frozen data: this process, or one of its own beside it."""
