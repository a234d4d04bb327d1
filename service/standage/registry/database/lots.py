"""Many rows, some at a time: as many as one statement may hold on either database."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

T = TypeVar("T")
AT_ONCE = 500
"""SQLite takes some 32,000 values in a statement, and no table has 60 columns."""
READ_IN_LOTS = {"yield_per": AT_ONCE}
"""For a statement whose rows are not to be in memory all at once."""


def lots(things: Iterable[T]) -> Iterator[list[T]]:
    """Yield things in lots of ``AT_ONCE``, the last one as long as it comes.

    >>> [len(lot) for lot in lots(range(1200))]
    [500, 500, 200]
    """
    remaining = iter(things)
    while lot := list(islice(remaining, AT_ONCE)):
        yield lot
