"""Cure: what heat does to every place of the part, and whether the part is cured, cooked or neither."""

from bagside.cure.advance import advanced, alpha_from_life
from bagside.cure.air import Air
from bagside.cure.build_up import film_with, honeycomb, section_through
from bagside.cure.by_name import kinetics_names, model_from
from bagside.cure.energy import Energy, oven_energy
from bagside.cure.fin import HotSpot
from bagside.cure.first_last import first_and_last
from bagside.cure.history import Balance, SectionHistory, continued, heat_balance
from bagside.cure.hold import cure_for_tg, hold_to_reach
from bagside.cure.hot_spot import Fixing, fixing_place
from bagside.cure.kinetics import Kinetics, Validity
from bagside.cure.layer import Layer
from bagside.cure.life import LifeSheet, Spell
from bagside.cure.life_effect import LifeEffect, life_effect
from bagside.cure.life_notes import life_findings
from bagside.cure.log import Channel, CureLog, Sensor
from bagside.cure.mixing import conductivity_springer_tsai_1967, laminate_layer
from bagside.cure.noticed import Limits, findings
from bagside.cure.outcome import Outcome, outcomes
from bagside.cure.oven import Oven
from bagside.cure.oven_notes import oven_findings
from bagside.cure.programme import Programme, Segment
from bagside.cure.rate_laws import (
    BogettiGillespie1991,
    HubertEtAl2001,
    Kamal,
    LeeLoosSpringer1982,
    NthOrder,
    Vitrification,
)
from bagside.cure.resin import CureResin, tg_di_benedetto
from bagside.cure.scenario import NOMINAL, Scenario, corners
from bagside.cure.section import Section
from bagside.cure.solve import simulate
from bagside.cure.thick_place import Thickening, thick_place
from bagside.cure.viscosity import CastroMacosko, Exponential, Viscosity, viscosity_from

__all__ = [
    "NOMINAL",
    "Air",
    "Balance",
    "BogettiGillespie1991",
    "CastroMacosko",
    "Channel",
    "CureLog",
    "CureResin",
    "Energy",
    "Exponential",
    "Fixing",
    "HotSpot",
    "HubertEtAl2001",
    "Kamal",
    "Kinetics",
    "Layer",
    "LeeLoosSpringer1982",
    "LifeEffect",
    "LifeSheet",
    "Limits",
    "NthOrder",
    "Outcome",
    "Oven",
    "Programme",
    "Scenario",
    "Section",
    "SectionHistory",
    "Segment",
    "Sensor",
    "Spell",
    "Thickening",
    "Validity",
    "Viscosity",
    "Vitrification",
    "advanced",
    "alpha_from_life",
    "conductivity_springer_tsai_1967",
    "continued",
    "corners",
    "cure_for_tg",
    "film_with",
    "findings",
    "first_and_last",
    "fixing_place",
    "heat_balance",
    "hold_to_reach",
    "honeycomb",
    "kinetics_names",
    "laminate_layer",
    "life_effect",
    "life_findings",
    "model_from",
    "outcomes",
    "oven_energy",
    "oven_findings",
    "section_through",
    "simulate",
    "tg_di_benedetto",
    "thick_place",
    "viscosity_from",
]
