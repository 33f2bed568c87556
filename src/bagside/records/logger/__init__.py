"""Logger files: what any logger wrote during a cure, read into a `bagside.cure.CureLog`.

Whatever the file tells is found; whatever it does not tell is asked for, never guessed.
"""

from bagside.records.logger.follow import Follower
from bagside.records.logger.options import DateOrder, Jumps, LoggerOptions, Reference, TimeIs
from bagside.records.logger.reading import Understood, read_log, understood
from bagside.records.logger.settled_file import keep_settled
from bagside.records.logger.stating import stated_options

__all__ = [
    "DateOrder",
    "Follower",
    "Jumps",
    "LoggerOptions",
    "Reference",
    "TimeIs",
    "Understood",
    "keep_settled",
    "read_log",
    "stated_options",
    "understood",
]
