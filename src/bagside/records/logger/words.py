"""The words loggers use, in the languages their makers use them in; small, without accents lost."""

from __future__ import annotations

import re

from bagside.cure import Sensor

_WORD = re.compile(r"[A-ZÄÖÜÉ]+(?![a-zäöüéèêô])|[A-ZÄÖÜÉ]?[a-zäöüßéèêô]+|[#°]")


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


MISSING = _words(
    "open openloop openinput opentc offen ouvert opencircuit ol over overload overrange ovl ovrng ovr underrange "
    "udr burnout burn b.out err err. error fehler erreur fault fail na n/a #n/a #na #div/0! #num! #value! none null "
    "nan nodata inf +inf -inf disc disconnected invalid bad"
)
"""For no reading; dashes, dots, stars and hashes alone count as well."""

TIME = _words(
    "time times zeit uhrzeit heure temps timestamp datetime elapsed laufzeit dauer durée duree duration clock "
    "zeitpunkt zeitstempel t runtime millis seconds minutes hours sec secs min mins sekunden minuten stunden heures"
)
BEGUN = _words("start started starttime begin began beginn begonnen startzeit début debut départ")
"""In a line above the head, before the time of the first reading."""
DATE = _words("date datum tag jour day dates datetime")
TEMPERATURE = _words(
    "temp temps temperature temperatur température temperatures thermocouple thermoelement thermopaar tc pt rtd "
    "ntc pv ist istwert actual messwert process probe fühler sonde messstelle"
)
PRESSURE = _words(
    "pressure druck pression vac vacuum vakuum vide unterdruck dépression depression press pres luftdruck"
)
VACUUM = _words("vac vacuum vakuum vide unterdruck dépression depression")
COUNT = _words(
    "no nr nummer number index record rec scan sample zeile ligne row id # count messung n° numéro point lfd entry"
)
ASIDE = _words(
    "power leistung puissance output stellgrad ausgang sortie humidity feuchte humidité rh segment step schritt étape "
    "program programm programme recipe status state alarm event ereignis mode battery batterie fan lüfter ventilateur "
    "speed drehzahl cjc junction vergleichsstelle internal intern logger deviation abweichung error fehler duty remark "
    "op cv comment note bemerkung marker valve ventil pump pumpe rate utc tz offset zone marks"
)
"""Columns that say nothing about heat or pressure at the part."""

SENSORS: tuple[tuple[Sensor, frozenset[str]], ...] = (
    (Sensor.SET, _words("set setpoint sp soll sollwert consigne target setp wsp csp psp reference ziel vorgabe")),
    (
        Sensor.TOOL,
        _words("tool mould mold form werkzeug moule outil outillage tooling mandrel plug caul formwerkzeug underside"),
    ),
    (
        Sensor.PART,
        _words("part laminate laminat bauteil teil pièce piece stratifié panel lam workpiece prepreg lagging leading"),
    ),
    (
        Sensor.AIR,
        _words("air oven ofen luft umluft ofenluft four étuve etuve chamber kammer enceinte autoclave inlet outlet"),
    ),
)
"""What a temperature's heading says it measures, the first that fits."""
VESSEL = _words("autoclave oven ofen four chamber kammer enceinte vessel kessel")
"""A pressure there is not that of the bag."""
AMBIENT = _words("ambient atm atmospheric atmosphere baro barometer barometric luftdruck umgebung ambiante")
ABSOLUTE = _words("abs absolute absolut absolutdruck absolue absolu")
GAUGE = _words("gauge gage rel relative relativ relativdruck relatif differential differenz")
HEAT_ASIDE = _words(
    "cjc cj junction vergleichsstelle internal intern interne logger deviation abweichung écart difference differenz "
    "delta ambient room raum umgebung hall halle shop outside aussen außen board"
)
"""Temperatures that are none of the cure: of the logger itself, of the room, or differences."""


def words_in(heading: str) -> list[str]:
    """Return the words of a heading, small, with digits and marks left out.

    Parameters
    ----------
    heading
        As it stands in the file.

    Examples
    --------
    >>> words_in("OvenAir_temp1 (SP)")
    ['oven', 'air', 'temp', 'sp']
    """
    return [w.lower() for w in _WORD.findall(heading)]


def speaks_of(spoken: list[str], known: frozenset[str]) -> bool:
    """Return whether a heading has one of these words, alone or in front of a compound (``Ofentemperatur``).

    Parameters
    ----------
    spoken
        Its words.
    known
        Words looked for.
    """
    stems = tuple(w for w in known if len(w) >= 4)
    return any(w in known or (len(w) > 5 and w.startswith(stems)) for w in spoken)


def sensor_of(heading: str) -> Sensor:
    """Return what a temperature's heading says it measures.

    Parameters
    ----------
    heading
        As it stands in the file.

    Examples
    --------
    >>> sensor_of("Ofentemperatur Soll").value, sensor_of("TC 3").value
    ('set point', 'not known')
    """
    spoken = words_in(heading)
    return next((sensor for sensor, known in SENSORS if speaks_of(spoken, known)), Sensor.UNKNOWN)
