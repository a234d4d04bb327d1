"""What an alignment may say, and what it says is met on the way."""

import pytest

from standage.railway.track.paths.alignment import (
    Alignment,
    deciding_paths,
    reverse_paths,
)
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


@pytest.mark.parametrize(
    ("sent", "pointers"),
    [
        ({"radius_mm": 438, "reverse_radius_mm": 500}, ["/reverse_radius_mm"]),
        ({"radius_mm": 438, "straight_between_mm": 0}, ["/straight_between_mm"]),
        ({"radius_mm": 438, "reverse": True, "entry": True}, ["/entry"]),
        (
            {
                "radius_mm": 438,
                "reverse_radius_mm": 500,
                "straight_between_mm": 90,
                "entry": False,
            },
            ["/reverse_radius_mm", "/straight_between_mm"],
        ),
        ({"radius_mm": 0}, ["/radius_mm"]),
    ],
)
def test_what_does_not_go_together_is_refused_at_its_place(
    sent: dict[str, object], pointers: list[str]
) -> None:
    with pytest.raises(Faulty) as refused:
        convert(sent, Alignment)
    assert [fault.pointer for fault in refused.value.faults] == pointers


def test_a_second_curve_of_no_said_radius_is_as_sharp_as_the_first() -> None:
    assert Alignment(radius_mm=438, reverse=True).radii_mm == (438, 438)
    assert Alignment(radius_mm=438, reverse=True, reverse_radius_mm=600).radii_mm == (
        438,
        600,
    )
    assert Alignment(radius_mm=438).radii_mm == (438,)


def test_only_the_sharper_curves_are_eased() -> None:
    eased = Alignment(
        radius_mm=438, reverse=True, reverse_radius_mm=600
    ).no_sharper_than(505)
    assert list(eased.radii_mm) == [505, 600]
    assert Alignment(radius_mm=438).no_sharper_than(505) == Alignment(radius_mm=505)


def test_the_straight_lies_between_the_curves() -> None:
    (line,) = reverse_paths(
        Alignment(radius_mm=400, reverse=True, straight_between_mm=80), longest_mm=600
    )
    assert list(line.ends_mm) == [0, 80]
    assert list(line.curvatures) == [1 / 400, 0, -1 / 400]


def test_a_single_curve_is_met_alone_and_by_its_ends() -> None:
    count = {
        entry: len(deciding_paths(Alignment(radius_mm=400, entry=entry), longest_mm=1))
        for entry in (None, True, False)
    }
    assert count == {None: 3, True: 2, False: 1}
