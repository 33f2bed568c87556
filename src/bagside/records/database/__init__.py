"""The records on the disk: everything that ever happened in the workshop, in SQLite or PostgreSQL.

    door       opened records: every fault comes out of it as one sentence
    engine     how a connection is set up, and how a transaction begins
    tables     events, what they touch, things as they are
    schema     records that are new, ours, older, newer, or somebody else's
    copies     a file that came here by being copied is looked at once
    migrations how they grow with the program
    rows       events and things as rows
    asking     what is asked, each by an index
    keeping    new events: checked and kept, all or none
    views      things made anew from the events
    faults     what is wrong with the disk or the server, in one sentence
    ledger     all of it, as the rest of the program sees it
"""

from bagside.records.database.keeping import Added
from bagside.records.database.ledger import Ledger

__all__ = ["Added", "Ledger"]
