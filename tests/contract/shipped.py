"""What deploy/ ships, read: the container file, the units, the pages' commands."""

import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
DEPLOY = ROOT / "deploy"


@dataclass(frozen=True)
class Instruction:
    """One instruction of a container file, and the stage that it stands in."""

    word: str
    rest: str
    stage: int


def instructions() -> list[Instruction]:
    """Return what the container file says, comments left out and lines put together."""
    lines = [
        line
        for line in (DEPLOY / "Containerfile").read_text().splitlines()
        if line and line[0] != "#"
    ]
    found, stage = [], 0
    for line in "\n".join(lines).replace("\\\n", " ").splitlines():
        word, _, rest = line.partition(" ")
        stage += word == "FROM"
        found.append(Instruction(word, " ".join(rest.split()), stage))
    return found


class Unit:
    """One unit of systemd: its keys by section, each with all its values in order."""

    def __init__(self, text: str) -> None:
        self.values: dict[tuple[str, str], list[str]] = {}
        section = ""
        for line in text.splitlines():
            if line.startswith("["):
                section = line.strip("[]")
            elif line and line[0] not in "#;":
                key, _, value = line.partition("=")
                self.values.setdefault((section, key), []).append(value)

    def all(self, key: str, section: str = "Service") -> list[str]:
        return self.values.get((section, key), [])

    def one(self, key: str, section: str = "Service") -> str:
        (value,) = self.values[section, key]
        return value

    def environment(self) -> dict[str, str]:
        """Return what the unit sets, then what stands in its files, as systemd does:
        the later one counts.
        """
        pairs = self.all("Environment")
        for name in self.all("EnvironmentFile"):
            file = Path(name.removeprefix("-"))
            pairs = [*pairs, *(file.read_text().splitlines() if file.exists() else [])]
        return dict(pair.split("=", 1) for pair in pairs if pair and pair[0] != "#")

    def command(self, key: str) -> list[str]:
        """Return a command as systemd would run it: quotes taken away, then %%, $$ and
        variables of the unit's own.
        """
        environment = self.environment()

        def put_in(found: re.Match[str]) -> str:
            return "$" if found[0] == "$$" else environment[found[1]]

        words = shlex.split(self.one(key).replace("%%", "%"))
        return [re.sub(r"\$\$|\$\{(\w+)\}", put_in, word) for word in words]


def unit(name: str) -> Unit:
    """Return a unit as it is shipped."""
    return Unit((DEPLOY / name).read_text())


def snippets(page: str) -> list[str]:
    """Return the commands of a page, box by box, each without what it is moved in
    by.
    """
    blocks = re.findall(
        r"^( *)```sh\n(.*?)^ *```$",
        (DEPLOY / page).read_text(),
        re.DOTALL | re.MULTILINE,
    )
    return [
        re.sub(f"^{indent}", "", block, flags=re.MULTILINE) for indent, block in blocks
    ]


def command_lines(page: str) -> Iterator[str]:
    """Yield every line of a page's commands."""
    for snippet in snippets(page):
        yield from snippet.splitlines()
