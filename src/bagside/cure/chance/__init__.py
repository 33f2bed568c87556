"""How sure a cycle is: many draws of what may turn out otherwise, and in how many of them every limit holds."""

from bagside.cure.chance.chance import Chance, LimitChance, chance_of
from bagside.cure.chance.draws import Draws, drawn
from bagside.cure.chance.margins import Margins, Stage, joined, margins
from bagside.cure.chance.notes import chance_findings
from bagside.cure.chance.odds import Odds, odds
from bagside.cure.chance.scatter import INPUTS, Scatter, scatter_of_oven
from bagside.cure.chance.shares import Driver, drivers
from bagside.cure.chance.spread import Kind, Spread

__all__ = [
    "INPUTS",
    "Chance",
    "Draws",
    "Driver",
    "Kind",
    "LimitChance",
    "Margins",
    "Odds",
    "Scatter",
    "Spread",
    "Stage",
    "chance_findings",
    "chance_of",
    "drawn",
    "drivers",
    "joined",
    "margins",
    "odds",
    "scatter_of_oven",
]
