"""Probabilities of being better, and of ranks, with mpmath at 15 digits, by integrating over the errors themselves, printed as TOML.

The error that is shared and the error of one candidate are integrated numerically; the others stand in the integrand with erfc. Neither the variance
of a difference nor Owen's T is used.
"""

from itertools import pairwise

from heads import head
from mpmath import erfc, exp, mp, mpf, nstr, pi, quad, sqrt

mp.dps = 15
ENDS = [mpf(x) for x in (-9, -3, 0, 3, 9)]

BETTER = {  # value, other, own u, other own u, calibration's part, other part, direction, target
    "high_nothing_shared": ("20.5", "20.4", "0.06", "0.08", "0", "0", "high", None),
    "high_shared_alike": ("20.5", "20.45", "0.02", "0.03", "0.05", "0.05", "high", None),
    "low_shared_of_two_signs": ("20.5", "20.45", "0.02", "0.03", "0.05", "-0.02", "low", None),
    "near_nothing_shared": ("20.1", "19.7", "0.1", "0.2", "0", "0", "near", "20"),
    "near_both_above": ("20.2", "20.3", "0.04", "0.05", "0.06", "0.05", "near", "20"),
    "near_on_both_sides": ("20.1", "19.85", "0.03", "0.03", "0.08", "0.06", "near", "20"),
    "near_on_target": ("20", "20.1", "0.05", "0.05", "0.04", "-0.03", "near", "20"),
    "near_equally_far": ("20.1", "19.9", "0.05", "0.02", "0.04", "0.03", "near", "20"),
}
RANKS = {  # values, own u, calibration's parts; high is good
    "two_candidates": (("20.5", "20.4"), ("0.06", "0.08"), ("0.03", "0.05")),
    "three_candidates": (("20.5", "20.45", "20.3"), ("0.05", "0.1", "0.15"), ("0", "0", "0")),
    "three_sharing": (("20.5", "20.45", "20.4"), ("0.02", "0.04", "0.06"), ("0.08", "0.05", "-0.04")),
}


def density(z):
    return exp(-z * z / 2) / sqrt(2 * pi)


def below(z):
    return erfc(-z / sqrt(2)) / 2


def over(f, ends):
    """Integrate f times the normal density over pieces in order, whatever the kinks lie at."""
    inner = sorted({e for e in ends if -9 <= e <= 9} | set(ENDS))
    return sum(quad(lambda z: f(z) * density(z), pair, method="gauss-legendre", maxdegree=4) for pair in pairwise(inner))


def better(value, other, u, other_u, p, q, direction, target):
    def given(z):
        a, b = value + p * z, other + q * z
        if direction == "near":
            a, b = a - target, b - target

            def wins(e):
                x = abs(a + u * e)
                return below((-x - b) / other_u) + below((b - x) / other_u)

            return over(wins, [-a / u])
        sign = 1 if direction == "high" else -1
        return over(lambda e: below(sign * (a + u * e - b) / other_u), [])

    return over(given, []) if p or q else given(mpf(0))


def ranks(values, own, parts):
    many = len(values)

    def chance(i, wanted):
        others = [j for j in range(many) if j != i]

        def given(z):
            def of(e):
                x = values[i] + parts[i] * z + own[i] * e
                worse = [below((x - values[j] - parts[j] * z) / own[j]) for j in others]
                first, last = mpf(1), mpf(1)
                for w in worse:
                    first, last = first * w, last * (1 - w)
                return first if wanted == 0 else last

            return over(of, [])

        return over(given, []) if any(parts) else given(mpf(0))

    table = []
    for i in range(many):
        first, last = chance(i, 0), chance(i, many - 1)
        table.append([first, last] if many == 2 else [first, 1 - first - last, last])
    return table


def toml(x):
    return x if "." in x else f"{x}.0"


def u_of(own, part):
    """The whole u, as the inputs have it, of which `part` is the calibration's."""
    return nstr(sqrt(mpf(own) ** 2 + mpf(part) ** 2), 17)


print(head(__file__, "mpmath", "Ranking: stored results of numerical integration in mpmath"))
for name, (value, other, u, other_u, p, q, direction, target) in BETTER.items():
    result = better(*(mpf(x) for x in (value, other, u, other_u, p, q)), direction, None if target is None else mpf(target))
    aim = "" if target is None else f", target = {toml(target)}"
    print(f'''
[[case]]
name = "mpmath_better_{name}"
source = "mpmath"
where = "integral over the errors"
function = "better_probability"
inputs = {{ value = {toml(value)}, other = {toml(other)}, u = {u_of(u, p)}, other_u = {u_of(other_u, q)}, calibration_part = {toml(p)}, \
other_calibration_part = {toml(q)}, direction = "{direction}"{aim} }}
expected = {{ better_probability = "{nstr(result, 10, strip_zeros=False)}" }}''')
for name, (values, own, parts) in RANKS.items():
    table = ranks(*([mpf(x) for x in row] for row in (values, own, parts)))
    found = {f"candidate_{i + 1}_rank_{r + 1}": nstr(p, 6, strip_zeros=False) for i, row in enumerate(table) for r, p in enumerate(row)}
    whole = [u_of(*pair) for pair in zip(own, parts, strict=True)]
    print(f'''
[[case]]
name = "mpmath_ranks_{name}"
source = "mpmath"
where = "integral over the errors"
function = "rank_trials"
inputs = {{ values = [{", ".join(toml(x) for x in values)}], u = [{", ".join(whole)}], calibration_part = [{", ".join(toml(x) for x in parts)}] }}
expected = {{ {", ".join(f'{k} = "{v}"' for k, v in found.items())} }}
tolerance = {{ {", ".join(f"{k} = 0.005" for k in found)} }}
tolerance_reason = "three standard deviations of a fraction of 100,000 trials, which are at most 0.0048"''')
