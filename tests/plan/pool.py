"""A pool of invented jobs in which every rule is used at least once: demo jobs made otherwise."""

from __future__ import annotations

from typing import Any

from .vans import FLEX, LIFTING, STEEL

RIBS: dict[str, Any] = {
    "roof__shape": "ribbed",
    "roof__rib_direction": "lengthwise",
    "roof__rib_pitch_mm": 60,
    "roof__rib_flat_mm": 20,
    "roof__rib_height_mm": 8,
    "roof__rib_first_mm": 20,
}
BARS: dict[str, Any] = {
    "roof__bars": "rated",
    "roof__bars_rated_kg": 400,
    "panel__count": 1,
    "vehicle__top_speed_kmh": 90,
}
FOAM: dict[str, Any] = {"roof__core_mm": 18, "roof__core_kind": "foam"}

#: What each job is there to show, the demo that it is made from, and what is otherwise in it.
POOL: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("framed panel on a lifting roof", LIFTING, {}),
    ("rails bonded in a workshop", STEEL, {}),
    ("sheet bonded flat", FLEX, {}),
    ("sheet bonded in the heat", FLEX, {"site__surface_c": 36, "site__air_c": 30}),
    ("nuts out of reach", LIFTING, {"lift__nuts_reachable_shut": False}),
    ("separate feet", LIFTING, {"mount__bracket_form": "separate_feet"}),
    (
        "bolted raised",
        LIFTING,
        {
            "mount__feet_open": False,
            "lift__nuts_reachable_shut": False,
            "lift__opening_angle_deg": 9,
            "site__access": "platform",
        },
    ),
    ("no holes", LIFTING, {"mount__no_holes": True, "mount__tether_point": True}),
    ("no holes, no point", LIFTING, {"mount__no_holes": True, "mount__tether_point": False}),
    ("sandwich", LIFTING, {"roof__material": "grp_sandwich", "roof__thickness_mm": 2.5, **FOAM}),
    ("rated bars between ribs", STEEL, {**RIBS, **BARS, "mount__wanted": "advise"}),
    ("anchors said to part too far", LIFTING, {"lift__cable_open_mm": 4000}),
    ("anchors nearer open than shut", LIFTING, {"lift__cable_closed_mm": 300}),
    ("a sideways step longer than the whole", LIFTING, {"lift__cable_offset_mm": 300}),
    ("a cable that parts too far on arms", FLEX, {"lift__cable_open_mm": 2000}),
    ("rails on flats too narrow for an anchor", STEEL, {
        **RIBS, "roof__rib_pitch_mm": 100, "roof__rib_flat_mm": 45, "roof__rib_first_mm": 10,
    }),
    ("a frame inside all but the strips of the airbags", STEEL, {
        "roof__inside": [
            {"name": "frame", "x_mm": 0, "y_mm": 235, "length_mm": 3400, "width_mm": 950},
        ],
    }),
    ("bows close together", LIFTING, {
        "roof__inside": [
            {"name": f"bow {x}", "x_mm": x, "y_mm": 0, "length_mm": 40, "width_mm": 1180}
            for x in range(0, 2600, 230)
        ],
    }),
    (
        "one corner of a level lift",
        FLEX,
        {
            "lift__rated_extra_kg": 4,
            "roof__obstacles": [
                {"name": "hatch", "kind": "rooflight", "x_mm": 900, "y_mm": 440,
                 "length_mm": 360, "width_mm": 360, "height_mm": 60},
            ],
        },
    ),
    ("folding panel", STEEL, {"panel__kind": "folding_portable", "panel__count": 1}),
    (
        "replacement on silicone",
        STEEL,
        {"job__kind": "replace", "roof__old_silicone": True, "roof__old_holes": True},
    ),
    ("addition", STEEL, {"job__kind": "add", "panel__used": True}),
    ("refusal", LIFTING, {"roof__permission": "no"}),
    ("electric roof", LIFTING, {"lift__assist": "electric"}),
    ("leads cut", LIFTING, {"panel__leads_may_be_cut": True, "panel__lead_length_mm": 2000}),
    (
        "leads through a duct",
        LIFTING,
        {"entry__wanted": "existing_duct", "panel__lead_length_mm": 2000},
    ),
    (
        "loop worked out from its clamps",
        LIFTING,
        {"lift__cable_closed_mm": "unknown", "lift__cable_open_mm": "unknown"},
    ),
    # What the roof, its makers and its surface say.
    (
        "nobody was asked",
        LIFTING,
        {
            "roof__permission": "no_reply",
            "lift__rated_extra_kg": "unknown",
            "vehicle__spare_payload_kg": "unknown",
            "roof__thickness_mm": "unknown",
            "job__electrics_competent": False,
            "lift__hinge": "left",
        },
    ),
    ("nobody was asked, fixed roof", STEEL, {"roof__permission": "no_reply"}),
    ("soft, thin and overhung", LIFTING, {
        "roof__core_wet": True,
        "roof__thickness_mm": 2,
        "site__overhead_clear": False,
        "site__access": "steps_only",
        "lift__underside_clear_mm": 18,
        "lift__cable_clear_mm": 15,
        "entry__cable_od_mm": 3.5,
        "job__crew": 1,
    }),
    ("core without thickness", STEEL, {
        "roof__material": "aluminium_sandwich",
        "roof__core_mm": 0,
        "roof__thickness_mm": 3,
        "mount__wanted": "bolted_rails",
        "sealant__wanted": "neutral_silicone",
        "site__salt": True,
        "entry__cable_od_mm": 13,
        "mount__bracket_height_mm": 10,
    }),
    ("resprayed steel, bolted in butyl", STEEL, {
        "roof__finish": "resprayed",
        "mount__wanted": "bolted_rails",
        "sealant__wanted": "butyl",
        "sealant__entry_wanted": "neutral_silicone",
        "roof__crown_mm_per_m": 25,
        "panel__frame_wall_mm": 1.0,
        "vehicle__spare_payload_kg": 60,
        "site__coldest_night_c": 3,
    }),
    ("plastic skin in the cold", STEEL, {
        "roof__material": "abs_skin",
        "roof__finish": "bare",
        "roof__core_mm": 12,
        "roof__core_kind": "foam",
        "mount__wanted": "advise",
        "site__surface_c": 8,
        "site__air_c": 8,
        "site__humidity_pct": 78,
    }),
    ("bolts past all lengths", STEEL, {
        "roof__material": "grp_sandwich",
        "roof__thickness_mm": 3,
        "roof__core_mm": 60,
        "roof__lining_mm": 40,
        "roof__core_kind": "foam",
        "mount__wanted": "bolted_brackets",
    }),
    ("holes beside an airbag", STEEL, {
        "mount__wanted": "bolted_brackets",
        "roof__thickness_mm": 1.2,
        "roof__edge_margin_mm": 20,
        "roof__width_mm": 800,
        "roof__obstacles": [],
        "sealant__wanted": "polyurethane_sealant",
        "sealant__entry_wanted": "polyurethane_sealant",
        "entry__plastic": "pa",
        "sealant__isocyanate_percent": 2,
        "entry__wanted": "single_glands",
    }),
    ("polyurethane at home", STEEL, {
        "job__doer": "self_build",
        "sealant__bond_wanted": "polyurethane_adhesive",
        "sealant__sensitised": False,
        "entry__where": "body_side",
    }),
    ("sensitised crew and old holes", LIFTING, {
        "sealant__sensitised": True,
        "roof__old_holes": True,
    }),
    ("corners on a large panel", STEEL, {
        "mount__wanted": "bonded_corners",
        "mount__plastic": "pc",
        "panel__length_mm": 1250,
        "panel__width_mm": 700,
        "panel__rated_w": 190,
        "panel__mass_kg": 21,
        "mount__front_faired": True,
        "panel__isc_a": 10.8,
        "panel__imp_a": 10.2,
    }),
    ("corners on a small slow panel", STEEL, {
        "mount__wanted": "bonded_corners",
        "mount__plastic": "asa",
        "vehicle__top_speed_kmh": 90,
        "panel__count": 1,
        "vehicle__height_mm": 2990,
        "site__access": "hop_up",
        "site__surface_c": 37,
    }),
    ("sheet on thin skin and crown", FLEX, {
        "roof__material": "aluminium_sandwich",
        "roof__core_mm": 20,
        "roof__core_kind": "honeycomb",
        "roof__crown_mm_per_m": 20,
        "roof__obstacles": [
            {"name": "hatch", "kind": "rooflight", "x_mm": 900, "y_mm": 300,
             "length_mm": 900, "width_mm": 600, "height_mm": 60},
        ],
    }),
    ("rails where brackets would miss the flats", STEEL, {
        **RIBS,
        "roof__rib_flat_mm": 120,
        "roof__rib_pitch_mm": 200,
        "mount__wanted": "bonded_rails",
    }),
    ("rails on wide flats", STEEL, {
        **RIBS,
        "roof__rib_flat_mm": 170,
        "roof__rib_pitch_mm": 200,
        "panel__count": 1,
        "mount__wanted": "advise",
        "mount__foot_length_mm": 60,
        "roof__obstacles": [],
    }),
    ("nothing fits", LIFTING, {
        "roof__length_mm": "unknown",
        "roof__obstacles": [
            {"name": "vent", "kind": "vent", "x_mm": 240, "y_mm": 390,
             "length_mm": 400, "width_mm": 400, "height_mm": 65},
            {"name": "second vent", "kind": "vent", "x_mm": 300, "y_mm": 400,
             "length_mm": 400, "width_mm": 400, "height_mm": 65},
        ],
    }),
    ("heavy panel on a light shell", LIFTING, {
        "lift__roof_mass_kg": 30,
        "lift__rated_extra_kg": 10,
        "panel__mass_kg": 16,
        "lift__cable_clear_mm": 25,
        "lift__cable_closed_mm": 41,
        "lift__cable_open_mm": 87,
        "lift__cable_offset_mm": 0,
    }),
    ("feet off the flats of cross ribs", STEEL, {
        **RIBS,
        "roof__rib_flat_mm": 45,
        "roof__rib_pitch_mm": 90,
        "roof__rib_direction": "crosswise",
        "mount__foot_width_mm": 60,
        "mount__foot_length_mm": 70,
        "mount__wanted": "bolted_rails",
    }),
    ("short and overloaded", STEEL, {
        "roof__length_mm": 2150, "roof__width_mm": 800, "roof__obstacles": [],
        "roof__edge_margin_mm": 30, "entry__box_height_mm": 60,
        "vehicle__spare_payload_kg": 20, "vehicle__height_mm": 2990,
    }),
    ("faired, but at the very front", STEEL, {
        "mount__front_faired": True, "panel__count": 1, "panel__length_mm": 1400,
        "panel__width_mm": 1000, "panel__rated_w": 200, "panel__isc_a": 11.4,
        "panel__imp_a": 10.8, "panel__max_series_fuse_a": 20, "roof__length_mm": 1150,
        "roof__width_mm": 1600, "roof__obstacles": [],
    }),
    ("in the shadow of a box", STEEL, {
        "roof__obstacles": [
            {"name": "box", "kind": "other", "x_mm": 1300, "y_mm": 300,
             "length_mm": 600, "width_mm": 800, "height_mm": 600},
        ],
        "use__loads": [{"name": "lamp", "watts": 15, "hours_per_day": 5, "supply": "dc"}],
    }),
    ("a frame below all of the roof", LIFTING, {
        "roof__inside": [
            {"name": "frame", "x_mm": 0, "y_mm": 0, "length_mm": 2500, "width_mm": 1180},
        ],
    }),
    # Weather.
    ("too cold and blowing", LIFTING, {
        "site__surface_c": 3, "site__air_c": 4, "site__humidity_pct": 95, "site__wind_ms": 9,
    }),
    ("too hot, fresh wind", LIFTING, {
        "site__surface_c": 43, "site__air_c": 30, "site__wind_ms": 7,
    }),
    # Electrics and use.
    ("parallel in the shade", STEEL, {
        "panel__voc_v": 60.0, "panel__vmp_v": 50.0, "panel__isc_a": 2.4, "panel__imp_a": 2.2,
        "battery__chemistry": "flooded", "battery__capacity_ah": 40,
        "battery__short_circuit_a": 600, "job__electrics_competent": False,
    }),
    ("four panels two by two", STEEL, {
        "panel__count": 4, "panel__voc_v": 40.0, "panel__vmp_v": 33.0, "panel__isc_a": 2.7,
        "panel__imp_a": 2.5, "panel__rated_w": 82, "controller__max_pv_w": 300,
        "panel__length_mm": 700, "panel__width_mm": 500, "wiring__arrangement": "two_by_two",
        "battery__chemistry": "gel", "battery__short_circuit_a": 900,
    }),
    ("three strings with fuses", STEEL, {
        "panel__count": 3, "panel__length_mm": 700, "panel__width_mm": 500,
        "panel__rated_w": 52, "panel__isc_a": 3.0, "panel__imp_a": 2.8,
        "wiring__arrangement": "parallel", "panel__max_series_fuse_a": 7,
        "controller__common_positive": True, "battery__short_circuit_a": 25000,
        "panel__manual_times_125": True,
    }),
    ("controller too small for its strings", STEEL, {
        "wiring__arrangement": "parallel", "controller__max_pv_a": 12, "battery__nominal_v": 24,
    }),
    ("a long way from the roof", LIFTING, {
        "wiring__roof_to_controller_m": 20, "battery__short_circuit_a": 30000,
        "battery__min_charge_c": -10, "lift__underside_clear_mm": 26, "roof__thickness_mm": 3.4,
        "mount__bracket_height_mm": 10,
    }),
    ("a large panel on PWM", LIFTING, {
        "controller__kind": "pwm", "panel__voc_v": 48.0, "panel__vmp_v": 40.0,
        "panel__isc_a": 4.7, "panel__imp_a": 4.4, "controller__max_pv_v": 40,
        "battery__max_charge_a": 10, "battery__short_circuit_a": 4000,
    }),
    ("a usual panel on PWM", LIFTING, {
        "controller__kind": "pwm", "battery__short_circuit_a": 9000,
    }),
    ("a long way to the battery", STEEL, {
        "wiring__controller_to_battery_m": 12, "panel__voc_v": 12.0, "panel__vmp_v": "unknown",
    }),
    ("unequal panels, little use", LIFTING, {
        "panel__others": [
            {"name": "old panel", "count": 1, "length_mm": 600, "width_mm": 400, "mass_kg": 4,
             "frame_height_mm": 30, "max_series_fuse_a": 10, "rated_w": 60, "voc_v": 23,
             "vmp_v": 19, "isc_a": 3.4, "imp_a": 3.1},
        ],
        "use__loads": [{"name": "lamp", "watts": 4, "hours_per_day": 1, "supply": "dc"}],
    }),
    ("much use, far away", LIFTING, {
        "use__days_away": 20, "use__months": [11, 12, 1], "controller__max_pv_a": 9,
        "use__loads": [{"name": "heater", "watts": 200, "hours_per_day": 10, "supply": "dc"}],
    }),
    ("sun from a better source", LIFTING, {
        "use__days_away": 20,
        "use__place": "by_values",
        "use__sun_kwh_m2_day": [1.0, 1.5, 2.5, 4.0, 5.0, 5.5, 5.5, 4.5, 3.5, 2.0, 1.0, 0.8],
    }),
    ("a kettle on an inverter", LIFTING, {
        "battery__max_charge_a": 10,
        "use__loads": [{"name": "kettle", "watts": 700, "hours_per_day": 0.3, "supply": "ac"}],
    }),
)
