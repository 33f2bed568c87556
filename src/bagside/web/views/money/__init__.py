"""What one further part costs, what is paid once, the price by number off.

view    the values of the page, from a plan
drawn   bars, the price by number off, and lines in the reader's words
"""
