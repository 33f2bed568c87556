"""After and during a cure: what the log says of the part, whether it is good, and what saves it if it is not."""

from bagside.cure.judging.course import Course, Departure
from bagside.cure.judging.finish import Finish, Where, in_words
from bagside.cure.judging.forecast import Forecast, Leg
from bagside.cure.judging.mishap import Mishap, mishap_named
from bagside.cure.judging.option import Action, Option
from bagside.cure.judging.places import PlaceState
from bagside.cure.judging.pressed import Loss, Pressed
from bagside.cure.judging.reason import Reason, Weight
from bagside.cure.judging.rebagged import Deadlines
from bagside.cure.judging.rescue import Rescue, rescued
from bagside.cure.judging.sensed import SensorState
from bagside.cure.judging.state import LoggedState, Stage, state_of
from bagside.cure.judging.stretch import Stretch
from bagside.cure.judging.trust import Range, Trust
from bagside.cure.judging.verdict import Judgement, Verdict, judged
from bagside.cure.judging.watch import Phase, Watch, watched
from bagside.cure.judging.wayward import Moment

__all__ = [
    "Action",
    "Course",
    "Deadlines",
    "Departure",
    "Finish",
    "Forecast",
    "Judgement",
    "Leg",
    "LoggedState",
    "Loss",
    "Mishap",
    "Moment",
    "Option",
    "Phase",
    "PlaceState",
    "Pressed",
    "Range",
    "Reason",
    "Rescue",
    "SensorState",
    "Stage",
    "Stretch",
    "Trust",
    "Verdict",
    "Watch",
    "Weight",
    "Where",
    "in_words",
    "judged",
    "mishap_named",
    "rescued",
    "state_of",
    "watched",
]
