"""The licences of what is installed with the service: all are listed, and all let a
club use and pass on what it has.
"""

import re
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LISTED = dict(
    re.findall(
        r"^\| ([a-z0-9-]+) \| ([A-Z][^|]+) \|$",
        (ROOT / "deploy" / "licences.md").read_text(),
        re.MULTILINE,
    )
)
PINNED = sorted(
    set(
        re.findall(
            r"^([a-z0-9-]+)==",
            (ROOT / "deploy" / "requirements.txt").read_text(),
            re.MULTILINE,
        )
    )
)
OPEN = {
    *("MIT", "MIT-0", "0BSD", "BSD-2-Clause", "BSD-3-Clause", "Apache-2.0", "Zlib"),
    *("CC0-1.0", "PSF-2.0", "MPL-2.0", "LGPL-3.0-only"),
}
"""SPDX names of licences under which a package may be passed on beside the service."""
BY_CLASSIFIER = {
    "MIT License": "MIT",
    "BSD License": "BSD-3-Clause",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Apache Software License": "Apache-2.0",
}


def parts(expression: str) -> set[str]:
    """Return the licences of an SPDX expression."""
    return set(re.split(r" AND | OR ", expression))


def said(package: str) -> str | None:
    """Return the licence that an installed package says it has; None where it is not
    installed on this kind of machine, or says it in prose alone.
    """
    try:
        told = metadata(package)
    except PackageNotFoundError:
        return None
    if "License-Expression" in told:
        return told["License-Expression"]
    for classifier in told.get_all("Classifier") or ():
        name = classifier.rpartition(" :: ")[2]
        if classifier.startswith("License") and name in BY_CLASSIFIER:
            return BY_CLASSIFIER[name]
    return None


def test_every_package_that_is_pinned_is_listed_with_a_licence_and_no_other_is() -> (
    None
):
    assert sorted(LISTED) == PINNED


@pytest.mark.parametrize("package", PINNED)
def test_a_package_has_the_licence_that_is_listed_and_may_be_passed_on(
    package: str,
) -> None:
    listed = LISTED[package]
    assert parts(listed) <= OPEN
    assert said(package) in {None, listed}
