"""What is shipped to run the service holds together, as far as can be seen without a
container engine or a systemd.
"""

import ast
import json
import re
import shlex
import shutil
import subprocess
from ipaddress import IPv4Address, IPv4Network
from pathlib import Path
from typing import Any

import yaml

from contract.serving import ROOT
from contract.shipped import DEPLOY, instructions
from contract.test_settings import in_the_table
from standage.api.web.operation import IMPORT_BYTES
from standage.api.web.problems import SORTS
from standage.cli import LONGEST_STOP_S
from support.patience import PATIENCE_S

PROGRAM = "/usr/local/lib/standage/bin/standage"
PORT = "8620"
COMPOSE: dict[str, Any] = yaml.safe_load((DEPLOY / "compose.yaml").read_text())
SERVICES: dict[str, dict[str, Any]] = COMPOSE["services"]
OURS = ("migration", "service", "standage", "backup")

# The container file
# -----------------------------------------------------------------------------------------------


def said(word: str) -> list[str]:
    return [one.rest for one in instructions() if one.word == word]


def test_what_is_copied_into_the_container_is_there_and_is_sent_to_the_builder() -> (
    None
):
    ignored = [
        line
        for line in (ROOT / ".dockerignore").read_text().splitlines()
        if line and line[0] != "#"
    ]
    assert ignored[0] == "*"
    sent = [line.removeprefix("!") for line in ignored if line.startswith("!")]
    sources = [
        source
        for rest in said("COPY")
        if "--from" not in rest
        for source in rest.split()[:-1]
    ]
    assert len(sources) >= 6
    assert [source for source in sources if not (ROOT / source).exists()] == []
    assert set(sources) == set(sent)


def test_the_wheel_is_built_from_all_that_it_is_made_of() -> None:
    project = (ROOT / "pyproject.toml").read_text()
    named = re.findall(
        r'^(?:readme = |license-files = \[|packages = \[)"([^"]+)"',
        project,
        re.MULTILINE,
    )
    named += re.findall(r'^"(\w+)" = "standage/', project, re.MULTILINE)
    assert len(named) == 4
    copied = [source for rest in said("COPY") for source in rest.split()[:-1]]
    assert [name for name in named if name.split("/")[0] not in copied] == []


def test_it_is_installed_as_the_readme_installs_it() -> None:
    text = (ROOT / "README.md").read_text()
    (first,) = re.findall(r"^(python3 -m venv .*standage demo)$", text, re.MULTILINE)
    wanted = [
        step.replace(".venv", "/usr/local/lib/standage")
        for step in first.split(" && ")[:-1]
    ]
    runs = [step for rest in said("RUN") for step in rest.split(" && ")]
    assert [step for step in runs if "install -d" not in step] == wanted


def test_it_runs_as_nobody_and_writes_where_nobody_may() -> None:
    last = max(one.stage for one in instructions())
    (user,) = [
        one.rest for one in instructions() if one.word == "USER" and one.stage == last
    ]
    assert user.split(":")[0].isdigit()
    assert int(user.split(":")[0]) >= 10_000
    (made,) = [
        one.rest for one in instructions() if one.word == "RUN" and one.stage == last
    ]
    words = shlex.split(made)
    assert words[words.index("-o") + 1] == user.split(":")[0]
    volumes = ast.literal_eval(*said("VOLUME"))
    assert words[-2:] == volumes
    assert said("WORKDIR")[-1] in volumes
    assert not any("STANDAGE_" in rest for rest in said("ENV")), (
        "a file that names the database would clash with it"
    )


def test_it_starts_what_it_installed_and_asks_that_whether_it_is_ready() -> None:
    (entry,) = map(ast.literal_eval, said("ENTRYPOINT"))
    assert entry == [PROGRAM]
    (command,) = map(ast.literal_eval, said("CMD"))
    assert command == [
        "serve",
        "--host",
        "0.0.0.0",  # noqa: S104 - within a container
        "--port",
        PORT,
    ]
    assert said("EXPOSE") == [PORT]
    (health,) = said("HEALTHCHECK")
    assert f"http://127.0.0.1:{PORT}/health/ready" in health
    assert said("STOPSIGNAL") == ["SIGTERM"]


def test_every_image_that_is_fetched_is_named_by_its_digest() -> None:
    """Which one is written down when the server is set up: the page says how, and
    nothing starts before.
    """
    base, *stages = said("FROM")
    assert said("ARG") == ["PYTHON_IMAGE=python:3.11-slim"]
    assert {rest.split()[0] for rest in (base, *stages)} == {"${PYTHON_IMAGE}"}
    wanted = [COMPOSE["x-standage"]["build"]["args"]["PYTHON_IMAGE"]]
    wanted += [one["image"] for name, one in SERVICES.items() if name not in OURS]
    names = [
        re.fullmatch(
            r"\$\{(\w+):\?name the image by its digest, as server.md says\}", one
        )
        for one in wanted
    ]
    page = (DEPLOY / "server.md").read_text()
    for found in names:
        assert found is not None, wanted
        assert f'"{found[1]}=$(exactly ' in page
    assert "RepoDigests" in page
    assert "deploy/.env" in (ROOT / ".gitignore").read_text().split()


# The compose file
# -------------------------------------------------------------------------------------------------

TOP_KEYS = {"name", "services", "secrets", "networks", "volumes", "x-standage"}
SERVICE_KEYS = {
    *(
        "build",
        "cap_add",
        "cap_drop",
        "command",
        "depends_on",
        "entrypoint",
        "environment",
        "healthcheck",
        "image",
        "init",
    ),
    *(
        "mem_limit",
        "networks",
        "pids_limit",
        "ports",
        "profiles",
        "read_only",
        "restart",
        "secrets",
        "security_opt",
        "stop_grace_period",
        "tmpfs",
        "volumes",
    ),
}
"""The keys of the Compose Specification that are used here."""


def test_the_compose_file_uses_only_keys_that_are_known() -> None:
    assert set(COMPOSE) == TOP_KEYS
    assert {key for one in SERVICES.values() for key in one} <= SERVICE_KEYS
    assert set(SERVICES) == {"database", "proxy", *OURS}


def test_all_that_one_part_of_the_compose_file_names_another_part_declares() -> None:
    for name, one in SERVICES.items():
        assert set(one.get("secrets", [])) <= set(COMPOSE["secrets"]), name
        assert set(one["networks"]) <= set(COMPOSE["networks"]), name
        assert set(one.get("depends_on", {})) <= set(SERVICES), name
        volumes = [volume.split(":")[0] for volume in one.get("volumes", [])]
        assert [
            v for v in volumes if v[0] != "." and v not in COMPOSE["volumes"]
        ] == [], name
        kept_here = {"./proxy.conf", "./tls"}
        assert {v for v in volumes if v[0] == "."} <= kept_here, name
    build = COMPOSE["x-standage"]["build"]
    assert (DEPLOY / build["context"]).resolve() == ROOT
    assert (ROOT / build["dockerfile"]).exists()


def test_its_variables_are_settings_and_its_secrets_stand_in_files() -> None:
    for name in OURS:
        environment: dict[str, str] = SERVICES[name]["environment"]
        assert set(environment) <= in_the_table()
        files = {
            key: value
            for key, value in environment.items()
            if value.startswith("/run/secrets/")
        }
        assert {value.removeprefix("/run/secrets/") for value in files.values()} == set(
            SERVICES[name]["secrets"]
        )
        assert not {key.removesuffix("_FILE") for key in files} & set(environment)
    postgres = SERVICES["database"]["environment"]
    assert postgres["POSTGRES_PASSWORD_FILE"] == "/run/secrets/database_password"
    assert all(
        value["file"].startswith("./secrets/") for value in COMPOSE["secrets"].values()
    )
    assert "secrets/" in (ROOT / ".gitignore").read_text().split()
    assert not re.search(
        r"(password|token|key)\w*: *['\"]?\w{8,}",
        (DEPLOY / "compose.yaml").read_text(),
        re.IGNORECASE,
    )


def test_the_tables_are_brought_up_to_date_once_before_anything_is_served() -> None:
    assert SERVICES["migration"]["command"] == ["migrate"]
    assert SERVICES["migration"]["restart"] == "no"
    assert SERVICES["migration"]["depends_on"] == {
        "database": {"condition": "service_healthy"}
    }
    for name in ("service", "backup"):
        assert SERVICES[name]["depends_on"] == {
            "migration": {"condition": "service_completed_successfully"}
        }
    assert SERVICES["proxy"]["depends_on"] == {
        "service": {"condition": "service_healthy"}
    }


def test_two_processes_answer_and_are_given_time_to_end() -> None:
    command = SERVICES["service"]["command"]
    assert command[0] == "serve"
    assert command[command.index("--workers") + 1] == "2"
    assert (
        int(SERVICES["service"]["stop_grace_period"].removesuffix("s")) > LONGEST_STOP_S
    )


def test_what_must_outlive_a_container_lies_in_a_volume_with_a_name() -> None:
    for name in OURS:
        kept = dict(volume.split(":")[::-1] for volume in SERVICES[name]["volumes"])
        assert set(kept) == set(ast.literal_eval(*said("VOLUME")))
        assert set(kept.values()) <= set(COMPOSE["volumes"])
        assert (
            str(Path(SERVICES[name]["environment"]["STANDAGE_ERASURES_FILE"]).parent)
            in kept
        )
    assert SERVICES["database"]["volumes"] == ["database:/var/lib/postgresql/data"]


def test_our_containers_may_do_nothing_that_they_need_not() -> None:
    for name in OURS:
        one = SERVICES[name]
        assert (one["read_only"], one["cap_drop"]) == (True, ["ALL"])
        assert one["security_opt"] == ["no-new-privileges:true"]
        assert list(one["networks"]) == ["inside"]
        assert "ports" not in one
    assert COMPOSE["networks"]["inside"]["internal"] is True
    assert [name for name, one in SERVICES.items() if "ports" in one] == ["proxy"]


def test_every_container_has_its_bounds() -> None:
    for name, one in SERVICES.items():
        assert re.fullmatch(r"\d+[mg]", one["mem_limit"]), name
        assert 0 < one["pids_limit"] <= 200, name
        assert one["cap_drop"] == ["ALL"], name
        assert all(
            re.fullmatch(r"/[\w/]+:size=\d+m", place) for place in one.get("tmpfs", [])
        ), name
    assert SERVICES["proxy"]["cap_add"] == [
        "CHOWN",
        "NET_BIND_SERVICE",
        "SETGID",
        "SETUID",
    ]


def test_backups_fall_due_by_their_date_and_too_old_ones_are_told() -> None:
    (script,) = SERVICES["backup"]["command"]
    assert '.backup"; find ' in script, "deleted whether or not a new one was made"
    health = SERVICES["backup"]["healthcheck"]["test"][1]
    assert "-mmin -2880" in health
    folder = SERVICES["service"]["environment"]["STANDAGE_BACKUPS_FOLDER"]
    assert folder in script
    assert folder in health


def test_the_proxy_that_is_believed_is_the_proxy() -> None:
    address = SERVICES["proxy"]["networks"]["inside"]["ipv4_address"]
    assert SERVICES["service"]["environment"]["STANDAGE_TRUSTED_PROXY"] == address


def test_no_container_takes_an_address_that_is_kept_for_another() -> None:
    """Whoever starts first would have the proxy's address otherwise, and the proxy
    would not start: so it was once.
    """
    (pool,) = COMPOSE["networks"]["inside"]["ipam"]["config"]
    of_all, of_the_rest = IPv4Network(pool["subnet"]), IPv4Network(pool["ip_range"])
    assert of_the_rest.subnet_of(of_all)
    fixed = [IPv4Address(address) for address in addresses().values()]
    assert len(set(fixed)) == len(fixed) == 2
    assert all(address in of_all and address not in of_the_rest for address in fixed)
    places = (DEPLOY / "compose.yaml").read_text().count("172.30.86.")
    assert places == 5
    assert (
        "172.30.86.0: write another in its five places"
        in (DEPLOY / "server.md").read_text()
    )


def addresses() -> dict[str, str]:
    """Return the services that have an address of their own, with it."""
    inside = {
        name: one["networks"]["inside"]
        for name, one in SERVICES.items()
        if isinstance(one["networks"], dict)
    }
    return {name: where["ipv4_address"] for name, where in inside.items() if where}


def test_what_is_done_by_hand_is_started_by_nobody_else() -> None:
    assert SERVICES["standage"]["profiles"] == ["by-hand"]
    assert "command" not in SERVICES["standage"]
    assert [
        name
        for name, one in SERVICES.items()
        if "standage" in one.get("depends_on", {})
    ] == []


# The proxy
# --------------------------------------------------------------------------------------------------------


def directives(text: str) -> list[list[str]]:
    """Return the directives of a proxy configuration as lists of words; raises where
    braces or ends are missing.
    """
    found: list[list[str]] = []
    words: list[str] = []
    depth = 0
    bare = re.sub(r"#[^\n]*", "", text)
    for token in re.findall(r""""[^"]*"|'[^']*'|[{};]|[^\s{};"']+""", bare):
        if token in {"{", ";"}:
            found.append(words)
            words = []
            depth += token == "{"
        elif token == "}":
            assert words == [], words
            depth -= 1
            assert depth >= 0
        else:
            words.append(token)
    assert (words, depth) == ([], 0)
    return found


def test_the_proxy_sends_all_to_the_service_and_believes_nobody() -> None:
    found = directives((DEPLOY / "proxy.conf").read_text())
    assert ["server", f"service:{PORT}"] in found
    assert ["proxy_set_header", "X-Forwarded-For", "$remote_addr"] in found
    assert ["location", "=", "/metrics"] in found
    assert found.count(["access_log", "off"]) == found.count(["server"]) == 3
    assert ["proxy_next_upstream", "off"] in found
    mounted = [volume.split(":")[1] for volume in SERVICES["proxy"]["volumes"]]
    for name in ("ssl_certificate", "ssl_certificate_key"):
        (path,) = [words[1] for words in found if words[0] == name]
        assert any(path.startswith(f"{folder}/") for folder in mounted)


def test_the_proxy_leads_nobody_to_another_name() -> None:
    found = directives((DEPLOY / "proxy.conf").read_text())
    assert found.count(["server_name", "standage.example.org"]) == 2
    assert ["return", "308", "https://$server_name$request_uri"] in found
    assert ["return", "444"] in found
    assert ["listen", "80", "default_server"] in found
    assert (
        "s/standage.example.org/YOUR.SERVER.NAME/" in (DEPLOY / "server.md").read_text()
    )


def test_the_proxys_bounds_are_a_little_above_the_services() -> None:
    found = directives((DEPLOY / "proxy.conf").read_text())
    assert IMPORT_BYTES < 6 * 1024 * 1024 <= 1.25 * IMPORT_BYTES
    assert ["client_max_body_size", "6m"] in found
    assert ["limit_conn", "callers", "40"] in found
    assert {words[0] for words in found if words[0].endswith("_timeout")} >= {
        "client_body_timeout",
        "client_header_timeout",
    }


def test_what_the_proxy_says_itself_is_a_problem_of_ours() -> None:
    found = directives((DEPLOY / "proxy.conf").read_text())
    pages = {words[-1]: set(words[1:-2]) for words in found if words[0] == "error_page"}
    returned = [
        words
        for words in found
        if words[0] == "return" and len(words) == 3 and words[2].startswith("'")
    ]
    problems = [json.loads(text.strip("'")) for _, _, text in returned]
    assert (
        len(problems)
        == len(pages)
        == found.count(["default_type", "application/problem+json"])
    )
    for (_, status, _), problem in zip(returned, problems, strict=True):
        code = problem["type"].removeprefix("/problems/").replace("-", "_")
        sort = SORTS[code]
        assert (problem["title"], problem["status"], int(status)) == (
            sort.title,
            sort.status,
            sort.status,
        )
        assert f"@{code}" in pages
        assert {"detail", "instance", "request_id"} < set(problem)
    assert pages["@busy"] >= {"502", "503", "504"}
    assert pages["@too_large"] == {"413"}


KEPT_BY_THE_PROXY = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")


def test_a_proxy_on_this_machine_takes_the_configuration(tmp_path: Path) -> None:
    """Where the proxy's program is, it reads the file itself; where it is not, its
    grammar was read above.
    """
    text = (DEPLOY / "proxy.conf").read_text()
    program = shutil.which("nginx")
    if program is None:
        assert len(directives(text)) > 20
        return
    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    request = [
        "openssl",
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-days",
        "2",
        "-subj",
        "/CN=localhost",
    ]
    subprocess.run(
        [*request, "-keyout", key, "-out", certificate],
        check=True,
        capture_output=True,
        timeout=PATIENCE_S,
    )
    here = text.replace("/etc/nginx/tls", str(tmp_path)).replace(
        "service:8620", "127.0.0.1:8620"
    )
    kept = "".join(
        f"{what}_temp_path {tmp_path}/{what};\n" for what in KEPT_BY_THE_PROXY
    )
    (tmp_path / "nginx.conf").write_text(
        f"pid {tmp_path}/pid;\nerror_log stderr;\nevents {{}}\nhttp {{\naccess_log"
        f" off;\n{kept}{here}\n}}\n"
    )
    command = [program, "-t", "-c", str(tmp_path / "nginx.conf"), "-p", str(tmp_path)]
    tried = subprocess.run(
        command, capture_output=True, text=True, check=False, timeout=PATIENCE_S
    )
    assert tried.returncode == 0, tried.stderr
