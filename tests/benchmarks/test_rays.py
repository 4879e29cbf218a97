"""Rays a second through a two-surface conic lens, against three libraries in the same run and on the same one core; and the speed of a slider.

Not in the ordinary run:  python -m pytest tests/benchmarks/test_rays.py --benchmark-only -s -W ignore
A library that is not installed is skipped. Times of the two sides are taken in turns and the best of each is compared, so that a busy machine
slows both.
"""

import os
from time import perf_counter

import numpy as np
import pytest

from lenscalc.light import Beam, Surface, System, through_focus_mtf, trace

RAYS = 1_000_000
R1, R2, K1, K2, T, N, M = 12.0, -20.0, -0.5, -1.3, 0.9, 1.49, 1.336
LENS = System([Surface(R1, K1), Surface(R2, K2)], [M, N, M], [T])
TURNS = 5


@pytest.fixture(scope="module", autouse=True)
def one_core():
    """Before any of them starts threads."""
    before = os.sched_getaffinity(0)
    os.environ["OMP_NUM_THREADS"] = "1"
    os.sched_setaffinity(0, {max(before)})
    yield
    os.sched_setaffinity(0, before)


@pytest.fixture(scope="module")
def heights():
    rng = np.random.default_rng(3)
    radius, angle = 2.0 * np.sqrt(rng.random(RAYS)), 2 * np.pi * rng.random(RAYS)
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    trace(LENS, x_mm=x, y_mm=y)  # compiles
    return x, y


def seconds(call):
    begin = perf_counter()
    result = call()
    return perf_counter() - begin, result


def in_turns(ours, prepare, theirs, part=1.0):
    """Best time of each over several turns; `part` is the fraction of the rays that a slow library is given."""
    mine, other = [], []
    for _ in range(TURNS):
        mine.append(seconds(ours)[0])
        rays = prepare()
        spent, found = seconds(lambda rays=rays: theirs(rays))
        other.append(spent / part)
    return min(mine), min(other), found


def told(benchmark, name, mine, other):
    benchmark.extra_info |= {
        "lenscalc_million_rays_per_s": RAYS / mine / 1e6,
        f"{name}_million_rays_per_s": RAYS / other / 1e6,
        "ratio": other / mine,
    }
    print(f"\n  {name}: {RAYS / other / 1e6:.3f} million rays/s; lenscalc {RAYS / mine / 1e6:.1f}; ratio {other / mine:.1f}")


def test_batoid(benchmark, heights):
    batoid = pytest.importorskip("batoid", reason="batoid is not installed (pip install batoid)")
    x, y = heights

    def ours():
        return trace(LENS, x_mm=x, y_mm=y)

    # metres or millimetres: the library has no unit but the speed of light, which is 1
    media = [batoid.ConstMedium(n) for n in (M, N, M)]
    surfaces = [
        batoid.RefractiveInterface(
            batoid.Quadric(radius, conic), name=f"S{i}", coordSys=batoid.CoordSys(origin=[0, 0, i * T]), inMedium=media[i], outMedium=media[i + 1]
        )
        for i, (radius, conic) in enumerate(((R1, K1), (R2, K2)))
    ]
    lens = batoid.CompoundOptic(surfaces, name="lens", inMedium=media[0], outMedium=media[2])

    def prepare():
        zeros = np.zeros(RAYS)
        return batoid.RayVector(x, y, zeros - 1.0, zeros, zeros, zeros + 1.0 / M, t=0.0, wavelength=546.07e-9, flux=1.0)

    mine, other, found = in_turns(ours, prepare, lens.trace)
    assert np.allclose(found.x, ours().x_mm, atol=1e-12)  # the same rays: on the last surface
    benchmark.pedantic(ours, rounds=3)
    told(benchmark, "batoid", mine, other)
    assert other / mine >= 5.0


def test_optiland(benchmark, heights):
    pytest.importorskip("optiland", reason="optiland is not installed (pip install optiland)")
    from optiland.materials import IdealMaterial
    from optiland.optic import Optic
    from optiland.rays import RealRays

    x, y = heights

    def ours():
        return trace(LENS, x_mm=x, y_mm=y)

    optic = Optic()
    optic.surfaces.add(index=0, thickness=np.inf, material=IdealMaterial(M))
    optic.surfaces.add(index=1, radius=R1, conic=K1, thickness=T, material=IdealMaterial(N), is_stop=True)
    optic.surfaces.add(index=2, radius=R2, conic=K2, thickness=50.0, material=IdealMaterial(M))
    optic.wavelengths.add(value=0.54607, is_primary=True)
    surfaces = list(optic.surfaces.surfaces)[1:3]

    def prepare():
        zeros = np.zeros(RAYS)
        return RealRays(x, y, zeros - 1.0, zeros, zeros, zeros + 1.0, zeros + 1.0, zeros + 0.54607)

    def theirs(rays):
        for surface in surfaces:
            surface.trace(rays)
        return rays

    mine, other, found = in_turns(ours, prepare, theirs)
    assert np.allclose(found.x, ours().x_mm, atol=1e-12)
    benchmark.pedantic(ours, rounds=3)
    told(benchmark, "optiland", mine, other)
    assert other / mine >= 5.0


def test_rayoptics(benchmark, heights):
    pytest.importorskip("rayoptics", reason="rayoptics is not installed (pip install rayoptics)")
    from opticalglass.opticalmedium import ConstantIndex
    from rayoptics.elem.profiles import Conic
    from rayoptics.optical.opticalmodel import OpticalModel
    from rayoptics.raytr.raytrace import trace as one_ray

    x, y = heights
    few = 2_000  # one ray a call in plain Python

    def ours():
        return trace(LENS, x_mm=x, y_mm=y)

    model = OpticalModel()
    sequence = model["seq_model"]
    sequence.do_apertures = False
    sequence.gaps[0].thi = 1.0
    sequence.gaps[0].medium = ConstantIndex(M, "around")
    for radius, conic, thickness, n in ((R1, K1, T, N), (R2, K2, 50.0, M)):
        sequence.add_surface([1 / radius, thickness, n])
        sequence.ifcs[len(sequence.ifcs) - 2].profile = Conic(c=1 / radius, cc=conic)
    model.update_model()
    wave = sequence.wvlns[0]
    axis = np.array([0.0, 0.0, 1.0])

    def theirs(rays):
        return [one_ray(sequence, place, axis, wave, intersect_obj=False)[0][2][0][0] for place in rays]

    mine, other, found = in_turns(ours, lambda: [np.array([a, b, 0.0]) for a, b in zip(x[:few], y[:few], strict=True)], theirs, few / RAYS)
    assert np.allclose(found, ours().x_mm[:few], atol=1e-10)
    benchmark.pedantic(ours, rounds=3)
    told(benchmark, "rayoptics", mine, other)
    assert other / mine >= 5.0


def test_a_page_can_follow_a_slider(benchmark):
    """61 planes of the MTF through focus of one lens, within 50 ms."""
    planes = np.linspace(-2.0, 2.0, 61)

    def call():
        return through_focus_mtf(LENS, Beam(3.0), focus_shift_mm=planes, frequency_per_mm=50.0, wavelength_nm=546.07)

    benchmark.pedantic(call, rounds=10, warmup_rounds=2)
    assert min(seconds(call)[0] for _ in range(10)) < 0.050
