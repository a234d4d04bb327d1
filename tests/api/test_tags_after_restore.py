"""An entity tag names one content for ever, also where a restore lets the same version
come again.
"""

from pathlib import Path
from typing import Any

import pytest

from api.asking import Caller, Clock, Service, refusal, serving
from api.sheets import previewed
from standage.registry.database.engine import Database, open_database
from standage.registry.moving.backup import back_up
from standage.registry.moving.restore import restore
from standage.registry.people.clubs import found_club
from support.clubs import NOW


def restored(database: Database, backup: Path) -> tuple[Database, str]:
    """Put a backup back into a database that nobody has open; return it opened anew,
    and the one token.
    """
    database.dispose()
    anew = open_database(database.url, erasures_file=str(database.erasures_file))
    [way_in] = restore(
        anew, backup, NOW, keep_present_in=backup.with_suffix(".replaced")
    ).ways_in
    return anew, way_in.token


def changed(caller: Caller, path: str, notes: str) -> str:
    """Change a record; return the tag that comes with it."""
    response = caller.ask("PATCH", path, {"notes": notes}, if_match="*")
    assert (response.status_code, response.json()["version"]) == (200, 2)
    return response.headers["etag"]


def steward_of(service: Service, token: str) -> Caller:
    return Caller(http=service.http, token=token)


@pytest.mark.parametrize("noun", ["vehicles", "layouts"])
def test_a_version_that_comes_again_with_other_content_has_another_tag(
    database: Database, tmp_path: Path, noun: str
) -> None:
    token = found_club(
        database, "Harbour Bridge Model Railway Club", "Robin Vale", NOW
    ).token
    with serving(database, Clock()) as service:
        steward = steward_of(service, token)
        path = f"/v1/{noun}/{steward.made(f'/v1/{noun}', {'name': 'Ore wagon'})['id']}"
        untouched = (
            f"/v1/{noun}/{steward.made(f'/v1/{noun}', {'name': 'Tar wagon'})['id']}"
        )
        same = steward.tag(untouched)
        backup = back_up(database, tmp_path / "club.backup", NOW).path
        first = changed(steward, path, "Wheels cleaned.")
    anew, token = restored(database, backup)
    with serving(anew, Clock()) as service:
        steward = steward_of(service, token)
        second = changed(steward, path, "Wheels lost.")
        assert first != second
        response = steward.ask("GET", path, if_none_match=first)
        assert (response.status_code, response.json()["notes"]) == (200, "Wheels lost.")
        refusal(
            steward.ask("PUT", path, {"name": "Ore wagon"}, if_match=first),
            412,
            "stale",
        )
        refusal(steward.ask("DELETE", path, if_match=first), 412, "stale")
        assert steward.ask("GET", path, if_none_match=second).status_code == 304
        assert (
            steward.ask("PUT", path, {"name": "Ore wagon"}, if_match=second).status_code
            == 200
        )
        assert steward.ask("GET", untouched, if_none_match=same).status_code == 304
    anew.dispose()


def test_a_preview_that_comes_again_with_another_mapping_has_another_tag(
    database: Database, tmp_path: Path
) -> None:
    def mapped(steward: Caller, preview: dict[str, Any], scale: str) -> str:
        mapping = {**preview["mapping"], "scale": scale}
        put = steward.ask(
            "PUT", f"/v1/stock-imports/{preview['id']}/mapping", mapping, if_match="*"
        )
        assert (put.status_code, put.json()["version"]) == (200, 2)
        return put.headers["etag"]

    token = found_club(
        database, "Harbour Bridge Model Railway Club", "Robin Vale", NOW
    ).token
    with serving(database, Clock()) as service:
        steward = steward_of(service, token)
        preview = previewed(steward, "Name,Weight (g)\nOre wagon,40\n")
        backup = back_up(database, tmp_path / "club.backup", NOW).path
        first = mapped(steward, preview, "N")
    anew, token = restored(database, backup)
    with serving(anew, Clock()) as service:
        second = mapped(steward_of(service, token), preview, "00")
    anew.dispose()
    assert first != second
