"""One profile for every property test, where tests run when there are several workers, and what each page without a server need not look for anew."""

import sys
from collections.abc import Mapping
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
        _look_up_what_is_asked_for()


def _look_up_what_is_asked_for():
    """For every field the framework puts all that a session holds together, to look at one value of it: a third of the time of a page of many fields.

    Here it looks at that value; who wants all of it still gets it.
    """
    from streamlit.runtime.state import SafeSessionState

    whole = SafeSessionState.filtered_state.fget

    class Held(Mapping):
        def __init__(self, state):
            self.state = state

        def __getitem__(self, key):
            return self.state[key]

        def __contains__(self, key):
            return key in self.state

        def __iter__(self):
            return iter(whole(self.state))

        def __len__(self):
            return len(whole(self.state))

    SafeSessionState.filtered_state = property(Held)
