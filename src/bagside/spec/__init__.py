"""What people state – jobs, workshops, materials – and reading it."""
