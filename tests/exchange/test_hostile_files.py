"""Files meant to do harm are refused with the reason: quickly, and in little memory."""

from collections.abc import Callable
from functools import partial

import pytest

from standage.exchange.cells import Sheet
from standage.exchange.csv_in import read_csv
from standage.exchange.stock.stock import lists_stock
from standage.exchange.workbooks_in import read_ods, read_xlsx
from standage.shapes.faults import Faulty
from support.hostile import hostile
from support.walks import at_each

READERS: dict[str, Callable[[bytes], Sheet]] = {
    "csv": read_csv,
    "xlsx": partial(read_xlsx, is_list=lists_stock),
    "ods": partial(read_ods, is_list=lists_stock),
}


@at_each("what", lambda: sorted(hostile()))
def test_what_is_meant_to_do_harm_is_refused_with_the_reason(what: str) -> None:
    form, raw, code = hostile()[what]
    with pytest.raises(Faulty) as refused:
        READERS[form](raw)
    (fault,) = refused.value.faults
    assert (fault.code, fault.pointer) == (code, "")
    assert len(fault.message) < 300
