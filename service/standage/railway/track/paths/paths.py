"""A path: runs of track laid end to end in the plane, and where each place on it lies.

Positions count in mm along the path from its start. x is to the right, y up; angles are
radians anticlockwise and go on growing round and round.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise
from math import pi
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import ArrayLike

from standage.railway.track.paths.cells import Cells, cells_of, legs, spots
from standage.railway.track.paths.runs import Floats, Run

ROUNDING_MM = 1e-6
"""So far beyond an end a position counts as the end: sums of lengths are rounded."""
BLOCK = 8192
"""Positions that are reckoned at once: what they need stays in the cache."""


class Pose(msgspec.Struct, frozen=True, kw_only=True):
    """A point of the plane in mm, and the direction of travel there in radians."""

    x_mm: float = 0.0
    y_mm: float = 0.0
    heading: float = 0.0

    @property
    def point(self) -> complex:
        """The point as a complex number."""
        return complex(self.x_mm, self.y_mm)

    @property
    def turned_round(self) -> "Pose":
        """The same point, looking back."""
        return Pose(
            x_mm=self.x_mm,
            y_mm=self.y_mm,
            heading=self.heading + pi,
        )

    @property
    def mirrored(self) -> "Pose":
        """The pose as a mirror along the x axis shows it."""
        return Pose(
            x_mm=self.x_mm,
            y_mm=-self.y_mm,
            heading=-self.heading,
        )


ORIGIN = Pose()


class Poses(NamedTuple):
    """Many places of a path, each array of the shape of the positions asked for.

    Where two runs meet, the curvature is that of the run that begins there.
    """

    x_mm: Floats
    y_mm: Floats
    heading: Floats
    curvature: Floats


@dataclass(frozen=True)
class Path:
    """Runs that meet without a kink, from ``start`` on.

    A position off the path is an error, but where ``goes_on``: then it runs on straight
    beyond both ends, positions less than 0 before its start.
    """

    runs: tuple[Run, ...]
    start: Pose = ORIGIN
    goes_on: bool = False

    @cached_property
    def run_ends_mm(self) -> tuple[float, ...]:
        """Where each run ends."""
        lengths_mm = (run.length_mm for run in self.runs)
        return tuple(accumulate(lengths_mm))

    @property
    def length_mm(self) -> float:
        """The length of all the runs; 0 for none."""
        if not self.runs:
            return 0.0
        return self.run_ends_mm[-1]

    @property
    def end(self) -> Pose:
        """Where the path ends, looking out."""
        length_mm = self.length_mm
        return self.pose(length_mm)

    @cached_property
    def cells(self) -> Cells:
        """The path as ``cells`` places positions on it."""
        return cells_of(
            self.runs,
            start=self.start.point,
            heading=self.start.heading,
        )

    def pose(self, position_mm: float) -> Pose:
        """Return one place of the path; raises ValueError as ``at`` does."""
        x_mm, y_mm, heading, _ = self.at(position_mm)
        return Pose(
            x_mm=float(x_mm),
            y_mm=float(y_mm),
            heading=float(heading),
        )

    def at(self, positions_mm: ArrayLike) -> Poses:
        """Return where many positions lie, in any order, to 1e-9 mm.

        Raises ValueError for a position off the path, but where it goes on.
        """
        positions = np.asarray(positions_mm, np.float64)
        self.must_hold(positions)
        flat = positions.ravel()
        found = np.empty((len(Poses._fields), flat.size))
        for block in blocks(flat.size):
            found[:, block] = _poses(self.cells, flat[block])
        shape = (len(found), *positions.shape)
        return Poses(*found.reshape(shape))

    def must_hold(self, positions_mm: Floats) -> None:
        """Raise ValueError for a position off the path, but where it goes on."""
        if self.goes_on or positions_mm.size == 0:
            return
        least_mm = positions_mm.min()
        greatest_mm = positions_mm.max()
        farthest_mm = self.length_mm + ROUNDING_MM
        begins_on_it = least_mm >= -ROUNDING_MM
        ends_on_it = greatest_mm <= farthest_mm
        if begins_on_it and ends_on_it:
            return
        wrong_mm = greatest_mm if begins_on_it else least_mm
        limits = f"but the path runs from 0 mm to {self.length_mm:g} mm"
        raise ValueError(f"positions_mm holds {wrong_mm:g} mm, {limits}")

    @property
    def going_on(self) -> "Path":
        """The same path, running on straight beyond both ends."""
        return replace(
            self,
            goes_on=True,
        )

    @property
    def reversed(self) -> "Path":
        """The same line run the other way: its start is this one's end."""
        back = reversed(self.runs)
        return replace(
            self,
            runs=tuple(run.reversed for run in back),
            start=self.end.turned_round,
        )

    @property
    def mirrored(self) -> "Path":
        """The path as a mirror along the x axis shows it: of the other hand."""
        return replace(
            self,
            runs=tuple(run.mirrored for run in self.runs),
            start=self.start.mirrored,
        )

    def moved_to(self, start: Pose) -> "Path":
        """Return the path as a rigid body, moved so that it begins at ``start``."""
        return replace(
            self,
            start=start,
        )

    def joined(self, other: "Path") -> "Path":
        """Return this path with ``other`` laid on at its end, wherever that lay."""
        runs = self.runs + other.runs
        return replace(
            self,
            runs=runs,
        )

    def cut(self, from_mm: float, to_mm: float) -> "Path":
        """Return what lies between two positions, where it lies, be it of no length.

        Raises ValueError for a position off the path, also where that goes on, and for
        two in the wrong order.
        """
        itself = replace(
            self,
            goes_on=False,
        )
        itself.must_hold(np.array([from_mm, to_mm]))
        if from_mm > to_mm:
            limit = f"but to_mm is {to_mm:g} mm, and has to lie beyond it"
            raise ValueError(f"from_mm is {from_mm:g} mm, {limit}")
        runs = tuple(self._between(from_mm, to_mm))
        start = self.pose(from_mm)
        return replace(
            self,
            runs=runs,
            start=start,
        )

    def split(self, position_mm: float) -> tuple["Path", "Path"]:
        """Return what lies before a position and what lies beyond it.

        Raises ValueError for a position off the path.
        """
        length_mm = self.length_mm
        before = self.cut(0.0, position_mm)
        beyond = self.cut(position_mm, length_mm)
        return before, beyond

    def _between(self, from_mm: float, to_mm: float) -> Iterator[Run]:
        spans_mm = pairwise((0.0, *self.run_ends_mm))
        for run, (begins_mm, ends_mm) in zip(self.runs, spans_mm, strict=True):
            first_mm = max(from_mm - begins_mm, 0.0)
            last_mm = to_mm - begins_mm
            if to_mm >= ends_mm:
                last_mm = run.length_mm
            if first_mm < last_mm:
                yield run.part(first_mm, last_mm)


def blocks(size: int) -> Iterable[slice]:
    """Return the slices of an array that are reckoned one after the other.

    **Source** derived.
    """
    for first in range(0, size, BLOCK):
        yield slice(first, first + BLOCK)


def _poses(cells: Cells, positions_mm: Floats) -> Poses:
    here = spots(cells, positions_mm)
    point = here.point + legs(here).chord
    return Poses(
        x_mm=point.real,
        y_mm=point.imag,
        heading=here.heading_here,
        curvature=here.curvature_here,
    )
