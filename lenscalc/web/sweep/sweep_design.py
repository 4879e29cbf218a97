"""A design of a sweep as its fields hold it, and as the TOML that the command takes: there and back. No page here."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from json import dumps
from typing import Any

from lenscalc.errors import InputError
from lenscalc.quantities import is_quantity, plain
from lenscalc.web.fields.printed_minus import with_hyphen

ONE, LIST, STEPS, POINTS, CUBE = "one value", "a list", "from, to, in steps", "from, to, so many points", "Latin hypercube"
HOWS = (ONE, LIST, STEPS, POINTS, CUBE)
_NUMBER = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?")

# a quantity's fields: how it varies, and what belongs to that: `values` as text, or the numbers `from`, `to`, `step`, `points`
Fields = Mapping[str, Any]


def toml_of(fields: Mapping[str, Fields], points: float | None = 1, seed: float | None = 1) -> str:
    """The design as TOML; `points` and `seed` are the hypercube's.

    Raises
    ------
    InputError
        for a field that is empty, and for a count that is no whole number.

    >>> print(toml_of({"n_lens": {"how": LIST, "values": "1,46; 1.49"}, "center_thickness_mm": {"how": ONE, "values": "0.9"}}).strip())
    [fixed]
    center_thickness_mm = 0.9
    <BLANKLINE>
    [combine]
    n_lens = [1.46, 1.49]
    """
    design: dict[str, dict[str, Any]] = {"fixed": {}, "combine": {}, "latin_hypercube": {}}
    for name, field in fields.items():
        how = field["how"]
        if how in (ONE, LIST):
            entries = _entries(name, str(field.get("values") or ""))
            if not entries:
                raise InputError(f"{name} is missing: write {'a value' if how == ONE else 'values, parted by semicolons or blanks'}", quantity=name)
            if how == ONE and len(entries) > 1:
                raise InputError(f"{name} = {field['values']!r}: is one value meant, or a list?", quantity=name)
            design["fixed" if how == ONE else "combine"][name] = entries[0] if how == ONE else entries
            continue
        keys = ("from", "to", *(("step",) if how == STEPS else ("points",) if how == POINTS else ()))
        for key in keys:
            if field.get(key) is None:
                raise InputError(f"{name}: {key} is missing", quantity=name)
        numbers = {key: _whole(f"points_{name}", field[key]) if key == "points" else float(plain(field[key])) for key in keys}
        design["latin_hypercube" if how == CUBE else "combine"][name] = numbers
    if design["latin_hypercube"]:
        whole = {"points": _whole("sweep_points", points), "seed": _whole("sweep_seed", seed)}
        design["latin_hypercube"] = {**whole, **design["latin_hypercube"]}
    return "\n".join(_table(name, content) for name, content in design.items() if content)


def _whole(field: str, value: float | None) -> int:
    """The number of a field for a count."""
    if value is None or not float(value).is_integer():
        told = "is missing: give" if value is None else f"= {plain(value)}: must be"
        raise InputError(f"{field} {told} a whole number", quantity=field, value=value)
    return int(value)


def _table(name: str, content: Mapping[str, Any]) -> str:
    """A table of TOML, ranges written in a line each: a writer of sub-tables would set them behind the lists, and the rows in another order."""
    return f"[{name}]\n" + "".join(f"{_key(n)} = {_written(v)}\n" for n, v in content.items())


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else dumps(name, ensure_ascii=False)


def _written(value: Any) -> str:
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_written(v)}' for key, v in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(_written(v) for v in value)}]"
    return dumps(value, ensure_ascii=False)


def _entries(name: str, text: str) -> list[Any]:
    """Values in a text, parted by semicolons or blanks; a comma is a decimal one."""
    parts = [p for p in re.split(r"[;\s]+", text.strip()) if p] if is_quantity(name) else [p.strip() for p in text.split(";") if p.strip()]
    written = [with_hyphen(p) for p in parts] if is_quantity(name) else parts
    return [float(p.replace(",", ".")) if is_quantity(name) and _NUMBER.fullmatch(p) else p for p in written]


def fields_of(design: Mapping[str, Any]) -> tuple[dict[str, dict[str, Any]], int, int]:
    """The fields of a design that `read_sweep` takes, and the hypercube's points and seed."""
    fields: dict[str, dict[str, Any]] = {n: {"how": ONE, "values": _text(v)} for n, v in design.get("fixed", {}).items()}
    for name, value in design.get("combine", {}).items():
        if isinstance(value, list):
            fields[name] = {"how": LIST, "values": "; ".join(_text(v) for v in value)}
        else:
            fields[name] = {"how": STEPS if "step" in value else POINTS, **{k: int(v) if k == "points" else float(v) for k, v in value.items()}}
    cube = dict(design.get("latin_hypercube", {}))
    points, seed = int(cube.pop("points", 100)), int(cube.pop("seed", 1))
    fields |= {n: {"how": CUBE, **{k: float(v) for k, v in ends.items()}} for n, ends in cube.items()}
    return fields, points, seed


def _text(value: Any) -> str:
    return value if isinstance(value, str) else "plano" if value == float("inf") else plain(float(value))


def rows_in(fields: Mapping[str, Fields], points: float | None = 1) -> int:
    """How many rows the design makes, without making them; a field that is empty counts once.

    >>> rows_in({"n_lens": {"how": LIST, "values": "1.46 1.49"}, "front_radius_mm": {"how": STEPS, "from": 12.0, "to": 18.0, "step": 0.5}})
    26
    """
    count = int(points or 1) if any(f["how"] == CUBE for f in fields.values()) else 1
    for name, field in fields.items():
        if field["how"] == LIST:
            count *= max(len(_entries(name, str(field.get("values") or ""))), 1)
        elif field["how"] == POINTS:
            count *= max(int(field.get("points") or 1), 1)
        elif field["how"] == STEPS and field.get("step") and None not in (field.get("from"), field.get("to")):
            first, last, step = (Decimal(plain(field[key])) for key in ("from", "to", "step"))
            count *= max(int((last - first) / step) + 1, 1)
    return count
