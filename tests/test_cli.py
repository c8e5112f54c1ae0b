"""The commands as a fitter and a shop use them: what they print, write, and say by exit code."""

from __future__ import annotations

import io
import json
import shutil
import sys
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any, NamedTuple
from unittest.mock import patch

import pytest
import typer

from planner import cli, paths

STEEL = paths.DEMOS / "high-roof-steel.yaml"
LAYER = Path(__file__).parent / "shop" / "layer"
HEAD = 'base: {name: ours, version: 1.0.0, date: "2026-01-01"}\n'


class Done(NamedTuple):
    """What a command left: its exit code and what it printed."""

    exit_code: int
    stdout: str
    stderr: str


def run(*words: str | Path) -> Done:
    """Run a command as the shell would, through the one door of the program."""
    out, err = io.StringIO(), io.StringIO()
    with (
        patch.object(sys, "argv", ["lidwork", *map(str, words)]),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        try:
            cli.main()
            code = 0
        except SystemExit as stop:
            code = int(stop.code or 0)
    return Done(code, out.getvalue(), err.getvalue())


@pytest.fixture
def van(tmp_path: Path) -> Path:
    """Return a job file of its own."""
    path = tmp_path / "van.yaml"
    path.write_bytes(STEEL.read_bytes())
    return path


def layer(folder: Path, text: str) -> Path:
    """Return a layer's folder."""
    folder.mkdir(exist_ok=True)
    (folder / "all.yaml").write_text(HEAD + text)
    return folder


def commands(group: Any, *way: str) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield every command with the words that lead to it."""
    for name, command in getattr(group, "commands", {}).items():
        if hasattr(command, "commands"):
            yield from commands(command, *way, name)
        else:
            yield (*way, name), command


def test_every_command_has_help_that_says_what_it_does() -> None:
    """A sentence for the command, and words for every option of ours."""
    found = dict(commands(typer.main.get_command(cli.app)))
    assert ("rules", "sweep") in found
    for way, command in found.items():
        assert command.help, way
        for parameter in command.params:
            if parameter.name != "help":
                assert getattr(parameter, "help", None), (way, parameter.name)


def test_plan_prints_verdict_and_order(van: Path) -> None:
    """The exit code is that of the verdict."""
    done = run("plan", van)
    assert done.exit_code == 0
    assert "NO STOP FOUND" in done.stdout
    assert "Order of work" in done.stdout
    van.write_text(van.read_text().replace("moves: false", "moves: unknown"))
    assert run("plan", van).exit_code == 3


def test_bad_input_is_exit_code_2_and_one_message(van: Path) -> None:
    """File, line, what is wrong, what to do."""
    van.write_text(van.read_text().replace("material: painted_steel", "material: tin"))
    done = run("plan", van)
    assert done.exit_code == 2
    assert f"{van}:" in done.stderr
    assert "'tin' is not a choice" in done.stderr


def test_plan_under_a_shops_rules(van: Path, tmp_path: Path) -> None:
    """On the command line, or named by the job file."""
    text = "withdrawn: [{of: steps, id: check-chargers, because: Elsewhere.}]\n"
    folder = layer(tmp_path / "ours", text)
    assert "Try the other chargers" in run("plan", van).stdout
    assert "Try the other chargers" not in run("plan", van, "--rules", folder).stdout
    van.write_text(van.read_text().replace("job:\n", "job:\n  house_rules: ours\n", 1))
    assert "Try the other chargers" not in run("plan", van).stdout
    twice = run("plan", van, "--rules", folder)
    assert twice.exit_code == 2
    assert "a layer below is called 'ours' too" in twice.stderr


def test_plan_with_other_answers_says_what_they_change(van: Path) -> None:
    """And leaves the file alone."""
    before = van.read_bytes()
    done = run("plan", van, "--with", "panel.mass_kg=30", "--with", "roof.finish=resprayed")
    assert "What panel.mass_kg=30, roof.finish=resprayed changes:" in done.stdout
    assert "because of: panel.mass_kg" in done.stdout
    assert van.read_bytes() == before
    slip = run("plan", van, "--with", "panel.mas=3")
    assert slip.exit_code == 2
    assert "Did you mean 'panel.mass_kg'?" in slip.stderr


def test_pack_remembers_and_plan_tells_what_moved(van: Path, tmp_path: Path) -> None:
    """Packed by one version of the shop's rules, planned by the next."""
    folder = layer(tmp_path / "ours", "tools: []\n")
    packed = run("pack", van, "-o", tmp_path / "pack", "--rules", folder)
    assert packed.exit_code == 0
    assert "plan.json" in packed.stdout
    quiet = run("plan", van, "--rules", folder)
    assert quiet.stderr == ""
    file = tmp_path / "pack" / "plan.json"
    assert run("plan", van, "--rules", folder, "--as-planned", file).exit_code == 0
    layer(folder, "withdrawn: [{of: steps, id: check-chargers, because: Elsewhere.}]\n")
    moved = run("plan", van, "--rules", folder)
    assert "The rules have moved on since the pack in" in moved.stderr
    assert "Try the other chargers" in moved.stderr
    refused = run("plan", van, "--rules", folder, "--as-planned", file)
    assert refused.exit_code == 2
    assert "is not the one planned then" in refused.stderr


def test_pack_of_several_jobs_ends_with_a_table(van: Path, tmp_path: Path) -> None:
    """Each in its own folder; the faulty one is told and does not stop the other."""
    bad = tmp_path / "bad.yaml"
    bad.write_text("roof:\n  material: tin\n")
    done = run("pack", van, bad, "-o", tmp_path / "packs", "--workers", "1")
    assert done.exit_code == 2
    assert (tmp_path / "packs" / "van" / "pack.html").is_file()
    assert "no stop found" in done.stdout
    assert "refused" in done.stdout


def test_why_and_why_not(van: Path) -> None:
    """Down to the answers; cut where less is wanted; a name that is nowhere is told."""
    whole = run("why", van, "mount-method").stdout
    assert "chosen" in whole
    assert "[answered]" in whole
    assert len(run("why", van, "mount-method", "--depth", "1").stdout) < len(whole) / 2
    assert "does not apply" in run("why", van, "raise-bare").stdout
    assert run("why", van, "no-such-thing").exit_code == 2


def test_compare_jobs_plans_and_layers(van: Path, tmp_path: Path) -> None:
    """Two jobs; a job and its packed plan; one job under two layers; and the page."""
    other = tmp_path / "other.yaml"
    other.write_text(van.read_text().replace("moves: false", "moves: unknown"))
    assert "Answers" in run("compare", van, other).stdout
    run("pack", van, "-o", tmp_path / "pack")
    same = run("compare", tmp_path / "pack" / "plan.json", van)
    assert same.stdout.startswith("Nothing differs between")
    text = "withdrawn: [{of: steps, id: check-chargers, because: It is done elsewhere.}]\n"
    folder = layer(tmp_path / "ours", text)
    page = tmp_path / "page.html"
    done = run("compare", van, "--rules-b", folder, "--page", page)
    assert "It is done elsewhere." in done.stdout
    assert "It is done elsewhere." in page.read_text()
    assert run("compare", van, tmp_path / "absent.yaml").exit_code == 2
    alone = run("compare", van)
    assert (alone.exit_code, "nothing to compare" in alone.stderr) == (2, True)


def test_one_job_under_rules_that_fix_what_it_answers(van: Path) -> None:
    """What the second rules do not ask is left out, and said."""
    done = run("compare", van, "--rules-b", LAYER)
    assert done.exit_code == 0
    assert "Left out, as the other rules do not ask it:" in done.stderr
    assert "Fennmoor Sidings house rules 2.3.0" in done.stdout


def test_what_if_and_as_planned_exclude_each_other(van: Path) -> None:
    """Neither is dropped in silence."""
    done = run("plan", van, "--with", "panel.mass_kg=12", "--as-planned", "plan.json")
    assert done.exit_code == 2
    assert "--as-planned: cannot stand beside --with" in done.stderr


def test_rules_start_check_list_and_show(tmp_path: Path) -> None:
    """From nothing to a layer that works, and a look at what it does."""
    folder = tmp_path / "ours"
    assert run("rules", "start", folder).exit_code == 0
    checked = run("rules", "check", folder)
    assert checked.exit_code == 0
    assert "No fault found in lidwork built-in rules" in checked.stdout
    assert "+ Our shop 1.0.0" in checked.stdout
    assert run("rules", "start", folder).exit_code == 2
    listed = run("rules", "list", "departures", "--rules", folder).stdout
    assert "steps/wash-roof: changed: more lines." in listed
    shown = run("rules", "show", "wash-roof", "--rules", folder).stdout
    assert "by Our shop: Photographs settle what was there before us." in shown
    assert "minutes" in run("rules", "show", "steps/wash-roof").stdout
    assert run("rules", "show", "wash-rof").exit_code == 2
    assert run("rules", "list", "stepps").exit_code == 2
    schema = run("rules", "schema", tmp_path / "s")
    assert schema.exit_code == 0
    assert json.loads((tmp_path / "s" / "job.schema.json").read_text())["title"]


def test_rules_check_tells_every_fault_at_once(tmp_path: Path) -> None:
    """On the error stream, counted, with exit code 2; a layer on a layer is checked as it lies."""
    text = """\
withdrawn: [{of: steps, id: isolate-battery, because: x}]
changes: [{of: steps, id: wash-roof, set: {titel: x}, because: x}]
"""
    done = run("rules", "check", layer(tmp_path / "ours", text))
    assert done.exit_code == 2
    assert "2 faults." in done.stderr
    assert "steps/isolate-battery is a safety rule and cannot be withdrawn" in done.stderr
    assert "Did you mean 'title'?" in done.stderr
    shutil.copytree(LAYER, tmp_path / "shop")
    top = layer(tmp_path / "top", "withdrawn: [{of: steps, id: house-photo, because: x}]\n")
    assert run("rules", "check", tmp_path / "shop", top).exit_code == 0
    assert run("rules", "check", top).exit_code == 2


def test_rules_sweep_is_fit_for_ci(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 0 where nothing breaks; 2 with the smallest job where something does."""
    from planner.shop import sweep  # noqa: PLC0415

    few = [sweep.Trial(sweep.NEAR, seed) for seed in range(4)]
    monkeypatch.setattr(sweep, "trials", lambda *_, **__: few)
    monkeypatch.setattr(sweep, "_is_idle", _not_idle)
    fine = run("rules", "sweep", "--workers", "1")
    assert fine.exit_code == 0
    assert "4 jobs planned" in fine.stdout
    assert "No fault found" in fine.stdout
    text = "changes: [{of: steps, id: mark-datum, add: {needs: {surface: [wet]}}, because: x}]\n"
    assert run("rules", "sweep", layer(tmp_path / "a", text)).exit_code == 2
    text = """\
changes: [{of: steps, id: height-before, add: {needs: {fuse: [in]}}, because: x}]
"""
    broken = run("rules", "sweep", layer(tmp_path / "b", text), "--workers", "1")
    assert broken.exit_code == 2
    assert "Fault 1: no order exists" in broken.stdout
    assert "job_format: 1" in broken.stdout


def _not_idle(fact: str) -> tuple[str, bool]:
    return fact, False


def test_demo_makes_a_pack(tmp_path: Path) -> None:
    """One command, one folder."""
    assert run("demo", "-o", tmp_path / "demo").exit_code == 0
    assert (tmp_path / "demo" / "pack.pdf").is_file()


def test_a_fault_of_ours_says_so_without_a_traceback(
    van: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit code 1, and how to report it; with LIDWORK_DEBUG the traceback too."""

    def crash(*_: object, **__: object) -> None:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr("planner.plan.make.make_plan", crash)
    done = run("plan", van)
    assert done.exit_code == 1
    assert "itself failed, which is our fault: RuntimeError('a fault of ours')" in done.stderr
    assert "Traceback" not in done.stderr
    monkeypatch.setenv("LIDWORK_DEBUG", "1")
    assert "Traceback" in run("plan", van).stderr


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("sheet", "--paper", "a9"), "--paper: no paper is named 'a9'"),
        (("why", "JOB", ""), "why: nothing in this plan is named ''"),
        (("pack", "JOB", "--only", "methd"), "--only: the pack has no form 'methd'"),
    ],
)
def test_a_word_that_is_not_known_is_quoted(
    words: tuple[str, ...], message: str, van: Path, tmp_path: Path
) -> None:
    """Exit code 2, what was said, and nothing written."""
    before = sorted(tmp_path.iterdir())
    done = run(*(van if word == "JOB" else word for word in words))
    assert done.exit_code == 2
    assert message in done.stderr
    assert sorted(tmp_path.iterdir()) == before
