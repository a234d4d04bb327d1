"""Yards: given inline, or on record."""

from standage.questions.asked import AskedYard, inline_yard
from standage.questions.resolving.lookup import Lookup
from standage.questions.resolving.recorded import body_of, yard_of
from standage.railway.shunting.yard import Yard
from standage.registry.records.bodies import YardBody
from standage.registry.records.kinds import YARDS


class Yards:
    """Resolves yards."""

    def __init__(self, records: Lookup) -> None:
        self._records = records

    def of(self, asked: AskedYard, pointer: str) -> Yard:
        """Return the yard that a caller names; raises ``Faulty`` where its id is not on
        record.
        """
        if asked.yard_id is None:
            return inline_yard(asked)
        pointer = f"{pointer}/yard_id"
        return yard_of(self._records.named(YARDS, asked.yard_id, pointer))

    def at(self, yard_id: str, *, layout_id: str | None = None) -> YardBody:
        """Return the yard that an address names; raises ``Absent`` where there is
        none.
        """
        return body_of(self._records.at(YARDS, yard_id, parent_id=layout_id), YardBody)
