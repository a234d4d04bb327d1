"""Whether two ends join: gauge, places of tracks, heights of rails."""

from typing import Any

import msgspec
import pytest

from standage.railway.modules.boards import EndTrack
from standage.railway.modules.joining import (
    JoinEnd,
    JoinFinding,
    by_gauge,
    by_height,
    by_tracks,
    join_verdict,
    not_compared,
    taken_as_read,
)

DOUBLE = (EndTrack(name="up", offset_mm=-23.0), EndTrack(name="down", offset_mm=23.0))


def end(name: str, **about: Any) -> JoinEnd:
    return JoinEnd(
        **{"name": name, "tracks": DOUBLE, "rail_height_mm": 1000.0, **about}
    )


def shifted(offset_mm: float) -> tuple[EndTrack, ...]:
    return tuple(
        msgspec.structs.replace(one, offset_mm=one.offset_mm + offset_mm)
        for one in DOUBLE
    )


def found(findings: Any) -> list[tuple[str, str]]:
    return [(one.reason.code, one.verdict) for one in findings]


def only(findings: Any) -> JoinFinding:
    (finding,) = findings
    assert isinstance(finding, JoinFinding)
    return finding


def test_another_gauge_does_not_join_and_the_difference_is_told() -> None:
    finding = only(by_gauge(end("Hill", scale="H0"), end("Dale", scale="N")))
    assert finding.verdict == "does_not_join"
    assert (finding.reason.code, finding.reason.amount_mm) == ("gauge_differs", 7.5)


def test_another_scale_on_the_same_gauge_is_said_and_not_refused() -> None:
    assert found(by_gauge(end("Hill", scale="H0"), end("Dale", scale="00"))) == [
        ("other_scale", "joins")
    ]


def test_scales_of_one_size_are_no_other_scale() -> None:
    assert found(by_gauge(end("Hill", scale="H0"), end("Dale", scale="HO"))) == []


def test_a_gauge_that_is_said_overrules_the_scales_own() -> None:
    findings = by_gauge(
        end("Hill", scale="00", gauge_mm=18.83), end("Dale", scale="00")
    )
    assert found(findings) == [("gauge_differs", "does_not_join")]


def test_a_track_that_meets_another_than_its_namesake_is_named() -> None:
    """Looking out of each, up lies left: what is left at one is right at the other, so
    up meets down.
    """
    crossed = only(by_tracks(end("Hill"), end("Dale"), aside_mm=1.0))
    assert crossed.verdict == "joins"
    assert (
        crossed.reason.message
        == "all 2 tracks meet within 0 mm; but up of Hill meets down of Dale, and down"
        " of Hill meets up of Dale: is that meant?"
    )
    turned = tuple(EndTrack(name=one.name, offset_mm=-one.offset_mm) for one in DOUBLE)
    plain = only(by_tracks(end("Hill"), end("Dale", tracks=turned), aside_mm=1.0))
    assert plain.reason.message == "all 2 tracks meet within 0 mm"
    named = (
        EndTrack(name="fast", offset_mm=-23.0),
        EndTrack(name="slow", offset_mm=23.0),
    )
    other_names = only(by_tracks(end("Hill"), end("Dale", tracks=named), aside_mm=1.0))
    assert other_names.reason.message == "all 2 tracks meet within 0 mm"


def test_other_wheels_ask_for_care() -> None:
    one, other = end("Hill", wheels="fine"), end("Dale", wheels="coarse")
    assert found(by_gauge(one, other)) == [("wheels_differ", "joins_with_care")]
    assert found(by_gauge(one, end("Dale", wheels="FINE"))) == []


def test_what_only_one_end_says_is_taken_as_read_and_named() -> None:
    taken = list(taken_as_read(end("Hill", scale="N", wheels="fine"), end("Dale")))
    assert [(one.field, one.value, one.value_mm) for one in taken] == [
        ("gauge_mm", None, 9.0),
        ("scale", "N", None),
        ("wheels", "fine", None),
    ]
    assert all(one.message.startswith("Dale: ") for one in taken)


def test_what_neither_end_says_is_not_compared() -> None:
    assert not_compared(end("Hill"), end("Dale")) == (
        "gauge_mm",
        "scale",
        "wheels",
        "connector",
    )
    assert not_compared(end("Hill", scale="N"), end("Dale")) == ("wheels", "connector")


def test_tracks_that_lie_opposite_meet() -> None:
    finding = only(by_tracks(end("Hill"), end("Dale"), aside_mm=1.0))
    assert (finding.reason.code, finding.verdict, finding.reason.value_mm) == (
        "tracks_meet",
        "joins",
        0.0,
    )


@pytest.mark.parametrize(
    ("off_mm", "verdict"),
    [(1.0, "joins"), (1.1, "does_not_join"), (-1.1, "does_not_join")],
)
def test_tracks_miss_each_other_beyond_the_tolerance(
    off_mm: float, verdict: str
) -> None:
    findings = list(
        by_tracks(end("Hill"), end("Dale", tracks=shifted(off_mm)), aside_mm=1.0)
    )
    assert join_verdict(findings) == verdict


def test_tracks_that_miss_name_the_amount_and_the_shift_that_cures_it() -> None:
    findings = list(
        by_tracks(end("Hill"), end("Dale", tracks=shifted(4.0)), aside_mm=1.0)
    )
    assert [one.reason.code for one in findings] == [
        "tracks_miss",
        "tracks_miss",
        "shift_helps",
    ]
    assert [one.reason.amount_mm for one in findings] == [3.0, 3.0, None]
    assert findings[-1].reason.value_mm == 4.0
    assert "4 mm sideways" in findings[-1].reason.message


def test_a_wrong_spacing_is_told_apart_from_a_shift() -> None:
    wide = (EndTrack(name="up", offset_mm=-26.0), EndTrack(name="down", offset_mm=26.0))
    findings = list(by_tracks(end("Hill"), end("Dale", tracks=wide), aside_mm=1.0))
    assert [one.reason.code for one in findings] == [
        "tracks_miss",
        "tracks_miss",
        "spacing_differs",
    ]
    assert (findings[-1].reason.value_mm, findings[-1].reason.amount_mm) == (3.0, 2.0)


def test_a_track_with_nothing_opposite_does_not_join_and_is_named() -> None:
    single = (EndTrack(name="line", offset_mm=23.0),)
    finding = only(by_tracks(end("Hill"), end("Dale", tracks=single), aside_mm=1.0))
    assert (finding.reason.code, finding.verdict) == (
        "track_ends_there",
        "does_not_join",
    )
    assert "Hill has 2 tracks and Dale 1: down of Hill" in finding.reason.message


@pytest.mark.parametrize("height_mm", [999.5, 1000.0, 1000.5])
def test_a_step_within_the_tolerance_is_no_finding(height_mm: float) -> None:
    assert (
        found(
            by_height(end("Hill"), end("Dale", rail_height_mm=height_mm), step_mm=0.5)
        )
        == []
    )


def test_a_step_names_the_lower_end_and_by_how_much_it_is_too_great() -> None:
    finding = only(
        by_height(end("Hill"), end("Dale", rail_height_mm=997.0), step_mm=0.5)
    )
    assert (finding.verdict, finding.reason.value_mm, finding.reason.amount_mm) == (
        "does_not_join",
        3.0,
        2.5,
    )
    assert finding.reason.message.startswith(
        "the rails of Dale lie 3 mm below those of Hill, 2.5 mm more than"
    )


def test_heights_that_nobody_measured_cannot_be_told_and_their_ends_are_named() -> None:
    finding = only(
        by_height(
            end("Hill", rail_height_mm=None),
            end("Dale", rail_height_mm=None),
            step_mm=0.5,
        )
    )
    assert (finding.verdict, finding.reason.field) == ("cannot_tell", "rail_height_mm")
    assert finding.reason.message.startswith("Dale and Hill: measure")
