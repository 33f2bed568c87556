"""Fill and coats.

view    the values of the page, from a plan
drawn   windows between coats, how thick they stand, the air against the dew point
"""
