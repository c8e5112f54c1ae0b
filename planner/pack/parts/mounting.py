"""How the panel is held: mounts compared, one fixing, strength of each part under each load."""

from __future__ import annotations

from planner.pack import illustrate
from planner.pack.blocks import Block, Pair, Sheet, Table
from planner.pack.facts import Facts
from planner.pack.text import capital, figure, plain
from planner.plan.model import OptionResult
from planner.rounding import up

VERDICTS = {"chosen": "chosen", "possible": "possible", "ruled_out": "ruled out"}
CAUTION = (
    "The figures are planning estimates for wind at speed, braking and cornering. They do not "
    "prove that the panel stays on in a crash; pull-through is an estimate until a sample of this "
    "roof has been tested."
)


def fixings(facts: Facts) -> Sheet | None:
    """Return how the panel is held: mounts side by side, one fixing, loads and strength."""
    return Sheet.of(
        Block("Mount", pairs=facts.pairs(
            "mount.method", "mount.pattern", "mount.retention", "feet.count", "mount.holes",
            "mount.mass_kg", "mount.height_mm", "mount.gap_mm", "feet.fit", "feet.advice")),
        Block("Every mount compared", tables=_compared(facts), notes=_basis(facts)),
        _loads(facts),
        Block("One fixing", pairs=_fixing(facts), figures=illustrate.fixing_section(facts),
              notes=_torque(facts)),
    )


def _compared(facts: Facts) -> tuple[Table, ...]:
    """Return the mounts of this job, the weakest part of each, and how the decision judged it."""
    options = {option.id: option for option in facts.options("mount-method")}
    rows = []
    for row in facts.rows("mounts.rows"):
        id_ = str(row.get("mount"))
        option = options.get(id_)
        label = option.label if option else id_.replace("_", " ")
        used = f"{_up(row.get('utilisation_percent'))} % {row.get('governing')}"
        if row.get("utilisation_percent") is None:
            used = str(row.get("governing"))
        rows.append((
            capital(plain(label)), figure(row.get("holes")), _up(row.get("mass_kg"), 1),
            _up(row.get("height_mm")), _up(row.get("sealant_ml")),
            _up(row.get("drive_h")), _off(row.get("removable")), plain(used),
            _verdict(option) if option else "—",
        ))
    head = ("Mount", "Holes", "Mass [kg]", "Top [mm]", "Sealant [ml]", "First drive after [h]",
            "Comes off", "Weakest part, used", "Verdict")
    return (Table("Mounts that this job could have", head, tuple(rows)),) if rows else ()


def _up(value: object, digits: int = 0) -> str:
    return figure(up(value, digits)) if isinstance(value, int | float) else "—"


def _off(value: object) -> str:
    return "again" if value else "destroyed"


def _verdict(option: OptionResult) -> str:
    """The verdict, and the reason that says most: what rules it out, else what speaks against."""
    reasons = [plain(reason) for reason in option.reasons]
    against = [r.removeprefix("Against: ") for r in reasons if r.startswith("Against: ")]
    neutral = [r for r in reasons if not r.startswith(("For: ", "Against: "))]
    said = VERDICTS[option.verdict]
    told = neutral or against if option.verdict == "ruled_out" else against
    return f"{said}: {told[0]}" if told and option.verdict != "chosen" else said


def _basis(facts: Facts) -> tuple[str, ...]:
    if not facts.rows("mounts.rows"):
        return ()
    return ("All reasons for and against stand under “Decisions”, a section of the whole pack. "
            "The holes are those of the mount itself: a second retention and the cable entry need "
            "theirs besides. The strength of adhesive counts the ribbons only and does not prove "
            "peeling, so a bonded mount gets a second retention or an end stop.",)


def _loads(facts: Facts) -> Block:
    """What comes onto the mount, which part gives first under each load, and every part."""
    # A bond has one part only, which the table of loads has told already.
    strength = () if len(facts.rows("feet.checks")) < 2 else facts.table(
        "feet.checks", "Every part, under all of it at once",
        ("part", "load", "bears", "unit", "factor", "factor_wanted", "utilisation_percent",
         "basis"),
        names={"factor": "Factor", "utilisation_percent": "Used [%]"})
    cases = facts.table("feet.cases", "Which part gives first", names={
        "case": "Load", "on_panel_n": "On one panel [N]", "part": "Part that gives first",
        "used_percent": "Used [%]"})
    return Block(
        "Loads and strength",
        pairs=(*facts.pairs("wind.speed_kmh", "wind.pressure_pa", "wind.coefficient",
                            "wind.uplift_n", "wind.braking_n", "wind.cornering_n",
                            "feet.foot_load_n", "feet.bolt_tension_n"),
               *_governing(facts)),
        tables=(*cases, *strength),
        notes=(CAUTION,) if strength or cases else (),
    )


def _governing(facts: Facts) -> tuple[Pair, ...]:
    if not facts.has("mount.governing"):
        return ()
    used = facts.text("mount.utilisation_percent")
    part = facts.text("mount.governing")
    return (Pair("Weakest part", f"{part}, used to {used}" if used else part),)


def _fixing(facts: Facts) -> tuple[Pair, ...]:
    if not facts.has("fixing.bolt"):
        return facts.pairs("fixing.kind")
    return facts.pairs(
        "fixing.kind", "fixing.head", "fixing.advice", "fixing.finish", "fixing.bolt",
        "fixing.bolt_length_mm", "fixing.hole_mm", "limit.chamfer_mm", "fixing.roof_mm",
        "fixing.plate",
        "fixing.sleeve_mm", *_packing(facts), "fixing.torque_first_nm",
        "fixing.torque_final_nm", "fixing.torque_limit", "fixing.clamp_n",
        "fixing.projection_mm", "fixing.projection_limit_mm", "fixing.thread_past_nut_mm",
        "feet.core_use_percent")


def _packing(facts: Facts) -> tuple[str, ...]:
    return ("fixing.packing_washers",) if facts.number("fixing.packing_washers") else ()


def _torque(facts: Facts) -> tuple[str, ...]:
    if not facts.has("fixing.torque_final_nm"):
        return ()
    nut = ("Measure the running torque of a new locking nut and add it to the figure. "
           if facts.has("fixing.thread_past_nut_mm") else "")
    return (f"{nut}Stop at any dish, whitening or creak in the roof. Paste on stainless threads; "
            "no thread-locking liquid near plastics. Where stainless steel meets aluminium, keep "
            "them apart with sealant or a nylon washer.",)
