"""Print the coefficients of number/elementary.hpp: interpolation in Chebyshev's points.

Run with mpmath: python tests/fit_elementary.py. Each function is f(t) = first(t) + z^p t^o P(z),
z = t^2; P is interpolated to 60 digits where f is used, then rounded to double. The largest
relative error of f with the rounded coefficients in exact arithmetic is printed beside them; the
rounding of the evaluation comes on top and is measured by tests/cpp/elementary_test.cpp.
"""

import mpmath as mp

mp.mp.dps = 60


def remainder(function, z):
    """P at z: what is left of function beyond its first terms."""
    t = mp.sqrt(z)
    if function is mp.cos:
        return (mp.cos(t) - 1 + z / 2) / z**2
    return (function(t) / t - 1) / z


def rebuilt(function, z, sum_):
    """Put the function together from the value of P."""
    t = mp.sqrt(z)
    return 1 - z / 2 + z**2 * sum_ if function is mp.cos else t + t * z * sum_


def fit(function, end, count):
    """Coefficients of P on (0, end], lowest power first."""
    points = [end / 2 * (1 + mp.cos(mp.pi * (2 * k + 1) / (2 * count))) for k in range(count)]
    matrix = mp.matrix(count, count)
    values = mp.matrix(count, 1)
    for i, point in enumerate(points):
        values[i] = remainder(function, point)
        for j in range(count):
            matrix[i, j] = point**j
    return [float(c) for c in mp.lu_solve(matrix, values)]


def largest_error(function, end, coefficients):
    """Largest relative error with rounded coefficients on a grid."""
    worst = mp.mpf(0)
    for k in range(1, 2001):
        z = end * k / 2000
        sum_ = mp.polyval([mp.mpf(c) for c in reversed(coefficients)], z)
        worst = max(worst, abs(rebuilt(function, z, sum_) / function(mp.sqrt(z)) - 1))
    return worst


def parts_of_half_pi():
    """Split half of pi into three doubles; 33 bits in the first two keep whole multiples exact."""
    rest = mp.pi / 2
    parts = []
    for _ in range(2):
        exponent = mp.floor(mp.log(rest, 2))
        unit = mp.mpf(2) ** (exponent - 32)
        parts.append(float(mp.floor(rest / unit) * unit))
        rest -= mp.mpf(parts[-1])
    return [*parts, float(rest)]


if __name__ == "__main__":
    for name, function, end, count in (
        ("sin", mp.sin, (mp.pi / 4) ** 2, 6),
        ("cos", mp.cos, (mp.pi / 4) ** 2, 6),
        ("atan", mp.atan, mp.tan(mp.pi / 8) ** 2, 11),
    ):
        found = fit(function, end, count)
        print(name, "relative error", mp.nstr(largest_error(function, end, found), 3))
        print(", ".join(repr(c) for c in found))
    print("half pi", parts_of_half_pi(), "2/pi", float(2 / mp.pi))
    print("pi/4", float(mp.pi / 4), "and", float(mp.pi / 4 - float(mp.pi / 4)))
    print("tan", float(mp.tan(mp.pi / 8)), float(mp.tan(3 * mp.pi / 8)))
