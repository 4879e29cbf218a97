from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _no_own_folder(tmp_path_factory, monkeypatch):
    """Whatever the person who runs the tests keeps at home stays out of them."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path_factory.getbasetemp() / "nobody")
