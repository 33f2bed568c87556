"""Why pinholes: causes ranked by computed margins and by where the defects are, and what would tell them apart."""

from bagside.bagging.pinholes.causes import CAUSES, OTHER, Cause, shows_at
from bagside.bagging.pinholes.corner_map import corner_evidence
from bagside.bagging.pinholes.draws import DRAWS, PRIORS, SEED, Prior, Spread, drawn
from bagside.bagging.pinholes.margins import Margin, margins, permeability_gebart_1992
from bagside.bagging.pinholes.measure import Measure, information, measures
from bagside.bagging.pinholes.notes import pinhole_findings
from bagside.bagging.pinholes.rank import Diagnosis, Ranked, diagnosis
from bagside.bagging.pinholes.record import RANGES, Corner, Record
from bagside.bagging.pinholes.stated import record_of
from bagside.spec.pinhole_file import Seen

__all__ = [
    "CAUSES",
    "DRAWS",
    "OTHER",
    "PRIORS",
    "RANGES",
    "SEED",
    "Cause",
    "Corner",
    "Diagnosis",
    "Margin",
    "Measure",
    "Prior",
    "Ranked",
    "Record",
    "Seen",
    "Spread",
    "corner_evidence",
    "diagnosis",
    "drawn",
    "information",
    "margins",
    "measures",
    "permeability_gebart_1992",
    "pinhole_findings",
    "record_of",
    "shows_at",
]
