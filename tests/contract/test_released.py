"""What was released still works; what is let through by name."""

import json
from pathlib import Path

from contract.breakage import breaks, operations

ROOT = Path(__file__).parents[2]


def test_nothing_of_the_released_interface_is_broken() -> None:
    released, present = (
        json.loads((ROOT / "openapi" / name).read_text())
        for name in ("released.json", "openapi.json")
    )
    assert list(operations(released)) != []
    found = breaks(released, present)
    assert [line for line in found if not given_back(line)] == []
    fields = {field for field in GIVEN_BACK for line in found if field in line}
    assert fields == GIVEN_BACK, "what is let through for nothing"


def test_no_other_field_and_no_other_change_of_it_is_let_through() -> None:
    at = "GET /v1/layouts/{layout_id}/yards: 200 application/json/items[]"
    assert given_back(f"{at}/sidings[]/usable_length_mm: null is a new possibility")
    assert not given_back(f"{at}/sidings[]/usable_length_mm: gone")
    assert not given_back(f"{at}/sidings[]/name: null is a new possibility")
    assert not given_back(f"{at}/plan/sidings[]/usable_length_mm: string is new")


GIVEN_BACK = {"/headshunt_usable_length_mm: ", "/sidings[]/usable_length_mm: "}
"""Lengths of a yard on record, in whose stead whoever saved it may have named a place.

An answer gives back what was saved, so that only a club that uses the one meets the
other: a length beside a place would be a second figure of one road.
"""
_LEFT_OUT = ("null is a new possibility", "no longer sure to be there")


def given_back(line: str) -> bool:
    """Tell whether a break is only that a yard's answer gives back what was chosen."""
    operation, _, what = line.partition(": ")
    is_of_a_yard = "/yards" in operation
    return is_of_a_yard and any(
        what.endswith(field + change) for field in GIVEN_BACK for change in _LEFT_OUT
    )
