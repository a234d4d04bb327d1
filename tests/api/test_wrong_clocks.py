"""A service whose computer has the wrong time: what it puts down, keeps, tells and
lists.
"""

from datetime import datetime, timedelta
from typing import Any

import pytest

from api.asking import Clock, Service, refusal, serving
from api.ground import Ground, one_of
from standage.api.operations.health import Readiness, clock_told
from standage.registry.database.engine import Database, open_database
from standage.registry.database.tables import history
from standage.registry.forgetting.housekeeping import tidy
from standage.registry.people.clubs import found_club
from support.clubs import DAY, NOW


def moment(text: str) -> datetime:
    return datetime.fromisoformat(text)


def versions(ground: Ground, query: str, *, limit: int) -> list[int]:
    """Return the versions in a list of changes, page by page."""
    found: list[int] = []
    path = f"/v1/history?{query}&limit={limit}"
    while path:
        page = ground.steward.read(path)
        found += [one["version"] for one in page["items"]]
        path = page.get("next", "")
    return found


def test_what_is_put_down_by_a_slow_clock_comes_after_what_was_there(
    service: Service, ground: Ground
) -> None:
    vehicle = ground.make("Vehicle")
    path = one_of("Vehicle", vehicle)
    service.clock.move(-400 * DAY)
    times = [moment(vehicle["updated_at"])]
    for mass_g in (40, 41, 42):
        changed = ground.steward.ask("PATCH", path, {"mass_g": mass_g}, if_match="*")
        times.append(moment(changed.json()["updated_at"]))
    assert times == sorted(set(times))
    assert times[-1] - NOW < timedelta(seconds=1)


def test_what_is_deleted_by_a_slow_clock_comes_back(
    service: Service, ground: Ground
) -> None:
    vehicle = ground.make("Vehicle")
    service.clock.move(-400 * DAY)
    assert (
        ground.steward.ask(
            "DELETE", one_of("Vehicle", vehicle), if_match="*"
        ).status_code
        == 204
    )
    service.clock.move(401 * DAY)
    tidy(service.database, service.clock.now)
    [listed] = ground.steward.read("/v1/deleted-records")["items"]
    assert listed["deleted_at"].startswith("2026-05-01T10:00:00")
    assert (
        ground.steward.ask(
            "POST", f"/v1/deleted-records/{vehicle['id']}/restore"
        ).status_code
        == 200
    )


def test_what_was_deleted_before_a_jump_comes_back_while_nobody_knows_the_time(
    service: Service, ground: Ground
) -> None:
    vehicle = ground.make("Vehicle")
    assert (
        ground.steward.ask(
            "DELETE", one_of("Vehicle", vehicle), if_match="*"
        ).status_code
        == 204
    )
    tidy(service.database, service.clock.now)
    service.clock.move(100 * DAY)
    for look in (False, True):  # before anybody has noticed, and after
        if look:
            tidy(service.database, service.clock.now)
        assert [
            one["id"] for one in ground.steward.read("/v1/deleted-records")["items"]
        ] == [vehicle["id"]]
        assert (
            ground.steward.ask(
                "GET", f"/v1/deleted-records/{vehicle['id']}"
            ).status_code
            == 200
        )
        gone = refusal(
            ground.steward.ask("GET", one_of("Vehicle", vehicle)), 404, "not_found"
        )
        assert f"/v1/deleted-records/{vehicle['id']}/restore" in gone["detail"]
    assert (
        ground.steward.ask(
            "POST", f"/v1/deleted-records/{vehicle['id']}/restore"
        ).status_code
        == 200
    )


def test_a_token_that_has_ended_does_not_live_again_by_a_slow_clock(
    service: Service, ground: Ground
) -> None:
    ended = ground.steward.with_token(expires_at="2026-05-02T10:00:00Z")
    service.clock.move(2 * DAY)
    assert ended.ask("GET", "/v1/club").status_code == 401
    ground.make("Vehicle")
    service.clock.move(-400 * DAY)
    assert ended.ask("GET", "/v1/club").status_code == 401


def test_a_service_that_starts_with_a_slow_clock_goes_on_from_the_record(
    database: Database,
) -> None:
    token = found_club(
        database, "Harbour Bridge Model Railway Club", "Robin Vale", NOW
    ).token
    with serving(database, Clock(NOW - 400 * DAY)) as service:
        service.http.headers["authorization"] = f"Bearer {token}"
        made = service.http.post("/v1/vehicles", json={"name": "Van"}).json()
        assert made["created_at"].startswith("2026-05-01T10:00:00")
        assert database.clock_is_behind == 400 * DAY


def test_readiness_tells_of_the_clock_and_stays_ready(database: Database) -> None:
    found_club(database, "Harbour Bridge Model Railway Club", "Robin Vale", NOW)
    tidy(database, NOW)
    assert clock_told(database) == (None, None)
    tidy(database, NOW + 90 * DAY)
    told = Readiness().say(database).content
    assert (told.status, told.writable, told.clock) == ("ready", True, "jumped_ahead")
    assert "from 2026-05-01 10:00 to 2026-07-30 10:00 UTC" in told.clock_remark
    assert "standage clock-is-right" in told.clock_remark
    tidy(database, NOW + 91 * DAY)
    assert clock_told(database) == (None, None)
    database.clock_is_behind = timedelta(minutes=5)
    assert clock_told(database) == (None, None)
    database.clock_is_behind = timedelta(minutes=6)
    assert clock_told(database)[0] == "behind"


def test_the_answer_of_readiness_says_nothing_of_a_clock_that_is_right(
    service: Service,
) -> None:
    answer: dict[str, Any] = service.stranger().ask("GET", "/health/ready").json()
    assert answer == {"status": "ready", "writable": True}


@pytest.mark.parametrize("limit", [1, 2, 200])
def test_one_records_history_is_paged_by_its_versions_whatever_the_times(
    service: Service, ground: Ground, limit: int
) -> None:
    vehicle = ground.make("Vehicle")
    for mass_g in (40, 41, 42, 43):
        changed = ground.steward.ask(
            "PATCH", one_of("Vehicle", vehicle), {"mass_g": mass_g}, if_match="*"
        )
        assert changed.status_code == 200
    with service.database.write() as connection:
        for version, day in {
            1: 2,
            2: 0,
            3: 3,
            4: 4,
            5: 1,
        }.items():  # by their times: 2, 5, 1, 3, 4
            mine = history.c.record_id == vehicle["id"], history.c.version == version
            connection.execute(history.update().where(*mine).values(at=NOW - day * DAY))
    query = f"record_id={vehicle['id']}"
    assert versions(ground, f"{query}&sort=at", limit=limit) == [1, 2, 3, 4, 5]
    assert versions(ground, f"{query}&sort=-at", limit=limit) == [5, 4, 3, 2, 1]
    assert versions(ground, query, limit=limit) == [5, 4, 3, 2, 1]
    assert versions(ground, f"{query}&action=update&sort=at", limit=limit) == [
        2,
        3,
        4,
        5,
    ]


def test_two_processes_put_down_one_after_the_other_whatever_their_clocks(
    database: Database,
) -> None:
    founded = found_club(
        database, "Harbour Bridge Model Railway Club", "Robin Vale", NOW
    )
    other = open_database(database.url, erasures_file=str(database.erasures_file))
    times = []
    with (
        serving(database, Clock(NOW + DAY)) as ahead,
        serving(other, Clock(NOW - DAY)) as behind,
    ):
        for service in (ahead, behind, ahead, behind):
            headers = {"authorization": f"Bearer {founded.token}"}
            made = service.http.post(
                "/v1/vehicles", json={"name": "Van"}, headers=headers
            ).json()
            times.append(moment(made["created_at"]))
    other.dispose()
    assert times == sorted(times)
    assert timedelta(0) <= times[-1] - times[0] < timedelta(seconds=1)
    assert times[0] == NOW + DAY
