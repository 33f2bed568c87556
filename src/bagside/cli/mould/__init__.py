"""Commands about the mould."""
