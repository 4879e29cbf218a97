"""One profile for every property test, and where tests run when there are several workers."""

from hypothesis import settings

# the same examples in every run, no deadline (the first call imports scipy)
settings.register_profile("repeatable", deadline=None, derandomize=True, database=None, max_examples=100)
settings.load_profile("repeatable")


def pytest_configure(config):
    """A file of tests stays with one worker: what it makes once (a browser, a PDF, thousands of sheets) is not made once a worker."""
    if config.getoption("dist", "no") == "load":
        config.option.dist = "loadfile"
        config.option.loadscopereorder = False  # in their order: at the end stand many short ones, which keep all workers busy
