"""Loads on bolted feet: worked vectors, and statics solved by a numerical library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import solve

from planner.engineering.brackets import (
    Bolt,
    Bracket,
    Load,
    Skin,
    bolt_tension_n,
    check_foot,
    front_foot_load_n,
)
from planner.engineering.strength import pull_through_n, washer_outline_mm
from planner.engineering.wind import dynamic_pressure_pa, inertia, uplift_n

UPLIFT_N = uplift_n(pressure_pa=dynamic_pressure_pa(speed_kmh=180), area_m2=1.48 * 0.67)


def tension_n(feet: int) -> float:
    """Return the bolt tension of the worked panel, e 25 and a 15 mm."""
    return bolt_tension_n(
        foot_load_n=front_foot_load_n(uplift_n=UPLIFT_N, feet=feet),
        frame_to_bolt_mm=25,
        bolt_to_toe_mm=15,
    )


@pytest.mark.parametrize(("feet", "tension_kn"), [(6, 1.52), (4, 2.28)])
def test_bolt_tension_of_the_worked_panel(feet: int, tension_kn: float) -> None:
    """Arithmetic on planning assumptions: 1480 × 670 mm, 180 km/h, C 1.5, share 1.5.

    2.28 kN · 1.5 / 6 · (1 + 25/15) = 1.52 kN.
    """
    assert tension_n(feet) / 1000 == pytest.approx(tension_kn, abs=0.005)


@pytest.mark.parametrize(
    ("feet", "washer_mm", "factor"), [(6, 30, 3.2), (4, 30, 2.1), (6, 18, 1.9)]
)
def test_pull_through_factor_of_the_worked_panel(
    feet: int, washer_mm: float, factor: float
) -> None:
    """Arithmetic: skin 3 mm, 17.25 N/mm² (ISO 12215-5:2008, Table C.4, from memory)."""
    load = pull_through_n(
        outline_mm=washer_outline_mm(diameter_mm=washer_mm), skin_mm=3, shear_n_mm2=17.25
    )
    assert load / tension_n(feet) == pytest.approx(factor, abs=0.05)


@pytest.mark.parametrize(("e_mm", "a_mm"), [(25, 15), (40, 20), (0, 30)])
def test_bolt_and_toe_hold_the_foot_in_balance(e_mm: float, a_mm: float) -> None:
    """General-purpose library scipy: forces and moments on the foot solved as two equations.

    Unknown: bolt pull T down, toe push N up. P + N = T, and about the bolt P e = N a.
    """
    lift = 570.0
    pull, _ = solve(np.array([[1.0, -1.0], [0.0, a_mm]]), np.array([lift, lift * e_mm]))
    found = bolt_tension_n(foot_load_n=lift, frame_to_bolt_mm=e_mm, bolt_to_toe_mm=a_mm)
    assert found == pytest.approx(float(pull))


def test_tipping_in_a_corner_is_the_moment_over_the_rows() -> None:
    """General-purpose library scipy: a panel pushed sideways 60 mm up, held by two rows 670 apart.

    Row reactions from vertical balance and moments about the near row.
    """
    pull = inertia(mass_kg=13, forward_g=0, sideways_g=0.7, rearward_g=0)
    near, _ = solve(
        np.array([[1.0, 1.0], [0.0, 670.0]]), np.array([0.0, -pull.sideways_n * 60])
    )
    checks = check_foot(
        load=Load(uplift_n=0, inertia=pull, height_mm=60, rows_apart_mm=670),
        feet=6,
        bracket=Bracket(0, 15, 60, 4, 140),
        bolt=Bolt(6, 1, 6.6, 450, 700),
        skin=Skin(3, 17.25, 80, 94, 670),
        factors={"bolt": 1.5, "bracket": 1.1, "skin": 3.0, "core": 2.0},
    )
    in_tension = next(check for check in checks if check.part == "bolt in tension")
    assert in_tension.load == pytest.approx(float(near) / 3)
