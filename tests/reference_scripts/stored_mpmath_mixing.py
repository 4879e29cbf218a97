"""Mixtures, hydration and copolymers with mpmath at 50 digits, printed as TOML.

Every mixing rule is solved as the equation it is, by a root search between the components; derivatives are mp.diff of amounts in kilograms and cubic
metres of one specimen. Nothing here uses a closed formula for a mixture's index, a volume fraction or a derivative.
"""

from heads import head
from mpmath import cbrt, diff, findroot, mp, mpf, nstr

mp.dps = 50

RULES = {  # what must vanish: the components' indices, their fractions, the mixture's index
    "lorentz-lorenz": lambda n, f, m: sum(fi * (ni**2 - 1) / (ni**2 + 2) for ni, fi in zip(n, f, strict=True)) - (m**2 - 1) / (m**2 + 2),
    "gladstone-dale": lambda n, f, m: sum(fi * ni for ni, fi in zip(n, f, strict=True)) - m,
    "newton": lambda n, f, m: sum(fi * ni**2 for ni, fi in zip(n, f, strict=True)) - m**2,
    "bruggeman": lambda n, f, m: sum(fi * (ni**2 - m**2) / (ni**2 + 2 * m**2) for ni, fi in zip(n, f, strict=True)),
}
MIXTURES = {
    "water_and_polymer": ([1.336, 1.51], [0.38, 0.62]),
    "far_apart": ([1.333, 1.7], [0.9, 0.1]),
    "three": ([1.333, 1.491, 1.592], [0.25, 0.5, 0.25]),
    "four": ([1.333, 1.406, 1.491, 1.592], [0.1, 0.2, 0.3, 0.4]),
}
GELS = {  # water by wet mass, dry index, dry density, index and density of the water
    "a_quarter_water": (0.25, 1.49, 1190.0, 1.3348, 996.0),
    "two_fifths_water": (0.4, 1.51, 1270.0, 1.336, 1000.0),
    "mostly_water": (0.7, 1.5, 1270.0, 1.334, 998.0),
}
COPOLYMERS = {
    "two": ([1.5916, 1.4906], [1050.0, 1188.0], [0.7, 0.3]),
    "three": ([1.5916, 1.4906, 1.466], [1050.0, 1188.0, 1087.0], [0.2, 0.5, 0.3]),
}


def exact(values):
    """Take the decimals as they are written."""
    return [mpf(str(v)) for v in values] if isinstance(values, list | tuple) else mpf(str(values))


def mixed(n, f, rule):
    """Search the mixture's index between its components."""
    return findroot(lambda m: RULES[rule](n, f, m), (min(n), max(n)), solver="anderson", tol=mpf("1e-45"))


def gel(w, n_dry, rho_dry, n_water, rho_water, rule):
    """Index and linear swelling of one kilogram of wet polymer, volumes adding."""
    water, polymer = w / rho_water, (1 - w) / rho_dry
    return mixed([n_water, n_dry], [water / (water + polymer), polymer / (water + polymer)], rule), cbrt((water + polymer) / polymer) - 1


def copolymer(n, density, w):
    """Index of a copolymer that weighs one kilogram: refractions and volumes of its parts add."""
    volume = [wi / di for wi, di in zip(w, density, strict=True)]
    return mixed(n, [v / sum(volume) for v in volume], "lorentz-lorenz"), 1 / sum(volume)


def digits(key, value):
    """Write 13 significant digits without an exponent; 10 of the spread, a small difference of two indices in double precision."""
    return nstr(value, 10 if key == "half_spread" else 13, strip_zeros=False, min_fixed=-20)


def text(value):
    """Write an input as TOML does."""
    if isinstance(value, str):
        return f'"{value}"'
    return f"[{', '.join(map(text, value))}]" if isinstance(value, list) else repr(value)


def print_case(name, function, inputs, expected):
    """Print one case."""
    inputs = ", ".join(f"{key} = {text(value)}" for key, value in inputs.items())
    expected = ", ".join(f'{key} = "{digits(key, value)}"' for key, value in expected.items())
    print(f'\n[[case]]\nname = "mpmath_{name}"\nsource = "mpmath_mixing"\nwhere = "root search and mp.diff, 50 digits"')
    print(f'function = "{function}"\ninputs = {{ {inputs} }}\nexpected = {{ {expected} }}')


SUBJECT = "Mixing rules, hydration, copolymers: stored results of root searches and derivatives in mpmath"
print(head(__file__, "mpmath", SUBJECT, source="mpmath_mixing"))
for name, (n, f) in MIXTURES.items():
    found = {rule: mixed(exact(n), exact(f), rule) for rule in RULES}
    for rule, m in found.items():
        print_case(f"mix_{name}_{rule}", "mix", {"n": n, "volume_fraction": f, "rule": rule}, {"n": m})
        sought = [float("nan"), *n[1:]]
        back = {"n_mixture": float(nstr(m, 16)), "n": sought, "volume_fraction": f, "rule": rule}
        known = exact(n)[1:]
        first = findroot(lambda x, r=rule, k=known, g=f, b=back: RULES[r]([x, *k], exact(g), exact(b["n_mixture"])), exact(n)[0], tol=mpf("1e-45"))
        print_case(f"unmix_{name}_{rule}", "unmix", back, {"n": first})
    spread = (max(found.values()) - min(found.values())) / 2
    print_case(f"half_spread_{name}", "mixing_half_spread", {"n": n, "volume_fraction": f}, {"half_spread": spread})

NAMES = ("water_mass_fraction_wet", "n_dry", "density_dry_kg_per_m3", "n_water", "density_water_kg_per_m3")
for name, numbers in GELS.items():
    at = tuple(exact(numbers))
    inputs = dict(zip(NAMES, numbers, strict=True))
    every = [gel(*at, r)[0] for r in RULES]
    for rule in RULES:
        def slope(which, place, at=at, rule=rule):
            """Differentiate index (0) or swelling (1) by one input."""
            return diff(lambda *x: gel(*x, rule)[which], at, tuple(int(i == place) for i in range(5)))

        n, s = gel(*at, rule)
        expected = {
            "n_hydrated": n, "linear_swelling": s, "by_water": slope(0, 0), "swelling_by_water": slope(1, 0), "by_n_dry": slope(0, 1),
            "by_density": slope(0, 2), "swelling_by_density": slope(1, 2), "half_spread": (max(every) - min(every)) / 2, "by_n_water": slope(0, 3),
        }  # fmt: skip
        print_case(f"hydrate_{name}_{rule}", "hydrate", {**inputs, "rule": rule}, expected)
    n, s = gel(*at, "lorentz-lorenz")
    print_case(f"hydrated_index_{name}", "hydrated_index", inputs, {"n": n})
    back = {**inputs, "n_hydrated": float(nstr(n, 16))}
    dry = findroot(lambda x, a=at, b=back: gel(a[0], x, *a[2:], "lorentz-lorenz")[0] - exact(b["n_hydrated"]), at[1], tol=mpf("1e-40"))
    print_case(f"dry_index_{name}", "dry_index", {k: v for k, v in back.items() if k != "n_dry"}, {"n": dry})
    print_case(f"linear_swelling_{name}", "linear_swelling", {k: inputs[k] for k in (NAMES[0], NAMES[2], NAMES[4])}, {"linear_swelling": s})


def water(wet, dry):
    """Water of a wet specimen by its own mass."""
    return (wet - dry) / wet


for wet, dry in ((0.0213, 0.0159), (0.0351, 0.0124)):
    at = (exact(wet), exact(dry))
    expected = {"water_mass_fraction_wet": water(*at), "by_mass_wet": diff(water, at, (1, 0)), "by_mass_dry": diff(water, at, (0, 1))}
    print_case(f"weights_{wet}_{dry}", "water_mass_fraction_wet_from_weights", {"mass_wet_g": wet, "mass_dry_g": dry}, expected)
for d in (0.25, 0.6, 3.0):
    w = findroot(lambda w, d=d: w / (1 - w) - exact(d), mpf("0.5"), tol=mpf("1e-45"))  # water by dry mass of one kilogram wet
    print_case(f"from_dry_{d}", "water_mass_fraction_wet_from_dry", {"water_mass_fraction_dry": d}, {"water_mass_fraction_wet": w})

for name, (n, density, w) in COPOLYMERS.items():
    index, rho = copolymer(exact(n), exact(density), exact(w))
    inputs = {"n": n, "density_kg_per_m3": density}
    print_case(f"copolymer_{name}", "copolymer_index", {**inputs, "mass_fraction": w}, {"n": index, "density_kg_per_m3": rho})
n, density, _ = COPOLYMERS["two"]
first = findroot(lambda w: copolymer(exact(n), exact(density), [w, 1 - w])[0] - mpf("1.55"), mpf("0.5"), tol=mpf("1e-40"))
u = mpf("0.01") / mp.sqrt(3) / abs(diff(lambda w: copolymer(exact(n), exact(density), [w, 1 - w])[0], first))
print_case(
    "mass_fraction_for_1.55", "mass_fraction_for_index", {"n_wanted": 1.55, "n": n, "density_kg_per_m3": density},
    {"mass_fraction_first": first, "mass_fraction_second": 1 - first, "u_model": u},
)  # fmt: skip
