"""Global risks, acceptance limits and lots with mpmath 1.4.1 at 30 digits, by integrating densities written out here, printed as TOML.

The risks are double integrals taken in the other order than one would compute them: over the measured value outside, over the property inside,
where the product of the two normal densities is again a normal density. A lot is an integral over the error that its lenses share.
"""

from heads import head
from mpmath import erfc, exp, findroot, gamma, inf, mp, mpf, nstr, pi, quad, sqrt

mp.dps = 30


def above(z):
    """Probability of a standard normal value above z."""
    return erfc(z / sqrt(mpf(2))) / 2


def between(a, b):
    """Probability of a standard normal value between a and b, by the tail that is smaller."""
    return above(a) - above(b) if a > 0 else above(-b) - above(-a)


def normal(z):
    return exp(-z * z / 2) / sqrt(2 * pi)


def student(z, dof):
    return gamma((dof + 1) / 2) / (sqrt(dof * pi) * gamma(dof / 2)) * (1 + z * z / dof) ** (-(dof + 1) / 2)


def pieces(a, b, places):
    return sorted({a, b, *(p for p in places if a < p < b)})


def global_risks(mean, sd, u, lower, upper, a_lower, a_upper):
    """Outside: the measured value x, of variance sd² + u². Inside: the property given x, normal about the posterior mean."""
    whole, posterior = sqrt(sd * sd + u * u), sd * u / sqrt(sd * sd + u * u)

    def of_property(x, conforming):
        m = (mean * u * u + x * sd * sd) / (sd * sd + u * u)
        a, b = (lower - m) / posterior, (upper - m) / posterior
        return between(a, b) if conforming else above(-a) + above(b)

    def over(x_from, x_to, conforming):
        around = [mean + k * whole for k in range(-12, 13)] + [limit + k * u for limit in (lower, upper) for k in (-8, -4, -2, -1, 0, 1, 2, 4, 8)]
        return quad(lambda x: normal((x - mean) / whole) / whole * of_property(x, conforming), pieces(x_from, x_to, around))

    first, last = mean - 40 * whole, mean + 40 * whole
    inside = (max(first, a_lower), min(last, a_upper))
    consumer = over(*inside, False)
    producer = (over(first, inside[0], True) if inside[0] > first else 0) + (over(inside[1], last, True) if inside[1] < last else 0)
    return consumer, producer, between((lower - mean) / sd, (upper - mean) / sd)


def lot(power, u_c, u_i, lower, upper, dof, wanted, lenses, low):
    """Expectations over the shared error; a yield is a distance of the lot's mean from the middle of the limits."""

    def density(c):
        return normal(c / u_c) / u_c if dof == inf else student(c / u_c, dof) / u_c

    def good(mean):
        return between((lower - mean) / u_i, (upper - mean) / u_i)

    places = [power + k * u_c / 2 for k in range(-40, 41)] + [x + k * u_i for x in (lower, upper) for k in range(-12, 13)]
    first, last = lower - 40 * u_i, upper + 40 * u_i

    def expected(g, beyond):
        tail = 1 - quad(lambda m: density(m - power), pieces(first, last, places))
        return quad(lambda m: g(good(m)) * density(m - power), pieces(first, last, places)) + beyond * tail

    def within(distance):
        a, b = middle - distance - power, middle + distance - power
        return quad(density, pieces(a, b, [k * u_c for k in range(-12, 13)]))

    middle = (lower + upper) / 2
    at_wanted = findroot(lambda d: good(middle + d) - wanted, (mpf("0.01"), upper - middle), solver="illinois")
    at_low = findroot(lambda d: within(d) - (1 - low), (abs(power - middle), abs(power - middle) + 30 * u_c), solver="illinois")
    return {
        "expected_yield": expected(lambda y: y, 0), "yield_quantile": good(middle + at_low), "yield_below_probability": 1 - within(at_wanted),
        "lot_off_probability": 1 - within(upper - middle), "all_off_probability": expected(lambda y: (1 - y) ** lenses, 1),
        "none_off_probability": expected(lambda y: y**lenses, 0),
    }


def printed(x):
    return nstr(x, 10, strip_zeros=False, min_fixed=-40)


def number(x):
    return x if "." in x or "inf" in x else f"{x}.0"


def case(name, function, where, inputs, expected):
    told = ", ".join(f"{k} = {v}" for k, v in inputs.items())
    results = ", ".join(f'{k} = "{printed(v)}"' for k, v in expected.items())
    print(f'''
[[case]]
name = "mpmath_{name}"
source = "mpmath"
where = "{where}"
function = "{function}"
inputs = {{ {told} }}
expected = {{ {results} }}''')

RISKS = {  # mean, standard deviation, u, tolerance limits, acceptance limits
    "risk_resistors_guarded": ("1500", "0.12", "0.04", "1499.8", "1500.2", "1499.82", "1500.18"),
    "risk_resistors_simple": ("1500", "0.12", "0.04", "1499.8", "1500.2", "1499.8", "1500.2"),
    "risk_off_centre": ("20.7", "0.15", "0.05", "20.1", "20.9", "20.2", "20.8"),
    "risk_one_sided": ("1.1", "0.3", "0.1", "-inf", "1.8", "-inf", "1.6"),
    "risk_coarse_measurement": ("20.5", "0.05", "0.4", "20.1", "20.9", "20.1", "20.9"),
    "risk_fine_measurement": ("20.5", "0.2", "0.001", "20.1", "20.9", "20.101", "20.899"),
    "risk_guarded_rejection": ("20.5", "0.2", "0.05", "20.1", "20.9", "20.0", "21.0"),
}
LOTS = {  # power, u common, u individual, limits, degrees of freedom, wanted yield, lenses, low probability
    "lot_index_rules": ("20.5", "0.2", "0.05", "20.1", "20.9", "inf", "0.95", "1000", "0.05"),
    "lot_lenses_rule": ("20.47", "0.05", "0.2", "20.1", "20.9", "inf", "0.90", "100", "0.05"),
    "lot_near_a_limit": ("20.8", "0.1", "0.04", "20.1", "20.9", "inf", "0.99", "1000", "0.10"),
    "lot_few_degrees": ("20.5", "0.15", "0.05", "20.1", "20.9", "4", "0.95", "1000", "0.05"),
}

print(head(__file__, "mpmath", "Risks, acceptance limits and lots: stored results of numerical integration in mpmath"))
for name, text in RISKS.items():
    x = [mpf(t) for t in text]
    keys = ("process_mean", "process_sd", "u_measurement", "lower", "upper", "acceptance_lower", "acceptance_upper")
    consumer, producer, conforming = global_risks(*x)
    expected = {"consumers_risk": consumer, "producers_risk": producer, "conforming": conforming}
    case(name, "global_risks", "double integral", dict(zip(keys, map(number, text), strict=True)), expected)
for name, text in LOTS.items():
    keys = ("power_D", "u_common_D", "u_individual_D", "lower_D", "upper_D", "dof_common", "wanted_yield", "lenses", "low_probability")
    case(name, "lot_forecast", "integral over the shared error", dict(zip(keys, map(number, text), strict=True)), lot(*(mpf(t) for t in text)))
for name, (u, lower, upper, p) in {"limits_wide": ("0.2", "20.1", "20.9", "0.95"), "limits_narrow": ("0.05", "20.1", "20.9", "0.99")}.items():
    T_L, T_U, s, wanted = mpf(lower), mpf(upper), mpf(u), mpf(p)
    y = findroot(lambda y: between((T_L - y) / s, (T_U - y) / s) - wanted, (T_L, (T_L + T_U) / 2), solver="illinois")  # noqa: B023
    inputs = {"lower": lower, "upper": upper, "u": u, "probability": p}
    case(name, "acceptance_limits_at", "root of the integral", inputs, {"acceptance_lower": y, "acceptance_upper": T_L + T_U - y})
