"""Numbers with no more digits than their uncertainty supports (JCGM 100:2008, 7.2.6)."""

from __future__ import annotations

from math import isfinite


def decimals_for(u: float, digits: int = 2) -> int:
    """How many decimals show `digits` significant digits of u (rounded up where rounding adds a digit); six where it is not above 0, or not finite.

    >>> decimals_for(0.0314), decimals_for(0.0996), decimals_for(12.3), decimals_for(0.0)
    (3, 2, 0, 6)
    """
    if not isfinite(u) or u <= 0:
        return 6
    return max(0, _place(u, digits))


def _place(u: float, digits: int) -> int:
    """The decimal place of the last digit of u, once it is rounded to so many; below 0 to the left of the point."""
    return digits - 1 - int(f"{u:.{digits - 1}e}".partition("e")[2])


def with_u(value: float, u: float, unit: str = "") -> str:
    """A value with its standard uncertainty, both to two significant digits of u.

    >>> with_u(20.469666, 0.04123, "D")
    '20.470 D, u 0.041 D'
    >>> with_u(1.49, 0.0, "")
    '1.49, taken as exact'
    """
    space = f" {unit}" if unit else ""
    if not isfinite(u):
        return f"{value:.6g}{space}, u unknown"
    if u == 0:
        return f"{value:.8g}{space}, taken as exact"
    d = decimals_for(u)
    return f"{fixed(value, d)}{space}, u {u:.{d}f}{space}"


def between(lower: float, upper: float, u: float, unit: str = "") -> str:
    """The two ends of what comes of a value and its standard uncertainty, to the place of that value; as they are stated where u is 0.

    >>> between(20.302407, 20.537593, 0.06, "D"), between(20.397, 20.603, 0.15), between(-20.9, 0.0, 0.0)
    ('20.302 to 20.538 D', '20.40 to 20.60', '-20.90 to 0.00')
    """
    ends = [fixed(end, decimals_for(u)) if u else as_stated(end).replace("−", "-") for end in (lower, upper)]
    return f"{' to '.join(ends)}{' ' if unit else ''}{unit}"


def figure(value: float, u: float, unit: str = "", *, decimals_if_exact: int = 3) -> str:
    """A value with its standard uncertainty.

    >>> figure(-0.0563, 0.0402, "D"), figure(20.469666, 0.0, "D")
    ('−0.056 D, u 0.040 D', '20.470 D, with everything taken as exact')
    """
    if u == 0:
        return f"{signed(value, decimals_if_exact)}{' ' if unit else ''}{unit}, with everything taken as exact"
    return with_u(value, u, unit).replace("-", "−")


def fixed(value: float, decimals: int, sign: str = "") -> str:
    """A number with this many decimals, and no sign before a zero, which a rounded number may be; `sign` "+" for a change.

    >>> fixed(-0.0001, 2), fixed(-15.0, 1), fixed(0.13, 1, "+"), fixed(-0.01, 1, "+")
    ('0.00', '-15.0', '+0.1', '0.0')
    """
    text = f"{value:{sign}.{decimals}f}"
    return text.lstrip("+-") if float(text) == 0 else text


def signed(value: float, decimals: int) -> str:
    """A number with this many decimals, a true minus, and no minus before a zero.

    >>> signed(-0.0001, 2), signed(-15.0, 1)
    ('0.00', '−15.0')
    """
    return fixed(value, decimals).replace("-", "−")


def as_stated(value: float) -> str:
    """A label or a limit: two decimals, or as many more as it has. It is not rounded, because something is decided at it.

    >>> as_stated(20.1), as_stated(10.095), as_stated(-19.259999999999998)
    ('20.10', '10.095', '−19.26')
    """
    return signed(value, max(2, len(f"{value:.6f}".rstrip("0").partition(".")[2])))


def with_sign(change: float, decimals: int) -> str:
    """A change, with its sign either way.

    >>> with_sign(0.1325, 2), with_sign(-0.004, 3), with_sign(0.0, 2)
    ('+0.13', '−0.004', '0.00')
    """
    return fixed(change, decimals, "+").replace("-", "−")


def distance(by: float) -> str:
    """How far a value lies from a limit: two decimals, or as many more as it takes to tell it from 0.

    >>> distance(3.4362), distance(0.00204), distance(1e-15)
    ('3.44', '0.002', 'less than 0.00001')
    """
    return "less than 0.00001" if by < 1e-5 else f"{by:.{max(2, decimals_for(by, 1))}f}"


def at_most(largest: float) -> str:
    """An upper limit to two significant digits, rounded down so that it stays one.

    >>> at_most(0.00168), at_most(0.1999)
    ('0.0016', '0.19')
    """
    from decimal import ROUND_FLOOR, Context

    return str(Context(2, ROUND_FLOOR).create_decimal(repr(float(largest))).normalize())


def probability_text(p: float, *, required: float | None = None) -> str:
    """A probability to three decimals, in words where it is nearer to 0 or 1.

    With a `required` one, at which something is decided, as many more, eight at most, as tell it from that and from one minus it.

    >>> probability_text(0.44229), probability_text(0.99999998), probability_text(2e-9)
    ('0.442', 'above 0.999', 'below 0.001')
    >>> probability_text(0.94971, required=0.95), probability_text(0.9312, required=0.95), probability_text(0.05003, required=0.95)
    ('0.9497', '0.931', '0.05003')
    """
    if required is not None:
        apart = next((d for d in range(3, 9) if round(p, d) not in (round(required, d), round(1.0 - required, d))), 3)
        if apart > 3:
            return f"{p:.{apart}f}"
    if p >= 0.9995:
        return "above 0.999"
    return "below 0.001" if p < 0.0005 else f"{p:.3f}"


def percent(share: float) -> str:
    """A share in words, never more digits than it needs.

    >>> percent(0.6211), percent(0.0037)
    ('62 %', '0.4 %')
    """
    return f"{100 * share:.0f} %" if share >= 0.0095 else f"{100 * share:.1g} %" if share >= 0.0005 else "below 0.05 %"


def numerical_tolerance(u: float, digits: int = 2) -> float:
    """Half a unit of the last of the `digits` significant digits of u (JCGM 101:2008, 7.9.2: u = c·10^l, δ = ½·10^l).

    >>> numerical_tolerance(0.0754), numerical_tolerance(2.0), numerical_tolerance(0.0996, 1)
    (0.0005, 0.05, 0.05)
    """
    if not isfinite(u) or u <= 0:
        return 0.0
    return float(f"5e{-_place(u, digits) - 1}")
