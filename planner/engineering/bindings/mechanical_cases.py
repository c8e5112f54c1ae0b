"""Bind what each load by itself asks of the chosen mount: air, braking, cornering, its weight."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec.structs import replace

from planner.engineering import mounts
from planner.engineering.bindings.mechanical_air import Rows, is_bonded, row_of
from planner.engineering.bindings.mechanical_bond import ribbon_mm, ribbons_of
from planner.engineering.bindings.mechanical_feet import (
    Given,
    bolt_of,
    bracket_of,
    factors_of,
    feet_of,
    load_of,
    panels,
    skin_of,
    uplift_of,
)
from planner.engineering.bindings.mechanical_mounts import BOLTED, ROW_FACTS, bars_of
from planner.engineering.bonding import ribbon_area_cm2, ribbon_area_laid_cm2
from planner.engineering.brackets import Check, Load, check_foot
from planner.engineering.mounts import PanelData
from planner.engineering.wind import GRAVITY_M_S2, Inertia
from planner.ledger import Binding, bind
from planner.rounding import up

STILL = Inertia(0.0, 0.0, 0.0)


def cases(
    *, method: str, rows: Rows, speed_kmh: float, **given: Any
) -> list[dict[str, Any]] | None:
    """Return, for each load alone and for all at once, the part that gives first and its use."""
    panel = max(panels(given), key=lambda one: one.area_m2)
    names = {
        "air": f"air at {speed_kmh:.0f} km/h",
        "braking": f"braking, {given['forward_g']:g} g",
        "cornering": f"cornering, {given['sideways_g']:g} g",
        "together": "a gust while braking or cornering",
        "weight": "the weight, for good",
    }
    if method in BOLTED:
        found = _bolted(given, panel, rail=method == "bolted_rails")
    elif is_bonded(method):
        found = _bonded(given, panel, method)
    else:
        row = row_of(rows, "mount", method)
        if row is None or row["utilisation_percent"] is None:
            return None
        found = _clamped(given, panel, row["mass_kg"])
    return [
        {"case": names[case], "on_panel_n": up(force), "part": part, "used_percent": used}
        for case, force, part, used in found
    ]


Case = tuple[str, float, str, int | None]


def _loads(load: Load) -> Iterator[tuple[str, Load, float]]:
    """Yield each load alone with its force, then the gust with the hardest pull."""
    pull = load.inertia
    yield "air", replace(load, inertia=STILL), load.uplift_n
    ahead = replace(load, uplift_n=0.0, inertia=replace(STILL, forward_n=pull.forward_n))
    yield "braking", ahead, pull.forward_n
    aside = replace(load, uplift_n=0.0, inertia=replace(STILL, sideways_n=pull.sideways_n))
    yield "cornering", aside, pull.sideways_n


def _bolted(given: Given, panel: PanelData, *, rail: bool) -> Iterator[Case]:
    result = feet_of(given, panel, rail=rail)
    skin, bracket = skin_of(given), bracket_of(given, rail=rail)
    if result is None or skin is None or bracket is None:
        return
    for case, load, force in _loads(load_of(given, panel)):
        checks = check_foot(load=load, feet=result.feet, bracket=bracket, bolt=bolt_of(given),
                            skin=skin, factors=factors_of(given))
        yield (case, force, *_worst(checks))
    whole = load_of(given, panel)
    yield "together", whole.inertia.with_uplift_n(whole.uplift_n), *_worst(result.checks)


def _worst(checks: tuple[Check, ...]) -> tuple[str, int]:
    check = max(checks, key=lambda one: one.utilisation)
    return check.part, up(100 * check.utilisation)


def _clamped(given: Given, panel: PanelData, mount_kg: float) -> Iterator[Case]:
    """Bars bear all panels; what their clamps grip along the bar nobody has published.

    Lift goes into the bars and pull along them into the clamps: two parts, so no use of both.
    """
    load = load_of(given, panel)
    every = list(panels(given))
    lifted, carried = mounts.bars_use(
        carried_kg=mount_kg + sum(one.mass_kg * one.count for one in every),
        uplift_n=sum(uplift_of(given, one) * one.count for one in every),
        **bars_of(given),
    )
    yield "air", load.uplift_n, mounts.BARS_UPLIFT, up(100 * lifted)
    weight = panel.mass_kg * GRAVITY_M_S2
    yield "weight", weight, mounts.BARS_WEIGHT, up(100 * carried)
    grip = "grip of the clamps: ask their maker"
    yield "braking", load.inertia.forward_n, grip, None
    yield "cornering", load.inertia.sideways_n, grip, None


def _bonded(given: Given, panel: PanelData, method: str) -> Iterator[Case]:
    laid = ribbon_area_laid_cm2(
        length_m=ribbons_of(given, method, panel)[1], width_mm=ribbon_mm(given, method, panel)
    )
    weight = panel.mass_kg * GRAVITY_M_S2
    load = load_of(given, panel)
    forces = [(case, force) for case, _, force in _loads(load)]
    together = load.inertia.with_uplift_n(load.uplift_n)
    for case, force in [*forces, ("together", together), ("weight", weight)]:
        stress = given["standing_n_mm2" if case == "weight" else "gust_n_mm2"]
        need = ribbon_area_cm2(load_n=force, stress_n_mm2=stress)
        yield case, force, "adhesive ribbon", up(100 * need / laid)


BINDINGS: tuple[Binding, ...] = (
    bind(
        cases,
        "feet.cases",
        method="mount.method",
        rows="mounts.rows",
        speed_kmh="wind.speed_kmh",
        **ROW_FACTS,
    ),
)
