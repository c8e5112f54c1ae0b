"""Expected bench readings against two module databases that share no data."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from pvlib import pvsystem

from planner.engineering.bench_test import (
    LIGHT_COEFFICIENT,
    cell_temperature_c,
    expected_isc_a,
    expected_voc_v,
)

SANDIA = ["Voco", "Bvoco", "Mbvoc", "N", "Cells_in_Series"]
BOLTZMANN_EV = 8.617333e-5
LIGHTS = (300.0, 400.0, 500.0, 600.0, 800.0, 1000.0)
NUMBERS = [
    "V_oc_ref", "I_sc_ref", "alpha_sc", "beta_oc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref",
    "R_s", "Adjust",
]  # fmt: skip
CELLS = (5.0, 15.0, 25.0, 35.0, 45.0, 55.0, 65.0)


@pytest.fixture(scope="module")
def cec() -> Any:
    """Return crystalline modules of the CEC database, from the half that gives no coefficient.

    Thinned to every tenth to keep the run short.
    """
    return cec_modules().iloc[1::10]


def cec_modules() -> Any:
    """Return all crystalline modules of the CEC database."""
    frame = pvsystem.retrieve_sam("CECMod").T
    return frame[frame.Technology.isin(["Mono-c-Si", "Multi-c-Si"])][NUMBERS].astype(float)


def sandia_modules() -> Any:
    """Return all crystalline modules of the Sandia database, measured outdoors."""
    frame = pvsystem.retrieve_sam("SandiaMod").T
    return frame[frame.Material.isin(["c-Si", "mc-Si"])][SANDIA].astype(float)


def test_light_coefficient_lies_half_way_between_the_databases() -> None:
    """The diode's n·Ns·kT/q as a share of Voc, from every second module of both databases.

    Source: general-purpose library pvlib 0.16. The median is 0.042 in the CEC database (curves
    fitted to labels) and 0.056 in the Sandia one (measured outdoors). Rounded to 0.005.
    The other halves are what the tests below compare with.
    """
    fitted = cec_modules().iloc[::2]
    measured = sandia_modules().iloc[::2]
    thermal_v = BOLTZMANN_EV * 298.15
    medians = (
        (fitted.a_ref / fitted.V_oc_ref).median(),
        (measured.N * measured.Cells_in_Series * thermal_v / measured.Voco).median(),
    )
    assert sum(medians) / 2 == pytest.approx(LIGHT_COEFFICIENT, abs=0.0025)


def model(frame: Any, light: float, cell_c: float) -> tuple[np.ndarray, np.ndarray]:
    """Return open-circuit volts and short-circuit amps of pvlib's single-diode model."""
    names = ["alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s", "Adjust"]
    params = pvsystem.calcparams_cec(light, cell_c, *(frame[name] for name in names))
    curve = pvsystem.singlediode(*params)
    return np.asarray(curve["v_oc"], dtype=float), np.asarray(curve["i_sc"], dtype=float)


def worst_voc_error(frame: Any, pct_per_c: np.ndarray) -> np.ndarray:
    """Return each module's largest relative error in volts over all lights and temperatures."""
    worst = np.zeros(len(frame))
    for light in LIGHTS:
        for cell_c in CELLS:
            ours = np.array(
                [
                    expected_voc_v(
                        voc_v=voc, voc_pct_per_c=pct, irradiance_w_m2=light, cell_c=cell_c
                    )
                    for voc, pct in zip(frame.V_oc_ref, pct_per_c, strict=True)
                ]
            )
            worst = np.fmax(worst, np.abs(ours / model(frame, light, cell_c)[0] - 1))
    return worst


def test_volts_agree_with_the_single_diode_model(cec: Any) -> None:
    """Within 3 % over 300 to 1000 W/m² and 5 to 65 °C, for 19 modules in 20 at least.

    Source: general-purpose library pvlib 0.16, CEC database. The coefficient is measured on the
    model as a laboratory would, from 15 to 35 °C in full sun: the database's printed one is not
    the model's own, since its fit shifts it to meet the watts coefficient (median shift 10 %).
    """
    slope = (model(cec, 1000.0, 35.0)[0] - model(cec, 1000.0, 15.0)[0]) / 20
    worst = worst_voc_error(cec, 100 * slope / cec.V_oc_ref.to_numpy())
    assert np.mean(worst <= 0.03) >= 0.95


def test_printed_coefficient_stays_inside_the_band_that_is_used(cec: Any) -> None:
    """With the label's coefficient, 19 sound modules in 20 fall inside the 5 % that pass.

    Within 3 % it is nine in ten only: the database's fit shifts the coefficient, which shows at
    65 °C in full sun already, where the light term is nothing.

    Source: general-purpose library pvlib 0.16, CEC database, as printed there.
    """
    printed = (100 * cec.beta_oc / cec.V_oc_ref).to_numpy()
    keep = (printed >= -1) & (printed <= 0)
    assert keep.all()
    assert np.mean(worst_voc_error(cec, printed) <= 0.05) >= 0.95


def test_volts_agree_with_modules_measured_outdoors() -> None:
    """Within 3 % of the Sandia array model for 19 crystalline modules in 20 at least.

    Source: general-purpose library pvlib 0.16, Sandia module database (King, Boyson and
    Kratochvil 2004, SAND2004-3535, equation 3): Voc + Ns·n·k·Tc/q·ln(E) + β(Tc − 25), with n and
    β measured outdoors. Every second module, the half that gives no coefficient.
    """
    frame = sandia_modules().iloc[1::2]
    assert len(frame) > 150
    close = 0
    for voc, beta, mbvoc, ideality, cells in frame.to_numpy():
        errors = []
        for light in LIGHTS:
            for cell_c in CELLS:
                sun = light / 1000
                thermal = ideality * cells * BOLTZMANN_EV * (cell_c + 273.15)
                theirs = voc + thermal * np.log(sun) + (beta + mbvoc * (1 - sun)) * (cell_c - 25)
                ours = expected_voc_v(
                    voc_v=voc, voc_pct_per_c=100 * beta / voc, irradiance_w_m2=light,
                    cell_c=cell_c,
                )  # fmt: skip
                errors.append(abs(ours / theirs - 1))
        close += max(errors) <= 0.03
    assert close / len(frame) >= 0.95


def test_amps_agree_with_the_single_diode_model(cec: Any) -> None:
    """Within 3 % for 19 modules in 20 at least, with the printed coefficient.

    Source: general-purpose library pvlib 0.16, CEC database.
    """
    printed = (100 * cec.alpha_sc / cec.I_sc_ref).to_numpy()
    worst = np.zeros(len(cec))
    for light in LIGHTS:
        for cell_c in CELLS:
            ours = np.array(
                [
                    expected_isc_a(
                        isc_a=isc, isc_pct_per_c=pct, irradiance_w_m2=light, cell_c=cell_c
                    )
                    for isc, pct in zip(cec.I_sc_ref, printed, strict=True)
                ]
            )
            worst = np.fmax(worst, np.abs(ours / model(cec, light, cell_c)[1] - 1))
    assert np.mean(worst <= 0.03) >= 0.95


def test_worked_reading() -> None:
    """Isc 6.10 A, Voc 22.6 V, +0.05 and -0.30 % per °C, 600 W/m², 45 °C cells.

    By hand after IEC 60891 (from memory): 6.10 x 0.6 x 1.01 = 3.697 A; with the 0.06 of its
    procedure 2, 20.55 V. Our light term differs by (0.06 - 0.0534) x 22.6 x 0.511 = 0.08 V.
    """
    amps = expected_isc_a(isc_a=6.10, isc_pct_per_c=0.05, irradiance_w_m2=600, cell_c=45)
    volts = expected_voc_v(voc_v=22.6, voc_pct_per_c=-0.30, irradiance_w_m2=600, cell_c=45)
    assert amps == pytest.approx(3.697, abs=0.001)
    assert volts == pytest.approx(20.55, abs=0.09)


@pytest.mark.parametrize(
    ("irradiance", "air_c", "noct_c", "cell_c"),
    [(1000, 30, 50, 67.5), (800, 20, 50, 50.0), (700, 30, 50, 56.25), (600, 40, 50, 62.5)],
)
def test_cell_temperature(irradiance: float, air_c: float, noct_c: float, cell_c: float) -> None:
    """Source: general-purpose library pvlib, its published test values of the Ross model."""
    ours = cell_temperature_c(air_c=air_c, irradiance_w_m2=irradiance, noct_c=noct_c)
    assert ours == pytest.approx(cell_c)
