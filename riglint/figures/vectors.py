"""Points and directions in space as plain triples: three numbers need no array library."""

from math import hypot

Vector = tuple[float, float, float]
VERTICAL: Vector = (0.0, 0.0, 1.0)


def minus(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def plus(a: Vector, factor: float, b: Vector) -> Vector:
    """a + factor b."""
    return a[0] + factor * b[0], a[1] + factor * b[1], a[2] + factor * b[2]


def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    x, y, z = a
    return y * b[2] - z * b[1], z * b[0] - x * b[2], x * b[1] - y * b[0]


def length(a: Vector) -> float:
    return hypot(*a)


def unit(a: Vector) -> Vector:
    size = length(a)
    return a[0] / size, a[1] / size, a[2] / size
