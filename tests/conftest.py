"""One profile for every property test, where tests run when there are several workers, and what each page without a server need not look for anew."""

import sys
from functools import cache

from hypothesis import HealthCheck, settings

# the same examples in every run; no deadline and no measure of the time that drawing takes: the first call imports scipy, and a machine may be busy
settings.register_profile(
    "repeatable", deadline=None, derandomize=True, database=None, max_examples=100, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("repeatable")


def pytest_configure(config):
    """A file of tests stays with one worker: what it makes once (a browser, a PDF, thousands of sheets) is not made once a worker."""
    if config.getoption("dist", "no") == "load":
        config.option.dist = "loadfile"
        config.option.loadscopereorder = False  # in their order: at the end stand many short ones, which keep all workers busy


def pytest_collection_finish(session):
    """For every page that a test opens without a server the framework reads what is said of every installed package, in search of components.

    That takes 0.13 s, most of what opening takes, and the packages stay the same as long as the tests run.
    """
    if "streamlit.testing.v1" in sys.modules:
        from streamlit.components.v2 import manifest_scanner

        manifest_scanner.scan_component_manifests = cache(manifest_scanner.scan_component_manifests)
