"""Whatever bytes come as a body: a clear refusal or a clear answer, the same on both
databases, and never a failure.
"""

import json

import pytest

from api.asking import Caller, faults, refusal
from api.ground import Ground, one_of


def addresses(one: str) -> tuple[tuple[str, str], ...]:
    """Return every way to send a vehicle's body, with where it goes."""
    return ("POST", "/v1/vehicles"), ("PUT", one), ("PATCH", one)


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b" \n",
        b"{",
        b'{"name"',
        b'{"name": "a",}',
        b"{'name': 'a'}",
        b'{"name": "a"} x',
        b'{"name": "a"}{"name": "b"}',
        b'{"name": "a\nb"}',
        b'{"name": "\\x41"}',
        b'{"name": "\\u12"}',
        b'{"name": "\xff"}',
        b'{"name": "\xed\xa0\x80"}',
        b'{"name": "\xc0\x80"}',
        b'\xef\xbb\xbf{"name": "a"}',
        '{"name": "a"}'.encode("utf-16"),
        '{"name": "a"}'.encode("utf-32-le"),
        b'{"length_mm": NaN}',
        b'{"length_mm": Infinity}',
        b'{"length_mm": -Infinity}',
        b'{"length_mm": 01}',
        b'{"length_mm": +1}',
        b'{"length_mm": .5}',
        b'{"length_mm": 0x10}',
        b'{"length_mm": --1}',
        b"[" * 200_000,
        b'{"a":' * 40_000,
        b"[" * 500 + b"]" * 500,
        b'{"name":' * 70 + b'"a"' + b"}" * 70,
        b"\x00",
        b'{"name": "a\x00"}',
        b"undefined",
        b"<vehicle/>",
        b"name=a",
    ],
    ids=lambda raw: ascii(raw[:24]),
)
def test_what_is_no_json_is_malformed(ground: Ground, raw: bytes) -> None:
    one = one_of("Vehicle", ground.make("Vehicle"))
    before = ground.steward.read("/v1/vehicles")
    for method, path in addresses(one):
        problem = refusal(
            ground.steward.send(method, path, raw, if_match="*"), 400, "malformed"
        )
        assert len(problem["detail"]) < 120
    assert ground.steward.read("/v1/vehicles") == before


NAMES = {
    "NUL": ("\\u0000", "bad_characters"),
    "NUL within": ("a\\u0000b", "bad_characters"),
    "a line end": ("a\\nb", "bad_characters"),
    "a line end at the end": ("a\\n", "bad_characters"),
    "a carriage return": ("a\\rb", "bad_characters"),
    "an escape": ("\\u001b[31m", "bad_characters"),
    "DEL": ("a\\u007f", "bad_characters"),
    "a lone high surrogate": ("\\ud800", "not_text"),
    "a lone low surrogate": ("a\\udfffb", "not_text"),
    "surrogates the wrong way round": ("\\udc00\\ud800", "not_text"),
    "nothing": ("", "too_short"),
    "a space": (" ", "bad_characters"),
    "too much": ("x" * 121, "too_long"),
}


@pytest.mark.parametrize("case", NAMES)
def test_a_name_is_one_line_of_text(ground: Ground, case: str) -> None:
    text, code = NAMES[case]
    raw = b'{"name": "%s", "number": "%s"}' % (text.encode(), text.encode())
    for method, path in addresses(one_of("Vehicle", ground.make("Vehicle"))):
        found = faults(ground.steward.send(method, path, raw, if_match="*"))
        assert found == {"/name": code, "/number": code}, method


@pytest.mark.parametrize("where", ["field", "nested field", "choice", "id", "time"])
def test_half_a_character_is_no_failure_wherever_it_stands(
    steward: Caller, where: str
) -> None:
    token = (
        '{"label": "x", "member_id": "MEMBER", "scopes": ["read"], "expires_at":'
        ' "MOMENT"}'
    )
    token = token.replace("MEMBER", steward.member_id if where == "time" else "HALF")
    path, raw, place = {
        "field": ("/v1/vehicles", '{"name": "a", "HALF": 1}', "/?"),
        "nested field": (
            "/v1/vehicles",
            '{"name": "a", "front_coupling": {"HALF": 1}}',
            "/front_coupling/?",
        ),
        "choice": ("/v1/vehicles", '{"name": "a", "kind": "HALF"}', "/kind"),
        "id": (
            "/v1/tokens",
            token.replace("MOMENT", "2027-01-01T00:00:00Z"),
            "/member_id",
        ),
        "time": ("/v1/tokens", token.replace("MOMENT", "HALF"), "/expires_at"),
    }[where]
    assert list(
        faults(steward.send("POST", path, raw.replace("HALF", "\\ud800").encode()))
    ) == [place]


@pytest.mark.parametrize(
    "name",
    [
        "<script>alert(1)</script>",
        "'; DROP TABLE vehicles; --",
        "%s %d {0} ${x} {{x}}",
        "=1+1",
        "💤 𝔘𝔫𝔦𝔠𝔬𝔡𝔢",
        "e\u0301",
        "\u05e8\u05db\u05d1\u05ea right to left",
        "\U0001f6e4\ufe0f mark",
        "ß" * 120,
        "x" * 120,
        "None",
        "../../etc",
    ],
)
def test_any_other_text_is_kept_as_it_came(steward: Caller, name: str) -> None:
    made = steward.made("/v1/vehicles", {"name": name, "notes": f"{name}\n{name}\t"})
    read = steward.read(one_of("Vehicle", made))
    assert (read["name"], read["notes"]) == (name, f"{name}\n{name}\t")
    listed = steward.http.get(
        "/v1/vehicles",
        params={"name_begins": name},
        headers={"authorization": f"Bearer {steward.token}"},
    )
    assert [item["id"] for item in listed.json()["items"]] == [made["id"]]


@pytest.mark.parametrize(
    ("figures", "code"),
    [
        ("1e400", "too_large"),
        ("-1e400", "too_small"),
        ("1" + "0" * 400, "too_large"),
        ("-1" + "0" * 400, "too_small"),
        ("1" + "0" * 5000, "too_large"),
        ("9" * 200_000, "too_large"),
        ("1" + "0" * 400 + ".5", "too_large"),
        ("0", "too_small"),
        ("-0.0", "too_small"),
        ("0e10", "too_small"),
        ("1e-400", "too_small"),
        ("-1e-300", "too_small"),
        ("1000000.0001", "too_large"),
        ('"100"', "wrong_type"),
        ("true", "wrong_type"),
        ("[100]", "wrong_type"),
    ],
    ids=lambda one: one[:12],
)
def test_a_length_has_its_bounds(ground: Ground, figures: str, code: str) -> None:
    raw = f'{{"name": "a", "length_over": "buffers", "length_mm": {figures}}}'.encode()
    for method, path in addresses(
        one_of("Vehicle", ground.make("Vehicle", rigid_wheelbase_mm=None))
    ):
        assert faults(ground.steward.send(method, path, raw, if_match="*")) == {
            "/length_mm": code
        }, method


@pytest.mark.parametrize(
    "figures", ["1e-300", "5e-324", "1000000", "1E6", "100.000000000000000000001"]
)
def test_a_length_within_its_bounds_comes_back_equal(
    steward: Caller, figures: str
) -> None:
    raw = f'{{"name": "a", "length_over": "buffers", "length_mm": {figures}}}'.encode()
    made = steward.send("POST", "/v1/vehicles", raw)
    assert made.status_code == 201, made.text
    assert steward.read(made.headers["location"])["length_mm"] == float(figures)


@pytest.mark.parametrize(
    ("figures", "code"),
    [
        ("1" + "0" * 400, "too_large"),
        ("0", "too_small"),
        ("1.5", "wrong_type"),
        ("1e400", "wrong_type"),
    ],
)
def test_a_count_has_its_bounds(steward: Caller, figures: str, code: str) -> None:
    assert faults(
        steward.send(
            "POST", "/v1/vehicles", f'{{"name": "a", "count": {figures}}}'.encode()
        )
    ) == {"/count": code}


@pytest.mark.parametrize("figures", ["3.0", "3", "30e-1", "0.3E1", "3.000"])
def test_a_whole_number_may_be_written_with_a_point(
    ground: Ground, figures: str
) -> None:
    # Source: JSON Schema 2020-12, validation, section 6.1.1: 1.0 is an integer.
    for method, path in addresses(one_of("Vehicle", ground.make("Vehicle"))):
        sent = ground.steward.send(
            method, path, f'{{"name": "a", "count": {figures}}}'.encode(), if_match="*"
        )
        assert sent.is_success, sent.text
        assert sent.json()["count"] == 3
        raw = f'{{"name": "", "count": {figures}}}'.encode()
        assert faults(ground.steward.send(method, path, raw, if_match="*")) == {
            "/name": "too_short"
        }


@pytest.mark.parametrize(
    "moment",
    [
        "9999-12-31T23:59:59-23:00",
        "0001-01-01T00:00:00+23:00",
        "2027-02-30T00:00:00Z",
        "2027-01-01T24:30:00Z",
        "2027-01-01T00:00:00",
        "2027-02-30",
        "tomorrow",
        "\x00",
        "",
    ],
)
def test_a_moment_that_is_none_is_refused(steward: Caller, moment: str) -> None:
    body = {
        "label": "x",
        "member_id": steward.member_id,
        "scopes": ["read"],
        "expires_at": moment,
    }
    assert list(faults(steward.ask("POST", "/v1/tokens", body))) == ["/expires_at"]


@pytest.mark.parametrize(
    ("moment", "told"),
    [
        ("2027-01-01T00:30:00+01:00", "2026-12-31T23:30:00Z"),
        ("2027-01-01T00:30:00.123456Z", "2027-01-01T00:30:00.123456Z"),
        ("2027-01-01t00:30:00z", "2027-01-01T00:30:00Z"),
    ],
)
def test_a_moment_is_told_in_utc(steward: Caller, moment: str, told: str) -> None:
    body = {
        "label": "x",
        "member_id": steward.member_id,
        "scopes": ["read"],
        "expires_at": moment,
    }
    made = steward.made("/v1/tokens", body)
    assert made["expires_at"] == told
    assert steward.read(one_of("Token", made))["expires_at"] == told


def test_a_train_as_long_as_may_be_is_answered_and_a_longer_one_refused(
    steward: Caller,
) -> None:
    wagon = {"name": "a", "length_mm": 100, "length_over": "buffers"}
    place = {"kind": "loop", "usable_length_mm": 30_000}
    body = {"train": {"vehicles": [wagon] * 200}, "place": place}
    assert steward.ask("POST", "/v1/checks/train-fit", body).status_code == 200
    body = {"train": {"vehicles": [wagon] * 201}, "place": place}
    assert faults(steward.ask("POST", "/v1/checks/train-fit", body)) == {
        "/train/vehicles": "too_many"
    }


def test_figures_at_the_very_edge_are_answered(steward: Caller) -> None:
    for length_mm in (5e-324, 1e-300, 1e6):
        stock = {
            "name": "a",
            "count": 200,
            "length_mm": length_mm,
            "length_over": "couplings",
            "width_mm": 1e6,
            "mass_g": 5e-324,
        }
        questions = {
            "/v1/checks/train-fit": {
                "train": {"vehicles": [stock]},
                "place": {"kind": "loop", "usable_length_mm": 0},
            },
            "/v1/checks/curve": {"vehicles": [stock], "curve": {"radius_mm": 5e-324}},
            "/v1/checks/passing": {
                "inner_radius_mm": 5e-324,
                "spacing_mm": 5e-324,
                "vehicles": [stock],
            },
            "/v1/checks/capacity": {
                "usable_length_mm": 1e6,
                "vehicle": stock | {"count": 1},
                "fixed_spots": 200,
            },
        }
        for path, body in questions.items():
            response = steward.ask("POST", path, body)
            assert response.status_code == 200, (path, length_mm, response.text)
            json.loads(
                response.text,
                parse_constant=lambda name: pytest.fail(f"{name} is no JSON"),
            )
