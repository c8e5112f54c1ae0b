"""Controller current and MPPT against PWM, from outside figures."""

from __future__ import annotations

import pytest
from pvlib import pvsystem

from planner.engineering.controller import mppt_charge_current
from planner.engineering.harvest import pwm_share


@pytest.mark.parametrize(("array_w", "charge_v", "amps"), [(200, 12.5, 16), (400, 12.5, 32)])
def test_current_from_watts(array_w: float, charge_v: float, amps: float) -> None:
    """200 W at 12.5 V is 16 A, 400 W is 32 A: P = U I.

    Source: physics; common practice takes 20 A and 40 A controllers for them.
    """
    current = mppt_charge_current(array_w=array_w, charge_v=charge_v, rated_a=40)
    assert current.array_a == pytest.approx(amps)
    assert current.clipped_w == 0


def test_a_30_ampere_controller_clips_400_watts() -> None:
    """400 W at 12.5 V through 30 A: 2 A x 12.5 V = 25 W are cut off. Source: physics."""
    current = mppt_charge_current(array_w=400, charge_v=12.5, rated_a=30)
    assert current.output_a == 30
    assert current.clipped_w == pytest.approx(25)


def test_pwm_current_agrees_with_the_single_diode_model() -> None:
    """Tied to a battery, a module of 36 cells gives close to its label's Imp, if a little more.

    Source: general-purpose library pvlib 0.16, single-diode model of the CEC database's 36-cell
    crystalline modules, full sun, 45 °C cells, at 13.5 V. The rule P = Imp x Vbat (textbook, from
    memory) ignores that current rises from Imp towards Isc below the knee: 0 to 12 % low.
    """
    cec = pvsystem.retrieve_sam("CECMod").T
    cec = cec[cec.Technology.isin(["Mono-c-Si", "Multi-c-Si"]) & (cec.N_s == 36)]
    assert len(cec) > 100
    low_side = []
    for row in cec.iloc[::10].itertuples():
        params = pvsystem.calcparams_cec(
            1000.0, 45.0, row.alpha_sc, row.a_ref, row.I_L_ref, row.I_o_ref, row.R_sh_ref,
            row.R_s, row.Adjust,
        )  # fmt: skip
        modelled_w = 13.5 * float(pvsystem.i_from_v(13.5, *params))
        rated_w = row.V_mp_ref * row.I_mp_ref
        ours = rated_w * pwm_share(battery_charge_v=13.5, panel_vmp_v=row.V_mp_ref)
        low_side.append(ours / modelled_w)
    assert min(low_side) >= 0.88
    assert max(low_side) <= 1.005
