"""Life of what is kept cold: where it has been, what loggers saw there, what is left, when it thaws and ends."""
