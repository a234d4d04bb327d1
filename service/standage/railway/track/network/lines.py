"""Lines of a network: a *line* runs on over joints and over points by their first way;
a branch is a line of its own.
"""

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from standage.railway.track.network.network import Course, Network

Place = tuple[Course, float]
"""So far along a course."""


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """Courses that follow each other, and from where to where each of them runs."""

    courses: tuple[Course, ...]
    spans_mm: Mapping[Course, tuple[float, float]]
    length_mm: float
    is_closed: bool

    def place_mm(self, course: Course, along_mm: float) -> float:
        """Return where on the line a place of a course lies."""
        start_mm, end_mm = self.span_mm(course)
        if course in self.spans_mm:
            return start_mm + along_mm
        return end_mm - along_mm

    def span_mm(self, course: Course) -> tuple[float, float]:
        """Return where on the line a course lies, whichever way it is run."""
        own = course if course in self.spans_mm else course ^ 1
        return self.spans_mm[own]


def lines_of(network: Network) -> Iterator[Line]:
    """Yield the lines of a network, but for those on which a length is not known. In
    mm. **Source** derived.
    """
    seen: set[int] = set()
    for number in range(len(network.strands)):
        if number in seen:
            continue
        first = _first(network, 2 * number)
        courses = list(_follow(network, first))
        seen |= {course >> 1 for course in courses}
        line = _line(network, courses)
        if line is not None:
            yield line


def _first(network: Network, course: Course) -> Course:
    """Return the course with which the line of another one begins; its own on a
    ring."""
    back = list(_follow(network, course ^ 1))
    farthest = back[-1]
    if _following(network, farthest) == course ^ 1:
        # a ring begins anywhere
        return course
    return farthest ^ 1


def _follow(network: Network, course: Course) -> Iterator[Course]:
    start = course
    here: Course | None = course
    while here is not None:
        yield here
        here = _following(network, here)
        if here == start:
            return


def _following(network: Network, course: Course) -> Course | None:
    """Return the way on by the first way, if one would come back by the first way
    too."""
    for beyond in network.onwards(course)[:1]:
        if network.onwards(beyond ^ 1)[:1] == (course ^ 1,):
            return beyond
    return None


def _line(network: Network, courses: Sequence[Course]) -> Line | None:
    """Return a line; None where a length on it is not known."""
    spans_mm: dict[Course, tuple[float, float]] = {}
    at_mm = 0.0
    for course in courses:
        length_mm = network.strand(course).length_mm
        if length_mm is None:
            return None
        spans_mm[course] = (at_mm, at_mm + length_mm)
        at_mm += length_mm
    return Line(
        courses=tuple(courses),
        spans_mm=spans_mm,
        length_mm=at_mm,
        is_closed=_following(network, courses[-1]) == courses[0],
    )
