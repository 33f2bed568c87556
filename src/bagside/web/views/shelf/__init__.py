"""What lies in the workshop.

view    cloth, goods and places as lines of values, from the records
drawn   cloth by its length, with the life that is left in it
"""
