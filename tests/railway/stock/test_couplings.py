"""Which figures a coupling's name brings, and which couplings take hold of each
other.
"""

import pytest

from standage.railway.stock.couplings import CouplingKind, CouplingTypes, bearer
from standage.railway.terms.scales import ScaleName


def reach_mm(
    types: CouplingTypes, name: str | None, scale: ScaleName | None
) -> float | None:
    kind = types.kind(name, on=bearer(scale))
    return None if kind is None else kind.reach_mm


def figures(
    name: str | None,
    scale: ScaleName,
    *,
    american: bool | None = None,
    from_body: bool = False,
) -> tuple[float | None, float | None]:
    kind = CouplingTypes().kind(
        name, on=bearer(scale, american=american, from_body=from_body)
    )
    return (None, None) if kind is None else (kind.reach_mm, kind.reach_plus_minus_mm)


def span(name: str | None, scale: ScaleName) -> tuple[float, float]:
    found = CouplingTypes().span(name, on=bearer(scale))
    assert found is not None
    return (found.least_mm, found.greatest_mm)


def test_the_clubs_own_type_counts_before_the_typical_one_of_that_name() -> None:
    own = CouplingKind(name="Loop", reach_mm=3.25)
    assert reach_mm(CouplingTypes((own,)), "loop", "H0") == 3.25
    assert reach_mm(CouplingTypes(), "LOOP", "H0") == 4.0


def test_a_typical_figure_is_of_its_scale_only() -> None:
    assert reach_mm(CouplingTypes(), "loop", "00") is None
    assert reach_mm(CouplingTypes(), "loop", None) is None


# Common practice, no source: what ready-to-run stock was measured to reach.
@pytest.mark.parametrize(
    ("name", "scale", "reach"),
    [
        ("small hook-and-bar", "00", (4.5, 1.0)),
        ("large hook-and-bar", "OO", (7.5, 2.0)),
        ("three-link", "EM", (2.0, 0.5)),
        ("three-link", "P4", (2.0, 0.5)),
        (None, "P4", (2.0, 0.5)),
        ("three-link", "0 British", (4.75, 1.25)),
        ("N hook", "N", (3.5, 1.5)),
        ("TT hook", "TT", (2.25, 0.75)),
        ("loop", "H0", (4.0, 1.0)),
        ("knuckle", "H0", (2.5, 0.5)),
        ("guided", "Z", (0.25, 0.25)),
        ("guided", "00", (0.25, 0.25)),
        ("close coupling", "H0", (0.25, 0.25)),
    ],
)
def test_each_typical_reach_is_as_measured(
    name: str | None, scale: ScaleName, reach: tuple[float, float]
) -> None:
    assert figures(name, scale) == reach


@pytest.mark.parametrize(
    ("scale", "reach"),
    [("HO", (4.0, 1.0)), ("N", (2.5, 1.0)), ("S", (6.0, 1.5)), ("O", (8.0, 2.0))],
)
def test_an_american_knuckle_counts_from_the_end_of_the_body(
    scale: ScaleName, reach: tuple[float, float]
) -> None:
    assert figures("knuckle", scale, american=True, from_body=True) == reach
    assert figures(None, scale, american=True, from_body=True) == reach


@pytest.mark.parametrize(
    ("name", "reach"),
    [
        ("Tension lock, small", 4.5),
        ("narrow tension-lock couplings", 4.5),
        ("LARGE HOOK & BAR", 7.5),
        ("large tension lock", 7.5),
        ("Three link couplings", 2.0),
        ("3-link", 2.0),
        ("screw-link", 2.0),
    ],
)
def test_a_word_of_the_trade_means_the_typical_type(name: str, reach: float) -> None:
    assert reach_mm(CouplingTypes(), name, "00") == reach


@pytest.mark.parametrize(
    "name", ["hook-and-bar", "Hook and bar coupling", "tension lock", "Tension-lock"]
)
def test_the_bare_word_spans_small_and_large(name: str) -> None:
    assert reach_mm(CouplingTypes(), name, "00") is None
    assert span(name, "00") == (3.5, 9.5)


@pytest.mark.parametrize(
    ("scale", "reach"),
    [("N", 3.5), ("N British", 3.5), ("TT", 2.25), ("0", 4.75), ("HO", 2.5)],
)
def test_a_coupling_of_no_said_type_is_the_typical_one_where_the_scale_has_only_one(
    scale: ScaleName, reach: float
) -> None:
    assert reach_mm(CouplingTypes(), None, scale) == reach


@pytest.mark.parametrize(
    ("scale", "between"), [("00", (0.0, 9.5)), ("EM", (0.0, 9.5)), ("H0", (0.0, 5.0))]
)
def test_a_coupling_of_no_said_type_spans_all_that_are_typical_where_there_are_several(
    scale: ScaleName, between: tuple[float, float]
) -> None:
    assert reach_mm(CouplingTypes(), None, scale) is None
    assert span(None, scale) == between


@pytest.mark.parametrize("scale", ["Z", "1", None])
def test_where_nothing_is_typical_but_guided_ones_nothing_is_known(
    scale: ScaleName | None,
) -> None:
    assert reach_mm(CouplingTypes(), None, scale) is None
    assert CouplingTypes().span(None, on=bearer(scale)) is None


def test_american_stock_in_h0_has_the_knuckle_where_nobody_says() -> None:
    assert figures(None, "H0", american=True) == (2.5, 0.5)
    assert figures(None, "HO") == (2.5, 0.5)
    assert figures(None, "HO", american=False) == (None, None)


def test_a_said_type_that_nobody_knows_is_not_taken_for_the_typical_one() -> None:
    assert reach_mm(CouplingTypes(), "odd bar", "N") is None
    assert span("odd bar", "N") == (0.0, 5.0)


@pytest.mark.parametrize(
    ("one", "other", "mate"),
    [
        ("screw", "Screw", True),
        ("screw", "loop", False),
        ("SMALL hook-and-bar", "large hook-and-bar", True),
        ("three-link", "large hook-and-bar", False),
        ("tension-lock", "Tension lock", True),
        ("tension lock", "hook-and-bar", True),
        ("tension lock", "small hook-and-bar", True),
        ("small tension lock", "large hook and bar", True),
        ("screw", "three-link", True),
        ("tension lock", "three link", False),
        ("odd bar", "Odd-Bar couplings", True),
        ("odd bar", "strange link", None),
        ("odd bar", "loop", None),
        ("guided", "loop", None),
        ("guided", "close coupling", True),
    ],
)
def test_what_is_known_not_to_take_hold_is_told_and_what_nobody_knows_is_asked(
    one: str, other: str, *, mate: bool | None
) -> None:
    types = CouplingTypes()
    assert types.mate(one, other) is mate
    assert types.mate(other, one) is mate


def test_a_short_word_means_the_type_of_its_own_scale() -> None:
    types = CouplingTypes()
    assert types.mate("hook", "N hook", scale="N") is True
    assert types.mate("hook", "N hook", scale="00") is None
    assert reach_mm(types, "hook", "N") == 3.5
    assert reach_mm(types, "hook", "TT") == 2.25


def test_it_is_enough_that_one_of_two_types_lists_the_other() -> None:
    types = CouplingTypes(
        (CouplingKind(name="screw", mates_with=("Hook",)), CouplingKind(name="hook"))
    )
    assert types.mate("screw", "hook")
    assert types.mate("HOOK", "Screw")
    assert types.mate("hook", "loop") is False


def test_a_club_that_lists_a_word_of_the_trade_means_the_typical_type() -> None:
    types = CouplingTypes(
        (CouplingKind(name="Club bar", mates_with=("Tension-Lock",)),)
    )
    assert types.mate("club bar", "hook-and-bar") is True
    assert types.mate("club bar", "small tension lock") is True
    assert types.mate("club bar", "loop") is False


def test_the_clubs_own_word_for_something_typical_is_a_question_and_no_refusal() -> (
    None
):
    types = CouplingTypes((CouplingKind(name="tension-lock", reach_mm=5.0),))
    assert types.mate("tension lock", "small hook-and-bar") is None
    assert types.mate("tension lock", "loop") is False


def test_the_clubs_own_type_overrules_what_the_typical_one_of_that_name_takes_hold_of() -> (
    None
):
    own = (
        CouplingKind(name="small hook-and-bar"),
        CouplingKind(name="large hook-and-bar"),
    )
    assert CouplingTypes(own).mate("small hook-and-bar", "large hook-and-bar") is False
