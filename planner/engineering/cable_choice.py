"""The smallest standard section that passes every check on a run, with each figure kept."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.cables import (
    BunchingFactor,
    Conductor,
    bunching_factor,
    capacity_a,
    loop_drop_v,
    resistance_ohm_per_km,
)
from planner.engineering.fuses import FuseChoice, FuseNeed, FuseSeries, battery_fuse
from planner.engineering.guards import positive
from planner.errors import OutOfRangeError
from planner.rounding import down


class CableRun(Struct, frozen=True):
    """One run of two-core cable and what it has to do.

    Attributes:
        length_m: One way.
        current_a: Steady current, for the drop and the loss.
        system_v: Volts at the source end, of which the drop is a share.
        drop_limit_percent: Largest drop allowed, both ways.
        required_a: Least current the cable must carry for ever.
        ambient_c: Hottest air around it.
        insulation_c: Temperature that its insulation stands for ever.
        loaded_conductors: Conductors with current, side by side.
        copper_c: Copper temperature for resistance.
        smallest_mm2: Least section allowed whatever the sums say.
        largest_mm2: Largest that the terminals take.
    """

    length_m: float
    current_a: float
    system_v: float
    drop_limit_percent: float
    required_a: float
    ambient_c: float
    insulation_c: float = 105.0
    loaded_conductors: int = 2
    copper_c: float = 70.0
    smallest_mm2: float = 0.0
    largest_mm2: float = math.inf


class CableCandidate(Struct, frozen=True):
    """One section tried on one run, with each figure and the checks that it fails.

    Attributes:
        failed: Any of ``smallest``, ``terminal``, ``drop``, ``capacity``, ``fuse``; empty when all
            pass.
    """

    section_mm2: float
    awg: str
    ohm_per_km: float
    drop_v: float
    drop_percent: float
    loss_w: float
    capacity_a: float
    failed: tuple[str, ...]


class CableChoice(Struct, frozen=True):
    """The section chosen, every section tried, and what decided.

    Attributes:
        chosen: Smallest section that passes; None when none does.
        candidates: All sections, smallest first.
        governed_by: Checks that ruled out the next smaller section, or that rule out the largest
            when nothing fits; empty when the smallest of the table passes.
        cure: What would help, with figures, when nothing fits; else empty.
    """

    chosen: CableCandidate | None
    candidates: tuple[CableCandidate, ...]
    governed_by: tuple[str, ...]
    cure: str


class ProtectedRun(Struct, frozen=True):
    """A run with its fuse: the cable carries whatever the fuse lets through.

    Attributes:
        fuse_ratings_a: For each candidate the rating that protects it; None where none does.
    """

    cable: CableChoice
    fuse: FuseChoice
    fuse_ratings_a: tuple[float | None, ...]


def choose_cable(
    *, run: CableRun, conductors: Sequence[Conductor], bunching: Sequence[BunchingFactor]
) -> CableChoice:
    """Return the smallest section that passes every check on one run.

    Args:
        run: The run and its limits.
        conductors: Standard sections.
        bunching: Factors for conductors side by side.

    Returns:
        The choice with every section tried, so that each check can be printed.

    Raises:
        OutOfRangeError: If a number of the run is out of range, or no section is given.

    References:
        IEC 62548 guidance of 3 % on the panel side (from memory); battery side common practice.
    """
    if not conductors:
        raise OutOfRangeError("conductors", conductors, "at least one section")
    for name in ("length_m", "current_a", "system_v", "drop_limit_percent", "required_a"):
        positive(name, getattr(run, name))
    factor = bunching_factor(loaded_conductors=run.loaded_conductors, table=bunching)
    rows = sorted(conductors, key=lambda row: row.section_mm2)
    candidates = tuple(_candidate(run, row, factor) for row in rows)
    position = next((i for i, row in enumerate(candidates) if not row.failed), None)
    if position is None:
        return CableChoice(None, candidates, *_nothing_fits(run, candidates))
    return _chosen(candidates, position)


def choose_protected_run(
    *,
    run: CableRun,
    conductors: Sequence[Conductor],
    bunching: Sequence[BunchingFactor],
    need: FuseNeed,
    series: Sequence[FuseSeries],
) -> ProtectedRun:
    """Return the smallest section for which a fuse exists, and that fuse.

    Args:
        run: The run and its limits.
        conductors: Standard sections.
        bunching: Factors for conductors side by side.
        need: What the fuse must carry, withstand and break.
        series: Kinds of fuse, in order of preference.

    Returns:
        Cable and fuse. Sections that pass all but the fuse are marked ``fuse``. When no cable
        passes at all, the fuse is judged on the largest section, to show both troubles at once.

    Raises:
        OutOfRangeError: As `choose_cable` and `battery_fuse`.

    References:
        IEC 60364-4-43: Ib ≤ In ≤ Iz (clause from memory).
    """
    cable = choose_cable(run=run, conductors=conductors, bunching=bunching)
    fuses = [
        battery_fuse(need=need, cable_capacity_a=row.capacity_a, series=series)
        for row in cable.candidates
    ]
    ratings = tuple(fuse.chosen.rating_a if fuse.chosen else None for fuse in fuses)
    if cable.chosen is None:
        return ProtectedRun(cable, fuses[-1], ratings)
    marked = tuple(
        row if row.failed or fuse.chosen else replace(row, failed=("fuse",))
        for row, fuse in zip(cable.candidates, fuses, strict=True)
    )
    position = next((i for i, row in enumerate(marked) if not row.failed), None)
    if position is None:
        best = max(i for i, row in enumerate(marked) if row.failed == ("fuse",))
        unfused = CableChoice(None, marked, ("fuse",), fuses[best].cure)
        return ProtectedRun(unfused, fuses[best], ratings)
    return ProtectedRun(_chosen(marked, position), fuses[position], ratings)


def _chosen(candidates: tuple[CableCandidate, ...], position: int) -> CableChoice:
    smaller = candidates[position - 1].failed if position else ()
    return CableChoice(candidates[position], candidates, smaller, "")


def _candidate(run: CableRun, row: Conductor, bunching: float) -> CableCandidate:
    ohm_per_km = resistance_ohm_per_km(r20_ohm_per_km=row.r20_ohm_per_km, copper_c=run.copper_c)
    drop_v = loop_drop_v(current_a=run.current_a, length_m=run.length_m, ohm_per_km=ohm_per_km)
    drop_percent = 100 * drop_v / run.system_v
    amps = capacity_a(
        table_a=row.table_a,
        insulation_c=run.insulation_c,
        ambient_c=run.ambient_c,
        bunching=bunching,
    )
    checks = {
        "smallest": row.section_mm2 >= run.smallest_mm2,
        "terminal": row.section_mm2 <= run.largest_mm2,
        "drop": drop_percent <= run.drop_limit_percent,
        "capacity": amps >= run.required_a,
    }
    return CableCandidate(
        section_mm2=row.section_mm2,
        awg=row.awg,
        ohm_per_km=ohm_per_km,
        drop_v=drop_v,
        drop_percent=drop_percent,
        loss_w=drop_v * run.current_a,
        capacity_a=amps,
        failed=tuple(name for name, passed in checks.items() if not passed),
    )


def _nothing_fits(
    run: CableRun, candidates: Sequence[CableCandidate]
) -> tuple[tuple[str, ...], str]:
    usable = [row for row in candidates if "terminal" not in row.failed]
    if not usable:
        return ("terminal",), "The terminals take no standard section: use a larger terminal block."
    best = usable[-1]
    size = f"The largest usable section, {best.section_mm2:g} mm²,"
    if "capacity" in best.failed:
        return best.failed, (
            f"{size} carries {best.capacity_a:.1f} A here, under the {run.required_a:.1f} A "
            "needed: take a cooler route, a better insulation, fewer cables side by side, or "
            "less current."
        )
    if "drop" in best.failed:
        share = run.drop_limit_percent / best.drop_percent
        return best.failed, (
            f"{size} loses {best.drop_percent:.1f} %, over {run.drop_limit_percent:g} %: shorten "
            f"the run to {down(share * run.length_m, 1):.1f} m, or lower the current to "
            f"{down(share * run.current_a, 1):.1f} A, or raise the volts by the same ratio."
        )
    return best.failed, f"{size} is under the least allowed, {run.smallest_mm2:g} mm²."
