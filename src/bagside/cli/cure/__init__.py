"""Commands about the cure."""
