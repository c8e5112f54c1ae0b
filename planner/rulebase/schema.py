"""JSON Schemas for editors, so that rule and job files complete and validate while being typed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic.json_schema import models_json_schema

from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import COMPARISONS, GROUPS
from planner.rulebase.model import KINDS, LAYER_KINDS, NAME, BaseRule, FactShape, Question

DIALECT = "https://json-schema.org/draft/2020-12/schema"
RULES, JOB = "rules.schema.json", "job.schema.json"
#: Entry that names rules of a kind -> that kind.
NAMING = {"after": "steps", "tools": "tools", "materials": "materials", "hazards": "hazards",
          "phase": "phases", "section": "sections"}  # fmt: skip
#: Entries that map states to values.
STATES = ("needs", "states", "leaves")

Schema = dict[str, Any]


def schemas(base: RuleBase) -> dict[str, str]:
    """Return the text of each schema by its file name; they know every name in the rules."""
    made = {RULES: rules_schema(base), JOB: job_schema(base)}
    return {
        name: json.dumps(schema, ensure_ascii=False, indent=1) + "\n"
        for name, schema in made.items()
    }


def rules_schema(base: RuleBase) -> Schema:
    """Return the schema of a rule file, of the built-in rules or of a layer."""
    kinds = {**KINDS, **LAYER_KINDS}
    models = [(model, "validation") for model, _ in kinds.values()]
    refs, shared = models_json_schema([*models, (BaseRule, "validation")])  # type: ignore[list-item]
    definitions = shared["$defs"]
    definitions.update(_conditions(base))
    for name, definition in definitions.items():
        _knows_names(name, definition, base)
    _knows_targets(definitions, base)
    properties: Schema = {
        kind: {"type": "array", "items": refs[model, "validation"], "description": _said(model)}
        for kind, (model, _) in kinds.items()
    }
    properties["base"] = refs[BaseRule, "validation"]
    return {
        "$schema": DIALECT,
        "title": "lidwork rule file",
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "$defs": definitions,
    }


def _said(model: type[Any]) -> str:
    return (model.__doc__ or "").strip().partition("\n")[0]


def _conditions(base: RuleBase) -> dict[str, Schema]:
    """A condition: facts by name, each with a value, values, or a test; and what it is made of."""
    number: Schema = {"anyOf": [{"type": "number"}, {"$ref": "#/$defs/Fact"}]}
    plain: Schema = {"type": ["string", "number", "boolean"]}
    several: Schema = {"anyOf": [plain, _list(plain)]}
    inner: Schema = {"$ref": "#/$defs/When"}
    groups: Schema = {kind: {"anyOf": [inner, _list(inner)]} for kind in GROUPS}
    test: Schema = {"$ref": "#/$defs/Test"}
    facts: Schema = {
        name: {"anyOf": [_value(shape), test], "description": shape.label}
        for name, shape in sorted(base.shapes.items())
    }
    condition: Schema = {
        "description": "What must hold: facts by name, or groups 'all', 'any', 'none'.",
        "type": ["object", "null"],
        "properties": {**groups, **facts},
        "patternProperties": {f"^(?!({'|'.join(GROUPS)})$){NAME[1:]}": {"anyOf": [several, test]}},
        "additionalProperties": False,
    }
    tests: Schema = {
        "type": "object",
        "properties": {
            **dict.fromkeys(COMPARISONS, number),
            **dict.fromkeys(("is", "is_not"), several),
            "includes": plain,
            "empty": {"type": "boolean"},
        },
        "additionalProperties": False,
        "minProperties": 1,
    }
    names: Schema = {"anyOf": [{"enum": sorted(base.shapes)}, {"type": "string", "pattern": NAME}]}
    return {"When": condition, "Test": tests, "Fact": names}


def _value(shape: FactShape) -> Schema:
    """One value that the fact may have, or several."""
    if shape.options:
        one: Schema = {"enum": list(shape.options)}
    elif shape.kind == "yes_no":
        return {"type": "boolean"}
    elif shape.kind in ("number", "integer"):
        one = {"type": "number"}
    else:
        one = {"type": ["string", "number", "boolean"]}
    return {"anyOf": [one, _list(one)]}


def _list(item: Schema) -> Schema:
    return {"type": "array", "items": item}


def _knows_names(name: str, definition: Schema, base: RuleBase) -> None:
    """Let the entries of one kind of rule know what they may name."""
    properties: Schema = definition.get("properties", {})
    for entry, kind in NAMING.items():
        if entry in properties and _is_text(properties[entry]):
            known: Schema = {"anyOf": [{"enum": sorted(getattr(base, kind))}, {"type": "string"}]}
            many = "anyOf" in properties[entry]
            properties[entry] = {"anyOf": [known, _list(known)]} if many else known
    for entry in STATES:
        if entry in properties:
            properties[entry] = _states(base, several=entry != "leaves")
    if name == "Published":
        properties["id"] = {"anyOf": [{"enum": sorted(base.sources)}, {"type": "string"}]}


def _is_text(schema: Schema) -> bool:
    """Whether an entry holds a name or names, not rules of its own."""
    return "string" in json.dumps(schema) and "$ref" not in json.dumps(schema)


def _states(base: RuleBase, *, several: bool) -> Schema:
    def value(known: Iterable[str]) -> Schema:
        one: Schema = {"enum": list(known)}
        return {"anyOf": [one, _list(one)]} if several else one

    return {
        "type": "object",
        "properties": {name: value(state.values) for name, state in base.states.items()},
        "additionalProperties": {"type": ["string", "array"]},
    }


def _knows_targets(definitions: Mapping[str, Schema], base: RuleBase) -> None:
    """Let changes, withdrawals and answers know what is there to be changed or answered."""
    for name in ("ChangeRule", "WithdrawnRule"):
        definitions[name]["properties"]["of"] = {"enum": list(KINDS)}
        definitions[name]["allOf"] = [
            {
                "if": {"properties": {"of": {"const": kind}}},
                "then": {"properties": {"id": _id_of(base, kind)}},
            }
            for kind in KINDS
        ]
    definitions["ShopAnswer"]["properties"]["fact"] = {"enum": sorted(base.questions)}


def _id_of(base: RuleBase, kind: str) -> Schema:
    return {"anyOf": [{"enum": sorted(getattr(base, kind))}, {"type": "string"}]}


def job_schema(base: RuleBase) -> Schema:
    """Return the schema of a job file."""
    sections: dict[str, Schema] = {}
    top: Schema = {"job_format": {"type": "integer", "description": "Form of this file."}}
    for name, question in base.questions.items():
        section, _, key = name.partition(".")
        if key:
            sections.setdefault(section, {})[key] = _answer(question)
        else:
            top[section] = _answer(question)
    sections.setdefault("job", {})["house_rules"] = {
        "description": "Folder of the shop's rules, beside this file.",
        "type": ["string", "array"],
    }
    for section, properties in sections.items():
        top[section] = {
            "type": ["object", "null"],
            "properties": properties,
            "additionalProperties": False,
        }
    return {
        "$schema": DIALECT,
        "title": "lidwork job file",
        "type": "object",
        "properties": top,
        "additionalProperties": False,
    }


def _answer(question: Question) -> Schema:
    value = _typed(question)
    if question.fields:
        item: Schema = {
            "type": "object",
            "properties": {one.fact: _typed(one) for one in question.fields},
            "required": [one.fact for one in question.fields if one.required],
            "additionalProperties": False,
        }
        value = {"type": "array", "items": item}
    return {"anyOf": [value, {"enum": ["unknown", None]}], "description": question.ask}


def _typed(shape: FactShape) -> Schema:
    if shape.kind == "choice":
        return {"enum": list(shape.options)}
    if shape.kind == "yes_no":
        return {"type": "boolean"}
    if shape.kind in ("number", "integer"):
        ends = {"minimum": shape.least, "maximum": shape.most, "multipleOf": shape.multiple_of}
        given = {name: end for name, end in ends.items() if end is not None}
        return {"type": shape.kind, **given}
    return {"type": "array"} if shape.kind == "list" else {"type": ["string", "number"]}
