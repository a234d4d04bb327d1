"""What the service can be told from outside: environment variables, read once."""

import os
from collections.abc import Mapping
from typing import Literal

import msgspec

from standage.railway.terms.faults import Refusal

DEFAULT_DATABASE_URL = "sqlite:///standage.sqlite3"


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """How this process is set up."""

    database_url: str = DEFAULT_DATABASE_URL
    rate_limits: Literal["on", "off"] = "on"
    open_checks: Literal["on", "off"] = "off"
    trusted_proxy: str | None = None


class BadSetting(Refusal):
    """An environment variable holds something that the service cannot follow; the message names it."""

    code = "bad_setting"


_VARIABLES = {
    "STANDAGE_DATABASE_URL": "database_url",
    "STANDAGE_RATE_LIMITS": "rate_limits",
    "STANDAGE_OPEN_CHECKS": "open_checks",
    "STANDAGE_TRUSTED_PROXY": "trusted_proxy",
}


def settings_from(environment: Mapping[str, str] = os.environ) -> Settings:
    """Return the settings that ``environment`` gives; raises ``BadSetting`` naming the variable that is wrong."""
    given = {field: environment[name] for name, field in _VARIABLES.items() if environment.get(name)}
    for name in ("STANDAGE_RATE_LIMITS", "STANDAGE_OPEN_CHECKS"):
        if given.get(_VARIABLES[name], "on") not in {"on", "off"}:
            message = f"{name} must be 'on' or 'off', but is {environment[name]!r}"
            raise BadSetting(message)
    url = given.get("database_url", DEFAULT_DATABASE_URL)
    if not url.startswith(("sqlite:///", "postgresql+psycopg://")):
        message = "STANDAGE_DATABASE_URL must begin with sqlite:/// or postgresql+psycopg://"
        raise BadSetting(message)
    return msgspec.convert(given, Settings)
