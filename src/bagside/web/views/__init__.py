"""From a plan or the records to what a page shows: pure functions of values."""
