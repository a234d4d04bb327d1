"""What is answered about polarity: verdicts, trains, and the words for it."""

from copy import deepcopy
from typing import Any

import pytest

from railway.polarity.test_circuits import loops
from standage.questions.polarity import QUESTION, PolarityRequest, gather, reckon
from standage.questions.polarity_answer import PolarityAnswer
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

TIP_LINE: dict[str, Any] = QUESTION.example["plan"]
VAN = {
    "name": "Van",
    "kind": "wagon",
    "length_mm": 100,
    "length_over": "couplings",
    "length_plus_minus_mm": 0,
    "bridging_axles_mm": [20, 80],
}


def plan(**changes: Any) -> dict[str, Any]:
    return deepcopy(TIP_LINE) | changes


def without_gaps() -> dict[str, Any]:
    return plan(fittings=[])


def gapped(*at_mm: float) -> dict[str, Any]:
    gaps = [{"kind": "gap", "piece": "Round", "at_mm": one} for one in at_mm]
    return plan(fittings=gaps)


def answered(document: dict[str, Any], **beside: Any) -> PolarityAnswer:
    body = {"plan": document, **beside}
    return reckon(gather(Sources(None, ""), convert(body, PolarityRequest)))


def codes(answer: PolarityAnswer) -> list[str]:
    return [one.code for one in answer.because]


def dead(document: dict[str, Any]) -> dict[str, Any]:
    document["pieces"]["Neck"] = document["pieces"]["Neck"] | {"crossing": "dead"}
    return document


def test_a_loop_without_gaps_is_shorted_and_no_length_suffices() -> None:
    answer = answered(without_gaps(), bridging_mm=[10])
    assert (answer.verdict, answer.shorted_at_rest) == ("shorted", True)
    assert answer.reversing_circuits == (("Neck", "Round"),)
    assert answer.isolated_length_mm is None
    assert [one.suffice for one in answer.gaps_suffice] == [False]
    assert codes(answer)[0] == "shorted_at_rest"


def test_one_gap_needs_another() -> None:
    answer = answered(dead(gapped(1300)))
    assert (answer.verdict, answer.shorted_at_rest) == ("gaps_needed", False)
    assert answer.isolated_length_mm == 0
    assert codes(answer) == ["one_gap_alone"]


def test_a_train_just_as_long_as_the_track_between_gaps_makes_no_short() -> None:
    answer = answered(dead(gapped(300, 1300)), bridging_mm=[1000, 1000.5])
    assert answer.verdict == "gaps_needed"
    assert [one.suffice for one in answer.gaps_suffice] == [True, False]
    answer = answered(dead(gapped(300, 1300)), bridging_mm=[1000])
    assert (answer.verdict, answer.isolated_length_mm) == ("sound", 1000)


def test_trains_count_from_the_first_axle_that_bridges_to_the_last() -> None:
    train = {"name": "Clay", "vehicles": [VAN | {"count": 10}]}
    # ten vans of 100 mm, less 20 mm at either end
    answer = answered(dead(gapped(300, 1260)), trains=[train])
    [one] = answer.gaps_suffice
    assert (one.train, one.for_mm, one.suffice) == ("Clay", 960.0, True)
    answer = answered(dead(gapped(300, 1250)), trains=[train])
    assert answer.verdict == "gaps_needed"
    assert "bridges_too_long" in codes(answer)


def test_a_train_of_which_something_is_missing_cannot_be_told() -> None:
    train = {"name": "Clay", "vehicles": [{"name": "Old van", "kind": "wagon"}]}
    answer = answered(dead(gapped(300, 1260)), trains=[train])
    assert answer.verdict == "cannot_tell"
    assert [one.suffice for one in answer.gaps_suffice] == [None]
    assert "missing_figure" in codes(answer)


def test_the_fewest_gaps_are_told_as_joins_of_the_plan() -> None:
    answer = answered(without_gaps(), smallest_for_mm=[2600, 2601])
    enough, too_long = answer.smallest
    assert (enough.places_to_gap, enough.are_more) == (2, False)
    joins = (("Neck.through", "Round.a"), ("Round.b", "Neck.branch"))
    assert enough.sets == (joins,)
    assert (too_long.places_to_gap, too_long.sets) == (None, ())
    assert "no_gaps_suffice" in codes(answer)


def test_sets_that_are_told_are_enough_when_they_are_gapped() -> None:
    document = without_gaps()
    document["pieces"] |= {
        f"R{number}": {"kind": "track", "length_mm": 400} for number in range(6)
    }
    document["joins"] = [*TIP_LINE["joins"][:3], ["Round.b", "R0.a"]]
    document["joins"] += [[f"R{n}.b", f"R{n + 1}.a"] for n in range(5)]
    document["joins"] += [["R5.b", "Neck.branch"]]
    [found] = answered(document, smallest_for_mm=[1500]).smallest
    assert found.places_to_gap == 2
    for joins in found.sets:
        gaps = []
        for join in joins:
            piece, end = join[0].rsplit(".")
            length_mm = document["pieces"][piece].get("length_mm", 0)
            leg = {} if end in {"a", "b"} else {"leg": end}
            at_mm = {"a": 0, "b": length_mm, "through": 190, "branch": 195}[end]
            gaps.append({"kind": "gap", "piece": piece, "at_mm": at_mm, **leg})
        again = answered(document | {"fittings": gaps}, bridging_mm=[1500])
        assert [one.suffice for one in again.gaps_suffice] == [True]


def test_a_live_crossing_without_its_gaps_needs_them() -> None:
    answer = answered(gapped(300, 1300))
    assert (answer.verdict, answer.crossings) == ("sound", "sound")
    answer = answered(without_gaps())
    assert answer.crossings == "gaps_needed"
    assert answer.switched_feeds == ("Neck",)
    assert [(one.leg, one.rails, one.there) for one in answer.crossing_gaps] == [
        ("through", "left", False),
        ("branch", "right", False),
    ]


def test_a_crossing_of_which_nobody_says_is_named_and_only_that_cannot_be_told() -> (
    None
):
    document = gapped(300, 1300)
    del document["pieces"]["Neck"]["crossing"]
    answer = answered(document)
    assert (answer.verdict, answer.crossings) == ("sound", "cannot_tell")
    assert [one.field for one in answer.because if one.code == "missing_figure"] == [
        "Neck"
    ]


def test_a_plan_with_faults_is_answered_as_far_as_it_is_sound() -> None:
    document = gapped(300, 1300)
    document["joins"] = [*document["joins"], ["Works.b", "Neck.throat"]]
    answer = answered(document)
    assert answer.verdict == "cannot_tell"
    assert [one.pointer for one in answer.faults] == ["/joins/4/1"]
    assert answer.isolated_length_mm == 1000


def test_a_length_that_nobody_knows_names_its_piece() -> None:
    document = dead(gapped())
    document["pieces"]["Lost"] = {"kind": "flexible", "fitted": True}
    document["joins"] = [*document["joins"][:2], ["Neck.through", "Lost.a"]]
    document["joins"] += [["Lost.b", "Round.a"], ["Round.b", "Neck.branch"]]
    document["fittings"] = [
        {"kind": "gap", "piece": "Round", "at_mm": 2600},
        {"kind": "gap", "piece": "Neck", "leg": "through", "at_mm": 190},
    ]
    answer = answered(document, bridging_mm=[2600, 2601])
    assert answer.verdict == "cannot_tell"
    assert answer.isolated_length_mm is None
    # at least the known part is free
    assert [one.suffice for one in answer.gaps_suffice] == [True, None]
    assert "Lost" in {one.field for one in answer.because}


def test_a_gap_on_no_track_is_told() -> None:
    document = without_gaps()
    document["fittings"] = [{"kind": "gap", "piece": "Works", "at_mm": -10}]
    document["pieces"].pop("B")
    document["joins"] = document["joins"][1:]
    assert "off_the_track" in codes(answered(document))


def test_decks_are_named_as_reversing_sections() -> None:
    deck = {"kind": "turntable", "deck_mm": 300, "roads": [0, 90]}
    document = {"pieces": {"Table": deck}}
    answer = answered(document)
    assert (answer.decks, answer.verdict) == (("Table",), "sound")
    assert "deck" in codes(answer)


def test_every_answer_says_that_it_is_about_low_voltage() -> None:
    answer = answered(gapped())
    said = " ".join(answer.cautions)
    for word in ("low voltage", "Mains", "competent person", "burn", "wire", "meter"):
        assert word in said


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/plan"),
        ({"plan": TIP_LINE, "layout_id": "Hall"}, "/plan"),
        ({"plan": TIP_LINE, "revision": 1}, "/revision"),
    ],
)
def test_a_plan_or_a_layout_is_needed_and_not_both(
    body: dict[str, Any], pointer: str
) -> None:
    with pytest.raises(Faulty) as caught:
        convert(body, PolarityRequest)
    assert [fault.pointer for fault in caught.value.faults] == [pointer]


def test_a_layout_that_is_not_on_record_is_named() -> None:
    request = convert({"layout_id": "Nowhere"}, PolarityRequest)
    with pytest.raises(Faulty) as caught:
        gather(Sources(None, ""), request)
    assert [fault.pointer for fault in caught.value.faults] == ["/layout_id"]


def test_circuits_without_number_are_told_in_numbers_that_can_be_read() -> None:
    """Sixty loops in an oval have 2^60 ways round."""
    answer = answered(loops(60))
    assert answer.more_others is None
    assert answer.more_reversing == 0
    (said,) = [one.message for one in answer.because if one.code == "too_many"]
    assert said == "over 1,000,000 circuits more are not told"
    # 2^15 ways round and the loops by themselves
    fewer = answered(loops(15))
    assert fewer.more_others == 2**15 + 15 - len(fewer.other_circuits)
