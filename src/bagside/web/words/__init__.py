"""What pages say, in one catalogue for each language, and how they say numbers."""
