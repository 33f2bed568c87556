"""What the workshop remembers: events that are only added, and what is true now because of them.

Nothing here touches a disk: `bagside.records` keeps events, and asks this room what they mean.

    event, bodies, planned       what can happen, and the plan a part is begun with
    things, replay, correcting   what is true because of it
    rules                        what cannot be true
    stock, builds                what each event does to cloth, goods, moulds and parts
    clocks                       life, thawing, what ends when
    gates                        what must hold before a step
    actual, design               a part against its plan, parts of one design over time
"""
