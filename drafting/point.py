"""Places and displacements of the plane in mm, y up. Two points cannot be added."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

from drafting.errors import GeometryError


@dataclass(frozen=True, slots=True)
class Vector:
    """A displacement."""

    x: float
    y: float

    def __add__(self, other: Vector) -> Vector:
        return Vector(self.x + other.x, self.y + other.y)

    def __sub__(self, other: Vector) -> Vector:
        return Vector(self.x - other.x, self.y - other.y)

    def __mul__(self, factor: float) -> Vector:
        return Vector(self.x * factor, self.y * factor)

    __rmul__ = __mul__

    def __neg__(self) -> Vector:
        return Vector(-self.x, -self.y)

    @property
    def length(self) -> float:
        return math.hypot(self.x, self.y)

    def unit(self) -> Vector:
        """The same direction with length 1.

        Raises:
            GeometryError: the vector has no length, hence no direction.
        """
        length = self.length
        if length == 0:
            raise GeometryError("a displacement of no length has no direction; the two places must differ")
        return Vector(self.x / length, self.y / length)

    def dot(self, other: Vector) -> float:
        return self.x * other.x + self.y * other.y

    def cross(self, other: Vector) -> float:
        """Positive when `other` points to the left of this one."""
        return self.x * other.y - self.y * other.x

    def left(self) -> Vector:
        """The vector turned a quarter counter-clockwise."""
        return Vector(-self.y, self.x)

    def right(self) -> Vector:
        """The vector turned a quarter clockwise."""
        return Vector(self.y, -self.x)

    @staticmethod
    def at_angle(degrees: float) -> Vector:
        """The unit vector at `degrees` counter-clockwise from the x axis."""
        return Vector(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))


@dataclass(frozen=True, slots=True)
class Point:
    """A place."""

    x: float
    y: float

    def __reduce__(self) -> tuple[type[Point], tuple[float, float]]:
        # What pickle makes of a frozen class with slots takes several times as long, and a pattern is mostly points.
        return Point, (self.x, self.y)

    def __add__(self, other: Vector) -> Point:
        return Point(self.x + other.x, self.y + other.y)

    @overload
    def __sub__(self, other: Point) -> Vector: ...
    @overload
    def __sub__(self, other: Vector) -> Point: ...
    def __sub__(self, other: Point | Vector) -> Point | Vector:
        kind = Vector if isinstance(other, Point) else Point
        return kind(self.x - other.x, self.y - other.y)

    def distance(self, other: Point) -> float:
        return math.hypot(self.x - other.x, self.y - other.y)

    def toward(self, other: Point, share: float) -> Point:
        """The point that lies `share` of the way to `other`; 0 is here, 1 is there."""
        return Point(self.x + (other.x - self.x) * share, self.y + (other.y - self.y) * share)

    def isclose(self, other: Point, *, tolerance: float) -> bool:
        """True when the two lie no more than `tolerance` mm apart."""
        return self.distance(other) <= tolerance


@dataclass(frozen=True, slots=True)
class Motion:
    """A rigid motion of the plane: x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def __call__(self, point: Point) -> Point:
        return Point(
            self.a * point.x + self.c * point.y + self.e,
            self.b * point.x + self.d * point.y + self.f,
        )

    @property
    def mirrors(self) -> bool:
        """True when the motion turns the plane over."""
        return self.a * self.d - self.b * self.c < 0

    @staticmethod
    def shift(by: Vector) -> Motion:
        return Motion(e=by.x, f=by.y)

    @staticmethod
    def mirror_height(y: float) -> Motion:
        """Reflection in the horizontal line at height `y`: a fold square to the grain."""
        return Motion(d=-1.0, f=2 * y)

    @staticmethod
    def mirror_side(x: float) -> Motion:
        """Reflection in the vertical line at `x`: the other leg of a mirrored pair."""
        return Motion(a=-1.0, e=2 * x)

    @staticmethod
    def turn(degrees: float) -> Motion:
        """Rotation about the origin, counter-clockwise; exact for quarter turns."""
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        if degrees % 90 == 0:
            c, s = float(round(c)), float(round(s))
        return Motion(c, s, -s, c)

    @staticmethod
    def half_turn(centre: Point) -> Motion:
        """Rotation by 180 degrees, the only turn that keeps the grain."""
        return Motion(a=-1.0, d=-1.0, e=2 * centre.x, f=2 * centre.y)

    def then(self, after: Motion) -> Motion:
        """The motion that does this one first and `after` second."""
        return Motion(
            after.a * self.a + after.c * self.b,
            after.b * self.a + after.d * self.b,
            after.a * self.c + after.c * self.d,
            after.b * self.c + after.d * self.d,
            after.a * self.e + after.c * self.f + after.e,
            after.b * self.e + after.d * self.f + after.f,
        )
