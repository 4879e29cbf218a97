"""What a reference case may ask of the refractometer."""

from __future__ import annotations

from typing import Any

from lenscalc.verified.adapter import Adapter, of


def _grubbs_critical(n: list[int], level: float) -> dict[str, Any]:
    """A column of a table of critical values: they depend on the number of readings alone."""
    from lenscalc.refractometer import grubbs

    return {f"n{count}": grubbs(range(count), level=level).critical for count in n}


def _nested_mean(
    groups: list[Any] | None = None,
    of: str = "mounting",
    group_means: list[float] | None = None,
    group_s: list[float] | None = None,
    readings_per_group: int = 0,
) -> dict[str, Any]:
    """Balanced groups, taken as mountings or as sessions; a list of lists in a group is sessions of mountings of readings.

    Where a source prints the mean and the standard deviation of a group alone, evenly spaced readings with exactly these stand for it: n steps about
    the middle, whose variance is n(n + 1)/12. N·u² is the mean square between the groups, u·√groups the standard deviation of their means.
    """
    from lenscalc.refractometer import nested_mean

    if groups is None:
        n = readings_per_group
        steps = [(k - (n - 1) / 2) / (n * (n + 1) / 12) ** 0.5 for k in range(n)]
        groups = [[mean + s * step for step in steps] for mean, s in zip(group_means or (), group_s or (), strict=True)]
    if isinstance(groups[0][0], list):
        told = [(y, m, s) for s, mounts in enumerate(groups) for m, readings in enumerate(mounts) for y in readings]
        mean = nested_mean([t[0] for t in told], mounting=[t[1] for t in told], session=[t[2] for t in told])
        return {**mean._asdict(), "ms_within": mean.s_reading * mean.s_reading}
    mean = nested_mean([y for g in groups for y in g], **{of: [i for i, g in enumerate(groups) for _ in g]})
    within, between = (mean.s_reading, mean.s_mounting) if of == "mounting" else (mean.s_mounting, mean.s_session)
    return {
        **mean._asdict(), "s_within": within, "s_between": between, "ms_within": within * within, "s_between2": between * between,
        "ms_between": mean.readings * mean.u * mean.u, "s_of_means": mean.u * len(groups) ** 0.5,
    }  # fmt: skip


FUNCTIONS: dict[str, Adapter] = {
    "critical_angle_index": of("refractometer", "critical_angle_index", "n"),
    "minimum_deviation_index": of("refractometer", "minimum_deviation_index", "n"),
    "v_block_index": of("refractometer", "v_block_index", "n"),
    "prism_reading_index": of("refractometer", "prism_reading_index", "n"),
    "without_compensation": of("refractometer", "without_compensation", "n"),
    "nested_mean": _nested_mean,
    "grubbs": of("refractometer", "grubbs"),
    "grubbs_critical": _grubbs_critical,
}
