"""Conformance probabilities with mpmath 1.4.1 at 40 digits, by integrating the density over the interval, printed as TOML.

The normal and the Student t density are written out and integrated numerically: no distribution function of any library is used.
"""

from heads import head
from mpmath import exp, gamma, inf, mp, mpf, nstr, pi, quad, sqrt

mp.dps = 40

CASES = {  # value, u, lower, upper, degrees of freedom
    "two_sided": ("0", "0.15", "-0.3", "0.3", "inf"),
    "two_sided_t4": ("0", "0.15", "-0.3", "0.3", "4"),
    "two_sided_t9_5": ("20.47", "0.12", "20.1", "20.9", "9.5"),
    "off_centre": ("20.75", "0.1", "20.1", "20.9", "inf"),
    "on_the_limit": ("20.9", "0.05", "20.1", "20.9", "inf"),
    "above_the_interval": ("21.3", "0.1", "20.1", "20.9", "inf"),
    "far_below_the_interval": ("19", "0.1", "20.1", "20.9", "inf"),
    "upper_limit_only": ("-5.47", "0.05", "-inf", "-5.4", "inf"),
    "lower_limit_only_t4": ("1.5", "0.2", "1.2", "inf", "4"),
}


def density(z, dof):
    """Evaluate the normal density, or Student's for finite degrees of freedom."""
    if dof == inf:
        return exp(-z * z / 2) / sqrt(2 * pi)
    return gamma((dof + 1) / 2) / (sqrt(dof * pi) * gamma(dof / 2)) * (1 + z * z / dof) ** (-(dof + 1) / 2)


def probability(value, u, lower, upper, dof):
    """Integrate between the limits, piece by piece so that the peak or the near tail is resolved."""
    a, b = (lower - value) / u, (upper - value) / u
    inner = [mpf(k) for k in (-40, -20, -12, -8, -4, -2, 0, 2, 4, 8, 12, 20, 40) if a < k < b]
    return quad(lambda z: density(z, dof), [a, *inner, b])


print(head(__file__, "mpmath", "Conformance probability: stored results of numerical integration in mpmath"))
for name, printed in CASES.items():
    result = nstr(probability(*(mpf(x) for x in printed)), 12, strip_zeros=False, min_fixed=-40)
    value, u, lower, upper, dof = (x if "." in x or "inf" in x else f"{x}.0" for x in printed)
    print(f'''
[[case]]
name = "mpmath_conformity_{name}"
source = "mpmath"
where = "integral of the density"
function = "conformance_probability"
inputs = {{ value = {value}, u = {u}, lower = {lower}, upper = {upper}, dof = {dof} }}
expected = {{ conformance_probability = "{result}" }}''')
