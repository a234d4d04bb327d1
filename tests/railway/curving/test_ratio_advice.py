"""The ratio of radius to coupled length, where nothing better is known: advice, and never a refusal."""

import msgspec
import pytest

from standage.railway.curving.curves import OnCurve, on_curve
from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Body, Standing, Vehicle
from support.stock import ask, road


def unknown(**figures: object) -> Vehicle:
    """Return a vehicle of 200 mm over couplings whose wheels nobody measured."""
    known: dict[str, object] = {"name": "Vehicle", "length_mm": 200.0, "length_over": "couplings"}
    return Vehicle(**(known | figures))  # type: ignore[arg-type] # figures by name, as a request gives them


def codes(answer: OnCurve) -> list[str]:
    return [reason.code for reason in answer.because]


def fields(answer: OnCurve) -> set[str]:
    return {note.field for note in answer.assumed}


def missing(answer: OnCurve) -> list[str | None]:
    return [reason.field for reason in answer.because if reason.code == "missing_figure"]


@pytest.mark.parametrize(
    ("radius_mm", "verdict"),
    [(600, "runs"), (599, "marginal"), (500, "marginal"), (499, "cannot_tell"), (20, "cannot_tell")],
)
def test_where_nothing_else_is_known_the_ratio_advises_and_never_refuses(radius_mm: float, verdict: str) -> None:
    """200 mm coupled: 3 × 200 = 600, 2.5 × 200 = 500."""
    answer = on_curve(unknown(), radius_mm=radius_mm)
    assert (answer.verdict, codes(answer)[0]) == (verdict, "ratio_advice")
    assert "mounting" in fields(answer)
    assert "common practice" in answer.because[0].message


def test_below_the_ratio_it_is_said_what_to_find_out() -> None:
    assert missing(on_curve(unknown(), radius_mm=400))[0] == "minimum_radius_mm"


def test_couplings_known_to_be_on_the_body_are_no_assumption() -> None:
    answer = on_curve(unknown(front_coupling=Coupling(mounting="body")), radius_mm=600)
    assert "mounting" not in fields(answer)


@pytest.mark.parametrize("mounting", ["bogie", "guided"])
def test_the_ratio_tells_nothing_of_couplings_that_the_body_does_not_carry(mounting: str) -> None:
    end = Coupling(mounting=mounting)  # type: ignore[arg-type] # parametrized by its name
    answer = on_curve(unknown(front_coupling=end, rear_coupling=end), radius_mm=5000)
    assert (answer.verdict, missing(answer)[0]) == ("cannot_tell", "minimum_radius_mm")


def test_one_end_that_may_be_on_the_body_is_enough_for_the_ratio() -> None:
    answer = on_curve(unknown(front_coupling=Coupling(mounting="guided")), radius_mm=600)
    assert answer.verdict == "runs"


def test_without_a_length_there_is_no_ratio_and_the_length_is_asked_for() -> None:
    answer = on_curve(Vehicle(name="Vehicle"), radius_mm=438)
    assert (answer.verdict, answer.ratio) == ("cannot_tell", None)
    assert "length_mm" in missing(answer)


def test_reaches_make_the_coupled_length_and_an_unknown_one_adds_nothing() -> None:
    wagon = unknown(length_over="buffers", front_coupling=Coupling(reach_mm=5))
    answer = on_curve(wagon, radius_mm=410)
    assert answer.ratio == pytest.approx(2.0)
    assert "reach_mm" in fields(answer)


def test_the_longest_of_several_bodies_makes_the_ratio() -> None:
    bodies = (Body(length_mm=100), Body(length_mm=200), Body(length_mm=150))
    assert on_curve(Vehicle(name="Set", bodies=bodies), radius_mm=600).ratio == pytest.approx(3)


def test_two_measured_overhangs_and_the_wheels_make_the_length() -> None:
    vehicle = Vehicle(name="Van", bogie_centres_mm=120, front_overhang_mm=30, rear_overhang_mm=50)
    assert on_curve(vehicle, radius_mm=400).ratio == pytest.approx(2)


def test_assumed_wheels_are_no_evidence_for_running() -> None:
    """A coach of 200 mm without wheels is weighed by the ratio, though its throws are given."""
    answer = on_curve(unknown(kind="coach", scale="H0"), radius_mm=550)
    assert (answer.verdict, answer.centre_throw_mm is None) == ("marginal", False)


def test_where_assumed_wheels_could_not_stand_the_throws_are_null_and_it_is_said() -> None:
    answer = on_curve(unknown(kind="coach", scale="H0"), radius_mm=60)
    assert (answer.verdict, answer.centre_throw_mm) == ("cannot_tell", None)
    assert "cannot_stand" in codes(answer)


def test_a_length_that_was_scaled_and_a_reach_that_nobody_gave_are_both_told() -> None:
    """10 m at 1:64 is 156.25 mm; 156.25 × 4 = 625."""
    vehicle = Vehicle(name="Wagon", scale="S", full_size_length_m=10, front_overhang_mm=12, rear_overhang_mm=12)
    answer = on_curve(vehicle, radius_mm=625)
    assert answer.ratio == pytest.approx(4)
    assert {"length_mm", "reach_mm", "mounting"} <= fields(answer)


def test_a_long_coach_on_a_curve_sharper_than_any_is_sold_for_is_no_plain_yes() -> None:
    long = unknown(length_mm=260.0, length_over="couplings", bogie_centres_mm=180.0, bogie_wheelbase_mm=33.0)
    assert on_curve(long, radius_mm=1.25 * 260).verdict == "runs"
    assert on_curve(long, radius_mm=1.15 * 260).verdict == "marginal"


def of_type(**figures: object) -> Vehicle:
    """Return a vehicle of 190 mm over buffers with a coupling of the club's type at both ends."""
    hook = Coupling(type="Staple hook")
    ends: dict[str, object] = {"length_mm": 190.0, "length_over": "buffers", "front_coupling": hook}
    return unknown(**(ends | {"rear_coupling": hook} | figures))


def test_a_type_supplies_the_reach_that_the_coupled_length_takes_in() -> None:
    """190 + 2 × 5 = 200 mm coupled, as above; the guess says whose figure it is."""
    types = CouplingTypes([CouplingKind(name="Staple hook", reach_mm=5.0)])
    answer = on_curve(of_type(), radius_mm=600, types=types)
    assert (answer.verdict, answer.ratio) == ("runs", 3.0)
    assert on_curve(of_type(), radius_mm=599, types=types).verdict == "marginal"
    reach = [note for note in answer.assumed if note.field == "reach_mm"]
    assert [(note.source, note.value_mm) for note in reach] == [("given_by_type", 5.0)]
    assert not [note for note in answer.assumed if "not given" in note.message]


def test_a_type_supplies_what_carries_the_coupling() -> None:
    types = CouplingTypes([CouplingKind(name="Staple hook", reach_mm=5.0, mounting="guided")])
    answer = on_curve(of_type(), radius_mm=5000, types=types)
    assert (answer.verdict, missing(answer)[0]) == ("cannot_tell", "minimum_radius_mm")


def test_a_reach_of_the_type_is_taken_off_a_length_over_couplings() -> None:
    """210 mm over couplings that reach 5 mm each leave a body of 200, its ends 100 from the middle."""
    types = CouplingTypes([CouplingKind(name="Staple hook", reach_mm=5.0)])
    figures = {"bogie_centres_mm": 140.0, "bogie_wheelbase_mm": 30.0, "width_mm": 36.0}
    over = on_curve(of_type(length_mm=210.0, length_over="couplings", **figures), radius_mm=600, types=types)
    assert over.end_throw_mm == on_curve(of_type(length_mm=200.0, **figures), radius_mm=600).end_throw_mm


def test_a_vehicles_own_figures_overrule_its_types() -> None:
    own = Coupling(type="Staple hook", reach_mm=2.0, mounting="body")
    types = CouplingTypes([CouplingKind(name="Staple hook", reach_mm=5.0, mounting="guided")])
    answer = on_curve(of_type(front_coupling=own, rear_coupling=own), radius_mm=582, types=types)
    assert (answer.verdict, answer.ratio) == ("runs", 3.0)


def test_on_a_roads_curve_the_type_counts_as_much() -> None:
    types = (CouplingKind(name="Staple hook", reach_mm=5.0, mounting="guided"),)
    bend = road(1000.0, minimum_radius_mm=5000.0)
    vehicle = Standing(**msgspec.structs.asdict(of_type()))
    assert ask(vehicle, place=bend, types=types).reaching == "cannot_tell"
    body = (CouplingKind(name="Staple hook", reach_mm=5.0, mounting="body"),)
    assert ask(vehicle, place=bend, types=body).reaching == "runs"


def test_where_a_scale_has_one_typical_coupling_its_reach_counts_and_is_told() -> None:
    """Common practice in N: 2.5 ± 0.5 mm at each end; 95 + 5 = 100 mm, and 300 is three times that."""
    answer = on_curve(unknown(scale="N", length_mm=95.0, length_over="buffers"), radius_mm=300)
    assert (answer.verdict, answer.ratio) == ("runs", 3.0)
    assert ("reach_mm", "typical", 2.5) in {(note.field, note.source, note.value_mm) for note in answer.assumed}
