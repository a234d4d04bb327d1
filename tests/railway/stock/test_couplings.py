"""Which figures a coupling's name brings, and which couplings take hold of each other."""

import pytest

from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.terms.scales import ScaleName


def reach_mm(types: CouplingTypes, name: str | None, scale: ScaleName | None) -> float | None:
    kind = types.kind(name, scale=scale)
    return None if kind is None else kind.reach_mm


def test_the_clubs_own_type_counts_before_the_typical_one_of_that_name() -> None:
    own = CouplingKind(name="Loop", reach_mm=3.25)
    assert reach_mm(CouplingTypes((own,)), "loop", "H0") == 3.25
    assert reach_mm(CouplingTypes(), "LOOP", "H0") == 4.0


def test_a_typical_figure_is_of_its_scale_only() -> None:
    assert reach_mm(CouplingTypes(), "loop", "00") is None
    assert reach_mm(CouplingTypes(), "loop", None) is None


@pytest.mark.parametrize("scale", ["N", "N British"])
def test_a_coupling_of_no_said_type_is_the_typical_one_where_the_scale_has_only_one(scale: ScaleName) -> None:
    assert reach_mm(CouplingTypes(), None, scale) == 2.5


@pytest.mark.parametrize("scale", ["00", "H0", "TT", None])
def test_a_coupling_of_no_said_type_is_unknown_where_the_scale_has_several_or_none(scale: ScaleName | None) -> None:
    assert reach_mm(CouplingTypes(), None, scale) is None


def test_a_said_type_that_nobody_knows_is_not_taken_for_the_typical_one() -> None:
    assert reach_mm(CouplingTypes(), "guided bar", "N") is None


@pytest.mark.parametrize(
    ("one", "other", "mate"),
    [
        ("screw", "Screw", True),
        ("screw", "loop", False),
        ("SMALL hook-and-bar", "large hook-and-bar", True),
        ("three-link", "large hook-and-bar", False),
    ],
)
def test_like_couplings_take_hold_and_unlike_ones_where_a_type_lists_the_other(
    one: str, other: str, *, mate: bool
) -> None:
    types = CouplingTypes()
    assert types.mate(one, other) is mate
    assert types.mate(other, one) is mate


def test_it_is_enough_that_one_of_two_types_lists_the_other() -> None:
    types = CouplingTypes((CouplingKind(name="screw", mates_with=("Hook",)), CouplingKind(name="hook")))
    assert types.mate("screw", "hook")
    assert types.mate("HOOK", "Screw")
    assert not types.mate("hook", "loop")


def test_the_clubs_own_type_overrules_what_the_typical_one_of_that_name_takes_hold_of() -> None:
    own = (CouplingKind(name="small hook-and-bar"), CouplingKind(name="large hook-and-bar"))
    assert not CouplingTypes(own).mate("small hook-and-bar", "large hook-and-bar")
