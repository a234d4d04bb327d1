"""What time it is where the clock is wrong: never before what is on record, and a jump
ahead throws nothing away.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from sqlalchemy import select

from standage.registry.database.engine import Database, open_database
from standage.registry.database.moments import (
    FARTHEST_STEP,
    STEADY_AFTER,
    Jump,
    SteadyClock,
    clock_is_right,
    jump_of,
    keeping_moment,
    newest_on_record,
    note_clock,
    now_of,
)
from standage.registry.database.tables import history
from standage.registry.forgetting.housekeeping import tidy
from standage.registry.moving.backup import back_up
from standage.registry.moving.restore import restore
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import VEHICLES
from standage.registry.records.record import ANY_VERSION
from standage.registry.writing.answers import KeyedRequest, StoredAnswer, claim, settle
from standage.registry.writing.history import changes_of_action
from standage.registry.writing.store import Writing, new_id
from support.clubs import DAY, NOW, Club, renamed

HOUR = timedelta(hours=1)
BEHIND = NOW - 400 * DAY
Elsewhen = Callable[[datetime], SteadyClock]


@pytest.fixture
def elsewhen(database: Database) -> Iterator[Elsewhen]:
    """Give what makes the clock of a process of its own, which has not looked at the
    database yet.
    """
    with ExitStack() as opened:

        def steady(says: datetime) -> SteadyClock:
            other = open_database(database.url)
            opened.callback(other.dispose)
            return SteadyClock(lambda: says, other)

        yield steady


def noted(club: Club, now: datetime) -> Jump | None:
    with club.database.write() as connection:
        return note_clock(connection, now)


def kept_by(club: Club, now: datetime) -> datetime:
    with club.database.read() as connection:
        return keeping_moment(connection, now)


def deleted(club: Club, now: datetime) -> str:
    made = club.make(VEHICLES, VehicleBody(name="Ore wagon"))
    with club.writing(now) as writing:
        writing.remove(VEHICLES, club.permit, made.id, if_match=ANY_VERSION)
    return made.id


def is_there(club: Club, record_id: str) -> bool:
    with club.database.read() as connection:
        return (
            connection.execute(
                select(VEHICLES.table.c.id).where(VEHICLES.table.c.id == record_id)
            ).first()
            is not None
        )


def test_a_clock_that_is_behind_is_taken_on_to_the_newest_moment_on_record(
    club: Club, elsewhen: Elsewhen
) -> None:
    slow = elsewhen(BEHIND)
    assert slow() == BEHIND
    slow.look()
    assert slow() == NOW
    right = elsewhen(NOW + DAY)
    right.look()
    assert right() == NOW + DAY


def test_a_change_comes_after_what_another_process_has_put_down_meanwhile(
    club: Club, elsewhen: Elsewhen
) -> None:
    slow = elsewhen(BEHIND)
    club.make(VEHICLES, VehicleBody(name="Van"))
    moments = []
    for _ in range(3):
        with club.database.write() as connection:
            now = slow.within(connection, club.club_id)
            Writing(connection, now).create(
                VEHICLES, club.permit, VehicleBody(name="Van")
            )
        moments.append(now)
    assert moments[0] > NOW
    assert all(earlier < later for earlier, later in pairwise(moments))
    assert moments[-1] - NOW < timedelta(seconds=1)


def test_a_clock_that_stands_where_the_record_stands_is_not_hurried(
    club: Club, elsewhen: Elsewhen
) -> None:
    right = elsewhen(NOW)
    with club.database.write() as connection:
        assert {right.within(connection, club.club_id) for _ in range(3)} == {NOW}


def test_the_newest_moment_is_none_where_nothing_was_ever_put_down(
    database: Database, elsewhen: Elsewhen
) -> None:
    with database.read() as connection:
        assert newest_on_record(connection) is None
    clock = elsewhen(BEHIND)
    clock.look()
    assert clock() == BEHIND
    assert now_of(database) > NOW - 1000 * DAY


def test_a_step_of_more_than_thirty_days_is_a_jump(club: Club) -> None:
    noted(club, NOW)
    farthest = NOW + FARTHEST_STEP
    assert kept_by(club, farthest) == farthest
    assert noted(club, farthest) is None
    too_far = farthest + FARTHEST_STEP + timedelta(seconds=1)
    assert kept_by(club, too_far) == farthest
    assert noted(club, too_far) == Jump(farthest, too_far)
    with club.database.read() as connection:
        assert jump_of(connection) == Jump(farthest, too_far)


def test_the_first_look_measures_from_the_newest_moment_on_record(club: Club) -> None:
    assert noted(club, NOW + 40 * DAY) == Jump(NOW, NOW + 40 * DAY)


def test_several_processes_that_look_first_at_once_find_the_same(club: Club) -> None:
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda _: noted(club, NOW + 40 * DAY), range(4)))
    assert found == [Jump(NOW, NOW + 40 * DAY)] * 4


def test_a_jump_is_over_after_a_day_of_a_steady_clock(club: Club) -> None:
    noted(club, NOW)
    began = NOW + 90 * DAY
    for now in (began, began + HOUR, began + STEADY_AFTER - timedelta(seconds=1)):
        assert noted(club, now) == Jump(NOW, began)
        assert kept_by(club, now) == NOW
    assert noted(club, began + STEADY_AFTER) is None
    assert kept_by(club, began + STEADY_AFTER) == began + STEADY_AFTER


def test_a_computer_that_runs_for_one_day_a_season_still_throws_old_things_away(
    club: Club,
) -> None:
    noted(club, NOW)
    for season in range(1, 4):
        opened = NOW + season * 90 * DAY
        before = NOW if season == 1 else opened - 90 * DAY + 8 * HOUR
        assert noted(club, opened) == Jump(before, opened)
        for hour in range(9):
            noted(club, opened + hour * HOUR)


def test_two_jumps_at_once_are_one_from_before_the_first(club: Club) -> None:
    noted(club, NOW)
    noted(club, NOW + 90 * DAY)
    assert noted(club, NOW + 180 * DAY) == Jump(NOW, NOW + 180 * DAY)


def test_a_clock_that_was_ahead_by_mistake_and_is_set_right_again_has_not_jumped(
    club: Club, elsewhen: Elsewhen
) -> None:
    noted(club, NOW)
    assert noted(club, NOW + 900 * DAY) is not None
    after = elsewhen(NOW + HOUR)
    after.look()
    assert after() == NOW + HOUR
    assert noted(club, after()) is None
    assert kept_by(club, NOW + 2 * HOUR) == NOW + 2 * HOUR


def test_whoever_runs_the_service_may_say_that_the_clock_is_right(club: Club) -> None:
    noted(club, NOW)
    later = NOW + 90 * DAY
    noted(club, later)
    with club.database.write() as connection:
        clock_is_right(connection, later + HOUR)
    assert kept_by(club, later + 2 * HOUR) == later + 2 * HOUR
    assert noted(club, later + 2 * HOUR) is None


def test_a_deletion_by_a_slow_clock_is_not_final_at_the_next_start(
    club: Club, elsewhen: Elsewhen
) -> None:
    """The computer of a hall: 400 days behind while somebody deletes, and set right by
    the next start.
    """
    noted(club, NOW)
    slow = elsewhen(NOW - 400 * DAY)
    with club.database.write() as connection:
        now = slow.within(connection, club.club_id)
    gone = deleted(club, now)
    tidy(club.database, NOW + 10 * DAY)
    assert is_there(club, gone)
    back_in_use = NOW + 200 * DAY
    tidy(club.database, back_in_use)
    assert is_there(club, gone)
    tidy(club.database, back_in_use + STEADY_AFTER)
    assert not is_there(club, gone)


def test_a_key_that_was_used_before_a_jump_is_known_after_it(club: Club) -> None:
    noted(club, NOW)
    request = KeyedRequest(
        principal=club.permit.principal,
        path="/v1/vehicles",
        key="k",
        payload_sha256="aa",
    )
    answer = StoredAnswer(status=201, headers={}, body=b"{}")
    with club.writing() as writing:
        assert claim(writing, request) is None
        settle(writing, request, answer)
    later = NOW + 400 * DAY
    tidy(club.database, later)
    with club.writing(later) as writing:
        assert claim(writing, request) == answer


def test_a_backup_of_long_ago_that_is_put_back_keeps_what_was_deleted(
    club: Club, tmp_path: Path
) -> None:
    gone = deleted(club, NOW)
    club.database.dispose()
    backup = back_up(club.database, tmp_path / "club.backup", NOW).path
    club.database.dispose()
    later = NOW + 200 * DAY
    restore(club.database, backup, later, keep_present_in=tmp_path / "present.backup")
    tidy(club.database, later)
    assert is_there(club, gone)


def test_one_records_history_is_in_the_order_of_its_versions_whatever_the_times(
    club: Club,
) -> None:
    made = club.make(VEHICLES, VehicleBody(name="Van"))
    action_id = new_id()
    for name in ("B", "C", "D", "E"):
        with club.database.write() as connection:
            writing = Writing(connection, NOW, action_id=action_id)
            writing.change(
                VEHICLES, club.permit, made.id, renamed(name), if_match=ANY_VERSION
            )
    with club.database.write() as connection:
        for version, day in {
            1: 2,
            2: 0,
            3: 3,
            4: 4,
            5: 1,
        }.items():  # by their times: 2, 5, 1, 3, 4
            connection.execute(
                history.update()
                .where(history.c.record_id == made.id, history.c.version == version)
                .values(at=NOW + day * DAY)
            )
    with club.reading() as reading:
        assert [
            one.version for one in reading.changes(VEHICLES, club.club_id, made.id)
        ] == [1, 2, 3, 4, 5]
        of_action = changes_of_action(reading.connection, club.club_id, action_id)
        assert [one.version for one in of_action] == [2, 3, 4, 5]
