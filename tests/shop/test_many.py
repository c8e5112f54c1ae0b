"""Many jobs: side by side, the faulty one told, the same bytes for the same input."""

from __future__ import annotations

import io
import os
import signal
import time
from pathlib import Path

import pytest
from rich.console import Console

from planner import paths
from planner.shop import many, packing
from planner.shop.many import exit_code, folders_for, pack_many, pack_one
from planner.shop.packing import Order
from planner.shop.progress import summary

FILES = ("pack.html", "pack.md", "plan.json", "bom.csv", "pack.pdf")


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[many.Row]]:
    """Pack two demo jobs and a faulty one with two workers."""
    home = tmp_path_factory.mktemp("jobs")
    for name in ("high-roof-steel", "aluminium-lift-flex"):
        (home / f"{name}.yaml").write_bytes((paths.DEMOS / f"{name}.yaml").read_bytes())
    (home / "faulty.yaml").write_text("roof:\n  material: tin\n")
    jobs = sorted(home.glob("*.yaml"))
    counted: list[int] = []
    rows = pack_many(jobs, home / "out", Order(), workers=2, progress=lambda: counted.append(1))
    assert len(counted) == 3
    return home, rows


def test_one_faulty_job_does_not_stop_the_others(packed: tuple[Path, list[many.Row]]) -> None:
    """Two packs, one message with its place, rows in the order given."""
    home, rows = packed
    assert [row.job.stem for row in rows] == ["aluminium-lift-flex", "faulty", "high-roof-steel"]
    assert [row.state for row in rows] == ["no_stop_found", "refused", "no_stop_found"]
    assert f"{home / 'faulty.yaml'}:2: roof.material: 'tin' is not a choice" in rows[1].note
    assert exit_code(rows) == 2
    for row in (rows[0], rows[2]):
        assert row.folder is not None
        assert all((row.folder / name).stat().st_size for name in FILES)
        assert row.job.with_name(f"{row.job.stem}.planned.json").is_file()
    assert not (home / "out" / "faulty").exists()


def test_the_same_input_gives_the_same_bytes(packed: tuple[Path, list[many.Row]]) -> None:
    """Packed again in this process, every file is the same; there is no clock inside."""
    home, rows = packed
    again = pack_one(rows[0].job, home / "again", Order())
    assert again.state == "no_stop_found"
    for name in FILES:
        assert (home / "again" / name).read_bytes() == (
            home / "out" / "aluminium-lift-flex" / name
        ).read_bytes(), name


def test_the_summary_names_every_job(packed: tuple[Path, list[many.Row]]) -> None:
    """A table for whoever started it: verdict, stops, steps, hours, pack or fault."""
    console = Console(width=400, record=True, file=io.StringIO())
    console.print(summary(packed[1]))
    text = console.export_text()
    assert "faulty.yaml" in text
    assert "is not a choice" in text
    assert "no stop found" in text


def test_a_crash_of_ours_is_a_row_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The others must not suffer for it; the exit code says that it is our fault."""

    def crash(*_: object, **__: object) -> None:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(packing, "make_plan", crash)
    row = pack_one(paths.DEMOS / "high-roof-steel.yaml", tmp_path / "out", Order())
    assert (row.state, row.note) == ("failed", "RuntimeError: a fault of ours")
    assert exit_code([row]) == 1


def test_jobs_of_the_same_name_get_folders_of_their_own(tmp_path: Path) -> None:
    """Named after the folder that holds them; a job named twice is packed once."""
    jobs = [tmp_path / "a" / "van.yaml", tmp_path / "b" / "van.yaml", tmp_path / "b" / "x.yaml"]
    named = folders_for([*jobs, jobs[0]], Path("out"))
    assert [folder.as_posix() for _, folder in named] == ["out/a-van", "out/b-van", "out/x"]
    alike = [Path("a/x/v.yaml"), Path("b/x/v.yaml"), Path("x-v-2.yaml")]
    assert len({folder for _, folder in folders_for(alike, Path("out"))}) == 3


@pytest.mark.parametrize(
    ("states", "code"),
    [
        (["no_stop_found"], 0),
        (["no_stop_found", "not_yet"], 3),
        (["do_not_start", "refused"], 2),
        (["refused", "failed"], 1),
    ],
)
def test_the_exit_code_is_that_of_the_gravest_job(states: list[str], code: int) -> None:
    """For a script that packs a week's work at night."""
    assert exit_code([many.Row(Path("x"), state) for state in states]) == code


def test_ctrl_c_leaves_what_has_not_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped after the first of sixteen: what a worker has may end, the rest is not packed."""
    jobs = [tmp_path / f"{number}.yaml" for number in range(16)]
    monkeypatch.setattr(many, "pack_one", _slowly)

    def stop() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        pack_many(jobs, tmp_path / "out", Order(), workers=2, progress=stop)
    assert 1 <= len(list(tmp_path.glob("*.done"))) <= 8


def _slowly(job: Path, _folder: Path, order: Order) -> many.Row:
    time.sleep(0.2)
    job.with_suffix(".done").touch()
    return many.Row(job, str(order.only))


def test_a_worker_that_is_killed_takes_only_its_own_job_along(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a system short of memory does: the other jobs are packed, whatever waited with it."""
    jobs = [tmp_path / f"{number}.yaml" for number in range(6)]
    monkeypatch.setattr(many, "pack_one", _killed_at_two)
    told: list[None] = []
    rows = pack_many(
        jobs, tmp_path / "out", Order(), workers=2, progress=lambda: told.append(None)
    )
    assert [row.job for row in rows] == jobs
    assert [row.state == many.FAILED for row in rows] == [number == 2 for number in range(6)]
    assert "killed" in rows[2].note
    assert len(told) == len(jobs)


def _killed_at_two(job: Path, _folder: Path, order: Order) -> many.Row:
    if job.stem == "2":
        os.kill(os.getpid(), signal.SIGKILL)
    return many.Row(job, str(order.only))


def test_a_row_that_cannot_be_handed_over_fails_its_own_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever a worker brings back, the others are told of as they are."""
    jobs = [tmp_path / f"{number}.yaml" for number in range(3)]
    monkeypatch.setattr(many, "pack_one", _strange_at_one)
    rows = pack_many(jobs, tmp_path / "out", Order(), workers=2)
    assert [row.state == many.FAILED for row in rows] == [False, True, False]


def _strange_at_one(job: Path, _folder: Path, order: Order) -> many.Row:
    note: object = (lambda: None) if job.stem == "1" else ""  # a lambda cannot be sent
    return many.Row(job, str(order.only), note=note)  # type: ignore[arg-type]
