"""Several parts in one oven: one cycle that serves all, or which must go separately and why."""

from bagside.cure.sharing.common import Common, common_cycle
from bagside.cure.sharing.grouping import Grouping, grouped
from bagside.cure.sharing.load import Load, Space
from bagside.cure.sharing.notes import sharing_findings
from bagside.cure.sharing.placing import placed
from bagside.cure.sharing.rules import Clash, clashes
from bagside.cure.sharing.trial import Trial, Verdict

__all__ = [
    "Clash",
    "Common",
    "Grouping",
    "Load",
    "Space",
    "Trial",
    "Verdict",
    "clashes",
    "common_cycle",
    "grouped",
    "placed",
    "sharing_findings",
]
