"""Laws of the index against their equations in 60 digits, written again from the sources that the functions name."""

import numpy as np
import pytest
from measured import Case, Rows, accuracy_holds
from mpmath import cbrt, mpf, sqrt

from lenscalc import material
from lenscalc.conditions import LINES_NM

A = Rows(120)
F, C, D, d = (mpf(LINES_NM[name]) for name in ("F", "C", "D", "d"))
INDEX = {"n1": A.even(1.3, 1.7, 1.0, 1.336, 1.5, 1.0), "n2": A.even(1.3, 1.7, 1.0, 1.336 + 1e-9, 3.0, 1.0 + 1e-12)}
PART = {"f": A.even(0, 1, 0.5, 1e-300, 1.0, 0.5)}


def lorentz(n):
    return 1 - 3 / (n * n + 2)


def unlorentz(x):
    return sqrt(3 / (1 - x) - 2)


def mixed(n1, n2, f):
    """The mixing rules: Lorentz–Lorenz, Gladstone–Dale, Newton, Bruggeman by halving its own equation."""
    a, b = n1 * n1, n2 * n2
    low, high = min(a, b), max(a, b)
    for _ in range(170):  # halved to the last of 50 digits
        e = (low + high) / 2
        above = f * (a - e) / (a + 2 * e) + (1 - f) * (b - e) / (b + 2 * e) > 0
        low, high = (e, high) if above else (low, e)
    return unlorentz(f * lorentz(n1) + (1 - f) * lorentz(n2)), 1 + f * (n1 - 1) + (1 - f) * (n2 - 1), sqrt(f * a + (1 - f) * b), sqrt(e)


def mix(n1, n2, f):
    return tuple(material.mix([n1, n2], [f, 1.0 - f], rule) for rule in ("lorentz-lorenz", "gladstone-dale", "newton", "bruggeman"))


def spread(n1, n2, f):
    return (mixed(n1, n2, f)[2] - mixed(n1, n2, f)[0]) / 2


def density(T):
    return mpf(999.974950) * (1 - (T - mpf(3.983035)) ** 2 * (T + mpf(301.797)) / (mpf(522528.9) * (T + mpf(69.34881))))


def air(nm, T, pressure_Pa=101325):
    s2 = (1000 / nm) ** 2
    standard = (mpf(8342.54) + mpf(2406147) / (130 - s2) + mpf(15998) / (mpf(38.9) - s2)) / 10**8
    return 1 + standard * pressure_Pa * (1 + (mpf(0.601) - mpf(0.00972) * T) * pressure_Pa / 10**8) / (mpf(96095.43) * (1 + mpf(0.003661) * T))


def water_at(nm, kelvin, rho):
    a = [mpf(x) for x in (0.244257733, 9.74634476e-3, -3.73234996e-3, 2.68678472e-4, 1.58920570e-3, 2.45934259e-3, 0.900704920, -1.66626219e-2)]
    q, t, L2 = rho / 1000, kelvin / mpf(273.15), (nm / 589) ** 2
    A = q * (a[0] + a[1] * q + a[2] * t + a[3] * L2 * t + a[4] / L2
         + a[5] / (L2 - mpf(0.2292020) ** 2) + a[6] / (L2 - mpf(5.432937) ** 2) + a[7] * q**2)
    return unlorentz(A)


def water(nm, T):
    return water_at(nm * air(nm, mpf(15)), T + mpf(273.15), density(T)) / air(nm, T)


def aqueous(nm):
    return mpf(1.321631) + mpf(6.070796e3) / nm**2 - mpf(7.062305e8) / nm**4 + mpf(6.147861e13) / nm**6


def saline(c, nm, T):
    slope = lambda nm, T: mpf(1.779e-4) - mpf(1.05e-6) * T + mpf(1.6e-8) * T**2 + mpf(0.01155) / nm  # noqa: E731
    return water(nm, T) + (mpf(1.7608e-4) * c - mpf(1.154e-7) * c**2) * slope(nm, T) / slope(D, mpf(20))


def by_abbe(n, nm, V, to):
    """n = A + B/L² through the reading, with (n_d − 1)/(n_F − n_C) = V: two linear equations, solved by elimination."""
    B = (n - 1) / (V * (1 / F**2 - 1 / C**2) - (1 / d**2 - 1 / nm**2))
    return n + B * (1 / to**2 - 1 / nm**2)


def sellmeier(nm):
    L2 = (nm / 1000) ** 2
    return sqrt(1 + sum(mpf(b) * L2 / (L2 - mpf(c)) for b, c in ((0.99654, 0.00787), (0.18964, 0.02191), (0.00411, 3.85727))))


def wet(n1, n2, w, rho):
    """Volumes add: water's volume fraction from its mass fraction; index by Lorentz–Lorenz, length by the cube root."""
    parts = w / mpf(998.2), (1 - w) / rho
    fraction = parts[0] / sum(parts)
    return unlorentz(fraction * lorentz(n1) + (1 - fraction) * lorentz(n2)), cbrt(sum(parts) / parts[1]) - 1


def hydrated(n1, n2, w, rho):
    return {"water_mass_fraction_wet": w, "density_dry_kg_per_m3": rho, "n_water": n1, "density_water_kg_per_m3": 998.2}, n2


def of_hydrate(n1, n2, w, rho):
    how, dry = hydrated(n1, n2, w, rho)
    found = material.hydrate(dry, **how)
    return found.n_hydrated, found.linear_swelling


def abbe(n1, n2, w, rho):
    """A copolymer's index at one line: specific refractions by mass, volumes adding."""
    return unlorentz((w * lorentz(n1) / rho + (1 - w) * lorentz(n2) / 1188) / (w / rho + (1 - w) / 1188))


def copolymer_V(n1, n2, w, rho):
    at = [abbe(n1 + mpf(a), n2 + mpf(b), w, rho) for a, b in ((0, 0), (0.012, 0.006), (-0.005, -0.002))]
    return (at[0] - 1) / (at[1] - at[2])


def part_for(n1, n2, f):
    aim = f * n1 + (1 - f) * n2
    phi = (lorentz(aim) - lorentz(n2)) / (lorentz(n1) - lorentz(n2))
    return phi * 1050 / (phi * 1050 + (1 - phi) * 1188)


WATER = {"n1": A.even(1.33, 1.34), "n2": A.even(1.4, 1.6), "w": A.even(0, 0.9, 0.0, 1e-30, 1e-9, 0.99), "rho": A.even(900, 1500)}
NEAR = {"n1": A.even(1.5, 1.7), "n2": A.even(1.35, 1.45), "f": np.round(A.even(0, 1) * 2**20) / 2**20}
LIGHT = {"nm": A.even(400, 700), "T": A.even(0, 40)}

CASES = [
    Case(material.mix, INDEX | PART, mixed, of=mix),
    Case(material.mixing_half_spread, INDEX | PART, spread, of=lambda n1, n2, f: material.mixing_half_spread([n1, n2], [f, 1.0 - f]),
         scale=lambda n1, n2, f: mpf(1)),
    Case(material.unmix, {"n1": INDEX["n1"], "n": A.even(1.3, 1.7, 1.0), "f": A.even(0.1, 1.0)},
         lambda n1, n, f: n, of=lambda n1, n, f: material.unmix(material.mix([n1, n], [1.0 - f, f]), [n1, None], [1.0 - f, f])),
    Case(material.lorentz_lorenz_dn_dt, {"n": A.even(1, 3, 1.0, 1.0 + 1e-12), "volume_expansion_per_K": A.log(1e-5, 1e-2)},
         lambda n, volume_expansion_per_K: -(n - 1) * (n + 1) * (n / 6 + 1 / (3 * n)) * volume_expansion_per_K),
    Case(material.water_density, {"temperature_degC": A.even(0, 40, 0.0, 3.983035, 40.0)}, lambda temperature_degC: density(temperature_degC)),
    Case(material.air_index, {**LIGHT, "pressure_Pa": A.even(9e4, 1.1e5)}, air, of=lambda nm, T, pressure_Pa: material.air_index(nm, T, pressure_Pa)),
    Case(material.vacuum_to_air, {"n": A.even(1, 3), **LIGHT}, lambda n, nm, T: n / air(nm, T), of=lambda n, nm, T: material.vacuum_to_air(n, nm, T)),
    Case(material.air_to_vacuum, {"n": A.even(1, 3), **LIGHT}, lambda n, nm, T: n * air(nm, T), of=lambda n, nm, T: material.air_to_vacuum(n, nm, T)),
    Case(material.water_index_at_density, {"nm": A.even(200, 1100), "kelvin": A.even(273, 773), "rho": A.even(1, 1050)}, water_at,
         of=lambda nm, kelvin, rho: material.water_index_at_density(nm, kelvin, rho)),
    Case(material.water_index, LIGHT, water, of=lambda nm, T: material.water_index(nm, T)),
    Case(material.saline_index, {"c": A.even(0, 100, 0.0), **LIGHT}, saline, of=lambda c, nm, T: material.saline_index(c, nm, T)),
    Case(material.aqueous_index, {"nm": LIGHT["nm"], "n_e": A.even(1.32, 1.36)}, lambda nm, n_e: n_e + (aqueous(nm) - aqueous(mpf(546.07))),
         of=lambda nm, n_e: material.aqueous_index(nm, n_e).n),
    Case(material.sellmeier_index, {"nm": LIGHT["nm"]}, sellmeier,
         of=lambda nm: material.sellmeier_index(nm, [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727])),
    Case(material.cauchy_index, {"nm": LIGHT["nm"]}, lambda nm: mpf(1.48) + mpf(0.004) / (nm / 1000) ** 2 + mpf(1e-4) / (nm / 1000) ** 4,
         of=lambda nm: material.cauchy_index(nm, 1.48, 0.004, 1e-4)),
    Case(material.conrady_index, {"nm": LIGHT["nm"]}, lambda nm: mpf(1.46) + mpf(0.01) / (nm / 1000) + mpf(5e-4) / (nm / 1000) ** mpf(3.5),
         of=lambda nm: material.conrady_index(nm, 1.46, 0.01, 5e-4)),
    Case(material.schott_index, {"nm": LIGHT["nm"]}, lambda nm: sqrt(mpf(2.18) + mpf(6e-3) * (nm / 1000) ** 2 + mpf(2.4e-2) / (nm / 1000) ** 2),
         of=lambda nm: material.schott_index(nm, [2.18, 6e-3, 2.4e-2], [0, 2, -2])),
    Case(material.abbe_number, {"n_d": A.even(1.3, 1.8), "n_C": A.even(1.3, 1.8), "step": A.log(1e-9, 0.05)},
         lambda n_d, n_C, step: (n_d - 1) / (mpf(float(n_C) + float(step)) - n_C),
         of=lambda n_d, n_C, step: material.abbe_number(n_d, n_C + step, n_C)),
    Case(material.by_abbe_number, {"n": A.even(1.3, 1.7), "nm": LIGHT["nm"], "V": A.even(15, 100), "to": A.even(400, 700)}, by_abbe,
         of=lambda n, nm, V, to: material.by_abbe_number(n, nm, V, to).n),
    Case(material.by_second_reading, {"n": A.even(1.3, 1.7), "step": A.even(0.001, 0.02), "to": A.even(450, 700)},
         lambda n, step, to: n + (mpf(float(n) + float(step)) - n) * (1 / to**2 - 1 / d**2) / (1 / F**2 - 1 / d**2),
         of=lambda n, step, to: material.by_second_reading(n, LINES_NM["d"], n + step, LINES_NM["F"], to).n),
    Case(material.hydrate, WATER, wet, of=of_hydrate),
    Case(material.hydrated_index, WATER, lambda **x: wet(**x)[0], of=lambda **x: of_hydrate(**x)[0]),
    Case(material.dry_index, WATER | {"w": A.even(0, 0.8, 0.0)}, lambda n1, n2, w, rho: n2, scale=lambda n1, n2, w, rho: 1 / (1 - w),
         of=lambda n1, n2, w, rho: material.dry_index(material.hydrated_index(n2, **hydrated(n1, n2, w, rho)[0]), **hydrated(n1, n2, w, rho)[0])),
    Case(material.linear_swelling, {"w": WATER["w"], "rho": WATER["rho"]}, lambda w, rho: wet(mpf(1.33), mpf(1.5), w, rho)[1],
         of=lambda w, rho: material.linear_swelling(w, density_dry_kg_per_m3=rho, density_water_kg_per_m3=998.2)),
    Case(material.linear_swelling_of, {"w": WATER["w"], "rho": WATER["rho"]}, lambda w, rho: wet(mpf(1.33), mpf(1.5), w, rho)[1],
         of=lambda w, rho: material.linear_swelling_of(w, rho, 998.2)),
    Case(material.water_mass_fraction_wet_from_dry, {"water_mass_fraction_dry": A.log(1e-9, 20, 0.0)},
         lambda water_mass_fraction_dry: 1 - 1 / (1 + water_mass_fraction_dry)),
    Case(material.water_mass_fraction_wet_from_weights, {"dry": A.log(1e-3, 10), "water": A.log(1e-9, 10)},
         lambda dry, water: (mpf(float(dry) + float(water)) - dry) / mpf(float(dry) + float(water)),
         of=lambda dry, water: material.water_mass_fraction_wet_from_weights(dry + water, mass_dry_g=dry).water_mass_fraction_wet),
    Case(material.copolymer_index, WATER | {"w": np.round(A.even(0, 1) * 2**20) / 2**20}, abbe,
         of=lambda n1, n2, w, rho: material.copolymer_index([n1, n2], density_kg_per_m3=[rho, 1188], mass_fraction=[w, 1.0 - w]).n),
    Case(material.copolymer_abbe, WATER | {"w": np.round(A.even(0, 1) * 2**20) / 2**20}, copolymer_V,
         of=lambda n1, n2, w, rho: material.copolymer_abbe(
             [n1, n2], n_F=[n1 + 0.012, n2 + 0.006], n_C=[n1 - 0.005, n2 - 0.002], density_kg_per_m3=[rho, 1188], mass_fraction=[w, 1.0 - w]).abbe_d),
    Case(material.mass_fraction_for_index, NEAR, part_for, scale=lambda n1, n2, f: mpf(1),

         of=lambda n1, n2, f: material.mass_fraction_for_index(
             f * n1 + (1 - f) * n2, n=[n1, n2], density_kg_per_m3=[1050, 1188]).mass_fraction_first),
    Case(material.molar_refraction_index, {"R": A.even(5, 50), "M": A.even(100, 200), "rho": A.even(800, 1200)},
         lambda R, M, rho: unlorentz(R * rho / (1000 * M)),
         of=lambda R, M, rho: material.molar_refraction_index(R, molar_mass_g_per_mol=M, density_kg_per_m3=rho).n),
    Case(material.sucrose_mass_fraction, {"w": A.even(0.001, 0.8), "T": A.even(10, 30)}, lambda w, T: w, scale=lambda w, T: mpf(1),
         of=lambda w, T: material.sucrose_mass_fraction(material.sucrose_index(w, T), T)),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=str)
def test_accuracy(case):
    accuracy_holds(case)
