import sys

import pytest


@pytest.fixture
def large(monkeypatch):
    """Any table counts as large."""
    module = sys.modules["lenscalc.chain.plan"]
    monkeypatch.setattr(module, "LARGE", 0)
    monkeypatch.setattr(module, "LARGE_ONCE_COMPILED", 0)
