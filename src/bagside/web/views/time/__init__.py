"""Who and what is busy when, and how long each step takes.

view    the values of the page, from a plan
drawn   days as bands, in the reader's words
"""
