"""Which cases of its coverage phase a short run of schemathesis sends: each sort of
value of each field once, whichever operation it comes to first.

A field is looked at by the same rule wherever it stands, and schemathesis explores it
at every place of every body: of 21,000 cases 60 % differ from another one in their
address alone.
"""

import re
from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple
from zlib import crc32

FEWEST_TYPES = 3
"""Of so many wrong types at least every field of a body is sent values."""
NAMED = 2
"""A field is known by its own name and by that of what holds it."""
_STEP = re.compile(r" -> |: ")
_VALID = re.compile(r"Object with valid '(.*)' value")
_NO_NAME = {
    "Array with invalid items",
    "Object with additional property",
    "Object with invalid additional property",
    "Single-item array",
    "Valid object",
}
"""Steps on the way to a field that are no field's name."""
_ALSO_CALLED = {"segments": "pieces"}
"""A flexible piece consists of pieces."""


class Told(NamedTuple):
    """What schemathesis tells of a case: whether it is right, where its value stands
    and what sort of value it is.
    """

    mode: str
    part: str
    """Of the request: a body, a query …"""
    parameter: str
    scenario: str
    description: str
    location: str = ""
    """In the schema."""


@dataclass(frozen=True)
class Once:
    """Remembers what was sent."""

    _first: dict[tuple[object, ...], tuple[str, Told]] = field(default_factory=dict)
    _times: Counter[tuple[str, Told]] = field(default_factory=Counter)

    def is_new(self, operation_id: str, told: Told) -> bool:
        """Tell whether to send a case: a sort of value that its field was not sent
        before, or the operation's first that is right or wrong.

        What is of no one part of a request is sent always. Of several values of one
        sort that come to one place one is sent: of the wrong types in a body another
        from place to place.
        """
        if told.part == "":
            return True
        name = "" if told.part == "body" else told.parameter
        steps = _steps(told.description)
        sort = (told.mode, told.part, name, told.scenario, steps)
        own = (operation_id, told.mode)
        here = (operation_id, told)
        places = {
            self._first.setdefault(sort, here),
            self._first.setdefault(own, here),
        }
        if here not in places:
            return False
        number = self._times[here]
        self._times[here] += 1
        return number == _chosen(told)


def _chosen(told: Told) -> int:
    """Return which of the values of one sort at one place is sent, counted from 0."""
    if (told.part, told.scenario) != ("body", "incorrect_type"):
        return 0
    return crc32(told.description.encode()) % FEWEST_TYPES


def _steps(description: str) -> tuple[str, ...]:
    """Return the names of a field and of its holder, and the sort of value last."""
    steps = [_VALID.sub(r"\1", step) for step in _STEP.split(description)]
    names = [step for step in steps if step not in _NO_NAME]
    return tuple(_ALSO_CALLED.get(name, name) for name in names[-NAMED - 1 :])
