"""Bind what the panel costs a lifting roof to its facts."""

from __future__ import annotations

from typing import Any

from planner.engineering import lift_proof, lifting
from planner.engineering.bindings.mechanical_feet import Given
from planner.engineering.lifting import PARALLEL, RoofPlan
from planner.engineering.wind import GRAVITY_M_S2
from planner.ledger import Binding, bind

FIELDS = (
    "arm", "least_arm", "least_force", "force", "share", "front", "rear", "left", "right",
    "off_centre", "corner", "corner_limit",
)
CORNERS = 4


def lift(**given: Any) -> dict[str, Any]:
    """Return ratio, class, forces, cold allowance, dummy load and props of a lifting roof."""
    lifting.check_motion(hinge=given["hinge"], opening_angle_deg=given["opening_angle_deg"])
    roof = RoofPlan(given["length_mm"], given["width_mm"], given["hinge"])
    added = given["added_kg"]
    figures = _parallel(given, roof) if given["hinge"] == PARALLEL else _hinged(given, roof)
    limits = (given["low"], given["medium"], given["high"])
    cold = figures.pop("cold")
    dummy = lift_proof.dummy_load(
        added_kg=added, cold_extra_kg=cold, limit_kg=given["limit_kg"]
    )
    return dict.fromkeys(FIELDS) | figures | {
        "class": lifting.ratio_class(ratio=figures["ratio"], limits=limits),
        "needs": lift_proof.lift_needs(
            ratio=figures["ratio"], added_kg=added, limit_kg=given["limit_kg"], limits=limits
        ).replace(" ", "_"),
        "cold_extra": cold,
        "dummy": dummy.load_kg,
        "rest": dummy.calculated_kg,
        "prop": lift_proof.prop_rating_kg(
            roof_kg=given["roof_high_kg"], added_kg=added, factor=given["prop_factor"]
        ),
        "over": None if given["limit_kg"] is None else added > given["limit_kg"],
        "of_limit": 100 * added / given["limit_kg"] if given["limit_kg"] else None,
    }


def _hinged(given: Given, roof: RoofPlan) -> dict[str, Any]:
    """Return the figures of a hinged roof: ratio by the lightest shell, cold by the heaviest."""
    added = given["added_kg"]
    arm = lifting.arm_mm(roof=roof, x_mm=given["x_mm"], y_mm=given["y_mm"])
    arm += given["gap_mm"]
    force = {"added_kg": added, "added_arm_mm": arm}
    extra = lifting.extra_lift_n(**force, lift_point_mm=given["lift_point_mm"])
    least = _least_arm(given, roof)
    return {
        "arm": arm,
        "ratio": lifting.moment_ratio(
            **force, roof_kg=given["roof_low_kg"], roof_arm_mm=given["balance_mm"]
        ),
        "force": extra,
        "share": _strut_share(given, arm),
        "cold": _cold_hinged(given, arm),
        "least_arm": least,
        "least_force": None if least is None or not arm else extra * least / arm,
    }


def _strut_share(given: Given, arm_mm: float) -> float | None:
    """Return the extra force on each strut or spring, where there are any."""
    if given["count"] is None or given["strut_arm_mm"] is None:
        return None
    return lifting.extra_strut_n(
        added_kg=given["added_kg"],
        added_arm_mm=arm_mm,
        strut_arm_mm=given["strut_arm_mm"],
        struts=int(given["count"]),
    )


def _cold_hinged(given: Given, arm_mm: float) -> float:
    if given["assist"] != "gas_struts" or arm_mm == 0:
        return 0.0
    return lift_proof.cold_extra_kg(
        added_kg=given["added_kg"],
        added_arm_mm=arm_mm,
        roof_kg=given["roof_high_kg"],
        roof_arm_mm=given["balance_mm"],
        test_c=max(given["test_c"], given["coldest_c"]),
        coldest_c=given["coldest_c"],
        loss_per_k=given["loss_percent_k"] / 100,
    )


def _least_arm(given: Given, roof: RoofPlan) -> float | None:
    """Return the arm that the panels would have right at the hinge, if they fit there at all."""
    free_x = roof.length_mm - 2 * given["margin_mm"]
    free_y = roof.width_mm - 2 * given["margin_mm"]
    if given["along_x_mm"] > free_x or given["along_y_mm"] > free_y:
        return None
    cheapest = lifting.cheapest_place(
        roof=roof,
        along_x_mm=given["along_x_mm"],
        along_y_mm=given["along_y_mm"],
        margin_mm=given["margin_mm"],
    ).arm_mm
    return float(given["gap_mm"]) + cheapest


def _parallel(given: Given, roof: RoofPlan) -> dict[str, Any]:
    """Return the figures of a parallel lift, which carries the whole mass."""
    added = given["added_kg"]
    shares = lifting.parallel_shares(
        added_kg=added, roof=roof, x_mm=given["x_mm"], y_mm=given["y_mm"]
    )
    force = added * GRAVITY_M_S2
    cold = 0.0
    if given["assist"] == "gas_struts":
        # With every arm equal, moments per metre are masses.
        cold = lift_proof.cold_extra_kg_m(
            total_kg_m=given["roof_high_kg"] + added,
            test_c=max(given["test_c"], given["coldest_c"]),
            coldest_c=given["coldest_c"],
            loss_per_k=given["loss_percent_k"] / 100,
        )
    return {
        "ratio": lifting.mass_ratio(added_kg=added, roof_kg=given["roof_low_kg"]),
        "force": force,
        "share": None if given["count"] is None else force / given["count"],
        "cold": cold,
        "front": shares.front_kg,
        "rear": shares.rear_kg,
        "left": shares.left_kg,
        "right": shares.right_kg,
        "off_centre": shares.off_centre_pct,
        "corner": _corner_kg(shares),
        "corner_limit": None if given["limit_kg"] is None else given["limit_kg"] / CORNERS,
    }


def _corner_kg(shares: lifting.Shares) -> float:
    """Return the load on the corner nearest the panels: the lever rule both ways."""
    whole = shares.front_kg + shares.rear_kg
    if not whole:
        return 0.0
    return max(shares.front_kg, shares.rear_kg) * max(shares.left_kg, shares.right_kg) / whole


BINDINGS: tuple[Binding, ...] = (
    bind(
        lift,
        {
            "lift.ratio": "ratio",
            "lift.class": "class",
            "lift.needs": "needs",
            "lift.arm_mm": "arm",
            "lift.least_arm_mm": "least_arm",
            "lift.least_force_n": "least_force",
            "lift.limit_percent": "of_limit",
            "lift.corner_kg": "corner",
            "lift.corner_limit_kg": "corner_limit",
            "lift.extra_force_n": "force",
            "lift.share_n": "share",
            "lift.front_kg": "front",
            "lift.rear_kg": "rear",
            "lift.left_kg": "left",
            "lift.right_kg": "right",
            "lift.off_centre_percent": "off_centre",
            "lift.cold_extra_kg": "cold_extra",
            "lift.dummy_kg": "dummy",
            "lift.calculated_kg": "rest",
            "lift.prop_kg": "prop",
            "lift.over_limit": "over",
        },
        added_kg="lift.added_kg",
        hinge="lift.hinge",
        gap_mm="lift.hinge_gap_mm?",
        opening_angle_deg="lift.opening_angle_deg?",
        length_mm="roof.length_mm",
        width_mm="roof.width_mm",
        margin_mm="roof.edge_margin_mm",
        x_mm="place.centre_x_mm",
        y_mm="place.centre_y_mm",
        along_x_mm="place.length_mm",
        along_y_mm="place.width_mm",
        assist="lift.assist",
        count="lift.assist_count?",
        strut_arm_mm="lift.assist_arm_mm?",
        roof_low_kg="lift.roof_mass_kg.low",
        roof_high_kg="lift.roof_mass_kg.high",
        balance_mm="lift.balance_mm?",
        lift_point_mm="lift.lift_point_mm?",
        limit_kg="lift.rated_extra_kg?",
        test_c="site.air_c",
        coldest_c="wiring.coldest_c",
        loss_percent_k="limit.strut_loss_percent_k",
        prop_factor="limit.prop_factor",
        low="limit.lift_low",
        medium="limit.lift_medium",
        high="limit.lift_high",
    ),
)
