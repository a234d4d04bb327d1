"""What the service can be told from outside: environment variables, read once."""

import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

import msgspec

from standage.shapes.refusals import Refusal

DEFAULT_DATABASE_URL = "sqlite:///standage.sqlite3"
MOST_WORKERS = 64
WORKERS = "STANDAGE_WORKERS"
CORS_ORIGINS = "STANDAGE_CORS_ORIGINS"
_ORIGIN = re.compile(r"https?://(?:[a-z0-9.-]+|\[[0-9a-f:]+\])(?::[0-9]{1,5})?")
_SHORTEST_SECRET = 20


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """How this process is set up."""

    database_url: str = DEFAULT_DATABASE_URL
    rate_limits: Literal["on", "off"] = "on"
    open_checks: Literal["on", "off"] = "off"
    trusted_proxy: str | None = None
    workers: int = 1
    log: Literal["json", "text", "quiet"] = "json"
    metrics_token: str | None = None
    erasures_file: str | None = None
    backups_folder: str | None = None
    cors_origins: tuple[str, ...] = ()


class BadSetting(Refusal):
    """An environment variable holds something that the service cannot follow; the
    message names it.
    """

    code = "bad_setting"


_VARIABLES = {
    "STANDAGE_DATABASE_URL": "database_url",
    "STANDAGE_RATE_LIMITS": "rate_limits",
    "STANDAGE_OPEN_CHECKS": "open_checks",
    "STANDAGE_TRUSTED_PROXY": "trusted_proxy",
    CORS_ORIGINS: "cors_origins",
    "STANDAGE_ERASURES_FILE": "erasures_file",
    "STANDAGE_BACKUPS_FOLDER": "backups_folder",
    WORKERS: "workers",
    "STANDAGE_LOG": "log",
    "STANDAGE_METRICS_TOKEN": "metrics_token",
}
_IN_FILES = {
    "STANDAGE_DATABASE_URL_FILE": "STANDAGE_DATABASE_URL",
    "STANDAGE_METRICS_TOKEN_FILE": "STANDAGE_METRICS_TOKEN",
}
"""Variables that name a file in which the value of another stands: secrets are better
kept there.
"""

_CHOICES = {
    "STANDAGE_RATE_LIMITS": ("on", "off"),
    "STANDAGE_OPEN_CHECKS": ("on", "off"),
    "STANDAGE_LOG": ("json", "text", "quiet"),
}


def settings_from(environment: Mapping[str, str] = os.environ) -> Settings:
    """Return the settings that ``environment`` gives; raises ``BadSetting`` naming the
    variable that is wrong.
    """
    given = {name: value for name in _VARIABLES if (value := environment.get(name))}
    for variable, name in _IN_FILES.items():
        if environment.get(variable):
            given[name] = _read(
                environment[variable], variable, name, both=name in given
            )
    for name, choices in _CHOICES.items():
        if name in given and given[name] not in choices:
            message = f"{name} must be {_listed(choices)}, but is {given[name]!r}"
            raise BadSetting(message)
    _check_address(given.get("STANDAGE_DATABASE_URL", DEFAULT_DATABASE_URL))
    if (
        len(given.get("STANDAGE_METRICS_TOKEN", "x" * _SHORTEST_SECRET))
        < _SHORTEST_SECRET
    ):
        message = (
            f"STANDAGE_METRICS_TOKEN must have at least {_SHORTEST_SECRET} characters,"
            " or it can be guessed"
        )
        raise BadSetting(message)
    values: dict[str, Any] = {_VARIABLES[name]: value for name, value in given.items()}
    if WORKERS in given:
        values["workers"] = workers_of(given[WORKERS], named=WORKERS)
    if CORS_ORIGINS in given:
        values["cors_origins"] = origins_of(given[CORS_ORIGINS])
    return msgspec.convert(values, Settings)


def origins_of(text: str) -> tuple[str, ...]:
    """Return the origins that ``text`` lists; raises ``BadSetting`` for what is none.

    Each is written as a browser sends it: no path, no wildcard, no capitals.
    """
    origins = tuple(one.strip() for one in text.split(",") if one.strip())
    for origin in origins:
        if not _ORIGIN.fullmatch(origin):
            message = (
                f"{CORS_ORIGINS} must list origins such as https://club.example, with "
                f"commas between them, but has {origin!r}"
            )
            raise BadSetting(message)
    return origins


def workers_of(text: str, *, named: str) -> int:
    """Return how many processes ``text`` asks for; raises ``BadSetting`` naming what is
    wrong.
    """
    if (
        not text.isascii()
        or not text.isdigit()
        or not 1 <= int(text[:9]) <= MOST_WORKERS
    ):
        message = (
            f"{named} must be a whole number from 1 to {MOST_WORKERS}, but is {text!r}"
        )
        raise BadSetting(message)
    return int(text)


def _check_address(url: str) -> None:
    if not url.startswith(("sqlite:///", "postgresql+psycopg://")):
        message = (
            "STANDAGE_DATABASE_URL must begin with sqlite:/// or postgresql+psycopg://"
        )
        raise BadSetting(message)


def _read(path: str, variable: str, name: str, *, both: bool) -> str:
    if both:
        message = f"{name} and {variable} are both set; leave one out"
        raise BadSetting(message)
    try:
        text = Path(path).read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        message = f"{variable} names the file {path!r}, which cannot be read"
        raise BadSetting(message) from error
    if not text:
        message = f"{variable} names the file {path!r}, which is empty"
        raise BadSetting(message)
    return text


def _listed(choices: tuple[str, ...]) -> str:
    *first, last = (repr(choice) for choice in choices)
    return f"{', '.join(first)} or {last}"
