"""Which rules a job is planned by, and what a job file may not make us read."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from planner.errors import InputError
from planner.job.file import read_job
from planner.rulebase.load import built_in
from planner.shop.standard import faults_of, rules_for

LAYER = Path(__file__).parent / "layer"
HEAD = 'base: {name: ours, version: 1.0.0, date: "2026-01-01"}\n'


def job_in(folder: Path, named: str) -> Path:
    """Return a job file that names a folder of rules."""
    job = folder / "van.yaml"
    job.write_text(f"job:\n  house_rules: {named}\n  crew: 2\n")
    return job


def layer_in(folder: Path, text: str) -> Path:
    """Return a new layer's folder."""
    folder.mkdir()
    (folder / "all.yaml").write_text(HEAD + text)
    return folder


def test_a_job_names_the_rules_beside_it(tmp_path: Path) -> None:
    """They lie lowest; what the command line names lies on top. The line is no answer."""
    shutil.copytree(LAYER, tmp_path / "ours")
    top = layer_in(tmp_path / "top", "tools: []")
    job = job_in(tmp_path, "ours")
    names = [layer.name for layer in rules_for(job, [top]).layers]
    assert names[1:] == ["Fennmoor Sidings house rules", "ours"]
    assert set(read_job(job, built_in()).answers) == {"job.crew"}


def test_a_job_without_rules_of_its_own_is_planned_by_the_built_in_ones(tmp_path: Path) -> None:
    """The same object: nothing is loaded twice."""
    (tmp_path / "van.yaml").write_text("roof:\n  moves: false\n")
    assert rules_for(tmp_path / "van.yaml") is built_in()
    assert rules_for(tmp_path / "new.yaml") is built_in()


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ("../elsewhere", "must lie in the job file's own folder, not at '../elsewhere'"),
        ("ours/../../elsewhere", "must lie in the job file's own folder"),
        ("/etc", "must lie in the job file's own folder, not at '/etc'"),
        ("'C:\\\\rules'", "must lie in the job file's own folder"),
        ("link", "must lie in the job file's own folder, not at 'link'"),
        ("holed", "must lie in the job file's own folder, not at 'holed'"),
        ("nowhere", "names 'nowhere', but there is no such folder beside the job"),
        ("[1]", "must name a folder"),
        ("'.'", "must name a folder"),
        ("n" * 300, "cannot be read: File name too long"),
        (f"[{'a, ' * 10}a]", "names more than 10 folders"),
    ],
)
def test_a_job_file_cannot_make_us_read_from_anywhere(
    tmp_path: Path, named: str, message: str
) -> None:
    """Not upwards, not by an absolute path, not through a link, not through a link inside."""
    elsewhere = layer_in(tmp_path / "elsewhere", "tools: []")
    home = tmp_path / "home"
    home.mkdir()
    (home / "link").symlink_to(elsewhere)
    (home / "holed").mkdir()
    (home / "holed" / "all.yaml").symlink_to(elsewhere / "all.yaml")
    with pytest.raises(InputError) as caught:
        rules_for(job_in(home, named))
    assert message in str(caught.value)
    assert str(caught.value).startswith(f"{home / 'van.yaml'}:2: job.house_rules")


def test_layers_are_checked_before_any_job_is_planned_by_them(tmp_path: Path) -> None:
    """A need that leaves room for a drilled hand stops the plan, not the fitter."""
    text = """\
steps:
  - id: one-more-hole
    phase: holes
    title: Drill one more hole
    does: [{act: drills, of: shell}]
    minutes: 5
    lines: [Drill.]
    because: It is missing.
    source: common practice
"""
    with pytest.raises(InputError, match="one-more-hole: its needs do not rule out 'never-drill"):
        rules_for(None, [layer_in(tmp_path / "ours", text)])


def test_what_is_refused_hides_no_other_fault(tmp_path: Path) -> None:
    """A safety rule touched, a step that drills a shut shell, one that nothing lets be done."""
    text = """\
withdrawn: [{of: steps, id: isolate-battery, because: x}]
changes: [{of: steps, id: wash-roof, add: {needs: {surface: [wet]}}, because: x}]
steps:
  - id: one-more-hole
    phase: holes
    title: Drill one more hole
    does: [{act: drills, of: shell}]
    minutes: 5
    lines: [Drill.]
    because: It is missing.
    source: common practice
"""
    whats = [fault.what for fault in faults_of([layer_in(tmp_path / "ours", text)])[1]]
    for said in (
        "is a safety rule and cannot be withdrawn",
        "need 'surface' can be narrowed, not widened to 'wet'",
        "its needs do not rule out 'never-drill",
    ):
        assert any(said in what for what in whats)


def test_what_cannot_be_read_hides_no_other_fault_and_causes_none(tmp_path: Path) -> None:
    """A tool that cannot be read is not called unknown where it is used; a slot still is."""
    text = """\
tools: [{id: lamp, lable: lamp}]
steps:
  - id: look
    phase: visit
    title: Look at {roof.lenght_mm}
    tools: [lamp]
    minutes: 5
    lines: [Look.]
    because: It shows.
    source: common practice
"""
    faults = faults_of([layer_in(tmp_path / "ours", text)])[1]
    assert [fault.what for fault in faults] == [
        "'label' is missing",
        "unknown entry 'lable'",
        "unknown fact 'roof.lenght_mm' in a slot",
    ]
    assert faults[2].cure == "Did you mean 'roof.length_mm'?"


def test_the_folder_one_stands_in_has_a_name_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """'rules check .' shows places by the folder's own name; without a head it says so."""
    monkeypatch.chdir(layer_in(tmp_path / "ours", "tools: [{id: 5}]"))
    assert str(faults_of([Path()])[1][0]).startswith("ours/all.yaml:2")
    (tmp_path / "ours" / "all.yaml").write_text("tools: []")
    assert "no 'base:'" in str(faults_of([Path()])[1][0])


@pytest.mark.parametrize("folder", ["/", "n" * 300])
def test_a_folder_that_cannot_be_one_is_told(folder: str, tmp_path: Path) -> None:
    """Neither the whole disk nor a name that no disk holds; nor does such a job file stop us."""
    with pytest.raises(InputError, match=r"Check the path|Name the folder itself"):
        rules_for(None, [Path(folder)])
    assert rules_for(tmp_path / ("n" * 300)) is built_in()


def test_faults_come_as_they_lie_in_the_file_and_name_the_layers_own_line(tmp_path: Path) -> None:
    """What a change breaks is told where it was changed, not at the built-in rule."""
    layer = layer_in(
        tmp_path / "ours",
        "changes:\n"
        "  - {of: values, id: limit.warming_k, set: {value: hot}, because: x}\n"
        "withdrawn:\n"
        "  - {of: steps, id: no-such-step, because: x}\n"
        "steps:\n"
        "  - {id: our-step, phase: nowhere}\n",
    )
    _, faults = faults_of([layer])
    lines = [int(fault.where.split(":")[1].split(",")[0]) for fault in faults]
    assert lines == sorted(lines)
    assert set(lines) == {3, 5, 7}
    assert faults[0].where.startswith("ours/all.yaml:3, changing rules/tables/")
    assert "Input should" not in "".join(map(str, faults))


def test_a_name_that_nothing_resembles_is_not_answered_with_a_hundred(tmp_path: Path) -> None:
    """Twenty names, and where the others stand; whoever comes close is told the one."""
    step = (
        "steps: [{{id: our-step, phase: visit, title: x, tools: [{}], minutes: 5, lines: [x],"
        " because: x, source: common practice}}]\n"
    )
    (far,) = faults_of([layer_in(tmp_path / "far", step.format("zzzz"))])[1]
    assert far.cure.count(",") == 19
    assert far.cure.endswith("more; see: lidwork rules list.")
    (near,) = faults_of([layer_in(tmp_path / "near", step.format("torque-drivr"))])[1]
    assert near.cure == "Did you mean 'torque-driver'?"
