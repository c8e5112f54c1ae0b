"""The layer that a shop starts from works as it stands, and editors can check it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from planner.errors import InputError
from planner.job.file import Job
from planner.plan.make import make_plan
from planner.rulebase.load import built_in
from planner.shop.standard import faults_of, rules_for
from planner.shop.start_layer import start
from planner.yamltext import read_file
from tests.plan.vans import LIFTING, demo

RULES = Path(__file__).parents[2] / "rules"


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a newly started layer."""
    folder = tmp_path_factory.mktemp("shop") / "our-rules"
    start(folder, built_in())
    return folder


@pytest.fixture(scope="module")
def validators(started: Path) -> dict[str, Any]:
    """Return what an editor validates with: the two schemas that were written."""
    jsonschema = pytest.importorskip("jsonschema")
    return {
        name: jsonschema.Draft202012Validator(
            json.loads((started / "schema" / f"{name}.schema.json").read_text())
        )
        for name in ("rules", "job")
    }


def test_the_started_layer_works(started: Path) -> None:
    """It is sound, and a job planned by it holds what it adds."""
    assert faults_of([started])[1] == ()
    house = rules_for(None, [started])
    answers = {name: value for name, value in demo(LIFTING).items() if name not in house.fixed}
    plan = make_plan(Job("started", answers), house)
    assert plan.tasks["our-final-look"].hold
    assert any("Photograph" in line for line in plan.texts["wash-roof"].lines)


def test_it_explains_itself_and_names_its_schema(started: Path) -> None:
    """The first line is what editors look for; comments stand beside what they explain."""
    lines = (started / "house.yaml").read_text().splitlines()
    assert lines[0] == "# yaml-language-server: $schema=schema/rules.schema.json"
    assert (started / "schema" / "rules.schema.json").is_file()
    assert sum(line.lstrip().startswith("#") for line in lines) > len(lines) / 4


def test_nothing_is_overwritten(started: Path) -> None:
    """A folder that holds anything is left alone."""
    before = (started / "house.yaml").read_text()
    with pytest.raises(InputError, match="something stands here already; nothing was written"):
        start(started, built_in())
    assert (started / "house.yaml").read_text() == before


@pytest.mark.parametrize("path", sorted(RULES.rglob("*.yaml")), ids=lambda path: path.name)
def test_every_shipped_rule_file_fits_the_schema(path: Path, validators: dict[str, Any]) -> None:
    """The schema refuses nothing that the loader takes. Source: JSON Schema draft 2020-12."""
    found = [error.message for error in validators["rules"].iter_errors(read_file(path).value)]
    assert found == []


def test_layers_and_jobs_fit_their_schemas(started: Path, validators: dict[str, Any]) -> None:
    """The started layer, the sample layer, and every demo job."""
    layers = [started / "house.yaml", *(Path(__file__).parent / "layer").glob("*.yaml")]
    jobs = (Path(__file__).parents[2] / "planner" / "demo").glob("*.yaml")
    for name, paths in (("rules", layers), ("job", jobs)):
        for path in paths:
            assert [e.message for e in validators[name].iter_errors(read_file(path).value)] == []


@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("rules", {"steps": [{"id": "x", "titel": "X"}]}),
        ("rules", {"stepps": []}),
        ("rules", {"changes": [{"of": "step", "id": "x", "because": "x"}]}),
        ("rules", {"answers": [{"fact": "roof.movs", "fixed": True, "because": "x"}]}),
        ("rules", {"flags": [{"fact": "a.b", "label": "x", "when": {"roof.material": "tin"}}]}),
        ("rules", {"flags": [{"fact": "a.b", "label": "x", "when": {"roof.moves": {"abov": 1}}}]}),
        ("job", {"roof": {"material": "tin"}}),
        ("job", {"roof": {"movs": True}}),
        ("job", {"panel": {"mass_kg": "heavy"}}),
    ],
)
def test_slips_are_marked_while_they_are_typed(
    kind: str, data: Any, validators: dict[str, Any]
) -> None:
    """Unknown entries, kinds, options and tests are refused by the schema too."""
    assert list(validators[kind].iter_errors(data))


def test_known_names_are_offered(started: Path) -> None:
    """An editor completes what the schema lists: facts in conditions, steps in 'after'."""
    schema = json.loads((started / "schema" / "rules.schema.json").read_text())
    assert "roof.moves" in schema["$defs"]["When"]["properties"]
    after = json.dumps(schema["$defs"]["StepRule"]["properties"]["after"])
    assert '"wash-roof"' in after
    needs = schema["$defs"]["StepRule"]["properties"]["needs"]["properties"]
    assert "propped" in json.dumps(needs["roof"])
