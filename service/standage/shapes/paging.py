"""Which page of a list is wanted, as every list takes it."""

from typing import Annotated

import msgspec

DEFAULT_LIMIT = 50

Limit = Annotated[
    int, msgspec.Meta(ge=1, le=200, description="How many records a page may hold.")
]
Cursor = Annotated[
    str,
    msgspec.Meta(
        min_length=1,
        max_length=1000,
        description="Where the page begins, as the page before it said.",
    ),
]
Next = Annotated[
    str | None,
    msgspec.Meta(description="The address of the next page; absent on the last."),
]
NextCursor = Annotated[
    str | None, msgspec.Meta(description="The cursor within that address.")
]
