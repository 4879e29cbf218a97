"""One profile for every property test: the same examples in every run, no deadline (the first call imports scipy)."""

from hypothesis import settings

settings.register_profile("repeatable", deadline=None, derandomize=True, database=None, max_examples=100)
settings.load_profile("repeatable")
