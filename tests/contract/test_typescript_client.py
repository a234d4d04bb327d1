"""The types that a public generator makes of the document, and a program that uses
them.
"""

import json
from pathlib import Path

import pytest

from contract.machine import MODULES, fetch_tools, run_tool
from contract.serving import ROOT

COMPILED = {
    "compilerOptions": {
        "strict": True,
        "noEmit": True,
        "types": [],
        "target": "es2022",
        "module": "es2022",
        "moduleResolution": "bundler",
    },
    "include": ["*.ts"],
}
PROGRAM = """\
import type { components, paths } from "./types";
type Fit = paths["/v1/checks/train-fit"]["post"];
type Asked = Fit["requestBody"]["content"]["application/json"];
type Answer = Fit["responses"][200]["content"]["application/json"];
export const asked: Asked = {
  train: { vehicles: ["Heron", { name: "Coal wagon", length_mm: 100 }] },
  place: { kind: "loop", usable_length_mm: 400 },
};
export const verdict = (answer: Answer): components["schemas"]["FitVerdict"] =>
  answer.verdict;
"""
WRONG = 'usable_length_mm: "four hundred"'


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    fetch_tools()
    made = tmp_path_factory.mktemp("typescript")
    generator = MODULES / "openapi-typescript" / "bin" / "cli.js"
    document = ROOT / "openapi" / "openapi.json"
    types = str(made / "types.ts")
    ran = run_tool("node", str(generator), str(document), "--output", types)
    assert ran.returncode == 0, ran.stderr
    (made / "tsconfig.json").write_text(json.dumps(COMPILED))
    return made


def compiled(folder: Path, program: str) -> str:
    """Return what the compiler says of the types and of a program that uses them."""
    (folder / "program.ts").write_text(program)
    compiler = MODULES / "typescript" / "bin" / "tsc"
    return run_tool("node", str(compiler), "--project", str(folder)).stdout


def test_the_types_compile_with_a_program_that_uses_them(folder: Path) -> None:
    assert compiled(folder, PROGRAM) == ""


def test_the_types_tell_what_is_wrong(folder: Path) -> None:
    told = compiled(folder, PROGRAM.replace("usable_length_mm: 400", WRONG))
    assert "not assignable to type 'number'" in told
