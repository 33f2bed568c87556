"""Child processes for everything that takes time, with a stream of messages and a stop."""
