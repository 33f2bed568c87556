"""What the workshop remembers: events that are only added, and what is true now because of them.

Nothing here touches a disk: `bagside.records` keeps events, and asks this room what they mean.
"""
