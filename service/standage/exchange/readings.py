"""What comes of reading one cell."""

from typing import Any

import msgspec

from standage.exchange.numbers import Decimal, Trouble
from standage.railway.terms.scales import Scale


class Around(msgspec.Struct, frozen=True, kw_only=True):
    """What a cell's meaning hangs on besides itself."""

    unit: str | None
    decimal: Decimal
    scale: Scale | None


class Taken(msgspec.Struct, frozen=True, kw_only=True):
    """The value that a cell holds, None where it says that nobody knows it; and what
    was understood in reading it.
    """

    value: Any
    note: str | None = None


Read = Taken | Trouble
