"""The label check against twenty thousand real labels: sound ones pass."""

from __future__ import annotations

from pvlib import pvsystem

from planner.engineering.datasheet import datasheet_faults
from planner.engineering.strings import Module


def test_real_labels_are_seldom_faulted() -> None:
    """At most one label in fifty is questioned, among every fifth crystalline module.

    Source: CEC module database, shipped with general-purpose library pvlib 0.16. The database
    itself holds slips (a coefficient beyond -0.8 % per °C), so not all may pass.
    """
    cec = pvsystem.retrieve_sam("CECMod").T
    cec = cec[cec.Technology.isin(["Mono-c-Si", "Multi-c-Si"])].iloc[::5]
    faulted = sum(
        bool(
            datasheet_faults(
                module=Module(
                    row.STC,
                    row.V_oc_ref,
                    row.V_mp_ref,
                    row.I_sc_ref,
                    row.I_mp_ref,
                    25.0,
                    100 * row.beta_oc / row.V_oc_ref,
                ),
                isc_pct_per_c=100 * row.alpha_sc / row.I_sc_ref,
                area_m2=row.A_c,
            )
        )
        for row in cec.itertuples()
    )
    assert len(cec) > 4000
    assert faulted / len(cec) <= 0.02
