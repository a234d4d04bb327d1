"""Whatever stands in an address, a query or a header: a clear refusal or a clear
answer, and never a failure.
"""

import pytest

from api.asking import Caller, faults, refusal


@pytest.mark.parametrize(
    "query",
    [
        "name_begins=%00",
        "name_begins=a%00b",
        "name_begins=%ff",
        "name_begins=%ed%a0%80",
        "name_begins=%0a",
        "name_begins=" + "x" * 121,
        "owner_id=%00",
        "owner_id=" + "x" * 10_000,
        "%00=1",
        "%ff=1",
        "%ff=1&%ff=2",
        "=1",
        "limit=%00",
        "limit=%ff",
        "sort=%ff",
        "sort=id",
        "sort=body",
        "kind=%F0%9F%92%A4",
        "limit=1&limit=2&limit=3",
        "cursor=%00",
        "bogus",
    ],
)
def test_a_query_that_is_unsound_is_told_so(steward: Caller, query: str) -> None:
    assert faults(steward.ask("GET", f"/v1/vehicles?{query}")) != {}


@pytest.mark.parametrize(
    "query",
    [
        "",
        "&",
        "&&",
        "name_begins=%25",
        "name_begins=_",
        "name_begins=%F0%9F%92%A4",
        "limit=1&",
        "owner_id=%27%20OR%201=1",
    ],
)
def test_a_query_that_is_sound_however_odd_is_answered(
    steward: Caller, query: str
) -> None:
    assert steward.ask("GET", f"/v1/vehicles?{query}").json() == {"items": []}


@pytest.mark.parametrize(
    "record_id",
    [
        "x",
        "%00",
        "a%00b",
        "%ff",
        "%0a",
        "%20",
        "..",
        "%2e%2e",
        "null",
        "*",
        "0",
        "-1",
        "9" * 400,
        "x" * 30_000,
        "💤",
        "%F0%9F%92%A4",
        "01932000-0000-7000-8000-00000000DEAD",
        "01932000-0000-7000-8000-00000000dead%0A",
        "{vehicle_id}",
        "';--",
    ],
    ids=lambda one: one[:20],
)
def test_an_id_of_any_sort_is_not_found(steward: Caller, record_id: str) -> None:
    for path in (
        f"/v1/vehicles/{record_id}",
        f"/v1/layouts/{record_id}/places/{record_id}",
    ):
        for method in ("GET", "PUT", "PATCH", "DELETE"):
            body = {"name": "a"} if method in {"PUT", "PATCH"} else None
            refusal(steward.ask(method, path, body, if_match="*"), 404, "not_found")
        assert steward.ask("HEAD", path).status_code == 404


@pytest.mark.parametrize(
    ("name", "value", "status"),
    [
        ("authorization", "x" * 100_000, 401),
        ("authorization", "Bearer stg_" + "x" * 100_000, 401),
        ("if-none-match", '"' + "x" * 100_000, 422),
        ("if-none-match", '"a",' * 200, 200),
        ("if-none-match", ',"' * 500, 200),
        ("accept", "text/html," * 20_000, 406),
        ("accept", ";" * 50_000, 406),
        ("accept", "application/json;" + "q=0;" * 10_000 + "x", 406),
        ("cookie", "x" * 100_000, 200),
        ("x-forwarded-for", ", " * 50_000, 200),
    ],
    ids=lambda one: str(one)[:20],
)
def test_a_header_of_any_length_is_no_failure(
    steward: Caller, name: str, value: str, status: int
) -> None:
    assert steward.ask("GET", "/v1/club", **{name: value}).status_code == status


@pytest.mark.parametrize("value", [b"\xff", b"\xc3\xa9", b"Bearer \xf0\x9f\x92\xa4"])
@pytest.mark.parametrize(
    "name", [b"authorization", b"if-none-match", b"accept", b"x-bogus"]
)
def test_a_header_of_any_bytes_is_no_failure(
    steward: Caller, name: bytes, value: bytes
) -> None:
    own = (
        []
        if name == b"authorization"
        else [(b"authorization", f"Bearer {steward.token}".encode())]
    )
    response = steward.http.request("GET", "/v1/club", headers=[*own, (name, value)])
    assert response.status_code == {b"authorization": 401, b"accept": 406}.get(
        name, 200
    )
