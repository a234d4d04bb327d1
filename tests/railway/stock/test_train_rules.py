"""What a train may not be: a rake beyond its end or into another, or more vehicles than
can be answered at once.
"""

import pytest

from standage.questions.asked import AskedTrain
from standage.railway.stock.trains import MeasuredRake, rakes_out_of_place
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


def rake(first: int, last: int) -> MeasuredRake:
    return MeasuredRake(first=first, last=last, length_mm=100.0, length_over="buffers")


@pytest.mark.parametrize(
    ("rakes", "pointers"),
    [
        ((rake(1, 2), rake(3, 3)), []),
        ((rake(1, 4),), ["/measured_rakes/0/last"]),
        ((rake(2, 3), rake(1, 2)), ["/measured_rakes/0/first"]),
        ((rake(1, 3), rake(2, 2)), ["/measured_rakes/1/first"]),
    ],
)
def test_rakes_lie_within_the_train_and_apart(
    rakes: tuple[MeasuredRake, ...], pointers: list[str]
) -> None:
    assert [
        fault.pointer for fault in rakes_out_of_place(rakes, vehicles=3)
    ] == pointers


def test_a_rake_ends_where_it_begins_or_after() -> None:
    assert [fault.pointer for fault in rake(3, 2).rules()] == ["/last"]
    assert list(rake(2, 2).rules()) == []


def counted(*counts: int) -> dict[str, object]:
    wagon = {"name": "W", "length_mm": 1, "length_over": "buffers"}
    return {"vehicles": [wagon | {"count": count} for count in counts]}


def test_a_train_holds_a_thousand_vehicles_and_no_more() -> None:
    assert convert(counted(200, 200, 200, 200, 200), AskedTrain).vehicles is not None
    with pytest.raises(Faulty) as refused:
        convert(counted(200, 200, 200, 200, 200, 1), AskedTrain)
    assert [(fault.code, fault.pointer) for fault in refused.value.faults] == [
        ("too_many", "/vehicles")
    ]
