"""A table of candidates: where it comes from, its computing, what is looked at."""
