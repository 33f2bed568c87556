"""The air of the day.

view    what was read and what may be done in it, from the records
drawn   temperature and dew point as a chart, and in words
"""
