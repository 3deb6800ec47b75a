"""Plane geometry of the drawings: smooth lines through points, parts cut out, what lies inside, the visual centre.

Points are pairs of units from the left and from the top. A shape is a closed polygon whose last point isn't its first.
Only the four operations and square roots are used, which every machine rounds alike: the same table gives the same
bytes everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import sqrt
from typing import Final, TypeAlias

Point: TypeAlias = tuple[float, float]
#: An open line, or the points round a closed polygon.
Shape: TypeAlias = tuple[Point, ...]

#: Points set on a smooth line between two that are given.
_STEPS: Final = 6
#: How fine the search for the visual centre is: points across the longer side of a shape, then halvings round the best.
_GRID: Final = 24
_HALVINGS: Final = 7
#: What the way to the middle takes from the depth.
_PULL: Final = 0.15
_EPSILON: Final = 1e-9


def curve(*points: Point) -> Shape:
    """Return a smooth open line through points (centripetal Catmull-Rom, which makes no loops and no overshoot)."""
    first, last = points[0], points[-1]
    before = (2 * first[0] - points[1][0], 2 * first[1] - points[1][1])
    after = (2 * last[0] - points[-2][0], 2 * last[1] - points[-2][1])
    return (*_through((before, *points, after)), last)


def ring(*points: Point) -> Shape:
    """Return a smooth closed shape through points."""
    return tuple(_through((points[-1], *points, points[0], points[1])))


def oval(centre: Point, across: float, down: float) -> Shape:
    """Return an upright oval by its centre and half its width and height."""
    x, y = centre
    a, b = across * sqrt(0.5), down * sqrt(0.5)
    return ring(
        (x, y - down),
        (x + a, y - b),
        (x + across, y),
        (x + a, y + b),
        (x, y + down),
        (x - a, y + b),
        (x - across, y),
        (x - a, y - b),
    )


def closed(shape: Sequence[Point]) -> Shape:
    """Return the line round a shape: its points and the first one again."""
    return (*shape, shape[0])


def box(left: float, top: float, right: float, foot: float) -> Shape:
    """Return a rectangle."""
    return ((left, top), (right, top), (right, foot), (left, foot))


def joined(*lines: Sequence[Point]) -> Shape:
    """Return lines one after the other, without points that stand twice."""
    found: list[Point] = []
    for point in (point for line in lines for point in line):
        if not found or apart(found[-1], point) > _EPSILON:
            found.append(point)
    if len(found) > 1 and apart(found[0], found[-1]) <= _EPSILON:
        found.pop()
    return tuple(found)


def stretch(line: Sequence[Point], start: Point, end: Point) -> Shape:
    """Return the part of a line from its point that is nearest to one given to that nearest to another."""

    def nearest(point: Point) -> int:
        return min(range(len(line)), key=lambda place: apart(line[place], point))

    return tuple(line[nearest(start) : nearest(end) + 1])


def without(outline: Sequence[Point], *parts: Sequence[Point]) -> Shape:
    """Return an outline with some of its stretches cut off by a straight line each."""
    gone = {point for part in parts for point in part[1:-1]}
    return tuple(point for point in outline if point not in gone)


def both_sides(half: Sequence[Point]) -> Shape:
    """Return the closed shape of which one half is given, from midline to midline, as distances from the midline."""
    return joined(half, [(-x, y) for x, y in reversed(half)])


def mirrored(shape: Sequence[Point], width: float) -> Shape:
    """Return a shape as in a mirror that stands on the middle of the drawing."""
    return tuple((width - x, y) for x, y in reversed(shape))


def shifted(shape: Sequence[Point], across: float) -> Shape:
    """Return a shape further to the right."""
    return tuple((x + across, y) for x, y in shape)


def band(axis: tuple[Point, Point], along: tuple[float, float], across: tuple[float, float]) -> Shape:
    """Return a window that lies along an axis.

    Args:
        axis: Two points: the origin, and where one looks.
        along: From where to where, in units from the origin.
        across: How far to the left and to the right of it, looking along; what is left of it is negative.
    """
    (x, y), (to_x, to_y) = axis
    length = apart(*axis)
    ahead = ((to_x - x) / length, (to_y - y) / length)
    right = (-ahead[1], ahead[0])

    def at(forward: float, sideways: float) -> Point:
        return (x + forward * ahead[0] + sideways * right[0], y + forward * ahead[1] + sideways * right[1])

    return (at(along[0], across[0]), at(along[1], across[0]), at(along[1], across[1]), at(along[0], across[1]))


def cut(shape: Sequence[Point], window: Sequence[Point]) -> Shape:
    """Return the part of a shape within a convex window (Sutherland and Hodgman's way).

    The part has to hang together: two pieces would be joined by a line along the window's edge.
    """
    turn = 1.0 if area(window) > 0 else -1.0
    kept = list(shape)
    for start, end in pairwise((*window, window[0])):
        if not kept:
            break
        kept = list(_beside(kept, start, end, turn))
    return joined(kept)


def area(shape: Sequence[Point]) -> float:
    """Return the area, positive where the points go round clockwise as one sees them."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in _edges(shape)) / 2


def inside(shape: Sequence[Point], point: Point) -> bool:
    """Return whether a point lies within a shape."""
    x, y = point
    within = False
    for (ax, ay), (bx, by) in _edges(shape):
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            within = not within
    return within


def distance(shape: Sequence[Point], point: Point) -> float:
    """Return how far a point is from the edge of a shape."""
    return sqrt(min(_square_to_edge(point, a, b) for a, b in _edges(shape)))


def centre(shape: Sequence[Point], on: float | None = None) -> Point:
    """Return the visual centre of a shape: inside however it is bent, far from its edge and near its middle.

    Args:
        shape: The shape.
        on: Where the centre has to stand from the left; where nothing of the shape lies there, anywhere.
    """
    left, right = min(x for x, _ in shape), max(x for x, _ in shape)
    top, foot = min(y for _, y in shape), max(y for _, y in shape)
    step = max(right - left, foot - top) / _GRID
    columns = [on] if on is not None else _between(left, right, step)
    middle = _middle(shape)
    best = _deepest(shape, [(x, y) for x in columns for y in _between(top, foot, step)], middle)
    if best is None:
        if on is None:
            msg = "a shape without an inside"
            raise ValueError(msg)
        return centre(shape)
    for _ in range(_HALVINGS):
        step /= 2
        sideways = (0.0,) if on is not None else (-step, 0.0, step)
        near = [(best[0] + x, best[1] + y) for x in sideways for y in (-step, 0.0, step)]
        best = _deepest(shape, [best, *near], middle) or best
    return best


def _deepest(shape: Sequence[Point], points: Iterable[Point], middle: Point) -> Point | None:
    """Return the first of the best points inside; none where all lie outside.

    Depth counts, less a share of the way to the middle: in a long strip of even width every place is as deep.
    """
    found: Point | None = None
    best = 0.0
    for point in points:
        if inside(shape, point):
            worth = distance(shape, point) - _PULL * apart(point, middle)
            # What differs by less than this is even, however a machine added.
            if found is None or worth > best + _EPSILON:
                found, best = point, worth
    return found


def _middle(shape: Sequence[Point]) -> Point:
    """Return the centre of gravity, which may lie outside."""
    twice = 6 * area(shape)
    crossed = [(a[0] * b[1] - b[0] * a[1], a, b) for a, b in _edges(shape)]
    return (
        sum(cross * (a[0] + b[0]) for cross, a, b in crossed) / twice,
        sum(cross * (a[1] + b[1]) for cross, a, b in crossed) / twice,
    )


def _between(low: float, high: float, step: float) -> list[float]:
    count = max(int((high - low) / step), 1)
    return [low + (high - low) * (place + 0.5) / count for place in range(count)]


def _edges(shape: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from pairwise(shape)
    yield shape[-1], shape[0]


def apart(one: Point, other: Point) -> float:
    """Return how far two points are apart."""
    return sqrt((one[0] - other[0]) * (one[0] - other[0]) + (one[1] - other[1]) * (one[1] - other[1]))


def _square_to_edge(point: Point, a: Point, b: Point) -> float:
    across, down = b[0] - a[0], b[1] - a[1]
    length = across * across + down * down
    share = 0.0 if length == 0 else ((point[0] - a[0]) * across + (point[1] - a[1]) * down) / length
    share = min(max(share, 0.0), 1.0)
    x, y = a[0] + share * across - point[0], a[1] + share * down - point[1]
    return x * x + y * y


def _beside(shape: Sequence[Point], start: Point, end: Point, turn: float) -> Iterator[Point]:
    """Yield the part of a shape on the inner side of one edge of a window."""

    def depth(point: Point) -> float:
        return turn * ((end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0]))

    for a, b in _edges(shape):
        here, there = depth(a), depth(b)
        if here >= 0:
            yield a
        if (here > 0 > there) or (here < 0 < there):
            share = here / (here - there)
            yield (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def _through(points: Sequence[Point]) -> Iterator[Point]:
    """Yield a smooth line from the second to the last but one, that one itself left out."""
    for place in range(len(points) - 3):
        a, b, c, d = points[place : place + 4]
        # Knots by the square root of the distances.
        t1 = sqrt(apart(a, b))
        t2 = t1 + sqrt(apart(b, c))
        t3 = t2 + sqrt(apart(c, d))
        for step in range(_STEPS):
            t = t1 + (t2 - t1) * step / _STEPS
            ab, bc, cd = _on(a, b, 0.0, t1, t), _on(b, c, t1, t2, t), _on(c, d, t2, t3, t)
            yield _on(_on(ab, bc, 0.0, t2, t), _on(bc, cd, t1, t3, t), t1, t2, t)


def _on(one: Point, other: Point, start: float, end: float, at: float) -> Point:
    share = (at - start) / (end - start)
    return (one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1]))
