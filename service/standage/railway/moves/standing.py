"""Where a train lies on the network, and places as it runs over them."""

from collections.abc import Mapping, Sequence
from itertools import accumulate
from typing import NamedTuple

import msgspec

from standage.railway.moves.ground import Ground, Span, span_on
from standage.railway.track.network.network import Course

_DUST_MM = 1e-9


class Stand(msgspec.Struct, frozen=True, kw_only=True):
    """A place where trains stand whole: from limit to limit along its courses.

    ``from_mm`` and ``to_mm`` count from the start of the first course. Limits are as far
    from the ends of the courses as they are, unless somebody ``measured`` the place on
    its pieces.
    """

    courses: tuple[Course, ...]
    from_mm: float
    to_mm: float
    measured: bool = False

    @property
    def length_mm(self) -> float:
        """How long a train may stand there."""
        return max(0.0, self.to_mm - self.from_mm)

    def turned(self, ground: Ground) -> "Stand":
        """Return the same place as it is run over the other way."""
        whole_mm = sum(ground.length_mm(course) for course in self.courses)
        return Stand(
            courses=tuple(course ^ 1 for course in reversed(self.courses)),
            from_mm=whole_mm - self.to_mm,
            to_mm=whole_mm - self.from_mm,
            measured=self.measured,
        )


def spans_on(ground: Ground, stand: Stand) -> tuple[Span, ...]:
    """Return the track that a place takes up, by strand. **Source** derived."""
    spans: list[Span] = []
    base_mm = 0.0
    for course in stand.courses:
        own_mm = ground.length_mm(course)
        from_mm = max(0.0, stand.from_mm - base_mm)
        to_mm = min(own_mm, stand.to_mm - base_mm)
        if to_mm - from_mm > _DUST_MM:
            spans.append(span_on(course, from_mm, to_mm, own_mm=own_mm))
        base_mm += own_mm
    return tuple(spans)


def free_parts(ground: Ground, stand: Stand) -> list[Stand]:
    """Return what of a place nothing stands on or bars, from its first end to its last.
    **Source** the rules of moves.
    """
    return _left_of(ground, stand, ground.shut)


def clear_parts(ground: Ground, stand: Stand) -> list[Stand]:
    """Return what of a place is free, and where what stands there is foul of nothing,
    from its first end to its last. **Source** the rules of moves.
    """
    barred = {
        course: (
            *ground.shut.get(course, ()),
            *((zone.from_mm, zone.to_mm) for zone in ground.zones.get(course, ())),
        )
        for course in stand.courses
    }
    return _left_of(ground, stand, barred)


def _left_of(
    ground: Ground,
    stand: Stand,
    barred: Mapping[Course, Sequence[tuple[float, float]]],
) -> list[Stand]:
    """Return what some barred stretches of its courses leave of a place."""
    barred_mm: list[tuple[float, float]] = []
    base_mm = 0.0
    for course in stand.courses:
        for from_mm, to_mm in barred.get(course, ()):
            if to_mm - from_mm > _DUST_MM:
                barred_mm.append((base_mm + from_mm, base_mm + to_mm))
        base_mm += ground.length_mm(course)
    left: list[Stand] = []
    from_mm = stand.from_mm
    for begins_mm, ends_mm in sorted(barred_mm):
        until_mm = min(begins_mm, stand.to_mm)
        if until_mm > from_mm:
            part = msgspec.structs.replace(
                stand,
                from_mm=from_mm,
                to_mm=until_mm,
            )
            left.append(part)
        from_mm = max(from_mm, ends_mm)
    if stand.to_mm > from_mm or not barred_mm:
        left.append(msgspec.structs.replace(stand, from_mm=from_mm))
    return left


class Lying(NamedTuple):
    """A train on the track under it, in the order in which it would run over it.

    ``bases_mm`` is where each course begins, from the start of the first one, and
    ``rear_mm`` where the train's rear is.
    """

    courses: tuple[Course, ...]
    bases_mm: tuple[float, ...]
    rear_mm: float

    def reversed_at(
        self, ground: Ground, rear_mm: float, *, train_mm: float
    ) -> "Lying":
        """Return a train with its rear there as it would run back."""
        lead_mm = rear_mm + train_mm
        covered = [
            number
            for number, (course, base_mm) in enumerate(
                zip(self.courses, self.bases_mm, strict=True)
            )
            if _is_under(
                base_mm,
                ground.length_mm(course),
                rear_mm,
                lead_mm,
            )
        ]
        first, last = covered[0], covered[-1]
        end_mm = self.bases_mm[last] + ground.length_mm(self.courses[last])
        under = self.courses[first : last + 1]
        courses = tuple(course ^ 1 for course in reversed(under))
        return lying(ground, courses, rear_mm=end_mm - lead_mm)

    def course_at(self, ground: Ground, at_mm: float) -> Course:
        """Return the course on which a place lies, from the start of the first one."""
        for course, base_mm in zip(self.courses, self.bases_mm, strict=True):
            if at_mm < base_mm + ground.length_mm(course):
                return course
        return self.courses[-1]


def _is_under(base_mm: float, length_mm: float, rear_mm: float, lead_mm: float) -> bool:
    """Tell whether a course lies under a train; of no length, if between its ends."""
    if length_mm == 0:
        return rear_mm <= base_mm <= lead_mm
    return base_mm < lead_mm and base_mm + length_mm > rear_mm


def lying(ground: Ground, courses: tuple[Course, ...], *, rear_mm: float) -> Lying:
    """Return a train on courses, with its rear so far from the start of the first, in
    mm. **Source** derived.
    """
    lengths_mm = [ground.length_mm(course) for course in courses]
    bases_mm = tuple(accumulate(lengths_mm[:-1], initial=0.0))
    return Lying(courses, bases_mm, rear_mm)
