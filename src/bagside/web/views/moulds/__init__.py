"""How moulds stand.

view    each mould as a line of values, from the records
drawn   its life as a thread
meant   a picture of that life where no mould is known
"""
