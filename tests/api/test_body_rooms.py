"""How long a body of a record may be is said by its kind, and by nothing else."""

from dataclasses import replace

import pytest

from standage.api.operations.records import record_operations
from standage.registry.records.kind import RECORD_BYTES, Room
from standage.registry.records.kinds import KINDS, YARDS
from support.drawings import MEGABYTE


def test_the_operations_of_a_kind_take_bodies_as_long_as_it_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    big = replace(YARDS, room=Room(body_bytes=MEGABYTE))
    monkeypatch.setitem(KINDS, YARDS.name, big)
    taken = {
        (one.takes.most_bytes, "yards" in one.path)
        for one in record_operations()
        if one.method in {"POST", "PUT", "PATCH"}
    }
    assert taken == {(MEGABYTE, True), (RECORD_BYTES, False)}
