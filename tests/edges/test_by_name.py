"""Every argument of the core may be given by its name."""

import importlib
import inspect
import pkgutil

import pytest

ROOMS = ("quantities", "uncertainty", "light", "material", "refractometer", "lens", "eye", "decision", "control", "chain")


def functions(room):
    package = importlib.import_module(f"lenscalc.{room}")
    for found in pkgutil.iter_modules(package.__path__, package.__name__ + "."):
        module = importlib.import_module(found.name)
        for name, thing in vars(module).items():
            if getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(inspect.unwrap(thing)):
                yield f"{found.name}.{name}", inspect.unwrap(thing)
            elif inspect.isclass(thing):
                own = ((key, f) for key, f in vars(thing).items() if inspect.isfunction(f) and f.__module__ == module.__name__)
                yield from ((f"{found.name}.{name}.{key}", f) for key, f in own)


@pytest.mark.parametrize("room", ROOMS)
def test_no_argument_is_by_its_place_alone(room):
    found = dict(functions(room))
    assert len(found) > 10
    for name, function in found.items():
        by_place = [p.name for p in inspect.signature(function).parameters.values() if p.kind is p.POSITIONAL_ONLY]
        assert not by_place, (name, by_place)
