"""The files that show the documentation page are those of their maintainers'
release.
"""

import hashlib
from pathlib import Path

import standage.api.web
from standage.api.web.pages_for_people import ASSETS

FOLDER = Path(standage.api.web.__file__).parent / "documentation" / "swagger-ui"
SUMS = {
    name: digest
    for digest, name in map(str.split, (FOLDER / "SHA256SUMS").read_text().splitlines())
}


def test_every_file_has_the_bytes_of_the_release() -> None:
    told = {
        name: hashlib.sha256((FOLDER / name).read_bytes()).hexdigest() for name in SUMS
    }
    assert told == SUMS


def test_there_is_no_other_file_and_every_one_that_is_served_is_among_them() -> None:
    there = {path.name for path in FOLDER.iterdir()}
    assert there - {"README.md", "SHA256SUMS"} == set(SUMS)
    assert set(ASSETS) <= set(SUMS)


def test_the_licence_lies_beside_them() -> None:
    assert "Apache License" in (FOLDER / "LICENSE").read_text()
    assert (FOLDER / "swagger-ui-bundle.js.LICENSE.txt").stat().st_size > 0
