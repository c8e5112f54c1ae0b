"""What must be so while each piece of work is done: a second account, not read from the rules.

Common practice, no source: written down from what each step does to van, panel and people, so that
a need that was lost or turned round in the rules is noticed here.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from tests.plan.pool import POOL
from tests.plan.vans import Moment, moments, plan_of

#: Why, the state, what it may be, and the work that it is true of.
WHILE: tuple[tuple[str, str, str, str], ...] = (
    ("wires may run where the lining, the entry or the cable is worked on", "battery", "isolated",
     "open-lining prepare-entry fit-entry lead-over-edge fit-loop slow-close mark-inlet fit-inlet "
     "join-leads prove-polarity reconnect-battery drill-inlet"),
    ("bits come out below, and somebody looks from below", "inside", "opened",
     "verify-under drill-pilots check-pilots open-holes seal-edges fill-core drill-filling "
     "dry-plates bed-feet fit-anchors set-studs nip-nuts prove-entry fit-shield"),
    ("beds and boards are out of the way before anything is opened", "inside", "cleared opened",
     "open-lining dry-boltup refit-lining raise-bare"),
    ("nothing lies on the place that is worked on", "panel", "bench",
     "wash-roof remove-old-array repair-old-holes dress-repairs fit-entry lead-over-edge "
     "prepare-bedding bed-feet fit-anchors set-studs prepare-bond place-spacers bond-mounts "
     "set-rivet-nuts tape-holes prepare-feet bench-volts bench-current recut-leads ready-leads"),
    ("the panel lies on its marks", "panel", "laid", "dry-fit mark-holes set-jig dry-boltup"),
    ("it is lowered from its edge, where its plugs can be reached", "panel", "edge",
     "lay-bead set-down"),
    ("it lies in its bed and is not yet held", "panel", "on", "nip-nuts fix-panel"),
    ("what is tightened or tried is held", "panel", "fixed sound",
     "fit-tether final-torque cap-ends pull-by-hand height-after release-gentle first-recheck"),
    ("a module in light is live at bare ends", "lead_ends", "capped",
     "bench-current ready-leads dry-fit dry-boltup dress-leads panel-up panel-down panel-on-edge "
     "bond-flexible join-leads recut-leads"),
    ("a module in light is live", "cover", "on",
     "bench-current ready-leads dry-fit mark-holes set-jig dry-boltup dress-leads fix-panel "
     "prove-polarity battery-first switch-on"),
    ("work from outside is done at a roof that stands still", "roof", "shut fixed",
     "height-before lay-trial read-trial old-array-off wash-roof remove-old-array repair-old-holes "
     "dress-repairs mark-datum dry-fit mark-holes sign-layout set-jig dry-boltup prepare-bond "
     "place-spacers check-bond dress-leads fit-tether pull-by-hand restore-old-array height-after "
     "release-gentle first-recheck panel-up lift-baseline dummy-load slow-close closing-cycles "
     "raise-bare raise-with-panel"),
    ("a lifting roof is worked on from inside while it is propped", "roof", "propped fixed",
     "open-lining verify-under drill-pilots check-pilots open-holes prepare-bedding "
     "set-rivet-nuts"),
    ("only what stands open can be let down", "roof", "propped", "lower-bare lower-with-panel"),
    ("holes are there and open when something goes into them", "fixing_holes", "open",
     "fill-core set-rivet-nuts dry-plates prepare-bedding bed-feet fit-anchors set-studs "
     "dry-boltup prepare-feet lay-bead tape-holes"),
    ("only hard filling is drilled again", "fixing_holes", "plugged", "drill-filling"),
    ("no hole is left where adhesive goes", "fixing_holes", "uncut closed", "prepare-bond"),
    ("a raw edge rusts or drinks under the sealant", "edges", "sealed",
     "set-rivet-nuts prepare-bedding bed-feet fit-anchors prepare-feet lay-bead"),
    ("an edge is coated once, while it is raw", "edges", "raw", "seal-edges"),
    ("marks, sealant and panels go on a clean skin", "surface", "clean",
     "mark-datum drill-pilots seal-edges set-rivet-nuts prepare-bedding slow-close prepare-bond "
     "place-spacers prepare-feet panel-up panel-on-edge untape-holes"),
    ("chips scratch, rust and spoil the bond", "swarf", "none",
     "seal-edges fill-core set-rivet-nuts dry-plates prepare-entry prepare-bedding prepare-bond "
     "prepare-feet refit-lining"),
    ("the skirt is tied back and people reach through the opening", "fabric", "none secured",
     "open-lining drill-pilots open-holes"),
    ("the shield is gone when hands and eyes are wanted below", "shield", "out",
     "verify-under dry-plates fit-entry bed-feet fit-anchors set-studs refit-lining fit-shield"),
    ("nobody walks below", "zone", "closed",
     "isolate-battery open-lining dry-plates fit-loop mount-controller mark-inlet drill-inlet "
     "fit-inlet inspect-leaks"),
    ("no charger feeds what is worked on", "chargers", "off",
     "old-array-off drill-pilots drill-inlet mount-controller reconnect-battery water-test"),
    ("the array is parted from the controller", "isolator", "open",
     "bench-current recut-leads isolate-battery wash-roof prove-polarity reconnect-battery "
     "battery-first switch-on fit-inlet"),
    ("the array is not landed yet", "pv", "unlanded",
     "recut-leads isolate-battery fit-loop fit-inlet fit-battery-cable water-test closing-cycles "
     "land-array"),
    ("the fuse goes in last", "fuse", "out",
     "isolate-battery mount-controller join-leads prove-polarity reconnect-battery battery-first"),
    ("a live battery is what is isolated, woken on, or fed", "battery", "live",
     "isolate-battery battery-first switch-on restore-old-array"),
    ("the controller hangs before it is wired and woken", "controller", "mounted",
     "fit-battery-cable battery-first"),
    ("its charge is set before the sun comes on", "controller", "set", "switch-on"),
    ("an old array is off before it is taken down, and while the battery comes back",
     "old_array", "none dead removed", "remove-old-array reconnect-battery restore-old-array"),
    ("adhesive that cannot be handled yet carries nothing", "bond", "none proved",
     "dress-leads fit-tether pull-by-hand release-gentle drive-gently drive-full join-leads"),
    ("a bond is tried when it is hard", "bond", "hardened", "check-bond"),
    ("sealant that is still wet is not pulled at", "bed", "none rim_cured",
     "final-torque pull-by-hand release-gentle panel-on-edge"),
    ("nobody carries a panel over wet sealant", "bed", "none skinned rim_cured",
     "panel-up prepare-bond"),
    ("an entry is proved before a panel hides it or the van is driven", "entry", "none proved",
     "join-leads panel-on-edge release-gentle"),
    ("an entry is prepared once, before it is bedded", "entry", "none", "prepare-entry"),
    ("the moving cable is tried before it is trusted", "loop", "none tested",
     "land-array switch-on release-gentle"),
    ("a moving cable hangs free until its loop is fitted", "loop", "hanging", "fit-loop"),
    ("the opening is shut and the skirt down while water runs", "gap", "clear",
     "prove-entry water-test"),
    ("the opening is in use while somebody reaches through it", "gap", "in_use",
     "fit-loop secure-skirt"),
    ("primed faces only", "foot", "primed", "place-spacers bed-feet fit-anchors bond-mounts"),
    ("the trial tells something only when it can be read", "trial", "readable", "read-trial"),
    ("the lining and the bed are back before the roof is cycled", "inside", "made_up",
     "closing-cycles drive-full"),
    ("an opened van is not driven, nor one with people up at its roof", "access", "none",
     "drive-gently drive-full"),
    ("nobody is let out on the road before the joint holds", "road", "gentle full",
     "release-gentle drive-gently"),
    ("hands reach the roof from a platform", "access", "platform", "raise-bare mark-datum"),
)  # fmt: skip


@pytest.fixture(scope="module")
def done(base: RuleBase) -> list[list[Moment]]:
    """Return everything that is done in the pool of jobs in which every rule is used."""
    plans: Iterable[Plan] = (plan_of(demo, base, **changes) for _, demo, changes in POOL)
    return [moments(plan) for plan in plans]


@pytest.mark.parametrize(("why", "state", "allowed", "work"), WHILE)
def test_what_must_be_so_while_the_work_is_done(
    done: list[list[Moment]], why: str, state: str, allowed: str, work: str
) -> None:
    """In every job of the pool; each step that is named is done in some job."""
    seen = set()
    for job in done:
        for one in job:
            if one.task.id in work.split():
                seen.add(one.task.id)
                assert one.before[state] in allowed.split(), f"{one.task.id}: {why}"
    assert seen == set(work.split())
