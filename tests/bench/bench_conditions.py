"""Measure 400 of the shipped conditions on one job against general-purpose libraries.

Run from the top folder: ``python -m tests.bench.bench_conditions``. The libraries are no
dependencies of the project: ``pip install rule-engine simpleeval asteval evalidate
json-logic-qubit jsonlogic-rs`` makes them take part. Each gets the same conditions in its own
language, parsed beforehand where it can, and must come to the same results.
"""

from __future__ import annotations

import importlib
import json
import time
from collections.abc import Callable, Iterator, Mapping
from statistics import median
from typing import Any

from planner import paths
from planner.job.file import read_job
from planner.ledger import NA, Ledger
from planner.plan.facts import ledger_of
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import (
    COMPARISONS,
    Condition,
    Group,
    Test,
    facts_read,
    holds,
    tests,
)
from planner.rulebase.load import built_in

DEMO = paths.DEMOS / "lifting-grp.yaml"
COUNT = 400
SIGNS = {"above": ">", "at_least": ">=", "below": "<", "at_most": "<="}
Work = Callable[[], list[bool]]


def conditions(base: RuleBase, ledger: Ledger) -> list[Condition]:
    """Return 400 different conditions that compare, choose or exclude, in the rules' own order."""
    known = set(ledger.names)
    found: dict[str, Condition] = {}
    for kind in ("findings", "steps", "hazards", "materials", "invariants", "decisions"):
        for rule in getattr(base, kind).values():
            for one in _inside(rule):
                ops = {test.op for test in tests(one)}
                if ops and not ops & {"includes", "empty"} and set(facts_read(one)) <= known:
                    found[repr(one)] = one
    return list(found.values())[:COUNT]


def _inside(value: Any) -> Iterator[Condition]:
    """Yield every condition of a rule, and the parts of those that have several."""
    if isinstance(value, Test | Group):
        yield value
        for part in getattr(value, "parts", ()):
            yield from _inside(part)
    elif isinstance(value, tuple | list):
        for item in value:
            yield from _inside(item)
    elif hasattr(value, "__dict__"):
        for item in vars(value).values():
            yield from _inside(item)


def name_of(fact: str) -> str:
    """Return a fact's name as a plain variable."""
    return fact.replace(".", "_")


def facts_of(found: list[Condition], ledger: Ledger) -> dict[str, Any]:
    """Return the value of every fact that the conditions read; None where one does not apply."""
    names = {name for one in found for name in facts_read(one)}
    return {name_of(name): _plain(ledger.get(name)) for name in sorted(names)}


def _plain(value: Any) -> Any:
    if value is NA:
        return None
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


class Words:
    """How a language writes what the conditions are made of."""

    joins: Mapping[str, str] = {"all": " and ", "any": " or "}
    negation, nothing = "not ", "None"
    constants: Mapping[bool, str] = {True: "True", False: "False"}

    def condition(self, one: Condition) -> str:
        """Return a condition in this language."""
        if isinstance(one, Test):
            return f"({self._test(one)})"
        if not one.parts:
            return self.constants[one.kind != "any"]
        join = self.joins["all" if one.kind == "all" else "any"]
        parts = join.join(map(self.condition, one.parts))
        return f"({self.negation}({parts}))" if one.kind == "none" else f"({parts})"

    def _test(self, test: Test) -> str:
        name, both = name_of(test.fact), self.joins["all"]
        there = f"{name} != {self.nothing}{both}"
        if test.op in COMPARISONS:
            named = isinstance(test.operand, str)
            bound = name_of(test.operand) if named else self._value(test.operand)
            also = f"{bound} != {self.nothing}{both}" if named else ""
            return f"{there}{also}{name} {SIGNS[test.op]} {bound}"
        values = ", ".join(self._value(value) for value in test.operand)
        isin = f"{name} in [{values}]"
        return f"{there}{isin}" if test.op == "is" else f"{there}{self.negation}({isin})"

    def _value(self, value: Any) -> str:
        if isinstance(value, bool):
            return self.constants[value]
        return json.dumps(_plain(value))


class RuleWords(Words):
    """The language of rule-engine."""

    nothing = "null"
    constants: Mapping[bool, str] = {True: "true", False: "false"}


def json_logic(one: Condition) -> Any:
    """Return a condition as JSON Logic."""
    if isinstance(one, Test):
        there = {"!==": [{"var": name_of(one.fact)}, None]}
        return {"and": [there, *_json_test(one)]}
    if not one.parts:
        return {"===": [one.kind != "any", True]}
    parts = {"and" if one.kind == "all" else "or": [json_logic(part) for part in one.parts]}
    return {"!": [parts]} if one.kind == "none" else parts


def _json_test(test: Test) -> list[Any]:
    name = {"var": name_of(test.fact)}
    if test.op in COMPARISONS:
        named = isinstance(test.operand, str)
        bound = {"var": name_of(test.operand)} if named else test.operand
        compared = {SIGNS[test.op]: [name, bound]}
        return [{"!==": [bound, None]}, compared] if named else [compared]
    isin = {"or": [{"===": [name, _plain(value)]} for value in test.operand]}
    return [isin] if test.op == "is" else [{"!": [isin]}]


def _rule_engine(found: list[Condition], facts: dict[str, Any]) -> Work:
    library = importlib.import_module("rule_engine")
    context = library.Context(resolver=library.resolve_item)
    rules = [library.Rule(RuleWords().condition(one), context=context) for one in found]
    return lambda: [rule.matches(facts) for rule in rules]


def _simpleeval(found: list[Condition], facts: dict[str, Any]) -> Work:
    library = importlib.import_module("simpleeval")
    reader = library.EvalWithCompoundTypes(names=facts)
    texts = [Words().condition(one) for one in found]
    parsed = [(text, reader.parse(text)) for text in texts]
    return lambda: [reader.eval(text, previously_parsed=tree) for text, tree in parsed]


def _asteval(found: list[Condition], facts: dict[str, Any]) -> Work:
    reader = importlib.import_module("asteval").Interpreter(minimal=True)
    reader.symtable.update(facts)
    parsed = [reader.parse(Words().condition(one)) for one in found]
    return lambda: [reader.run(tree) for tree in parsed]


def _evalidate(found: list[Condition], facts: dict[str, Any]) -> Work:
    library = importlib.import_module("evalidate")
    allowed = library.base_eval_model.clone()
    allowed.nodes.extend(["List", "In", "NotEq", "Not", "And", "Or", "Gt", "GtE", "Lt", "LtE"])
    parsed = [library.Expr(Words().condition(one), model=allowed) for one in found]
    return lambda: [one.eval(facts) for one in parsed]


def _json_logic(found: list[Condition], facts: dict[str, Any]) -> Work:
    library = importlib.import_module("json_logic")
    logic = [json_logic(one) for one in found]
    return lambda: [library.jsonLogic(one, facts) for one in logic]


def _jsonlogic_rs(found: list[Condition], facts: dict[str, Any]) -> Work:
    library = importlib.import_module("jsonlogic_rs")
    logic = [json_logic(one) for one in found]
    return lambda: [library.apply(one, facts) for one in logic]


LIBRARIES: Mapping[str, Callable[[list[Condition], dict[str, Any]], Work]] = {
    "rule-engine": _rule_engine,
    "simpleeval": _simpleeval,
    "asteval": _asteval,
    "evalidate": _evalidate,
    "json-logic-qubit": _json_logic,
    "jsonlogic-rs": _jsonlogic_rs,
}


def measured() -> Iterator[tuple[str, str, float]]:
    """Yield who, a remark, and the time for all conditions [ms]; ours first."""
    base = built_in()
    ledger = ledger_of(base, read_job(DEMO, base).answers)
    found = conditions(base, ledger)
    ours = [holds(one, ledger) for one in found]
    facts = facts_of(found, ledger)

    def recorded() -> list[bool]:
        results, _reads = ledger.reading(lambda: [holds(one, ledger) for one in found])
        return list(results)

    yield "lidwork, reads recorded", f"{len(found)} conditions, {sum(ours)} hold", _ms(recorded)
    for name, prepared in LIBRARIES.items():
        try:
            work = prepared(found, facts)
        except ImportError:
            yield name, "not installed", float("nan")
            continue
        results = [bool(one) for one in work()]
        wrong = sum(a is not b for a, b in zip(results, ours, strict=True))
        yield name, f"{wrong} results differ" if wrong else "the same results", _ms(work)


def _ms(work: Work, runs: int = 31) -> float:
    """Return the median processor time of some runs [ms]: others may be busy on this machine."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1000 * median(times)


def main() -> None:
    """Print the table."""
    for name, remark, took in measured():
        print(f"{name:26s} {took:9.2f} ms   {remark}")


if __name__ == "__main__":
    main()
