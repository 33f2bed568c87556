"""``bagside resin``: fitting a resin from what its maker tells, looking at one, and how much of its life is used."""
