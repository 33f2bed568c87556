"""``bagside stock``: what the workshop has, with its clocks."""
