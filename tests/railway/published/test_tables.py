"""What looking a figure up in a published table can come to, and what is said of it."""

import pytest

from standage.railway.published.tables import (
    Found,
    Held,
    NotAllowed,
    NotHeld,
    Standard,
    Table,
    beside,
)

SHEET = Standard(name="Sheet 1", edition="2001")
QUOTED = Standard(name="Sheet 2", as_quoted=True)
TABLE = Table[tuple[str, float]](SHEET, {("H0", 400.0): 64.0, ("H0", 300.0): None})


@pytest.mark.parametrize(
    ("row", "found"),
    [
        (("H0", 400.0), Held(standard=SHEET, row="it", value_mm=64.0)),
        (("H0", 300.0), NotAllowed(standard=SHEET, row="it")),
        # between two rows, beside one, and of a scale that is nearly the same
        (("H0", 350.0), NotHeld(standard=SHEET, row="it")),
        (("H0", 400.1), NotHeld(standard=SHEET, row="it")),
        (("HO", 400.0), NotHeld(standard=SHEET, row="it")),
    ],
)
def test_a_table_has_its_rows_and_nothing_between_them(
    row: tuple[str, float], found: Found
) -> None:
    assert TABLE.found(row, words="it") == found


@pytest.mark.parametrize(
    ("found", "geometry_mm", "difference_mm", "message"),
    [
        (
            Held(standard=SHEET, row="R 400", value_mm=64.0),
            62.5,
            -1.5,
            "Sheet 1 (2001) has 64 mm for R 400, 1.5 mm more than is reckoned here",
        ),
        (
            Held(standard=QUOTED, row="R 400", value_mm=64.0),
            64.0,
            0.0,
            "Sheet 2 as quoted has 64 mm for R 400, just what is reckoned here",
        ),
        (
            Held(standard=QUOTED, row="R 400", value_mm=64.0),
            None,
            None,
            "Sheet 2 as quoted has 64 mm for R 400",
        ),
        (
            NotHeld(standard=QUOTED, row="R 401"),
            62.5,
            None,
            "no figure of Sheet 2 as quoted is at hand for R 401",
        ),
        (
            NotAllowed(standard=SHEET, row="R 300"),
            62.5,
            None,
            "Sheet 1 (2001) does not allow R 300",
        ),
    ],
)
def test_a_row_stands_beside_what_geometry_says_with_the_difference(
    found: Found,
    geometry_mm: float | None,
    difference_mm: float | None,
    message: str,
) -> None:
    told = beside(found, geometry_mm=geometry_mm)
    assert (told.geometry_mm, told.difference_mm) == (geometry_mm, difference_mm)
    assert told.message == message
    assert told.as_quoted == found.standard.as_quoted


def test_only_what_is_held_has_a_figure() -> None:
    rows = (
        Held(standard=SHEET, row="it", value_mm=64.0),
        NotHeld(standard=SHEET, row="it"),
        NotAllowed(standard=SHEET, row="it"),
    )
    told = [beside(row) for row in rows]
    assert [(each.outcome, each.table_mm) for each in told] == [
        ("held", 64.0),
        ("not_held", None),
        ("not_allowed", None),
    ]
