"""Films, lag and limits of this oven from a log of a trial, with how sure each is.

Bag and breather pass heat one after the other, so that a log only tells them, and the air on them, as one film. What
a log does not tell stays as it was stated, and that is said, with the one thing more that would tell it.
"""

from bagside.cure.calibrate.advice import Advice
from bagside.cure.calibrate.beliefs import Beliefs
from bagside.cure.calibrate.calibration import Calibration, PlaceAir, SensorFit, calibrated
from bagside.cure.calibrate.effect import Effect
from bagside.cure.calibrate.notes import calibration_findings
from bagside.cure.calibrate.place import Where
from bagside.cure.calibrate.told import Told, Value
from bagside.cure.calibrate.trial import Trial

__all__ = [
    "Advice",
    "Beliefs",
    "Calibration",
    "Effect",
    "PlaceAir",
    "SensorFit",
    "Told",
    "Trial",
    "Value",
    "Where",
    "calibrated",
    "calibration_findings",
]
