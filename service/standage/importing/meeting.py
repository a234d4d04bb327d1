"""Rows of one list that speak of the same record: all of them are held back."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import islice

from standage.exchange.numbers import Trouble

Meaning = tuple[str, str]
"""What two rows that speak of one record have in common."""
_MOST_NAMED = 5


def rows_by_meaning(
    found: Iterable[tuple[Meaning | None, int]],
) -> dict[Meaning, list[int]]:
    """Return the rows by the records that they speak of."""
    alike: defaultdict[Meaning, list[int]] = defaultdict(list)
    for means, row in found:
        if means is not None:
            alike[means].append(row)
    return dict(alike)


def twice_in_the_file(row: int, alike: Sequence[int], *, mend: str) -> Trouble | None:
    """Return that other rows of the file speak of the same record; None where none
    do.
    """
    other_rows = (str(other) for other in alike if other != row)
    # no more than are named: ten thousand rows may be alike
    others = list(islice(other_rows, _MOST_NAMED))
    if not others:
        return None
    named = ", ".join(others)
    rows = "rows" if len(others) > 1 else "row"
    message = f"stands in {rows} {named} too"
    return Trouble(
        code="twice_in_the_file",
        message=message,
        mend=mend,
    )
