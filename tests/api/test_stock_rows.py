"""What becomes of the rows of a list: none at all, ten alike, numbers that lost their noughts."""

import pytest

from api.asking import Caller, faults
from api.sheets import imported, previewed


@pytest.mark.parametrize("which", ["all", "good"])
def test_an_import_without_a_row_is_refused(steward: Caller, which: str) -> None:
    preview = previewed(steward, "Name,Number\n")
    refused = imported(steward, preview, which)
    assert faults(refused) == {"/rows": "nothing_to_take"}
    assert "no row below the heading" in refused.text
    assert steward.read(f"/v1/stock-imports/{preview['id']}")["state"] == "preview"


def test_an_import_of_the_good_rows_is_refused_where_none_is_good(steward: Caller) -> None:
    refused = imported(steward, previewed(steward, "Name,Number\n,1\n,2\n"), "good")
    assert faults(refused) == {"/rows": "nothing_to_take"}
    assert "every row is at fault" in refused.text
