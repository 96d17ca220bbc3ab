"""The loop of line and neutral up to the supply terminals, as far as its modulus is known."""

from connections.facts.defaults import known
from connections.rules.checks.basis.types import amount
from connections.rules.checks.basis.working import Ground, Working


def supply_loop(ground: Ground, w: Working) -> int | None:
    """Record the measured loop of the supply [microohm]; None if it is not known.

    The earth-fault loop stands for it only if the supply's neutral carries the return current: a TT
    loop goes through the earth.
    """
    supply = ground.site.supply
    loop = known(supply.loop_impedance_uohm)
    earthing = known(supply.earthing)
    w.read((("supply.earthing", earthing),))
    path = "supply.loop_impedance_uohm"
    if not loop:
        w.need("the loop impedance of the supply", path, loop)
        return None
    if earthing not in ("TN-C-S", "TN-S"):
        why = "a TT loop goes through the earth" if earthing == "TT" else "earthing not known"
        w.need(f"the loop of line and neutral ({why})", path, loop)
        return None
    w.fact("loop impedance of the supply", path, loop, amount(loop / 1_000_000, "ohm"))
    return loop
