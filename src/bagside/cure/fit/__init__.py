"""Fitting a resin: from a data sheet or DSC curves to a rate law that says how sure it is.

What a fit is judged by is what a maker can check: gel time and glass transition. The degree of cure is not among it:
laws that agree in both may differ in it by a tenth.
"""

from bagside.cure.fit.asked import Answer, Asked, OneMore, answered, hours, one_more, required, short_of, usual_cycle
from bagside.cure.fit.dsc import DscFit, dsc_fitted
from bagside.cure.fit.dsc_curve import DscCurve, DscKind
from bagside.cure.fit.fitted import Fit, fitted
from bagside.cure.fit.held import HeldAt, held_at, usual_temperatures
from bagside.cure.fit.margin import Margin, post_cure_margin
from bagside.cure.fit.noticed import findings
from bagside.cure.fit.prior import Prior, sheet_prior
from bagside.cure.fit.row import Kind as RowKind
from bagside.cure.fit.row import Row, predicted
from bagside.cure.fit.sheet import SheetFit, sheet_fitted
from bagside.cure.fit.stated import prior_of, rows_of

__all__ = [
    "Answer",
    "Asked",
    "DscCurve",
    "DscFit",
    "DscKind",
    "Fit",
    "HeldAt",
    "Margin",
    "OneMore",
    "Prior",
    "Row",
    "RowKind",
    "SheetFit",
    "answered",
    "dsc_fitted",
    "findings",
    "fitted",
    "held_at",
    "hours",
    "one_more",
    "post_cure_margin",
    "predicted",
    "prior_of",
    "required",
    "rows_of",
    "sheet_fitted",
    "sheet_prior",
    "short_of",
    "usual_cycle",
    "usual_temperatures",
]
