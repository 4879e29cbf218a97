"""One ray at one surface: where it hits a conic, how it bends, how it sees a surface out of its place. Plain arithmetic, no checks.

What cannot be is nan here and becomes a word in `trace`. The very same functions run on arrays and compiled.
"""

from __future__ import annotations

from typing import Any, NamedTuple


class Hit(NamedTuple):
    """Length of the way [mm], place relative to the vertex, and the normal's part along the axis: above 0 on the vertex's own sheet."""

    length: Any
    x: Any
    y: Any
    z: Any
    facing: Any


class Bent(NamedTuple):
    """Direction behind the surface; cosine of incidence and squared cosine of refraction, both times the normal's length (squared) and of their sign.

    The second is below 0 where light is totally reflected.
    """

    L: Any
    M: Any
    N: Any
    cosine: Any
    cosine2: Any


class Started(NamedTuple):
    """Direction, and optical path [mm] from the wavefront through the first vertex to the plane of that vertex."""

    L: Any
    M: Any
    N: Any
    path: Any


def started(x: Any, y: Any, v: Any, n: Any) -> Started:
    """A ray of a beam of curvature v = V/n [1/mm] at the plane of the first vertex: towards the point 1/v behind it."""
    h2v = (x * x + y * y) * v
    s = (1.0 + h2v * v) ** 0.5
    N = 1.0 / s
    return Started(-x * v * N, -y * v * N, N, -n * h2v / (1.0 + s))


def conic_hit(x: Any, y: Any, z: Any, L: Any, M: Any, N: Any, c: Any, k: Any) -> Hit:
    """Where a ray meets the conic c(x² + y² + (1 + k)z²) = 2z, for N > 0: first to the plane of the vertex, then on (keeps digits, takes plano)."""
    to_plane = -z / N
    px = x + to_plane * L
    py = y + to_plane * M
    f = c * (px * px + py * py)
    g = N - c * (L * px + M * py)
    on = f / (g + (g * g - c * f * (1.0 + k * N * N)) ** 0.5)
    hz = on * N
    return Hit(to_plane + on, px + on * L, py + on * M, hz, 1.0 - c * (1.0 + k) * hz)


def bent(L: Any, M: Any, N: Any, nx: Any, ny: Any, nz: Any, n1: Any, n2: Any) -> Bent:
    """Snell's law in vectors for a normal of any length S^½: r·d + (√(S(1 − r²) + r²q²) − rq)/S·n, q = d·n, r = n1/n2 (one root saved)."""
    r = n1 / n2
    size2 = nx * nx + ny * ny + nz * nz
    cosine = L * nx + M * ny + N * nz
    cosine2 = size2 * (1.0 - r * r) + r * r * cosine * cosine
    g = (cosine2**0.5 - r * cosine) / size2
    return Bent(r * L + g * nx, r * M + g * ny, r * N + g * nz, cosine, cosine2)


def turned_in(x: Any, y: Any, z: Any, a: Any, b: Any, c: Any, d: Any, e: Any, f: Any, g: Any, h: Any, i: Any) -> tuple[Any, Any, Any]:
    """A vector in the axes of a turned surface, the matrix [a b c; d e f; g h i] turning its axes into the system's."""
    return a * x + d * y + g * z, b * x + e * y + h * z, c * x + f * y + i * z


def turned_out(x: Any, y: Any, z: Any, a: Any, b: Any, c: Any, d: Any, e: Any, f: Any, g: Any, h: Any, i: Any) -> tuple[Any, Any, Any]:
    """And back."""
    return a * x + b * y + c * z, d * x + e * y + f * z, g * x + h * y + i * z
