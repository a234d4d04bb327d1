"""The ways on over a network, and how many reversals a goal is away at the least."""

from collections.abc import Collection, Iterable

from standage.railway.track.network.network import Course, Network

Heading = int
"""A course, run over with the engine in front or behind: twice its number, and 1 more
where the engine leads.
"""


def heading(course: Course, *, engine_leads: bool) -> Heading:
    """Return the number of a course as it is run over. **Source** derived."""
    return 2 * course + engine_leads


class Ways:
    """The ways on that may be taken from each course: no trap is entered, and points
    out of use lie one way.

    What was asked of it is kept: however long its strands are, the ways stay.
    """

    def __init__(
        self, network: Network, closed: Collection[tuple[Course, Course]]
    ) -> None:
        trapped = network.trapped
        self._onwards = tuple(
            tuple(
                way
                for way in network.onwards(course)
                if way not in trapped and (course, way) not in closed
            )
            for course in range(2 * len(network.strands))
        )
        self._back: list[list[Course]] = [[] for _ in self._onwards]
        for course, ways in enumerate(self._onwards):
            for way in ways:
                self._back[way].append(course)
        self._known: dict[frozenset[Heading], list[int | None]] = {}

    def onwards(self, course: Course) -> tuple[Course, ...]:
        """Return the ways on at the end of a course."""
        return self._onwards[course]

    def least_reversals(self, goals: Iterable[Heading]) -> list[int | None]:
        """Return the least number of reversals from each heading to one of some others,
        for a train of no length that turns back anywhere; None where no way leads there.

        No train needs fewer. Takes as many steps as there are ways. **Source** derived.
        """
        wanted = frozenset(goals)
        known = self._known.get(wanted)
        if known is None:
            known = self._known[wanted] = self._counted(wanted)
        return known

    def _counted(self, goals: frozenset[Heading]) -> list[int | None]:
        least: list[int | None] = [None] * (2 * len(self._onwards))
        reversals = 0
        level = list(goals)
        while level:
            turned: list[Heading] = []
            while level:
                here = level.pop()
                if least[here] is not None:
                    continue
                least[here] = reversals
                course, leads = here >> 1, here & 1
                level += [2 * before + leads for before in self._back[course]]
                turned.append(2 * (course ^ 1) + (1 - leads))
            level = turned
            reversals += 1
        return least
